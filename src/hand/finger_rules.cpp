#include "hand/finger_rules.h"

#include <algorithm>
#include <numeric>
#include <span>
#include <utility>

namespace fretloom {

namespace {

/// A note and the slides that go on from it: one finger in all.
struct Chain {
  std::size_t first = 0;
  std::size_t end = 0;
  std::size_t tie = 0;
};

/// Notes that a hand takes as one shape, [first, end).
struct ShapeSpan {
  std::size_t first = 0;
  std::size_t end = 0;
};

/// Fingers of a shape's different frets.
struct ShapeFingers {
  std::array<int, 3> frets{};
  std::array<int, 3> fingers{};

  [[nodiscard]] int of(int fret) const {
    for (std::size_t i = 0; i < frets.size(); ++i) {
      if (fingers[i] != 0 && frets[i] == fret) return fingers[i];
    }
    return 0;
  }
};

ShapeFingers three_fingers(const std::vector<int>& frets) {
  for (const HandShape& shape : k_hand_shapes) {
    if (frets[1] - frets[0] == shape.low_gap && frets[2] - frets[1] == shape.high_gap)
      return {{frets[0], frets[1], frets[2]}, shape.fingers};
  }
  return {};
}

/// Fingers of a layout row's frets. A row that holds an open string has none: there the hand lies in open
/// position, and the cost tells.
ShapeFingers row_fingers(const std::vector<int>& row) {
  if (row.empty() || row.front() <= 0) return {};
  if (row.size() == 3) return three_fingers(row);
  if (row.size() != 2) return {};
  const int gap = row[1] - row[0];
  return {{row[0], row[1], 0}, {1, gap >= 3 ? 4 : gap + 1, 0}};
}

class RuleFinder {
 public:
  RuleFinder(const CarriedLayout& layout, const std::vector<LickNote>& notes, std::size_t body)
      : layout_(layout), notes_(notes), body_(body), chain_of_(notes.size()) {
    rules_.notes.resize(notes.size());
  }

  FingerRules find(const std::vector<PinnedFinger>& pins) {
    find_slurs();
    for (const ShapeSpan& span : shapes()) settle_shape(span);
    pin(pins);
    tie_repetitions();
    number_ties();
    return std::move(rules_);
  }

 private:
  [[nodiscard]] bool is_fretted(std::size_t i) const { return notes_[i].fret > 0; }

  // --- Slurs ---------------------------------------------------------------------------------------

  void find_slurs() {
    chains_.reserve(notes_.size());
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      const SlurFinger slur = slur_of(i);
      rules_.notes[i].slur = slur;
      if (!is_fretted(i)) continue;
      if (slur == SlurFinger::keeps) {
        chains_.back().end = i + 1;
      } else {
        chains_.push_back({i, i + 1, chains_.size()});
      }
      chain_of_[i] = chains_.size() - 1;
    }
  }

  [[nodiscard]] SlurFinger slur_of(std::size_t i) const {
    if (i == 0 || notes_[i].attack == Attack::pick || notes_[i].string != notes_[i - 1].string || !is_fretted(i) ||
        !is_fretted(i - 1))
      return SlurFinger::free;
    return notes_[i].attack == Attack::slide ? SlurFinger::keeps : SlurFinger::changes;
  }

  // --- Shapes --------------------------------------------------------------------------------------

  [[nodiscard]] std::vector<ShapeSpan> shapes() const {
    std::vector<ShapeSpan> spans;
    std::size_t end = 0;
    for (std::size_t first = 0; first < notes_.size(); first = end) {
      end = first + 1;
      while (end < notes_.size() && notes_[end].string == notes_[first].string) ++end;
      if (frets_of({first, end}).size() <= 3) {
        spans.push_back({first, end});
      } else {
        split(first, end, spans);
      }
    }
    return spans;
  }

  /// A visit of many frets, layout by layout.
  void split(std::size_t first, std::size_t end, std::vector<ShapeSpan>& spans) const {
    for (std::size_t i = first; i < end; ++i) {
      const bool moved = i == first || layout_.steps_in(notes_[i].repeat) != layout_.steps_in(notes_[i - 1].repeat);
      if (moved && rules_.notes[i].slur != SlurFinger::keeps) spans.push_back({i, i});
      spans.back().end = i + 1;
    }
  }

