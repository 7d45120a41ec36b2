#include "insight/search.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <functional>
#include <memory>
#include <numeric>
#include <optional>
#include <set>
#include <span>
#include <tuple>

#include "insight/code_length.h"
#include "lick/expand.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

/// A note of the rule on the layout. `ordinal` counts from 0 (of a sequence: an index of the line).
struct Step {
  int ordinal = 0;
  int alter = 0;

  friend bool operator==(const Step&, const Step&) = default;
};

/// Votes of the repetitions for a note of the rule.
class Votes {
 public:
  struct Row {
    Step step;
    std::size_t count = 0;
  };
  void add(const Step& step) {
    for (Row& row : rows_) {
      if (row.step == step) {
        ++row.count;
        return;
      }
    }
    rows_.push_back({step, 1});
  }
  /// Adds to every candidate the votes that `more` says.
  template <class More>
  void raise(More more) {
    for (Row& row : rows_) row.count += more(row.step);
  }
  /// Most votes; of equals one on the layout, then one without alteration, then the first.
  [[nodiscard]] Row best() const {
    Row best;
    const auto rank = [](const Row& row) {
      return std::tuple(row.count, row.step.ordinal >= 0, -std::abs(row.step.alter));
    };
    for (const Row& row : rows_) {
      if (best.count == 0 || rank(row) > rank(best)) best = row;
    }
    return best;
  }

 private:
  std::vector<Row> rows_;
};

/// A place that the rule expects, as the layout numbers it.
struct Expected {
  int string = 0;  ///< 0: nowhere
  int ordinal = 0;
  int alter = 0;
  int steps = 0;  ///< of its layout
};

/// A note that a layout numbers, in ascending pitch.
struct LineNote {
  int number = 0;  ///< in the scale
  int index = 0;   ///< thickest string 0
  int ordinal = 0;
};

/// How far a phrase follows its rule, and what the rest costs.
struct Extent {
  double bits = 0;
  std::size_t ruled = 0;  ///< notes before the ending
  int repeats = 0;        ///< begun on the way out
};

/// Searches one scale.
class ScaleSearch {
 public:
  ScaleSearch(const HeardPhrase& phrase, const ScaleLine& line, double scale_bits, Shortlist& shortlist)
      : notes_(phrase.notes),
        neck_(phrase.neck),
        line_(line),
        scale_bits_(scale_bits),
        shortlist_(shortlist),
        misfit_bits_(misfit_bits(phrase.notes.size())) {
    for (int string = neck_.strings(); string >= 1; --string) open_.push_back(neck_.open_midi(string));
    for (const HeardNote& note : notes_) {
      const bool outside = !line_.has(note.midi);
      number_.push_back(line_.at_or_above(note.midi) - (outside ? 1 : 0));  // between two: the lower one, raised
      outside_.push_back(outside);
      if (outside) ++count_outside_;
      index_.push_back(static_cast<std::size_t>(neck_.strings() - note.string));
    }
  }

  /// The least that notes outside the scale cost a rule of this size.
  [[nodiscard]] double outside_bits(std::size_t size) const {
    const std::size_t repeats = (notes_.size() + size - 1) / size;
    return k_alteration_bits * static_cast<double>((count_outside_ + repeats - 1) / repeats);
  }

  void search_cell(const LayoutFamily& family, const Cycle& cycle) {
    const double known = scale_bits_ + family.choices.front().bits + cycle.bits;
    if (known + outside_bits(cycle.size()) > shortlist_.limit()) return;
    const auto carry_steps = steps_of_carry(family, cycle);
    if (!carry_steps) return;
    // Only a mirror asks how many notes a string has.
    if (cycle.turn.back == Back::mirrored) {
      for (const LayoutChoice& choice : family.choices)
        search_choices(family, {&choice, 1}, cycle, *carry_steps, known);
    } else {
      search_choices(family, family.choices, cycle, *carry_steps, known);
    }
  }

