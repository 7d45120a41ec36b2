#pragma once
// The rules of fingering read a second time, plainly and slowly: how often a fingering breaks each of them.

#include <algorithm>
#include <array>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "hand/finger_rules.h"

namespace fretloom {

/// Breaks of slurs, shapes and ties, stronger first.
using Breaks = std::array<int, 3>;

class FingerReading {
 public:
  FingerReading(const CarriedLayout& layout, const std::vector<LickNote>& notes, const std::vector<PinnedFinger>& pins)
      : layout_(layout), notes_(notes), pins_(notes.size(), 0), wish_(notes.size(), 0), label_(notes.size()) {
    for (const PinnedFinger& pin : pins) pins_[pin.note] = pin.finger;
    read_shapes();
    read_ties();
  }

  /// 0 = none.
  [[nodiscard]] int pin(std::size_t i) const { return pins_[i]; }
  /// The finger that a note's shape gives it, 0 = none.
  [[nodiscard]] int shape(std::size_t i) const { return wish_[i]; }

  /// Some notes are tied that shapes give different fingers.
  [[nodiscard]] bool is_contradicted() const { return contradicted_; }

  /// Of the first notes, as many as `fingers` holds.
  [[nodiscard]] Breaks breaks(const std::vector<int>& fingers) const {
    Breaks found{};
    std::vector<std::array<int, 5>> used(ties_.size());
    for (std::size_t i = 0; i < fingers.size(); ++i) {
      if (notes_[i].fret == 0) continue;
      if (is_slurred(i)) {
        const bool same = fingers[i] == fingers[i - 1];
        found[0] += same != (notes_[i].attack == Attack::slide) ? 1 : 0;
      }
      found[1] += wish_[i] != 0 && wish_[i] != fingers[i] ? 1 : 0;
      if (tie_[i] >= 0) ++used[static_cast<std::size_t>(tie_[i])][static_cast<std::size_t>(fingers[i])];
    }
    for (std::size_t t = 0; t < ties_.size(); ++t) {
      int all = 0;
      int most = 0;
      for (int finger = 1; finger <= 4; ++finger) {
        const int count = used[t][static_cast<std::size_t>(finger)];
        all += count;
        if (ties_[t] == 0 ? count > most : finger == ties_[t]) most = count;
      }
      found[2] += all - most;
    }
    return found;
  }

 private:
  [[nodiscard]] bool is_slurred(std::size_t i) const {
    return i > 0 && notes_[i].attack != Attack::pick && notes_[i].string == notes_[i - 1].string &&
           notes_[i].fret > 0 && notes_[i - 1].fret > 0;
  }
  [[nodiscard]] bool is_slid(std::size_t i) const { return is_slurred(i) && notes_[i].attack == Attack::slide; }

  [[nodiscard]] int layout_of(std::size_t i) const { return layout_.steps_in(notes_[i].repeat); }

  void read_shapes() {
    std::size_t end = 0;
    for (std::size_t first = 0; first < notes_.size(); first = end) {
      std::set<int> frets;
      for (end = first; end < notes_.size() && notes_[end].string == notes_[first].string; ++end)
        frets.insert(notes_[end].fret);
      frets.erase(0);
      if (frets.size() <= 3) {
        read_shape(first, end);
        continue;
      }
      std::size_t part = first;
      for (std::size_t i = first + 1; i <= end; ++i) {
        if (i < end && (layout_of(i) == layout_of(i - 1) || is_slid(i))) continue;
        read_shape(part, i);
        part = i;
      }
    }
  }

  static std::string three(const std::vector<int>& frets) {
    static const std::map<std::string, std::string> table = {{"1+1", "123"}, {"1+2", "124"}, {"2+1", "134"},
                                                             {"2+2", "124"}, {"1+3", "124"}, {"2+3", "124"},
                                                             {"3+1", "134"}, {"3+2", "134"}};
    const auto row = table.find(std::to_string(frets[1] - frets[0]) + "+" + std::to_string(frets[2] - frets[1]));
    return row == table.end() ? "" : row->second;
  }

  /// One character a fret of the row, or nothing.
  static std::string of_row(const std::vector<int>& row) {
    if (std::any_of(row.begin(), row.end(), [](int fret) { return fret < 1; })) return "";
    if (row.size() == 3) return three(row);
    if (row.size() != 2) return "";
    return row[1] - row[0] == 1 ? "12" : row[1] - row[0] == 2 ? "13" : "14";
  }

