#include "insight/sequence_search.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <limits>
#include <map>
#include <optional>
#include <span>

#include "insight/code_length.h"
#include "insight/rule_fit.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

constexpr int k_nowhere = SequenceLine::k_nowhere;

/// How many of the phrase's notes lie among some notes of a string. A mirrored return may leave the layout, so that
/// only the phrase's first half counts.
class NotesOfStrings {
 public:
  explicit NotesOfStrings(const ScaleView& view) : all_(view.notes().size() / 2) {
    for (std::size_t i = 0; i < all_; ++i) {
      if (view.is_outside(i)) {
        ++outside_;
      } else {
        ++below_[view.index(i)][static_cast<std::size_t>(view.number(i)) + 1];
      }
    }
    for (auto& counts : below_) {
      for (std::size_t n = 1; n < counts.size(); ++n) counts[n] += counts[n - 1];
    }
  }

  /// Three of four lie on the layout, or outside the scale.
  [[nodiscard]] bool lie_on(const LayoutFamily& family, const LayoutChoice& choice, int strings) const {
    std::size_t inside = outside_;
    for (std::size_t i = 0; i < static_cast<std::size_t>(strings); ++i) {
      const auto first = static_cast<std::size_t>(family.first[i]);
      const std::size_t end = std::min(first + static_cast<std::size_t>(choice.counts[i]), below_[i].size() - 1);
      if (first < end) inside += below_[i][end] - below_[i][first];
    }
    return (all_ - inside) * 4 <= all_;
  }

 private:
  std::size_t all_;
  std::size_t outside_ = 0;
  /// For each string and number how many of its notes have a lower one.
  std::array<std::array<std::uint16_t, ScaleLine::k_top + 3>, k_max_strings> below_{};
};

std::vector<SequenceLine::Note> notes_of(const LayoutFamily& family, const LayoutChoice& choice, int strings) {
  std::vector<SequenceLine::Note> notes;
  for (std::size_t i = 0; i < static_cast<std::size_t>(strings); ++i) {
    for (int o = 0; o < choice.counts[i]; ++o) notes.push_back({family.first[i] + o, static_cast<int>(i), o});
  }
  std::stable_sort(notes.begin(), notes.end(), [](const auto& a, const auto& b) { return a.number < b.number; });
  notes.erase(
      std::unique(notes.begin(), notes.end(), [](const auto& a, const auto& b) { return a.number == b.number; }),
      notes.end());
  return notes;
}

void find_places(const ScaleView& view, SequenceLine& line) {
  const int lowest = line.notes.front().number;
  std::array<int, ScaleLine::k_top + 1> at;
  std::fill_n(at.begin(), line.notes.back().number - lowest + 1, -1);
  for (std::size_t i = 0; i < line.notes.size(); ++i)
    at[static_cast<std::size_t>(line.notes[i].number - lowest)] = static_cast<int>(i);
  line.places.reserve(view.spots().size());
  for (const ScaleSpot& spot : view.spots()) {
    const int number = spot.number - lowest;
    const bool is_within = number >= 0 && number <= line.notes.back().number - lowest;
    const int place = is_within ? at[static_cast<std::size_t>(number)] : -1;
    const bool is_there =
        place >= 0 && line.notes[static_cast<std::size_t>(place)].index == static_cast<int>(spot.index);
    line.places.push_back(is_there ? place : k_nowhere);
  }
}

/// A number for the places less the lowest of them, which layouts of one kind have in common (FNV-1a, 64 bits: two
/// kinds among a thousand share one once in 10^13).
std::uint64_t kind_of(const SequenceLine& line) {
  int lowest = static_cast<int>(line.notes.size());
  for (const int place : line.places) lowest = place == k_nowhere ? lowest : std::min(lowest, place);
  std::uint64_t hash = 0xcbf29ce484222325U;
  for (const int place : line.places)
    hash = (hash ^ static_cast<std::uint64_t>(place == k_nowhere ? k_nowhere : place - lowest)) * 0x100000001b3U;
  return hash;
}

/// For each note whether it and the one a period later are in the scale and in time, and may not be altered.
std::vector<char> compared_notes(const ScaleView& view, const Cycle& cycle) {
  const std::size_t size = cycle.size();
  std::array<bool, k_max_rule_tokens> altered;
  find_altered(view, cycle, altered);
  const auto follows = [&](std::size_t i) { return !view.is_outside(i) && cycle.fits[i] != 0; };
  std::vector<char> compared(cycle.turn.out - size, 0);
  for (std::size_t i = 0; i < compared.size(); ++i)
    compared[i] = follows(i) && follows(i + size) && !altered[i % size] ? 1 : 0;
  return compared;
}

