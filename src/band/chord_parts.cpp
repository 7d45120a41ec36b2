#include <algorithm>

#include "band/song.h"

namespace fretloom {

namespace {

constexpr int k_velocity_accent = 84;
constexpr int k_velocity_plain = 74;
constexpr int k_velocity_layer = 64;
constexpr int k_velocity_drone = 60;

bool is_brief(char letter) { return letter == 'S' || letter == 's' || letter == 't' || letter == 'u'; }

/// Voicings of the spans: the same in every turn of the vamp.
std::vector<Voicing> voicings_of(const Song& song, int count, const PitchRange& range) {
  std::vector<const Chord*> chords;
  for (const VampChord& chord : song.vamp.chords) chords.push_back(&chord.chord);
  const std::vector<Voicing> voicings = lead_voices(chords, count, range);
  std::vector<Voicing> of_spans;
  for (const ChordSpan& span : song.spans) {
    const auto index = std::find(chords.begin(), chords.end(), span.chord) - chords.begin();
    of_spans.push_back(voicings[static_cast<std::size_t>(index)]);
  }
  return of_spans;
}

/// The strikes of the pattern, and one where a chord begins that has none within a pulse.
std::vector<Hit> strikes_of(const Song& song) {
  std::vector<Hit> hits = song.hits(&Lanes::chords);
  if (hits.empty()) return hits;
  const Rational step = song.pattern.plan().pulses.front().step;
  for (const ChordSpan& span : song.spans) {
    const auto at = std::find_if(hits.begin(), hits.end(), [&](const Hit& hit) { return hit.onset >= span.from; });
    const Rational latest = std::min(span.from + song.pulse_beats(), span.to);
    const bool has_own = at != hits.end() && at->onset <= latest && at->onset < span.to;
    if (has_own || !span.is_change) continue;
    const int bar = static_cast<int>(bar_of(song.meter, Beats(span.from))) - 1;
    hits.insert(at, {span.from, step, 'x', bar, true});
  }
  return hits;
}

/// Down with the beat: in patterns that use every step the even ones, else the pulses.
Stroke stroke_of(const Song& song, const Hit& hit, bool fine) {
  if (hit.is_pulse) return Stroke::down;
  if (!fine) return Stroke::up;
  const Rational place = beat_in_bar(song.meter, Beats(hit.onset)).value / hit.step;
  return place.is_whole() && place.num() % 2 == 0 ? Stroke::down : Stroke::up;
}

}  // namespace

BandPart play_chords(const Song& song, const PitchRange& range) {
  BandPart part{song.pattern.table().comp, RegisterUse::apart, {}};
  const bool guitar = part.role == BandRole::guitar;
  const std::vector<Hit> hits = strikes_of(song);
  const int count = guitar || song.options.intensity == Intensity::sparse ? 3 : 4;
  const std::vector<Voicing> voicings = voicings_of(song, count, range);
  const Rational finest = song.pattern.plan().pulses.front().step;
  const bool fine = std::any_of(hits.begin(), hits.end(),
                                [&](const Hit& hit) { return !(hit.onset / (finest * Rational(2))).is_whole(); });
  for (std::size_t i = 0; i < hits.size(); ++i) {
    const Hit& hit = hits[i];
    const std::size_t index = song.span_at(hit.onset);
    const ChordSpan& span = song.spans[index];
    const Rational next = std::min(i + 1 < hits.size() ? hits[i + 1].onset : song.length, span.to);
    const bool accent = hit.letter == 'X' || hit.letter == 'S';
    const bool muted = hit.letter == 'P';
    const bool layer = !accent && !muted && hit.letter != 'x' && hit.letter != 's';
    BandNote note;
    note.onset = song.sounding(hit.onset);
    note.duration =
        song.sounding(is_brief(hit.letter) ? std::min(next, hit.onset + hit.step * Rational(2)) : next) + -note.onset;
    note.touch = accent                 ? BandTouch::accent
                 : muted                ? BandTouch::muted
                 : is_brief(hit.letter) ? BandTouch::brief
                                        : BandTouch::plain;
    note.velocity = song.velocity(accent  ? k_velocity_accent
                                  : layer ? k_velocity_layer
                                          : k_velocity_plain,
                                  part.role, i);
    if (guitar) note.stroke = stroke_of(song, hit, fine);
    for (const VoicedTone& tone : voicings[index]) {
      note.key = tone.midi;
      note.degree = tone.degree;
      part.notes.push_back(note);
    }
  }
  return part;
}

BandPart play_drone(const Song& song, const PitchRange& range) {
  BandPart part{BandRole::drone, RegisterUse::apart, {}};
  const int tonic = static_cast<int>(floor_mod(song.key.tonic().semitones(), 12));
  const int above = song.key.contains(tonic + 7) ? 7 : 12;
  int root = range.low;
  while (root % 12 != tonic) ++root;
  if (root + above > range.high) return part;
  const Rational turn = song.length / Rational(song.turns);
  for (int i = 0; i < song.turns; ++i) {
    BandNote note;
    note.onset = Beats(turn * Rational(i));
    note.duration = Beats(turn);
    note.tone = BandTone::pedal;
    note.velocity = k_velocity_drone;
    for (const int key : {root, root + above}) {
      note.key = key;
      part.notes.push_back(note);
    }
  }
  return part;
}

}  // namespace fretloom
