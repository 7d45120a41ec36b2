#include "insight/cycle.h"

#include <algorithm>
#include <array>

#include "insight/code_length.h"
#include "lick/expand.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

using Notes = std::vector<HeardNote>;

/// The value that comes most often, of equals the one that came first. Most often there is only one.
template <class T>
class Vote {
 public:
  void add(const T& value) {
    if (count_ == 0) first_ = value;
    if (value == first_) {
      ++count_;
      return;
    }
    for (auto& [known, count] : others_) {
      if (known == value) {
        ++count;
        return;
      }
    }
    others_.emplace_back(value, 1);
  }
  [[nodiscard]] T winner(const T& otherwise) const {
    if (count_ == 0) return otherwise;
    const T* best = &first_;
    int most = count_;
    for (const auto& [value, count] : others_) {
      if (count <= most) continue;
      best = &value;
      most = count;
    }
    return *best;
  }

 private:
  T first_{};
  int count_ = 0;
  std::vector<std::pair<T, int>> others_;
};

/// Units up to the next note, where the next note is the same rule's.
bool has_gap(const Notes& notes, const Turn& turn, std::size_t i) {
  return i + 1 < notes.size() && !(turn.back != Back::none && i + 1 == turn.out);
}
int gap(const Notes& notes, std::size_t i) { return notes[i + 1].unit - notes[i].unit; }

/// A slur can be written on note `i`, which is the rule's `token`: the note before is the rule's, on the same string,
/// without a rest between.
bool can_slur(const Notes& notes, std::size_t i, std::size_t token) {
  return token > 0 && notes[i - 1].string == notes[i].string && gap(notes, i - 1) == notes[i - 1].units;
}

void vote_rhythm(const Notes& notes, Cycle& cycle) {
  const std::size_t size = cycle.size();
  for (std::size_t j = 0; j < size; ++j) {
    Vote<std::pair<int, int>> time;
    Vote<Attack> attack;
    Vote<bool> accent;
    for (std::size_t i = j; i < cycle.turn.out; i += size) {
      if (has_gap(notes, cycle.turn, i)) time.add({notes[i].units, gap(notes, i) - notes[i].units});
      // A sequence's slur that falls on two strings is picked, and says nothing of the rule.
      const bool slurs = can_slur(notes, i, j);
      if (cycle.kind == RuleKind::cell || slurs) attack.add(slurs ? notes[i].attack : Attack::pick);
      accent.add(notes[i].accent);
    }
    const auto [units, rest] = time.winner({1, 0});
    CycleToken& token = cycle.tokens[j];
    token.units = std::min(units, k_max_units);
    token.rest = std::min(rest, k_max_units);
    token.attack = attack.winner(Attack::pick);
    token.accent = accent.winner(false);
  }
}

/// How a note of the return is played: a slur stays on the later note of its pair, and goes where the pitch goes.
Attack attack_of_return(const Notes& notes, const Cycle& cycle, std::size_t j) {
  const std::size_t out = cycle.turn.out;
  const bool reversed = cycle.turn.back == Back::retrograde;
  if (reversed && j == 0) return Attack::pick;
  const std::size_t source = reversed ? out - j : j;
  const HeardNote& note = notes[out + j];
  const HeardNote& before = notes[out + j - 1];
  const Attack attack = cycle.tokens[source % cycle.size()].attack;
  if (cycle.kind == RuleKind::sequence && note.string != before.string) return Attack::pick;
  if (attack != Attack::hammer && attack != Attack::pull) return attack;
  return note.midi >= before.midi ? Attack::hammer : Attack::pull;
}