  void search_choices(const LayoutFamily& family, std::span<const LayoutChoice> choices, const Cycle& cycle,
                      int carry_steps, double known) {
    const auto steps = cell_steps(family, choices.front(), cycle, carry_steps, known);
    if (!steps) return;
    std::vector<Expected> expected(cycle.turn.out);
    for (std::size_t i = 0; i < expected.size(); ++i) {
      const int repeat = static_cast<int>(i / cycle.size());
      const Step& step = (*steps)[i % cycle.size()];
      expected[i] = {string_at(cycle, i), step.ordinal, step.alter, repeat * carry_steps};
    }
    const Carry carry{cycle.strings, cycle.turn.out > cycle.size() ? carry_steps : 0};
    for (const LayoutChoice& choice : choices) {
      if (uses_empty_string(choice, cycle, expected)) continue;
      double rule = scale_bits_ + choice.bits + cycle.bits + carry_bits(RuleKind::cell, carry);
      for (std::size_t j = 0; j < cycle.size(); ++j) {
        const int above = (*steps)[j].ordinal + 1 - choice.counts[index_of(expected[j].string)];
        if (above > 0) rule += k_above_bits + k_above_step * above;
        if ((*steps)[j].alter != 0) rule += k_alteration_bits;
      }
      if (cycle.start_string != neck_.strings()) rule += k_start_bits;
      consider(family, choice, cycle, expected, rule, carry, [&](Candidate& candidate) {
        candidate.start_string = cycle.start_string;
        candidate.tokens = tokens_of(cycle, *steps, [](int ordinal) { return ordinal + 1; });
      });
    }
  }

  /// Sequences on one layout.
  void search_sequence_on(const LayoutFamily& family, const LayoutChoice& choice, const Cycle& cycle) {
    if (const auto line = line_on(family, choice)) search_sequence(family, choice, *line, cycle);
  }

  /// Sequences on every layout that has the phrase's notes.
  void search_sequences(const std::vector<LayoutFamily>& families, const Cycle& cycle) {
    if (!may_be_sequence(cycle)) return;
    if (!lines_known_) {
      lines_known_ = true;
      find_lines(families);
    }
    for (const LineRow& row : lines_) {
      if (row.first_of_kind || cycle.turn.back == Back::mirrored)
        search_sequence(*row.family, *row.choice, row.line, cycle);
    }
  }

 private:
  static constexpr int k_nowhere = -10'000;

  /// A layout's notes in ascending pitch, unisons once, on the thicker string; and where the phrase's notes stand in
  /// it.
  struct Line {
    std::vector<LineNote> notes;
    std::vector<int> place;  ///< index into `notes`, k_nowhere where the note is not there or on another string

    [[nodiscard]] int lowest() const {
      int least = static_cast<int>(notes.size());
      for (const int at : place) least = at == k_nowhere ? least : std::min(least, at);
      return least;
    }
  };
  struct LineRow {
    const LayoutFamily* family = nullptr;
    const LayoutChoice* choice = nullptr;
    Line line;
    bool first_of_kind = true;  ///< no cheaper layout puts the phrase's notes at the same distances
  };

  void find_lines(const std::vector<LayoutFamily>& families) {
    for (const LayoutFamily& family : families) {
      for (const LayoutChoice& choice : family.choices) {
        if (auto line = line_on(family, choice)) lines_.push_back({&family, &choice, *std::move(line)});
      }
    }
    std::stable_sort(lines_.begin(), lines_.end(),
                     [](const LineRow& a, const LineRow& b) { return a.choice->bits < b.choice->bits; });
    std::set<std::vector<int>> kinds;
    for (LineRow& row : lines_) {
      std::vector<int> distances = row.line.place;
      const int lowest = row.line.lowest();
      for (int& place : distances) place = place == k_nowhere ? k_nowhere : place - lowest;
      row.first_of_kind = kinds.insert(std::move(distances)).second;
    }
  }