class SequenceSearch {
 public:
  /// `compared`: for each note whether it and the one a period later must lie as the carry says, or one is a slip.
  SequenceSearch(const ScaleView& view, const SequenceLine& line, const Cycle& cycle, std::span<const char> compared,
                 Shortlist& shortlist)
      : view_(view), line_(line), cycle_(cycle), compared_(compared), shortlist_(shortlist) {}

  /// False where no layout of this kind that costs more can do better.
  bool run() {
    double bits = view_.bits() + line_.choice->bits + cycle_.bits;
    if (bits > shortlist_.limit(Tells::all)) return false;
    const auto rise = carry_steps();
    if (!rise) return false;
    carry_steps_ = *rise;
    bits += carry_bits(RuleKind::sequence, {0, carry_steps_});
    const std::size_t against = count_against();
    if (against > 0 &&
        bits + static_cast<double>(against) * least_pair_bits(view_, cycle_) > shortlist_.limit(Tells::not_all))
      return false;
    if (!ask_steps(bits)) return false;
    consider(bits);
    return true;
  }

 private:
  [[nodiscard]] int place(std::size_t i) const { return line_.places[view_.spot(i)]; }

  /// How many notes a repetition lies above the one before: what most pairs say.
  [[nodiscard]] std::optional<int> carry_steps() const {
    constexpr int k_most = 40;
    constexpr std::size_t k_sample = 24;  // a few pairs tell that most cannot agree
    const std::size_t size = cycle_.size();
    std::array<std::uint16_t, 2 * k_most + 1> counts{};
    std::uint16_t most = 0;
    std::optional<int> first;
    bool first_agrees = true;
    const std::size_t pairs = cycle_.turn.out - size;
    for (std::size_t i = 0; i < pairs; ++i) {
      if (i == k_sample && !(size > k_sample && first_agrees) && !is_period(most + k_sample / 5, k_sample, false))
        return std::nullopt;
      const int from = place(i);
      const int to = place(i + size);
      if (from == k_nowhere || to == k_nowhere) continue;
      const int rise = to - from;
      if (std::abs(rise) > k_most) continue;
      most = std::max(most, ++counts[static_cast<std::size_t>(rise + k_most)]);
      if (i < size) {
        first_agrees = first_agrees && (!first || rise == *first);
        first = first.value_or(rise);
      }
    }
    if (!first || !is_period(most, pairs, first_agrees)) return std::nullopt;
    if (!is_period(most, pairs, false)) return first;
    return static_cast<int>(std::find(counts.begin(), counts.end(), most) - counts.begin()) - k_most;
  }

  [[nodiscard]] std::size_t count_against() const {
    const std::size_t size = cycle_.size();
    std::size_t against = 0;
    for (std::size_t i = 0; i < compared_.size(); ++i) {
      const int from = place(i);
      const bool agrees = from != k_nowhere && place(i + size) == from + carry_steps_;
      against += compared_[i] != 0 && !agrees ? 1 : 0;
    }
    return against;
  }

  [[nodiscard]] Expected expected_at(int place, int alter) const {
    if (place < 0 || place >= static_cast<int>(line_.notes.size())) return {};
    const SequenceLine::Note& note = line_.notes[static_cast<std::size_t>(place)];
    return {view_.neck().strings() - note.index, note.number, alter};
  }

  [[nodiscard]] bool sounds(std::size_t i, const Expected& e) const {
    const HeardNote& note = view_.notes()[i];
    return e.string == note.string && view_.line().midi(e.number) + e.alter == note.midi;
  }

  /// True if all repetitions of note `j` sound as this step does.
  [[nodiscard]] bool all_sound(std::size_t j, const Step& step) const {
    int steps = 0;
    for (std::size_t i = j; i < cycle_.turn.out; i += cycle_.size(), steps += carry_steps_) {
      if (cycle_.fits[i] == 0 || !sounds(i, expected_at(step.number + steps, step.alter))) return false;
    }
    return true;
  }

  /// The repetitions' votes for note `j` of the rule.
  [[nodiscard]] Votes votes_for(std::size_t j) const {
    Votes votes;
    int steps = 0;
    for (std::size_t i = j; i < cycle_.turn.out; i += cycle_.size(), steps += carry_steps_) {
      if (cycle_.fits[i] == 0) continue;
      const int at = place(i) - steps;
      for (const Step& step : {Step{at, 0}, Step{at, 1}, Step{at + 1, -1}, Step{at - 1, 1}}) {
        if (sounds(i, expected_at(step.number + steps, step.alter))) votes.add(step);
      }
    }
    return votes;
  }