  /// The different frets, ascending, or four of them where there are more.
  [[nodiscard]] std::vector<int> frets_of(const ShapeSpan& span) const {
    std::vector<int> frets;
    for (std::size_t i = span.first; i < span.end && frets.size() < 4; ++i) {
      const int fret = notes_[i].fret;
      const auto place = std::lower_bound(frets.begin(), frets.end(), fret);
      if (fret == 0 || (place != frets.end() && *place == fret) || is_stray_landing(i)) continue;
      frets.insert(place, fret);
    }
    return frets;
  }

  /// An ending's landing note outside its string's row.
  [[nodiscard]] bool is_stray_landing(std::size_t i) const {
    if (i < body_ || i + 1 < notes_.size()) return false;
    const std::vector<int> row = layout_.row(notes_[i].string, notes_[i].repeat);
    return std::find(row.begin(), row.end(), notes_[i].fret) == row.end();
  }

  /// Fingers of a shape's frets, and one tie for what is played on the same frets.
  void settle_shape(const ShapeSpan& span) {
    const std::vector<int> frets = frets_of(span);
    ShapeFingers fingers;
    if (frets.size() == 3) fingers = three_fingers(frets);
    if (frets.size() == 2) fingers = two_fingers(span, frets);
    std::size_t first_chain = chains_.size();
    for (std::size_t i = span.first; i < span.end; ++i) {
      if (!is_fretted(i)) continue;
      rules_.notes[i].shape = fingers.of(notes_[i].fret);
      Chain& chain = chains_[chain_of_[i]];
      if (chain.first != i) continue;
      first_chain = std::min(first_chain, chain_of_[i]);
      for (std::size_t c = first_chain; c < chain_of_[i]; ++c) {
        if (!are_on_same_frets(chains_[c], chain)) continue;
        chain.tie = chains_[c].tie;
        break;
      }
    }
  }

  /// The row of the first repetition whose row holds both.
  [[nodiscard]] ShapeFingers two_fingers(const ShapeSpan& span, const std::vector<int>& frets) const {
    for (std::size_t i = span.first; i < span.end; ++i) {
      if (i > span.first && notes_[i].repeat == notes_[i - 1].repeat) continue;
      const std::vector<int> row = layout_.row(notes_[i].string, notes_[i].repeat);
      if (std::includes(row.begin(), row.end(), frets.begin(), frets.end())) return row_fingers(row);
    }
    return {};
  }

  [[nodiscard]] bool are_on_same_frets(const Chain& a, const Chain& b) const {
    if (a.end - a.first != b.end - b.first) return false;
    for (std::size_t i = 0; a.first + i < a.end; ++i) {
      if (notes_[a.first + i].fret != notes_[b.first + i].fret) return false;
    }
    return true;
  }

  // --- Pins ----------------------------------------------------------------------------------------