  /// Nothing where the layout lacks many of the phrase's notes.
  [[nodiscard]] std::optional<Line> line_on(const LayoutFamily& family, const LayoutChoice& choice) const {
    if (!has_most_notes(family, choice)) return std::nullopt;
    Line line{line_of(family, choice), std::vector<int>(notes_.size(), k_nowhere)};
    if (line.notes.empty()) return std::nullopt;
    const int lowest = line.notes.front().number;
    std::vector<int> at(static_cast<std::size_t>(line.notes.back().number - lowest) + 1, -1);
    for (std::size_t i = 0; i < line.notes.size(); ++i)
      at[static_cast<std::size_t>(line.notes[i].number - lowest)] = static_cast<int>(i);
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      const int number = number_[i] - lowest;
      if (number < 0 || number >= static_cast<int>(at.size()) || at[static_cast<std::size_t>(number)] < 0) continue;
      const int index = at[static_cast<std::size_t>(number)];
      if (line.notes[static_cast<std::size_t>(index)].index == static_cast<int>(index_[i])) line.place[i] = index;
    }
    return line;
  }

  [[nodiscard]] std::size_t index_of(int string) const { return static_cast<std::size_t>(neck_.strings() - string); }
  [[nodiscard]] int fret(std::size_t index, int number) const { return line_.midi(number) - open_[index]; }

  static int string_at(const Cycle& cycle, std::size_t i) {
    return cycle.start_string - static_cast<int>(i / cycle.size()) * cycle.strings -
           cycle.tokens[i % cycle.size()].offset;
  }

  /// The ordinal (from 0) of note `i`; of a note outside the scale that of the one below.
  [[nodiscard]] int ordinal(const LayoutFamily& family, std::size_t i) const {
    return number_[i] - family.first[index_[i]];
  }

  [[nodiscard]] bool sounds_at(const LayoutFamily& family, std::size_t i, const Expected& e) const {
    if (e.string != notes_[i].string) return false;
    const std::size_t index = index_[i];
    return fret(index, family.first[index] + e.ordinal + e.steps) + e.alter == notes_[i].fret;
  }

  // --- Cells ------------------------------------------------------------------------------------------------

  /// How many scale steps a repetition lies above the one before: what most pairs say.
  [[nodiscard]] std::optional<int> steps_of_carry(const LayoutFamily& family, const Cycle& cycle) const {
    const std::size_t size = cycle.size();
    if (cycle.turn.out == size) return 0;
    constexpr int k_most = 40;
    std::array<int, 2 * k_most + 1> counts{};
    int pairs = 0;
    for (std::size_t i = 0; i + size < cycle.turn.out; ++i) {
      if (i == size && pairs > 0 && *std::max_element(counts.begin(), counts.end()) == pairs) break;
      if (outside_[i] || outside_[i + size] || !cycle.fits[i] || !cycle.fits[i + size]) continue;
      const int rise = ordinal(family, i + size) - ordinal(family, i);
      if (std::abs(rise) > k_most) continue;
      ++counts[static_cast<std::size_t>(rise + k_most)];
      ++pairs;
    }
    if (pairs == 0) return std::nullopt;
    return static_cast<int>(std::max_element(counts.begin(), counts.end()) - counts.begin()) - k_most;
  }

  /// The rule's notes by majority; nothing where one lies below the layout or the whole costs too much.
  [[nodiscard]] std::optional<std::vector<Step>> cell_steps(const LayoutFamily& family, const LayoutChoice& choice,
                                                            const Cycle& cycle, int carry_steps, double known) const {
    std::vector<Step> steps;
    for (std::size_t j = 0; j < cycle.size(); ++j) {
      std::size_t missed = 0;
      const Step step = cell_step(family, choice, cycle, carry_steps, j, missed);
      if (step.ordinal < 0) return std::nullopt;
      if (step.alter != 0) known += k_alteration_bits;
      known += static_cast<double>(missed) * std::min(misfit_bits_, k_ending_note_bits);
      if (known > shortlist_.limit()) return std::nullopt;
      steps.push_back(step);
    }
    return steps;
  }

  [[nodiscard]] std::size_t count_missed(const LayoutFamily& family, const Cycle& cycle, int carry_steps, std::size_t j,
                                         const Step& step) const {
    std::size_t missed = 0;
    int steps = 0;
    for (std::size_t i = j; i < cycle.turn.out; i += cycle.size(), steps += carry_steps) {
      if (!cycle.fits[i] || !sounds_at(family, i, {notes_[i].string, step.ordinal, step.alter, steps})) ++missed;
    }
    return missed;
  }

  /// Votes for every note of the rule that would sound as note `i` does; `at` is its ordinal less the carry. A note
  /// outside the scale is one raised or one lowered, one inside may be its neighbour's.
  void vote(Votes& votes, std::size_t i, int at) const {
    const int number = number_[i];
    votes.add({at, outside_[i] ? 1 : 0});
    if (line_.midi(number + 1) - notes_[i].midi == 1) votes.add({at + 1, -1});
    if (!outside_[i] && number > 0 && notes_[i].midi - line_.midi(number - 1) == 1) votes.add({at - 1, 1});
  }

  /// How many notes of the mirrored return sound as this step's image does.
  [[nodiscard]] std::size_t count_mirrored(const LayoutFamily& family, const LayoutChoice& choice, const Cycle& cycle,
                                           int carry_steps, std::size_t j, const Step& step) const {
    const int repeats = static_cast<int>(cycle.turn.out / cycle.size());
    std::size_t count = 0;
    for (int r = 0; r < repeats; ++r) {
      const std::size_t there = j + static_cast<std::size_t>(r) * cycle.size();
      const int source = string_at(cycle, there);
      if (!neck_.has_string(source)) continue;
      const Expected image{cycle.mirror - source, choice.counts[index_of(source)] - 1 - step.ordinal, -step.alter,
                           (repeats - 1 - r) * carry_steps};
      if (sounds_at(family, cycle.turn.out + there, image)) ++count;
    }
    return count;
  }

  [[nodiscard]] Step cell_step(const LayoutFamily& family, const LayoutChoice& choice, const Cycle& cycle,
                               int carry_steps, std::size_t j, std::size_t& missed) const {
    const bool mirrored = cycle.turn.back == Back::mirrored;
    const Step first{ordinal(family, j), 0};
    if (!mirrored && !outside_[j] && first.ordinal >= 0) {
      missed = count_missed(family, cycle, carry_steps, j, first);
      if (missed == 0) return first;
    }
    Votes votes;
    int steps = 0;
    std::size_t all = 0;
    for (std::size_t i = j; i < cycle.turn.out; i += cycle.size(), steps += carry_steps, ++all) {
      if (cycle.fits[i]) vote(votes, i, ordinal(family, i) - steps);
    }
    if (mirrored) {
      votes.raise([&](const Step& step) { return count_mirrored(family, choice, cycle, carry_steps, j, step); });
      all *= 2;
    }
    const Votes::Row best = votes.best();
    missed = all - best.count;
    return best.count > 0 ? best.step : first;
  }

  /// A string that is not there, or has no note in this position.
  [[nodiscard]] bool uses_empty_string(const LayoutChoice& choice, const Cycle& cycle,
                                       const std::vector<Expected>& expected) const {
    for (std::size_t i = 0; i < expected.size(); ++i) {
      const bool has = neck_.has_string(expected[i].string);
      if (!has && i < cycle.size()) return true;
      if (has && choice.counts[index_of(expected[i].string)] == 0) return true;
    }
    return false;
  }

  /// A sequence rises by the same number of notes each time: in scale steps these are few different numbers, for a
  /// layout leaves out notes only between two of its strings.
  [[nodiscard]] bool may_be_sequence(const Cycle& cycle) const {
    constexpr int k_most = 40;
    constexpr std::ptrdiff_t k_different = 3;
    std::array<std::size_t, 2 * k_most + 1> counts{};
    const std::size_t pairs = cycle.turn.out - cycle.size();
    std::size_t outside = 0;
    for (std::size_t i = 0; i < pairs; ++i) {
      const int rise = number_[i + cycle.size()] - number_[i];
      if (outside_[i] || outside_[i + cycle.size()] || std::abs(rise) > k_most) {
        ++outside;
      } else {
        ++counts[static_cast<std::size_t>(rise + k_most)];
      }
    }
    std::partial_sort(counts.begin(), counts.begin() + k_different, counts.end(), std::greater<>());
    return is_period(std::accumulate(counts.begin(), counts.begin() + k_different, outside), pairs, false);
  }

  // --- Sequences --------------------------------------------------------------------------------------------

  [[nodiscard]] bool has_most_notes(const LayoutFamily& family, const LayoutChoice& choice) const {
    constexpr std::size_t k_sample = 24;
    const std::size_t out = notes_.size() / 2;  // a mirrored return may leave the layout
    std::size_t outside = 0;
    for (std::size_t i = 0; i < out; ++i) {
      if (i == k_sample && outside * 2 > k_sample) return false;
      const int at = ordinal(family, i);
      if (!outside_[i] && (at < 0 || at >= choice.counts[index_[i]]) && ++outside * 4 > out) return false;
    }
    return true;
  }

  /// The layout's notes in ascending pitch, unisons once, on the thicker string.
  [[nodiscard]] std::vector<LineNote> line_of(const LayoutFamily& family, const LayoutChoice& choice) const {
    std::vector<LineNote> line;
    for (std::size_t i = 0; i < open_.size(); ++i) {
      for (int o = 0; o < choice.counts[i]; ++o) line.push_back({family.first[i] + o, static_cast<int>(i), o});
    }
    std::stable_sort(line.begin(), line.end(),
                     [](const LineNote& a, const LineNote& b) { return a.number < b.number; });
    line.erase(std::unique(line.begin(), line.end(),
                           [](const LineNote& a, const LineNote& b) { return a.number == b.number; }),
               line.end());
    return line;
  }

  [[nodiscard]] std::optional<int> sequence_carry(const std::vector<int>& place, const Turn& turn,
                                                  std::size_t size) const {
    constexpr int k_most = 40;
    constexpr std::size_t k_sample = 24;  // a few pairs tell that most cannot agree
    std::array<std::uint16_t, 2 * k_most + 1> counts{};
    std::uint16_t most = 0;
    std::optional<int> first;
    bool first_agrees = true;
    const std::size_t pairs = turn.out - size;
    for (std::size_t i = 0; i < pairs; ++i) {
      if (i == k_sample && !(size > k_sample && first_agrees) && !is_period(most + k_sample / 5, k_sample, false))
        return std::nullopt;
      if (place[i] == k_nowhere || place[i + size] == k_nowhere) continue;
      const int rise = place[i + size] - place[i];
      if (std::abs(rise) > k_most) continue;
      most = std::max(most, ++counts[static_cast<std::size_t>(rise + k_most)]);
      if (i < size) {
        first_agrees = first_agrees && (!first || rise == *first);
        first = first.value_or(rise);
      }
    }
    if (!first) return std::nullopt;
    if (!is_period(most, pairs, first_agrees)) return std::nullopt;
    if (!is_period(most, pairs, false)) return first;
    return static_cast<int>(std::find(counts.begin(), counts.end(), most) - counts.begin()) - k_most;
  }

  [[nodiscard]] Expected sequence_place(const std::vector<LineNote>& layout, int place, int alter) const {
    if (place < 0 || place >= static_cast<int>(layout.size())) return {};
    const LineNote& note = layout[static_cast<std::size_t>(place)];
    return {neck_.strings() - note.index, note.ordinal, alter, 0};
  }

  [[nodiscard]] Step sequence_step(const LayoutFamily& family, const std::vector<LineNote>& layout,
                                   const std::vector<int>& place, const Cycle& cycle, int carry_steps, std::size_t j,
                                   std::size_t& missed) const {
    Votes votes;
    int steps = 0;
    std::size_t all = 0;
    for (std::size_t i = j; i < cycle.turn.out; i += cycle.size(), steps += carry_steps, ++all) {
      if (!cycle.fits[i]) continue;
      const int at = place[i] - steps;
      for (const Step& step : {Step{at, 0}, Step{at, 1}, Step{at + 1, -1}, Step{at - 1, 1}}) {
        const Expected e = sequence_place(layout, step.ordinal + steps, step.alter);
        if (sounds_at(family, i, e)) votes.add(step);
      }
    }
    const Votes::Row best = votes.best();
    missed = all - best.count;
    return best.count > 0 ? best.step : Step{k_nowhere, 0};
  }

  void search_sequence(const LayoutFamily& family, const LayoutChoice& choice, const Line& line, const Cycle& cycle) {
    const std::vector<LineNote>& layout = line.notes;
    const std::size_t size = cycle.size();
    if (scale_bits_ + choice.bits + cycle.bits + outside_bits(size) > shortlist_.limit()) return;
    const auto rise = sequence_carry(line.place, cycle.turn, size);
    if (!rise) return;
    const int carry_steps = *rise;
    const Carry carry{0, carry_steps};
    double rule = scale_bits_ + choice.bits + cycle.bits + carry_bits(RuleKind::sequence, carry);
    std::vector<Step> steps;
    double missed_bits = 0;
    for (std::size_t j = 0; j < size; ++j) {
      std::size_t missed = 0;
      steps.push_back(sequence_step(family, layout, line.place, cycle, carry_steps, j, missed));
      if (steps.back().ordinal == k_nowhere) return;
      if (steps.back().alter != 0) rule += k_alteration_bits;
      missed_bits += static_cast<double>(missed) * std::min(misfit_bits_, k_ending_note_bits);
      if (rule + missed_bits > shortlist_.limit()) return;
    }
    // Step 1 is the lowest note of the rule's first repetition, where the layout has it.
    int start = steps.front().ordinal;
    for (const Step& step : steps) start = std::min(start, step.ordinal);
    if (start < 0 || start >= static_cast<int>(layout.size())) start = steps.front().ordinal;
    if (start < 0 || start >= static_cast<int>(layout.size())) return;
    int lowest = steps.front().ordinal;
    for (const Step& step : steps) lowest = std::min(lowest, step.ordinal);
    for (const Step& step : steps) rule += is_far_step(step.ordinal - lowest) ? k_far_bits : 0;
    const LineNote& first = layout[static_cast<std::size_t>(start)];
    std::vector<Expected> expected(cycle.turn.out);
    for (std::size_t i = 0; i < expected.size(); ++i) {
      const Step& step = steps[i % size];
      expected[i] = sequence_place(layout, step.ordinal + static_cast<int>(i / size) * carry_steps, step.alter);
    }
    consider(family, choice, cycle, expected, rule, carry, [&](Candidate& candidate) {
      candidate.start_string = neck_.strings() - first.index;
      candidate.start_ordinal = first.ordinal + 1;
      candidate.tokens = tokens_of(cycle, steps, [&](int ordinal) { return ordinal - start + 1; });
    });
  }

  // --- Both -------------------------------------------------------------------------------------------------

  template <class Number>
  static std::vector<RuleToken> tokens_of(const Cycle& cycle, const std::vector<Step>& steps, Number number) {
    std::vector<RuleToken> tokens;
    for (std::size_t j = 0; j < cycle.size(); ++j) {
      const CycleToken& of = cycle.tokens[j];
      RuleToken token;
      token.attack = of.attack;
      token.ordinal = number(steps[j].ordinal);
      token.alter = steps[j].alter;
      token.accent = of.accent;
      token.units = of.units;
      token.offset = of.offset;
      tokens.push_back(token);
      if (of.rest == 0) continue;
      RuleToken rest;
      rest.rest = true;
      rest.units = of.rest;
      rest.offset = of.offset;
      tokens.push_back(rest);
    }
    return tokens;
  }

  /// The places of the return. False where the rule has no mirror image on this layout.
  [[nodiscard]] bool add_return(const LayoutChoice& choice, const Cycle& cycle, int carry_steps,
                                std::vector<Expected>& expected) const {
    const std::size_t out = expected.size();
    if (cycle.turn.back == Back::retrograde) {
      for (std::size_t j = 0; j < out; ++j) expected.push_back(expected[out - 1 - j]);
      return true;
    }
    int low = neck_.strings();
    int high = 1;
    for (const Expected& e : expected) {
      if (!neck_.has_string(e.string)) return false;
      low = std::min(low, e.string);
      high = std::max(high, e.string);
    }
    const int last = static_cast<int>(out / cycle.size()) - 1;
    for (std::size_t j = 0; j < out; ++j) {
      Expected e = expected[j];
      const int count = choice.counts[index_of(e.string)];
      if (e.ordinal >= count) return false;
      e.ordinal = count - 1 - e.ordinal;
      e.string = low + high - e.string;
      e.alter = -e.alter;
      if (cycle.kind == RuleKind::cell) e.steps = (last - static_cast<int>(j / cycle.size())) * carry_steps;
      expected.push_back(e);
    }
    return true;
  }

  /// Where the rule ends and an ending begins, the cheapest way.
  [[nodiscard]] std::optional<Extent> extent(const Cycle& cycle, const std::vector<bool>& follows) const {
    const std::size_t all = notes_.size();
    const std::size_t size = cycle.size();
    std::vector<std::size_t> wrong(follows.size() + 1, 0);
    for (std::size_t i = 0; i < follows.size(); ++i) wrong[i + 1] = wrong[i] + (follows[i] ? 0 : 1);
    std::optional<Extent> best;
    const auto attempt = [&](std::size_t ruled, double bits) {
      // Three of four notes must follow, or it is no rule of this phrase; and a last repetition that is cut is one
      // only if most of it follows.
      if (wrong[ruled] * 4 > ruled || (all - ruled) > ruled) return;
      const std::size_t cut = ruled % size;
      if (cut != 0 && (wrong[ruled] - wrong[ruled - cut]) * 2 >= cut) return;
      bits += static_cast<double>(wrong[ruled]) * misfit_bits_;
      if (ruled < all) bits += k_ending_bits + k_ending_note_bits * static_cast<double>(all - ruled);
      if (!best || bits < best->bits) best = Extent{bits, ruled, static_cast<int>((ruled + size - 1) / size)};
    };
    if (cycle.turn.back != Back::none) {
      attempt(2 * cycle.turn.out, k_back_bits);
      if (best) best->repeats = static_cast<int>(cycle.turn.out / size);
      return best;
    }
    attempt(all, 0);
    for (std::size_t ruled = all - 1; ruled >= 2 * size; --ruled) {
      const std::size_t cut = ruled % size;
      if (cut == 0) attempt(ruled, 0);
      if (cut != 0 && 2 * cut >= size) attempt(ruled, k_cut_bits);
    }
    return best;
  }

  template <class Fill>
  void consider(const LayoutFamily& family, const LayoutChoice& choice, const Cycle& cycle,
                const std::vector<Expected>& out, double rule, const Carry& carry, Fill fill) {
    if (rule > shortlist_.limit()) return;
    std::vector<Expected> expected = out;
    if (cycle.turn.back != Back::none && !add_return(choice, cycle, carry.steps, expected)) return;
    std::vector<bool> follows(expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i)
      follows[i] = cycle.fits[i] && neck_.has_string(expected[i].string) && sounds_at(family, i, expected[i]);
    const auto found = extent(cycle, follows);
    if (!found || rule + found->bits > shortlist_.limit()) return;
    const int most = cycle.turn.back == Back::none ? k_max_repeats : k_max_repeats / 2;
    if (found->repeats > most) return;
    Candidate candidate;
    candidate.bits = rule + found->bits;
    candidate.scale = line_.set();
    candidate.layout = choice.rule;
    candidate.kind = cycle.kind;
    candidate.carry = carry;
    candidate.back = cycle.turn.back;
    candidate.repeats = found->repeats;
    candidate.ruled = found->ruled;
    candidate.notes = notes_;
    fill(candidate);
    shortlist_.add(std::move(candidate));
  }

  const std::vector<HeardNote>& notes_;
  const Neck& neck_;
  const ScaleLine& line_;
  double scale_bits_;
  Shortlist& shortlist_;
  double misfit_bits_;
  std::vector<int> open_;
  std::vector<int> number_;
  std::vector<bool> outside_;
  std::size_t count_outside_ = 0;
  std::vector<std::size_t> index_;
  bool lines_known_ = false;
  std::vector<LineRow> lines_;
};

