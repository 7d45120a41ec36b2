#include "insight/rule_fit.h"

#include <algorithm>
#include <cstdint>
#include <cstdlib>

#include "insight/code_length.h"
#include "lick/expand.h"
#include "lick/rule.h"

namespace fretloom {

bool add_return(const ScaleView& view, const PerString& first, const LayoutChoice& choice, const Cycle& cycle,
                int carry_steps, std::vector<Expected>& expected) {
  const std::size_t out = expected.size();
  if (cycle.turn.back == Back::retrograde) {
    for (std::size_t j = 0; j < out; ++j) expected.push_back(expected[out - 1 - j]);
    return true;
  }
  const Neck& neck = view.neck();
  int low = neck.strings();
  int high = 1;
  for (const Expected& e : expected) {
    if (!neck.has_string(e.string)) return false;
    low = std::min(low, e.string);
    high = std::max(high, e.string);
  }
  const int steps = cycle.kind == RuleKind::cell ? carry_steps : 0;
  const int last = static_cast<int>(out / cycle.size()) - 1;
  for (std::size_t j = 0; j < out; ++j) {
    const Expected& there = expected[j];
    const std::size_t index = neck.index(there.string);
    const int repeat = static_cast<int>(j / cycle.size());
    const int ordinal = there.number - first[index] - repeat * steps;
    if (ordinal >= choice.counts[index]) return false;
    Expected image;
    image.string = low + high - there.string;
    image.number = first[neck.index(image.string)] + choice.counts[index] - 1 - ordinal + (last - repeat) * steps;
    image.alter = -there.alter;
    expected.push_back(image);
  }
  return true;
}

namespace {

/// For every number of notes how many of them do not follow.
std::vector<std::size_t> wrong_counts(const ScaleView& view, const Cycle& cycle, std::span<const Expected> expected) {
  std::vector<std::size_t> wrong(expected.size() + 1, 0);
  for (std::size_t i = 0; i < expected.size(); ++i) {
    const Expected& e = expected[i];
    const HeardNote& note = view.notes()[i];
    const bool follows =
        cycle.fits[i] != 0 && e.string == note.string && view.line().midi(e.number) + e.alter == note.midi;
    wrong[i + 1] = wrong[i] + (follows ? 0 : 1);
  }
  return wrong;
}

}  // namespace

std::optional<Extent> extent_of(const ScaleView& view, const Cycle& cycle, std::span<const Expected> expected) {
  const std::size_t all = view.notes().size();
  const std::size_t size = cycle.size();
  const std::vector<std::size_t> wrong = wrong_counts(view, cycle, expected);
  std::optional<Extent> best;
  const auto attempt = [&](std::size_t ruled, double bits) {
    // A last repetition that is cut is one only if most of it follows.
    if (is_too_wrong(wrong[ruled], ruled) || (all - ruled) > ruled) return;
    const std::size_t cut = ruled % size;
    if (cut != 0 && (wrong[ruled] - wrong[ruled - cut]) * 2 >= cut) return;
    bits += static_cast<double>(wrong[ruled]) * misfit_bits(all);
    if (ruled < all) bits += k_ending_bits + k_ending_note_bits * static_cast<double>(all - ruled);
    if (best && bits >= best->bits) return;
    const bool is_whole = ruled == all && wrong[ruled] == 0 && cut == 0;
    best = Extent{bits, ruled, static_cast<int>((ruled + size - 1) / size), wrong[ruled],
                  is_whole ? Tells::all : Tells::not_all};
  };
  if (cycle.turn.back == Back::none) {
    attempt(all, 0);
    if (best && best->tells == Tells::all) return best;
    for (std::size_t ruled = all - 1; ruled >= 2 * size; --ruled) {
      const std::size_t cut = ruled % size;
      if (cut == 0) attempt(ruled, 0);
      if (cut != 0 && 2 * cut >= size) attempt(ruled, k_cut_bits);
    }
  } else {
    attempt(2 * cycle.turn.out, k_back_bits);
    if (best) best->repeats = static_cast<int>(cycle.turn.out / size);
  }
  const int most = cycle.turn.back == Back::none ? k_max_repeats : k_max_repeats / 2;
  return best && best->repeats <= most ? best : std::nullopt;
}

double least_miss_bits(const ScaleView& view, const Cycle& cycle) {
  return cycle.turn.back == Back::none ? k_ending_note_bits : misfit_bits(view.notes().size());
}

double least_pair_bits(const ScaleView& view, const Cycle& cycle) {
  const double slip = misfit_bits(view.notes().size());
  return cycle.turn.back == Back::none ? std::min(slip / 2, k_ending_note_bits) : slip / 2;
}

void find_altered(const ScaleView& view, const Cycle& cycle, std::span<bool> altered) {
  const std::size_t size = cycle.size();
  std::array<std::uint16_t, k_max_rule_tokens> outside;
  std::fill_n(outside.begin(), size, 0);
  for (const std::size_t i : view.outside()) {
    if (i < cycle.turn.out && cycle.fits[i] != 0)
      ++outside[static_cast<std::uint32_t>(i) % static_cast<std::uint32_t>(size)];
  }
  for (std::size_t j = 0; j < size; ++j) altered[j] = outside[j] * 4 * size >= cycle.turn.out;
}

void Votes::add(const Step& step) {
  for (std::size_t i = 0; i < count_; ++i) {
    if (rows_[i].step() != step) continue;
    ++rows_[i].count;
    return;
  }
  if (count_ < rows_.size()) rows_[count_++] = {step.number, step.alter, 1};
}

std::size_t Votes::most() const {
  std::size_t most = 0;
  for (std::size_t i = 0; i < count_; ++i) most = std::max(most, rows_[i].count);
  return most;
}

std::size_t Votes::second() const {
  const std::size_t best = most();
  std::size_t second = 0;
  for (std::size_t i = 0; i < count_; ++i) second = rows_[i].count < best ? std::max(second, rows_[i].count) : second;
  return second;
}

BestSteps Votes::best() const {
  const std::size_t best = most();
  BestSteps steps;
  for (const bool altered : {false, true}) {
    for (std::size_t i = 0; i < count_; ++i) {
      if (rows_[i].count == best && (rows_[i].alter != 0) == altered) steps.add(rows_[i].step());
    }
  }
  return steps;
}

std::vector<RuleToken> tokens_of(const Cycle& cycle, std::span<const Step> steps) {
  std::vector<RuleToken> tokens;
  for (std::size_t j = 0; j < cycle.size(); ++j) {
    const CycleToken& of = cycle.tokens[j];
    RuleToken token;
    token.attack = of.attack;
    token.ordinal = steps[j].number;
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

}  // namespace fretloom