  void read_shape(std::size_t first, std::size_t end) {
    std::set<int> set;
    for (std::size_t i = first; i < end; ++i) set.insert(notes_[i].fret);
    set.erase(0);
    std::vector<int> frets(set.begin(), set.end());
    std::string fingers;
    if (frets.size() == 3) fingers = three(frets);
    if (frets.size() == 2) {
      for (std::size_t i = first; i < end; ++i) {
        const std::vector<int> row = layout_.row(notes_[i].string, notes_[i].repeat);
        const std::set<int> in_row(row.begin(), row.end());
        if (in_row.count(frets[0]) == 0 || in_row.count(frets[1]) == 0) continue;
        frets = row;
        fingers = of_row(row);
        break;
      }
    }
    for (std::size_t i = first; i < end; ++i) {
      for (std::size_t f = 0; f < fingers.size(); ++f) {
        if (frets[f] == notes_[i].fret) wish_[i] = fingers[f] - '0';
      }
    }
    name_chains(first, end);
    std::map<std::string, int> pinned;
    for (std::size_t i = first; i < end; ++i) {
      if (pins_[i] != 0) pinned.emplace(label_[i], pins_[i]);
    }
    for (std::size_t i = first; i < end; ++i) {
      if (notes_[i].fret > 0 && pinned.count(label_[i]) > 0) wish_[i] = pinned[label_[i]];
    }
  }

  /// A name for the frets that a note's slides join it with, in this shape.
  void name_chains(std::size_t first, std::size_t end) {
    std::size_t next = first;
    for (std::size_t i = first; i < end; i = next) {
      std::string name = "shape " + std::to_string(first) + ":";
      for (next = i; next == i || (next < end && is_slid(next)); ++next)
        name += " " + std::to_string(notes_[next].fret);
      for (std::size_t k = i; k < next; ++k) label_[k] = name;
    }
  }

  [[nodiscard]] std::string way(int repeat) const {
    std::string text;
    const LickNote* first = nullptr;
    for (const LickNote& note : notes_) {
      if (note.repeat != repeat) continue;
      if (first == nullptr) first = &note;
      text += std::to_string(note.string - first->string) + "/" + std::to_string(note.fret - first->fret) +
              (note.fret == 0 ? "open" : "") + std::string(name(note.attack)) + " ";
    }
    return text;
  }

  void read_ties() {
    std::map<std::string, std::map<int, std::vector<std::size_t>>> repetitions;  // by their way and number
    for (std::size_t i = 0; i < notes_.size(); ++i) repetitions[way(notes_[i].repeat)][notes_[i].repeat].push_back(i);
    for (const auto& [way, alike] : repetitions) {
      for (const auto& [number, members] : alike) {
        for (std::size_t j = 0; j < members.size(); ++j) rename(label_[members[j]], label_[alike.begin()->second[j]]);
      }
    }
    // What is settled by its shape needs no tie, but tells the others.
    std::map<std::string, std::array<int, 5>> votes;
    std::map<std::string, int> chains;
    std::vector<bool> settled(notes_.size(), false);
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (notes_[i].fret == 0 || is_slid(i)) continue;
      ++chains[label_[i]];
      std::size_t end = i + 1;
      bool same = wish_[i] != 0;
      for (; end < notes_.size() && is_slid(end); ++end) same = same && wish_[end] == wish_[i];
      for (std::size_t k = i; k < end; ++k) settled[k] = same;
      if (same) votes[label_[i]][static_cast<std::size_t>(wish_[i])] += static_cast<int>(end - i);
    }
    for (const auto& [label, of] : votes)
      contradicted_ = contradicted_ || std::count_if(of.begin(), of.end(), [](int count) { return count > 0; }) > 1;
    std::map<std::string, int> numbers;
    tie_.assign(notes_.size(), -1);
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (notes_[i].fret == 0 || settled[i] || chains[label_[i]] < 2) continue;
      const auto [tie, is_new] = numbers.emplace(label_[i], static_cast<int>(ties_.size()));
      tie_[i] = tie->second;
      if (!is_new) continue;
      int finger = 0;
      for (int f = 1; f <= 4; ++f) {
        const auto& of = votes[label_[i]];
        if (of[static_cast<std::size_t>(f)] > (finger == 0 ? 0 : of[static_cast<std::size_t>(finger)])) finger = f;
      }
      ties_.push_back(finger);
    }
  }

  void rename(std::string from, const std::string& to) {
    for (std::string& label : label_) {
      if (label == from) label = to;
    }
  }

  const CarriedLayout& layout_;
  const std::vector<LickNote>& notes_;
  std::vector<int> pins_;
  bool contradicted_ = false;
  std::vector<int> wish_;           ///< finger of its shape, 0 = none
  std::vector<std::string> label_;  ///< of equal labels: tied
  std::vector<int> tie_;            ///< number, or -1
  std::vector<int> ties_;           ///< finger each, 0 = open
};

}  // namespace fretloom