bool is_same_rule(const Candidate& a, const Candidate& b) {
  return a.kind == b.kind && a.tokens == b.tokens && a.carry.strings == b.carry.strings &&
         a.carry.steps == b.carry.steps && a.back == b.back && a.repeats == b.repeats && a.ruled == b.ruled &&
         a.notes == b.notes;
}

bool cheaper(const Candidate& a, const Candidate& b) { return a.bits < b.bits; }

/// The least that the notes cost which a cycle cannot have, be it as slips or as an ending.
double unfit_bits(const Cycle& cycle) {
  const auto unfit = std::count(cycle.fits.begin(), cycle.fits.end(), false);
  return static_cast<double>(unfit) * k_ending_note_bits;
}

/// A scale with a cycle, to be tried on all layouts, and the least that it can cost.
struct Job {
  double least = 0;
  std::size_t scale = 0;
  const Cycle* cycle = nullptr;
};

/// The scale that leaves the longest rule cheapest: few notes lie outside it, and it is a usual one.
std::size_t likeliest_scale(const std::vector<Job>& jobs) {
  const auto longest = std::max_element(jobs.begin(), jobs.end(), [](const Job& a, const Job& b) {
    return std::pair(a.cycle->size(), -a.least) < std::pair(b.cycle->size(), -b.least);
  });
  return longest->scale;
}