/// Marks the notes of the return that are played and last like their images there, and are followed as soon.
void fit_return(const Notes& notes, Cycle& cycle) {
  const std::size_t out = cycle.turn.out;
  for (std::size_t j = 0; cycle.turn.back != Back::none && j < out; ++j) {
    const bool reversed = cycle.turn.back == Back::retrograde;
    const std::size_t source = reversed ? out - 1 - j : j;
    const CycleToken& token = cycle.tokens[source % cycle.size()];
    const HeardNote& note = notes[out + j];
    if (note.accent != token.accent || note.attack != attack_of_return(notes, cycle, j)) cycle.fits[out + j] = 0;
    if (j + 1 == out) continue;  // what follows is no part of the rule
    const int rest = reversed ? cycle.tokens[(source - 1) % cycle.size()].rest : token.rest;
    if (note.units != token.units || gap(notes, out + j) != token.units + rest) cycle.fits[out + j] = 0;
  }
}

/// Marks the notes whose time and attack are the cycle's.
void fit_rhythm(const Notes& notes, Cycle& cycle) {
  const std::size_t size = cycle.size();
  cycle.fits.assign(notes.size(), 1);
  std::size_t j = 0;
  for (std::size_t i = 0; i < cycle.turn.out; ++i) {
    const CycleToken& token = cycle.tokens[j];
    j = j + 1 == size ? 0 : j + 1;
    if (has_gap(notes, cycle.turn, i))
      cycle.fits[i] = notes[i].units == token.units && gap(notes, i) == token.units + token.rest ? 1 : 0;
    const bool crosses = cycle.kind == RuleKind::sequence && i > 0 && notes[i - 1].string != notes[i].string;
    if (!crosses && notes[i].attack != token.attack) cycle.fits[i] = 0;
    if (notes[i].accent != token.accent) cycle.fits[i] = 0;
  }
  fit_return(notes, cycle);
}

double rhythm_bits(const Cycle& cycle) {
  double bits = 0;
  const CycleToken* before = nullptr;
  for (const CycleToken& token : cycle.tokens) {
    bits += k_note_bits;
    if (before != nullptr && token.offset != before->offset) bits += k_move_bits;
    if (token.attack != Attack::pick) bits += k_slur_bits;
    if (token.accent) bits += k_accent_bits;
    if (token.units > 1) bits += k_units_bits;
    if (token.rest > 0) bits += k_rest_bits + (token.rest > 1 ? k_units_bits : 0);
    before = &token;
  }
  return bits;
}

void finish(Cycle& cycle) {
  cycle.bits = rhythm_bits(cycle) + (cycle.kind == RuleKind::sequence ? k_sequence_bits : 0);
  cycle.unfit = static_cast<std::size_t>(std::count(cycle.fits.begin(), cycle.fits.end(), 0));
}

/// The carry over the strings after `size` notes, where enough notes keep it.
std::optional<int> strings_after(const Notes& notes, std::size_t out, std::size_t size) {
  std::array<std::size_t, 2 * k_max_strings + 1> counts{};
  const std::size_t pairs = out - size;
  for (std::size_t i = 0; i < pairs; ++i)
    ++counts[static_cast<std::size_t>(notes[i].string - notes[i + size].string + k_max_strings)];
  const auto best = std::max_element(counts.begin(), counts.end());
  const int strings = static_cast<int>(best - counts.begin()) - k_max_strings;
  const int first = notes[0].string - notes[size].string;
  bool first_agrees = true;
  for (std::size_t i = 0; i < std::min(size, pairs); ++i)
    first_agrees = first_agrees && notes[i].string - notes[i + size].string == first;
  if (!is_period(*best, pairs, first_agrees)) return std::nullopt;
  return is_period(*best, pairs, false) ? strings : first;
}