  /// The rule's steps as places of the line; false where there are none or they cost too much.
  bool ask_steps(double& bits) {
    double missed_bits = 0;
    for (std::size_t j = 0; j < cycle_.size(); ++j) {
      if (all_sound(j, {place(j), 0})) {
        steps_.push_back({place(j), 0});
        continue;
      }
      const Votes votes = votes_for(j);
      if (votes.most() == 0) return false;
      const std::size_t all = (cycle_.turn.out - j + cycle_.size() - 1) / cycle_.size();
      steps_.push_back(votes.best().front());
      if (steps_.back().alter != 0) bits += k_alteration_bits;
      missed_bits += static_cast<double>(all - votes.most()) * least_miss_bits(view_, cycle_);
      if (bits + missed_bits > shortlist_.limit(missed_bits > 0 ? Tells::not_all : Tells::all)) return false;
    }
    return true;
  }

  void consider(double bits) {
    const auto last = static_cast<int>(line_.notes.size());
    int lowest = last;
    for (const Step& step : steps_) lowest = std::min(lowest, step.number);
    // Step 1 is the lowest note of the rule's first repetition, where the layout has it.
    const int start = lowest >= 0 ? lowest : steps_.front().number;
    if (start < 0 || start >= last) return;
    for (const Step& step : steps_) bits += is_far_step(step.number - lowest) ? k_far_bits : 0;
    if (start > 0 && view_.places() == Places::found) bits += k_inner_start_bits;
    std::vector<Expected> expected(cycle_.turn.out);
    for (std::size_t i = 0; i < expected.size(); ++i) {
      const Step& step = steps_[i % cycle_.size()];
      expected[i] = expected_at(step.number + static_cast<int>(i / cycle_.size()) * carry_steps_, step.alter);
    }
    if (cycle_.turn.back != Back::none &&
        !add_return(view_, line_.family->first, *line_.choice, cycle_, carry_steps_, expected))
      return;
    const auto extent = extent_of(view_, cycle_, expected);
    if (!extent || bits + extent->bits > shortlist_.limit(extent->tells)) return;
    const SequenceLine::Note& first = line_.notes[static_cast<std::size_t>(start)];
    Candidate candidate;
    candidate.bits = bits + extent->bits;
    candidate.tells = extent->tells;
    candidate.slips = extent->slips;
    candidate.scale = view_.line().set();
    candidate.layout = line_.choice->rule;
    candidate.kind = RuleKind::sequence;
    candidate.carry = {0, carry_steps_};
    candidate.start_string = view_.neck().strings() - first.index;
    candidate.start_ordinal = first.ordinal + 1;
    candidate.back = cycle_.turn.back;
    candidate.repeats = extent->repeats;
    candidate.ruled = extent->ruled;
    candidate.notes = view_.notes();
    std::vector<Step> numbered = steps_;
    for (Step& step : numbered) step.number += 1 - start;
    candidate.tokens = tokens_of(cycle_, numbered);
    shortlist_.add(std::move(candidate));
  }

  const ScaleView& view_;
  const SequenceLine& line_;
  const Cycle& cycle_;
  std::span<const char> compared_;
  Shortlist& shortlist_;
  int carry_steps_ = 0;
  std::vector<Step> steps_;  ///< numbers are places of the line
};

}  // namespace

std::vector<SequenceLine> sequence_lines(const ScaleView& view, const std::vector<LayoutShape>& shapes) {
  const NotesOfStrings notes(view);
  const int strings = view.neck().strings();
  std::vector<SequenceLine> lines;
  for (const LayoutShape& shape : shapes) {
    for (const LayoutFamily& family : shape.families) {
      for (const LayoutChoice& choice : family.choices) {
        if (!notes.lie_on(family, choice, strings)) continue;
        SequenceLine line{&family, &choice, notes_of(family, choice, strings), {}, 0};
        if (line.notes.empty()) continue;
        find_places(view, line);
        lines.push_back(std::move(line));
      }
    }
  }
  std::stable_sort(lines.begin(), lines.end(),
                   [](const SequenceLine& a, const SequenceLine& b) { return a.choice->bits < b.choice->bits; });
  std::map<std::uint64_t, std::size_t> kinds;
  for (SequenceLine& line : lines) line.kind = kinds.try_emplace(kind_of(line), kinds.size()).first->second;
  return lines;
}

void search_sequences(const ScaleView& view, const std::vector<SequenceLine>& lines, const Cycle& cycle,
                      Shortlist& shortlist) {
  // By kind, the dearest layout that is worth a look. One that costs little more may be played just as often as the
  // phrase has it by itself, and so save the number.
  std::vector<double> most(lines.size(), std::numeric_limits<double>::infinity());
  const std::vector<char> compared = compared_notes(view, cycle);
  for (const SequenceLine& line : lines) {
    if (line.choice->bits > most[line.kind]) continue;
    const bool can_be = SequenceSearch(view, line, cycle, compared, shortlist).run();
    if (!can_be) most[line.kind] = -1;
    // Only a mirror asks how many notes a string has.
    if (cycle.turn.back != Back::mirrored)
      most[line.kind] = std::min(most[line.kind], line.choice->bits + k_repeats_bits);
  }
}

}  // namespace fretloom