/// One scale's search, made when its first job is due.
class ScaleJobs {
 public:
  ScaleJobs(const HeardPhrase& phrase, const ScaleChoice& scale, Shortlist& shortlist)
      : line_(scale.set), search_(phrase, line_, scale.bits, shortlist) {}

  [[nodiscard]] double outside_bits(std::size_t size) const { return search_.outside_bits(size); }

  void run(const HeardPhrase& phrase, const Cycle& cycle) {
    if (families_.empty()) families_ = layout_families(line_, phrase.neck);
    if (cycle.kind == RuleKind::sequence) return search_.search_sequences(families_, cycle);
    for (const LayoutFamily& family : families_) search_.search_cell(family, cycle);
  }

 private:
  ScaleLine line_;
  ScaleSearch search_;
  std::vector<LayoutFamily> families_;
};

}  // namespace

void Shortlist::add(Candidate candidate) {
  if (candidate.bits > limit()) return;
  best_ = std::min(best_, candidate.bits);
  const auto same =
      std::find_if(rows_.begin(), rows_.end(), [&](const Candidate& row) { return is_same_rule(row, candidate); });
  if (same == rows_.end()) {
    rows_.push_back(std::move(candidate));
  } else if (candidate.bits < same->bits) {
    *same = std::move(candidate);
  }
  constexpr std::size_t k_most = 64;
  if (rows_.size() <= k_most) return;
  std::stable_sort(rows_.begin(), rows_.end(), cheaper);
  rows_.resize(k_most / 2);
}

