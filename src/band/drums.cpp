#include <algorithm>
#include <array>
#include <map>

#include "band/chance.h"
#include "band/song.h"

namespace fretloom {

namespace {

/// How a letter is struck on its lane.
struct Struck {
  DrumKey key;
  int velocity;
  BandTouch touch;
};

Struck struck(const Song& song, std::string_view Lanes::*lane, char letter) {
  const bool sparse = song.options.intensity == Intensity::sparse;
  if (letter == 'k') return {DrumKey::side_stick, 84, BandTouch::plain};
  if (letter == 'p') return {DrumKey::pedal_hat, 62, BandTouch::plain};
  if (letter == 'O' && !sparse) return {DrumKey::open_hat, 78, BandTouch::accent};
  const bool ghost = letter == 'o' || letter == 'g';
  const bool accent = letter == 'X';
  const BandTouch touch = ghost ? BandTouch::ghost : accent ? BandTouch::accent : BandTouch::plain;
  const int layer = letter == 'm' ? 1 : letter == 'f' ? 2 : 0;
  if (lane == &Lanes::kick) return {DrumKey::kick, ghost ? 44 : accent ? 108 : 98 - 8 * layer, touch};
  if (lane == &Lanes::snare) return {DrumKey::snare, ghost ? 32 : accent ? 106 : 94 - 8 * layer, touch};
  return {song.pattern.table().cymbal, accent ? 82 : 70 - 8 * layer, touch};
}

/// Fills by letters: s snare, h m l high, middle and low tom. Common practice, no source.
struct Fill {
  std::string_view simple;  ///< steps of a pulse of four
  std::string_view longer;  ///< of a pulse of six
};
constexpr std::array k_sparse_fills = {Fill{"..ss", "....ss"}, Fill{"s.s.", "s...s."}};
constexpr std::array k_medium_fills = {Fill{"s.ss", "s.s.ss"}, Fill{"ssss", "s.ssss"}, Fill{"ss.l", "s.s.l."},
                                       Fill{"shml", "s.h.ml"}};
constexpr std::array k_opening_fills = {Fill{"ssss", "ssssss"}, Fill{"sshh", "s.s.hh"}, Fill{"s.ss", "s.ssss"}};
constexpr std::array k_closing_fills = {Fill{"hmml", "hhmmll"}, Fill{"mmll", "m.m.ll"}, Fill{"hmls", "h.m.ls"}};

DrumKey fill_key(char letter) {
  switch (letter) {
    case 'h': return DrumKey::high_tom;
    case 'm': return DrumKey::middle_tom;
    case 'l': return DrumKey::low_tom;
    default: return DrumKey::snare;
  }
}

class Drummer {
 public:
  explicit Drummer(const Song& song) : song_(song), fills_(has_fills(song)) {
    if (!fills_) return;
    starts_ = phrase_starts(song.bars);
    for (std::size_t i = 0; i < starts_.size(); ++i)
      find_fill((i + 1 < starts_.size() ? starts_[i + 1] : song.bars) - 1);
  }

  BandPart play() {
    for (const auto lane : {&Lanes::kick, &Lanes::snare, &Lanes::cymbal}) {
      for (const Hit& hit : song_.hits(lane)) play_hit(lane, hit);
    }
    for (const auto& [bar, pulses] : fill_pulses_) play_fill(bar, pulses);
    play_crashes();
    BandPart part{BandRole::drums, RegisterUse::apart, {}};
    std::size_t place = 0;
    for (auto& [at, note] : strokes_) {
      note.velocity = song_.velocity(note.velocity, BandRole::drums, place++);
      part.notes.push_back(note);
    }
    return part;
  }

 private:
  /// A drummer whose pattern has no snare drum plays no fill on it.
  static bool has_fills(const Song& song) {
    return song.pattern.table().simple.snare.find_first_of("Xxko") != std::string_view::npos;
  }

  /// The pulses that a fill takes: the last, at full intensity the last two of three and more.
  void find_fill(int bar) {
    const std::vector<Pulse> pulses = song_.pattern.pulses(bar);
    const std::size_t count = song_.options.intensity == Intensity::full && pulses.size() > 2 ? 2 : 1;
    fill_pulses_[bar] = {pulses.end() - static_cast<std::ptrdiff_t>(count), pulses.end()};
  }

