#include "insight/scale_line.h"

#include <algorithm>
#include <bit>
#include <map>
#include <optional>

#include "base/rational.h"
#include "base/text.h"
#include "insight/code_length.h"

namespace fretloom {

namespace {

int pitch_class(int semitones) { return static_cast<int>(floor_mod(semitones, 12)); }

/// The mode's notes on C.
PitchSet set_on_c(const Mode& mode) {
  PitchSet set = 0;
  for (const Word& word : words(mode.degrees)) {
    const auto degree = parse_degree(word.text);
    if (degree) set = static_cast<PitchSet>(set | 1U << pitch_class(degree->semitones()));
  }
  return set;
}

PitchSet moved(PitchSet set, int semitones) {
  return static_cast<PitchSet>((set << semitones | set >> (12 - semitones)) & 0xFFF);
}

int accidentals_in(const Key& key) {
  int count = 0;
  for (int step = 0; step < key.size(); ++step) count += std::abs(key.pitch(step).pitch_class.alter);
  return count;
}

/// The mode on this tonic, which is spelled with a sharp or a flat, whichever needs fewer accidentals.
std::optional<Key> spelled_key(const Mode& mode, int tonic) {
  std::optional<Key> best;
  for (int letter = 0; letter < 7; ++letter) {
    for (int alter = -1; alter <= 1; ++alter) {
      const PitchClass name{letter, alter};
      if (pitch_class(name.semitones()) != tonic) continue;
      const auto key = parse_key(name.name() + " " + std::string(mode.name));
      if (key && (!best || accidentals_in(*key) < accidentals_in(*best))) best = *key;
    }
  }
  return best;
}

}  // namespace

ScaleLine::ScaleLine(PitchSet set) : set_(set), size_(std::popcount(set)) {
  for (int midi = 0; midi <= k_top; ++midi) {
    above_[static_cast<std::size_t>(midi)] = static_cast<int>(midi_.size());
    if (has(midi)) midi_.push_back(midi);
  }
}

std::vector<ScaleChoice> scale_choices() {
  std::map<PitchSet, double> cheapest;
  for (const Mode& mode : modes()) {
    const double bits = mode_bits(mode.name);
    const PitchSet on_c = set_on_c(mode);
    for (int tonic = 0; tonic < 12; ++tonic) {
      const auto [row, is_new] = cheapest.emplace(moved(on_c, tonic), bits);
      if (!is_new) row->second = std::min(row->second, bits);
    }
  }
  std::vector<ScaleChoice> choices;
  for (const auto& [set, bits] : cheapest) choices.push_back({set, bits});
  std::stable_sort(choices.begin(), choices.end(),
                   [](const ScaleChoice& a, const ScaleChoice& b) { return a.bits < b.bits; });
  return choices;
}

std::vector<Key> keys_with(PitchSet set) {
  std::vector<Key> keys;
  for (const Mode& mode : modes()) {
    const PitchSet on_c = set_on_c(mode);
    for (int tonic = 0; tonic < 12; ++tonic) {
      if (moved(on_c, tonic) != set) continue;
      if (auto key = spelled_key(mode, tonic)) keys.push_back(*std::move(key));
    }
  }
  return keys;
}

}  // namespace fretloom