std::vector<Candidate> Shortlist::take() {
  std::erase_if(rows_, [&](const Candidate& row) { return row.bits > limit(); });
  std::stable_sort(rows_.begin(), rows_.end(), cheaper);
  return std::move(rows_);
}

Periods find_periods(const HeardPhrase& phrase) {
  Periods periods;
  const std::vector<Turn> turns = find_turns(phrase.notes);
  periods.cycles = cell_cycles(phrase.notes, turns);
  for (const Turn& turn : turns) {
    // One note, step by step, is the scale and no pattern of it.
    for (std::size_t size = 2; size <= std::min<std::size_t>(turn.out / 2, k_max_rule_tokens / 2); ++size) {
      if (turn.back == Back::none || turn.out % size == 0)
        periods.cycles.push_back(sequence_cycle(phrase.notes, turn, size));
    }
  }
  return periods;
}

void search_on(const HeardPhrase& phrase, const Periods& periods, const ScaleLine& line, double scale_bits,
               const LayoutFamily& family, Shortlist& shortlist) {
  ScaleSearch search(phrase, line, scale_bits, shortlist);
  for (const Cycle& cycle : periods.cycles) {
    if (scale_bits + cycle.bits + unfit_bits(cycle) > shortlist.limit()) continue;
    if (cycle.kind == RuleKind::cell) {
      search.search_cell(family, cycle);
    } else {
      for (const LayoutChoice& choice : family.choices) search.search_sequence_on(family, choice, cycle);
    }
  }
}