  [[nodiscard]] Rational bar_start(int bar) const {
    return Rational(static_cast<std::int64_t>(bar) * song_.meter.beats_per_bar());
  }

  [[nodiscard]] bool in_fill(const Hit& hit) const {
    const auto fill = fill_pulses_.find(hit.bar);
    return fill != fill_pulses_.end() && hit.onset >= bar_start(hit.bar) + fill->second.front().onset;
  }

  void play_hit(std::string_view Lanes::*lane, const Hit& hit) {
    if (lane != &Lanes::kick && in_fill(hit)) return;
    const Struck how = struck(song_, lane, hit.letter);
    add(hit.onset, hit.step, how);
  }

  void add(const Rational& onset, const Rational& step, const Struck& how) {
    BandNote note;
    note.onset = song_.sounding(onset);
    note.duration = song_.sounding(onset + step) + -note.onset;
    note.key = static_cast<int>(how.key);
    note.velocity = how.velocity;
    note.touch = how.touch;
    note.tone = BandTone::drum;
    strokes_[{note.onset.value, note.key}] = note;
  }

  template <std::size_t N>
  [[nodiscard]] const Fill& choose(const std::array<Fill, N>& fills, int bar, std::size_t pulse) const {
    const auto place = static_cast<std::int64_t>(bar) * 2 + static_cast<std::int64_t>(pulse);
    return fills[static_cast<std::size_t>(chance(song_.options.seed, Question::fill, place, N))];
  }

  void play_fill(int bar, const std::vector<Pulse>& pulses) {
    for (std::size_t i = 0; i < pulses.size(); ++i) {
      const Fill& fill = song_.options.intensity == Intensity::sparse   ? choose(k_sparse_fills, bar, i)
                         : song_.options.intensity == Intensity::medium ? choose(k_medium_fills, bar, i)
                         : i + 1 < pulses.size()                        ? choose(k_opening_fills, bar, i)
                                                                        : choose(k_closing_fills, bar, i);
      const std::string_view letters = pulses[i].steps > 4 ? fill.longer : fill.simple;
      bool is_played = false;
      for (int step = 0; step < pulses[i].steps; ++step) {
        const char letter = letters[static_cast<std::size_t>(step)];
        if (letter == '.' || !song_.pattern.is_playable(pulses[i], step)) continue;
        play_fill_stroke(bar, pulses[i], step, letter);
        is_played = true;
      }
      if (!is_played) play_fill_stroke(bar, pulses[i], 0, 's');
    }
  }

  void play_fill_stroke(int bar, const Pulse& pulse, int step, char letter) {
    const Rational onset = bar_start(bar) + pulse.onset + pulse.step * Rational(step);
    add(onset, pulse.step, {fill_key(letter), step == 0 ? 98 : 86 + 2 * step, BandTouch::fill});
  }

  /// A crash opens the phrase after a fill, in the place of the cymbal's stroke.
  void play_crashes() {
    if (song_.options.intensity == Intensity::sparse) return;
    for (const int bar : starts_) {
      const Rational onset = bar_start(bar);
      strokes_.erase({onset, static_cast<int>(song_.pattern.table().cymbal)});
      add(onset, song_.pattern.plan().pulses.front().step, {DrumKey::crash, 96, BandTouch::accent});
    }
  }

  const Song& song_;
  bool fills_;
  std::vector<int> starts_;
  std::map<int, std::vector<Pulse>> fill_pulses_;         ///< by bar
  std::map<std::pair<Rational, int>, BandNote> strokes_;  ///< by sounding onset and key
};

}  // namespace

std::vector<int> phrase_starts(int bars) {
  std::vector<int> starts;
  const int phrases = bars / 4;
  if (phrases == 0) return starts;
  const int shorter = phrases - bars % phrases;
  for (int i = 0; i < phrases; ++i) starts.push_back(i * (bars / phrases) + std::max(0, i - shorter));
  return starts;
}

BandPart play_drums(const Song& song) {
  const Lanes& lanes = song.pattern.table().simple;
  if (lanes.kick.empty() && lanes.snare.empty() && lanes.cymbal.empty())
    return {BandRole::drums, RegisterUse::apart, {}};
  return Drummer(song).play();
}

}  // namespace fretloom