  /// Of several pins of one fret in one shape the first sets the finger of its other notes.
  void pin(const std::vector<PinnedFinger>& pins) {
    if (pins.empty()) return;
    for (const PinnedFinger& pin : pins) {
      if (pin.note < notes_.size() && is_fretted(pin.note)) rules_.notes[pin.note].pin = pin.finger;
    }
    std::vector<int> set(chains_.size(), 0);
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (!rules_.notes[i].pin) continue;
      int& finger = set[chains_[chain_of_[i]].tie];
      if (finger == 0) finger = *rules_.notes[i].pin;
    }
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      if (is_fretted(i) && set[chains_[chain_of_[i]].tie] != 0) rules_.notes[i].shape = set[chains_[chain_of_[i]].tie];
    }
  }

  // --- Ties ----------------------------------------------------------------------------------------

  void tie_repetitions() {
    parent_.resize(chains_.size());
    std::iota(parent_.begin(), parent_.end(), std::size_t{0});
    std::vector<std::span<const LickNote>> kinds;  // one of each way to move
    for (std::size_t first = 0; first < body_;) {
      std::size_t end = first + 1;
      while (end < body_ && notes_[end].repeat == notes_[first].repeat) ++end;
      const std::span<const LickNote> repetition(&notes_[first], end - first);
      const auto kind =
          std::find_if(kinds.begin(), kinds.end(), [&](const auto& k) { return moves_alike(k, repetition); });
      if (kind == kinds.end()) {
        kinds.push_back(repetition);
      } else {
        tie_notes(static_cast<std::size_t>(kind->data() - notes_.data()), first, end - first);
      }
      first = end;
    }
  }

  [[nodiscard]] static bool moves_alike(std::span<const LickNote> a, std::span<const LickNote> b) {
    if (a.size() != b.size()) return false;
    for (std::size_t i = 0; i < a.size(); ++i) {
      if (a[i].string - a[0].string != b[i].string - b[0].string || a[i].fret - a[0].fret != b[i].fret - b[0].fret ||
          (a[i].fret == 0) != (b[i].fret == 0) || a[i].attack != b[i].attack)
        return false;
    }
    return true;
  }

  void tie_notes(std::size_t a, std::size_t b, std::size_t count) {
    for (std::size_t i = 0; i < count; ++i) {
      if (!is_fretted(a + i)) continue;
      const std::size_t one = root(chains_[chain_of_[a + i]].tie);
      const std::size_t other = root(chains_[chain_of_[b + i]].tie);
      parent_[std::max(one, other)] = std::min(one, other);
    }
  }

  [[nodiscard]] std::size_t root(std::size_t tie) {
    while (parent_[tie] != tie) tie = parent_[tie] = parent_[parent_[tie]];
    return tie;
  }

  /// The finger that the shapes give all notes of a chain, or 0.
  [[nodiscard]] int settled_finger(const Chain& chain) const {
    const int finger = rules_.notes[chain.first].shape;
    for (std::size_t i = chain.first; i < chain.end; ++i) {
      if (rules_.notes[i].shape != finger) return 0;
    }
    return finger;
  }

  /// Gives each tie that is needed its number and finger.
  void number_ties() {
    struct Votes {
      std::size_t chains = 0;
      std::array<int, 5> fingers{};  ///< notes that want each
      std::optional<std::size_t> number;
    };
    std::vector<Votes> votes(chains_.size());
    for (Chain& chain : chains_) {
      chain.tie = root(chain.tie);
      ++votes[chain.tie].chains;
      votes[chain.tie].fingers[static_cast<std::size_t>(settled_finger(chain))] +=
          static_cast<int>(chain.end - chain.first);
    }
    for (const Chain& chain : chains_) {
      Votes& tie = votes[chain.tie];
      if (tie.chains < 2 || settled_finger(chain) != 0) continue;
      if (!tie.number) {
        tie.number = rules_.ties.size();
        const auto most = std::max_element(tie.fingers.begin() + 1, tie.fingers.end());
        rules_.ties.push_back(*most == 0 ? 0 : static_cast<int>(most - tie.fingers.begin()));
      }
      for (std::size_t i = chain.first; i < chain.end; ++i) rules_.notes[i].tie = tie.number;
    }
  }

  const CarriedLayout& layout_;
  const std::vector<LickNote>& notes_;
  std::size_t body_;
  FingerRules rules_;
  std::vector<Chain> chains_;
  std::vector<std::size_t> chain_of_;  ///< of each fretted note
  std::vector<std::size_t> parent_;    ///< of each tie: a smaller one it was joined to, or itself
};

}  // namespace

std::vector<int> CarriedLayout::row(int string, int repeat) const {
  const Neck& neck = ground.neck;
  std::vector<int> frets;
  for (int o = 1; o <= ground.layout.strings[neck.index(string)].count; ++o)
    frets.push_back(fret_of(ground.key, neck, ground.layout, string, o, steps_in(repeat)));
  return frets;
}

CarriedLayout carried_layout(const Ground& ground, const Lick& lick, const Phrase& phrase) {
  return {ground, phrase.repeats, lick.rule.kind == RuleKind::cell ? lick.carry.steps : 0};
}

FingerRules find_finger_rules(const CarriedLayout& layout, const std::vector<LickNote>& notes, std::size_t body,
                              const std::vector<PinnedFinger>& pins) {
  return RuleFinder(layout, notes, body).find(pins);
}

}  // namespace fretloom