void search_rules(const HeardPhrase& phrase, Shortlist& shortlist) {
  const Periods periods = find_periods(phrase);
  const std::vector<ScaleChoice> scales = scale_choices();
  std::vector<Job> jobs;
  std::vector<std::unique_ptr<ScaleJobs>> searches;
  for (const ScaleChoice& scale : scales) {
    const ScaleLine line(scale.set);
    const auto outside = static_cast<std::size_t>(std::count_if(
        phrase.notes.begin(), phrase.notes.end(), [&](const HeardNote& note) { return !line.has(note.midi); }));
    // Where every second note lies outside, it is another scale.
    if (outside * 2 > phrase.notes.size()) continue;
    searches.push_back(std::make_unique<ScaleJobs>(phrase, scale, shortlist));
    for (const Cycle& cycle : periods.cycles) {
      jobs.push_back({scale.bits + cycle.bits + unfit_bits(cycle) + searches.back()->outside_bits(cycle.size()),
                      searches.size() - 1, &cycle});
    }
  }
  // What may be shortest comes first; what comes when nothing shorter is possible need not be tried. The likeliest
  // scale goes before all others, so that there is something to be shorter than.
  std::stable_sort(jobs.begin(), jobs.end(), [](const Job& a, const Job& b) { return a.least < b.least; });
  const std::size_t likeliest = jobs.empty() ? 0 : likeliest_scale(jobs);
  // Many wrong notes leave room for many jobs; those that could be shortest come first, and the rest is not worth the
  // wait.
  constexpr std::size_t k_most_work = 300'000;  // jobs by notes
  const std::size_t most_jobs = k_most_work / std::max<std::size_t>(1, phrase.notes.size());
  std::size_t done = 0;
  for (const bool likely : {true, false}) {
    for (const Job& job : jobs) {
      if (job.least > shortlist.limit() || done >= most_jobs) break;
      if ((job.scale == likeliest) != likely) continue;
      searches[job.scale]->run(phrase, *job.cycle);
      if (!likely) ++done;
    }
  }
}

}  // namespace fretloom
