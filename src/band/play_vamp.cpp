#include "band/play_vamp.h"

#include <algorithm>

#include "band/chance.h"
#include "band/song.h"
#include "score/limits.h"
#include "score/swing.h"

namespace fretloom {

namespace {

constexpr int k_most_turns = 64;
constexpr int k_most_bars = 4096;
constexpr int k_octave = 12;
constexpr int k_highest_drone = 84;
constexpr PitchRange k_drone_over_bass = {50, 69};
constexpr PitchRange k_drone_alone = {36, 59};

Error range_error(std::string what, std::string repair = {}) {
  return {ErrorKind::range, 0, std::move(what), std::move(repair)};
}

std::optional<Error> fault_of(const Vamp& vamp, const Meter& meter) {
  Rational at;
  for (const VampChord& chord : vamp.chords) {
    if (chord.onset.value != at || chord.duration.value <= Rational(0))
      return range_error("a chord has no place in the vamp");
    at += chord.duration.value;
  }
  if (vamp.bars < 1 || at != vamp.length(meter).value) return range_error("the vamp's chords do not fill its bars");
  return std::nullopt;
}

std::optional<Error> fault_of(const BandOptions& options) {
  if (options.bpm < Rational(k_slowest_bpm)) return range_error("the band plays from 10 beats a minute", "10");
  if (options.bpm > Rational(k_fastest_bpm)) return range_error("the band plays up to 600 beats a minute", "600");
  if (options.turns < 0 || options.turns > k_most_turns)
    return range_error("the band plays 1 to 64 turns of the vamp", "1");
  return std::nullopt;
}

/// The fewest turns that make eight bars or more and whole cycles of the pattern.
int usual_turns(int vamp_bars, int cycle) {
  const int whole = std::max(cycle, 2);
  int turns = 1;
  while (turns * vamp_bars < 8 || turns * vamp_bars % whole != 0) ++turns;
  return turns;
}

std::vector<ChordSpan> spans_of(const Vamp& vamp, const Meter& meter, int turns) {
  std::vector<ChordSpan> spans;
  const Rational turn = vamp.length(meter).value;
  for (int i = 0; i < turns; ++i) {
    for (const VampChord& chord : vamp.chords) {
      const Rational from = turn * Rational(i) + chord.onset.value;
      const Rational to = from + chord.duration.value;
      if (!spans.empty() && spans.back().chord->symbol() == chord.chord.symbol()) {
        spans.back().to = to;
      } else {
        spans.push_back({&chord.chord, from, to, true});
      }
    }
  }
  spans.front().is_change = spans.front().chord->symbol() != spans.back().chord->symbol();
  return spans;
}

/// Where a part lies beside the lick.
struct Place {
  PitchRange range;
  RegisterUse use = RegisterUse::apart;
};

Place chord_place(const BandOptions& options, const std::optional<PitchRange>& lick) {
  const PitchRange all = k_chord_range;
  if (!lick || options.lick_register == LickRegister::may_share) return {all};
  const PitchRange below{all.low, std::min(all.high, lick->low - 1)};
  const PitchRange above{std::max(all.low, lick->high + 1), all.high};
  if (below.size() >= k_octave) return {below};
  if (above.size() >= k_octave) return {above};
  const bool is_high = lick->low + lick->high >= all.low + all.high;
  return {is_high ? PitchRange{all.low, all.low + k_octave - 1} : PitchRange{all.high - k_octave + 1, all.high},
          RegisterUse::shared};
}

std::optional<Place> bass_place(const BandOptions& options, const std::optional<PitchRange>& lick) {
  PitchRange range = k_bass_range;
  if (!lick || lick->low > range.high) return Place{range};
  if (options.lick_register == LickRegister::may_share) return Place{range, RegisterUse::shared};
  range.high = lick->low - 1;
  if (range.size() < k_octave) range.low = k_lowest_bass;
  if (range.size() < k_octave) return std::nullopt;
  return Place{range};
}

std::optional<Place> drone_place(const BandOptions& options, const std::optional<PitchRange>& lick, bool over_bass) {
  const PitchRange usual = over_bass ? k_drone_over_bass : k_drone_alone;
  if (!lick) return Place{usual};
  if (options.lick_register == LickRegister::may_share) return Place{usual, RegisterUse::shared};
  const int most = 2 * k_octave - 1;  // room for any root and its octave
  for (const int low : {usual.low, over_bass ? usual.low : k_bass_range.low}) {
    const PitchRange below{low, std::min(low + most, lick->low - 1)};
    if (below.size() >= k_octave + 7) return Place{below};
  }
  const PitchRange above{std::max(usual.low, lick->high + 1), k_highest_drone};
  if (above.size() >= k_octave + 7) return Place{above};
  return std::nullopt;
}

void add(Band& band, BandPart part, RegisterUse use) {
  if (part.notes.empty()) return;
  part.registers = use;
  band.parts.push_back(std::move(part));
}

}  // namespace

std::size_t Song::span_at(const Rational& beat) const {
  const auto after = std::find_if(spans.begin(), spans.end(), [&](const ChordSpan& s) { return beat < s.to; });
  return static_cast<std::size_t>(after - spans.begin());
}

bool Song::plays(char letter) const {
  constexpr std::string_view k_medium = "mtrqeop";
  constexpr std::string_view k_full = "fug";
  if (k_full.find(letter) != std::string_view::npos) return options.intensity == Intensity::full;
  if (k_medium.find(letter) != std::string_view::npos) return options.intensity != Intensity::sparse;
  return true;
}

std::vector<Hit> Song::hits(std::string_view Lanes::*lane) const {
  std::vector<Hit> played;
  for (int bar = 0; bar < bars; ++bar) {
    for (const Hit& hit : pattern.hits(lane, bar)) {
      if (plays(hit.letter)) played.push_back(hit);
    }
  }
  return played;
}

Beats Song::sounding(const Rational& straight) const {
  if (pattern.table().division == Division::three) return Beats(straight);
  return swung(meter, vamp.swing, Beats(straight));
}

int Song::velocity(int base, BandRole role, std::size_t place) const {
  const auto stream = static_cast<std::int64_t>(role) * 1'000'000 + static_cast<std::int64_t>(place);
  return std::clamp(base - 4 + chance(options.seed, Question::velocity, stream, 9), 1, 127);
}

std::optional<PitchRange> register_of(const IdeaSheet& idea) {
  std::optional<PitchRange> range;
  for (const Score& score : idea.feels) {
    for (const ScoreNote& note : score.notes) {
      const int midi = note.pitch.midi();
      if (!range) range = PitchRange{midi, midi};
      range = PitchRange{std::min(range->low, midi), std::max(range->high, midi)};
    }
  }
  return range;
}

Result<Band> play_vamp(const IdeaSheet& idea, const BandOptions& options) {
  Vamp vamp = idea.vamp;
  if (vamp.chords.empty()) {
    auto own = parse_vamp(default_vamp(idea.key), idea.meter);
    if (!own) return own.error();
    vamp.chords = std::move(own->chords);
    vamp.bars = own->bars;
  }
  if (auto fault = fault_of(vamp, idea.meter)) return *std::move(fault);
  if (auto fault = fault_of(options)) return *std::move(fault);
  const RhythmTable* table = find_rhythm_table(vamp.rhythm.name);
  if (table == nullptr) return range_error("the band knows no rhythm \"" + std::string(vamp.rhythm.name) + "\"");

  const Pattern pattern(*table, idea.meter, options.bpm);
  Band band;
  band.turns = options.turns > 0 ? options.turns : usual_turns(vamp.bars, pattern.plan().cycle());
  band.bars = band.turns * vamp.bars;
  band.length = Beats(vamp.length(idea.meter).value * Rational(band.turns));
  if (band.bars > k_most_bars) return Error{ErrorKind::limit, 0, "the band plays at most 4096 bars on end", {}};

  const Song song{vamp,       idea.meter, idea.key,         pattern, options, spans_of(vamp, idea.meter, band.turns),
                  band.turns, band.bars,  band.length.value};
  const auto lick = options.lick ? options.lick : register_of(idea);
  const bool is_drone = table->simple.chords.empty();
  if (const auto place = bass_place(options, lick)) add(band, play_bass(song, place->range), place->use);
  if (!is_drone) {
    const Place place = chord_place(options, lick);
    add(band, play_chords(song, place.range), place.use);
  }
  if (is_drone || options.drone == DroneUse::held) {
    if (const auto place = drone_place(options, lick, band.part(BandRole::bass) != nullptr))
      add(band, play_drone(song, place->range), place->use);
  }
  add(band, play_drums(song), RegisterUse::apart);
  return band;
}

const IdeaSheet& first_over(const Handout& handout, const IdeaSheet& idea) {
  const auto is_over = [&](const IdeaSheet& other) {
    return other.key == idea.key && other.meter == idea.meter && other.vamp.rhythm.name == idea.vamp.rhythm.name &&
           other.vamp.swing == idea.vamp.swing &&
           chords_text(other.vamp, other.meter) == chords_text(idea.vamp, idea.meter);
  };
  return *std::find_if(handout.ideas.begin(), handout.ideas.end(), is_over);
}

BandOptions shared_band(const Handout& handout, const IdeaSheet& idea, BandOptions options) {
  const IdeaSheet* first = &first_over(handout, idea);
  options.seed += static_cast<std::uint32_t>(first->number) - 1;
  for (const IdeaSheet& other : handout.ideas) {
    if (&first_over(handout, other) != first) continue;
    const auto own = register_of(other);
    if (!own) continue;
    options.lick = options.lick
                       ? PitchRange{std::min(own->low, options.lick->low), std::max(own->high, options.lick->high)}
                       : *own;
  }
  return options;
}

Result<std::vector<Band>> play_vamps(const Handout& handout, BandSpeed speed, BandOptions options) {
  std::vector<Band> bands;
  for (const IdeaSheet& idea : handout.ideas) {
    options.bpm = speed == BandSpeed::slow ? idea.slow_bpm : idea.goal_bpm;
    auto band = play_vamp(idea, shared_band(handout, idea, options));
    if (!band) return in_idea(idea, band.error());
    bands.push_back(std::move(band).value());
  }
  return bands;
}

}  // namespace fretloom