Cycle cell_cycle(const Notes& notes, const Turn& turn, std::size_t size, int strings) {
  Cycle cycle;
  cycle.turn = turn;
  cycle.strings = strings;
  cycle.tokens.resize(size);
  const auto home = [&](std::size_t i) { return notes[i].string + static_cast<int>(i / size) * strings; };
  Vote<int> start;
  for (std::size_t i = 0; i < turn.out; i += size) start.add(home(i));
  cycle.start_string = start.winner(1);
  for (std::size_t j = 0; j < size; ++j) {
    Vote<int> offset;
    for (std::size_t i = j; i < turn.out; i += size) offset.add(cycle.start_string - home(i));
    cycle.tokens[j].offset = offset.winner(0);
  }
  int low = k_max_strings;
  int high = 1;
  for (std::size_t first = 0, repeat = 0; first < turn.out; first += size, ++repeat) {
    const int here = cycle.start_string - static_cast<int>(repeat) * strings;
    for (std::size_t j = 0; j < std::min(size, turn.out - first); ++j) {
      low = std::min(low, here - cycle.tokens[j].offset);
      high = std::max(high, here - cycle.tokens[j].offset);
    }
  }
  cycle.mirror = low + high;
  vote_rhythm(notes, cycle);
  for (std::size_t j = 0; j < size; ++j) {
    const bool can = j > 0 && cycle.tokens[j - 1].rest == 0 && cycle.tokens[j - 1].offset == cycle.tokens[j].offset;
    if (!can) cycle.tokens[j].attack = Attack::pick;
  }
  fit_rhythm(notes, cycle);
  for (std::size_t i = 0; i < turn.out; ++i) {
    if (cycle.start_string - home(i) != cycle.tokens[i % size].offset) cycle.fits[i] = 0;
  }
  finish(cycle);
  return cycle;
}

std::size_t count_retrograde(const Notes& notes, std::size_t out) {
  std::size_t alike = 0;
  for (std::size_t j = 0; j < out; ++j) {
    const HeardNote& there = notes[out - 1 - j];
    const HeardNote& back = notes[out + j];
    if (there.string == back.string && there.fret == back.fret) ++alike;
  }
  return alike;
}

std::size_t count_mirrored(const Notes& notes, std::size_t out) {
  const auto [low, high] =
      std::minmax_element(notes.begin(), notes.begin() + static_cast<std::ptrdiff_t>(out),
                          [](const HeardNote& a, const HeardNote& b) { return a.string < b.string; });
  std::size_t alike = 0;
  for (std::size_t j = 0; j < out; ++j) {
    if (notes[out + j].string == low->string + high->string - notes[j].string) ++alike;
  }
  return alike;
}

}  // namespace

std::vector<Turn> find_turns(const Notes& notes) {
  std::vector<Turn> turns = {{Back::none, notes.size(), 0}};
  const auto add = [&](Back back, std::size_t out, std::size_t alike) {
    if (alike * 4 >= out * 3) turns.push_back({back, out, out - alike});
  };
  for (std::size_t out = notes.size() / 2; out >= 2 && notes.size() - 2 * out <= k_most_ending_notes; --out) {
    add(Back::retrograde, out, count_retrograde(notes, out));
    add(Back::mirrored, out, count_mirrored(notes, out));
  }
  return turns;
}

std::vector<Cycle> cell_cycles(const Notes& notes, const std::vector<Turn>& turns) {
  std::vector<Cycle> cycles;
  for (const Turn& turn : turns) {
    const bool turns_round = turn.back != Back::none;
    for (std::size_t size = 1; size <= std::min<std::size_t>(turn.out, k_max_rule_tokens / 2); ++size) {
      if (turns_round && turn.out % size != 0) continue;
      const bool once = turn.out == size;
      if ((once && !turns_round) || (!once && 2 * size > turn.out)) continue;
      const auto strings = once ? std::optional(1) : strings_after(notes, turn.out, size);
      if (strings) cycles.push_back(cell_cycle(notes, turn, size, *strings));
    }
  }
  std::stable_sort(cycles.begin(), cycles.end(), [](const Cycle& a, const Cycle& b) { return a.bits < b.bits; });
  return cycles;
}

Cycle sequence_cycle(const Notes& notes, const Turn& turn, std::size_t size) {
  Cycle cycle;
  cycle.kind = RuleKind::sequence;
  cycle.turn = turn;
  cycle.tokens.resize(size);
  vote_rhythm(notes, cycle);
  for (std::size_t j = 0; j < size; ++j) {
    if (j == 0 || cycle.tokens[j - 1].rest > 0) cycle.tokens[j].attack = Attack::pick;
  }
  fit_rhythm(notes, cycle);
  finish(cycle);
  return cycle;
}

}  // namespace fretloom
