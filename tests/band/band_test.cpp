// The laws of the band, on vamps at random: what may sound where, who keeps out of whose way.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <map>
#include <set>
#include <thread>

#include "band/play_vamp.h"
#include "band/random_vamp.h"
#include "band/song.h"

namespace fretloom {
namespace {

Band played(const RandomVamp& random) {
  auto band = play_vamp(random.idea, random.options);
  if (!band) RC_FAIL(random.text + ": " + band.error().what);
  return *std::move(band);
}

const Chord& chord_of(const RandomVamp& random, const Rational& beat) {
  return chord_at(random.idea.vamp, random.idea.meter, Beats(beat))->chord;
}

int class_above(const Chord& chord, const Degree& degree) {
  return static_cast<int>(floor_mod(chord.root.semitones() + degree.semitones(), 12));
}

/// The chord parts' notes by onset.
using Strikes = std::map<Rational, std::vector<BandNote>>;
Strikes strikes_of(const Band& band) {
  Strikes strikes;
  for (const BandRole role : {BandRole::guitar, BandRole::keys}) {
    const BandPart* part = band.part(role);
    if (part == nullptr) continue;
    for (const BandNote& note : part->notes) strikes[note.onset.value].push_back(note);
  }
  return strikes;
}

/// Where another chord begins, round the loop: moment and the chord before.
std::vector<std::pair<Rational, const Chord*>> changes_of(const RandomVamp& random, const Band& band) {
  std::vector<std::pair<Rational, const Chord*>> changes;
  const Vamp& vamp = random.idea.vamp;
  const Rational turn = vamp.length(random.idea.meter).value;
  const Chord* before = &vamp.chords.back().chord;
  for (int i = 0; i < band.turns; ++i) {
    for (const VampChord& chord : vamp.chords) {
      if (chord.chord.symbol() != before->symbol())
        changes.emplace_back(turn * Rational(i) + chord.onset.value, before);
      before = &chord.chord;
    }
  }
  return changes;
}

RC_GTEST_PROP(Band, EveryNoteLiesInTheLoopAndCanBePlayed, ()) {
  const RandomVamp random = any_vamp();
  const Band band = played(random);
  RC_ASSERT(band.bars == band.turns * random.idea.vamp.bars);
  for (const BandPart& part : band.parts) {
    RC_ASSERT(!part.notes.empty());
    for (std::size_t i = 0; i < part.notes.size(); ++i) {
      const BandNote& note = part.notes[i];
      if (note.onset.value < Rational(0) || note.duration.value <= Rational(0) ||
          note.onset.value + note.duration.value > band.length.value)
        RC_FAIL(random.text + ": " + std::string(name(part.role)) + " at " + note.onset.value.to_string() + " +" +
                note.duration.value.to_string());
      RC_ASSERT(note.velocity >= 1 && note.velocity <= 127);
      if (i > 0) RC_ASSERT(std::pair(part.notes[i - 1].onset, part.notes[i - 1].key) < std::pair(note.onset, note.key));
    }
  }
}

RC_GTEST_PROP(Band, ChordsSoundTheirOwnTonesAlone, ()) {
  const RandomVamp random = any_vamp();
  for (const auto& [onset, notes] : strikes_of(played(random))) {
    const Chord& chord = chord_of(random, onset);
    std::set<int> classes;
    for (const BandNote& note : notes) {
      const bool named = std::find(chord.tones.begin(), chord.tones.end(), note.degree) != chord.tones.end();
      if (!named || note.key % 12 != class_above(chord, note.degree))
        RC_FAIL(random.text + ": " + std::to_string(note.key) + " in " + chord.symbol());
      classes.insert(note.key % 12);
    }
    // Guide tones are never left out.
    for (const Degree& tone : chord.tones) {
      if (tone.number == 3 || tone.number == 7) RC_ASSERT(classes.contains(class_above(chord, tone)));
    }
    RC_ASSERT(notes.size() <= 4U);
    if (chord.tones.size() >= 3) RC_ASSERT(notes.size() >= 3U);
  }
}

RC_GTEST_PROP(Band, CommonTonesStayAndVoicesDoNotCross, ()) {
  const RandomVamp random = any_vamp();
  const Band band = played(random);
  const Strikes strikes = strikes_of(band);
  const BandPart* bass = band.part(BandRole::bass);
  const BandPart* drone = band.part(BandRole::drone);
  // Round the end of the loop too.
  const std::vector<BandNote>* before = strikes.empty() ? nullptr : &strikes.rbegin()->second;
  for (const auto& [onset, notes] : strikes) {
    std::set<int> keys;
    for (const BandNote& note : notes) keys.insert(note.key);
    RC_ASSERT(keys.size() == notes.size());
    RC_ASSERT(*keys.begin() >= k_chord_range.low && *keys.rbegin() <= k_chord_range.high);
    for (std::size_t i = 0; before != nullptr && i < notes.size(); ++i) {
      std::set<int> old;
      for (const BandNote& note : *before) {
        if (note.key % 12 == notes[i].key % 12) old.insert(note.key);
      }
      if (!old.empty() && !std::any_of(old.begin(), old.end(), [&](int key) { return keys.contains(key); }))
        RC_FAIL(random.text + ": a common tone leaps at " + onset.to_string());
    }
    before = &notes;
  }
  if (bass == nullptr) return;
  for (const BandNote& note : bass->notes) RC_ASSERT(note.key < k_chord_range.low);
  for (std::size_t i = 0; drone != nullptr && i < drone->notes.size(); ++i)
    RC_ASSERT(drone->notes[i].key >= k_chord_range.low);
}

RC_GTEST_PROP(Band, TheBassPlaysRootsOnChangesAndLeadsIntoThem, ()) {
  const RandomVamp random = any_vamp();
  const Band band = played(random);
  const BandPart* bass = band.part(BandRole::bass);
  if (bass == nullptr) return;
  const auto lowest = [](const Chord& chord) { return floor_mod(chord.bass.value_or(chord.root).semitones(), 12); };
  for (const auto& [at, before] : changes_of(random, band)) {
    const auto root = std::find_if(bass->notes.begin(), bass->notes.end(),
                                   [&, at = at](const BandNote& n) { return n.onset.value == at; });
    const Chord& chord = chord_of(random, at);
    if (root == bass->notes.end() || root->key % 12 != lowest(chord))
      RC_FAIL(random.text + ": no root under " + chord.symbol() + " at " + at.to_string());
  }
  for (std::size_t i = 0; i < bass->notes.size(); ++i) {
    const BandNote& note = bass->notes[i];
    const BandNote& next = bass->notes[(i + 1) % bass->notes.size()];
    const Chord& chord = chord_of(random, note.onset.value);
    const int away = std::abs(note.key - next.key);
    switch (note.tone) {
      case BandTone::chord: RC_ASSERT(note.key % 12 == class_above(chord, note.degree)); break;
      case BandTone::slash_bass: RC_ASSERT(note.key % 12 == lowest(chord)); break;
      case BandTone::chromatic_approach: RC_ASSERT(away == 1); break;
      case BandTone::scale_approach: RC_ASSERT(away == 2 && random.idea.key.contains(note.key)); break;
      case BandTone::fifth_approach: RC_ASSERT(away == 7 || away == 5); break;
      default: RC_FAIL("a bass note of another part");
    }
    // An approach leads into a change, round the end of the loop too.
    if (note.tone != BandTone::chord && note.tone != BandTone::slash_bass)
      RC_ASSERT(chord_of(random, next.onset.value).symbol() != chord.symbol());
  }
}

RC_GTEST_PROP(Band, KicksStandOnBassNotes, ()) {
  const RandomVamp random = any_vamp();
  const Band band = played(random);
  const BandPart* bass = band.part(BandRole::bass);
  const BandPart* drums = band.part(BandRole::drums);
  if (bass == nullptr || drums == nullptr) return;
  std::set<Rational> onsets;
  for (const BandNote& note : bass->notes) onsets.insert(note.onset.value);
  for (const BandNote& note : drums->notes) {
    if (note.key == static_cast<int>(DrumKey::kick) && !onsets.contains(note.onset.value))
      RC_FAIL(random.text + ": a kick alone at " + note.onset.value.to_string());
  }
}

RC_GTEST_PROP(Band, DrumsRepeatByTheMeter, ()) {
  const RandomVamp random = any_vamp();
  const Band band = played(random);
  const BandPart* drums = band.part(BandRole::drums);
  if (drums == nullptr) return;
  const int beats = random.idea.meter.beats_per_bar();
  const int period =
      Pattern(*find_rhythm_table(random.idea.vamp.rhythm.name), random.idea.meter, random.options.bpm).period();
  std::vector<std::set<std::pair<Rational, int>>> bars(static_cast<std::size_t>(band.bars));
  std::set<std::size_t> special;
  for (const BandNote& note : drums->notes) {
    const auto bar = static_cast<std::size_t>(bar_of(random.idea.meter, note.onset) - 1);
    bars[bar].emplace(note.onset.value - Rational(static_cast<std::int64_t>(bar) * beats), note.key);
    if (note.touch == BandTouch::fill || note.key == static_cast<int>(DrumKey::crash)) special.insert(bar);
  }
  for (std::size_t bar = static_cast<std::size_t>(period); bar < bars.size(); ++bar) {
    const std::size_t earlier = bar % static_cast<std::size_t>(period);
    if (special.contains(bar) || special.contains(earlier)) continue;
    RC_ASSERT(bars[bar] == bars[earlier]);
  }
}

RC_GTEST_PROP(Band, AFillEndsEveryFourToSevenBars, ()) {
  const int bars = *rc::gen::inRange(1, 300);
  const std::vector<int> starts = phrase_starts(bars);
  RC_ASSERT(starts.empty() == (bars < 4));
  for (std::size_t i = 0; i < starts.size(); ++i) {
    const int end = i + 1 < starts.size() ? starts[i + 1] : bars;
    RC_ASSERT(end - starts[i] >= 4 && end - starts[i] <= 7);
  }
}

RC_GTEST_PROP(Band, KeepsOutOfTheLicksRegister, ()) {
  const RandomVamp random = any_vamp();
  const auto lick = register_of(random.idea);
  const Band band = played(random);
  if (!lick) return;
  for (const BandPart& part : band.parts) {
    if (part.role == BandRole::drums || part.registers == RegisterUse::shared) continue;
    for (const BandNote& note : part.notes) {
      if (random.options.lick_register == LickRegister::keep_clear && lick->contains(note.key))
        RC_FAIL(random.text + ": " + std::string(name(part.role)) + " plays " + std::to_string(note.key));
    }
  }
  // Chords share it only where no octave of their own is left.
  for (const BandRole role : {BandRole::guitar, BandRole::keys}) {
    const BandPart* part = band.part(role);
    if (part == nullptr || random.options.lick_register == LickRegister::may_share) continue;
    const bool has_room = lick->low - k_chord_range.low >= 12 || k_chord_range.high - lick->high >= 12;
    RC_ASSERT((part->registers == RegisterUse::apart) == has_room);
  }
}

RC_GTEST_PROP(Band, TheSameSeedPlaysTheSameOnEveryThread, ()) {
  const RandomVamp random = any_vamp();
  const Band band = played(random);
  Band other;
  std::thread([&] { other = play_vamp(random.idea, random.options).value(); }).join();
  RC_ASSERT(band == other);
}

TEST(Band, AnotherSeedVariesIt) {
  const IdeaSheet idea = vamp_idea("sixteenths", "4/4", "Em7 | A7");
  BandOptions options;
  std::set<std::string> texts;
  for (options.seed = 1; options.seed <= 5; ++options.seed)
    texts.insert(to_text(play_vamp(idea, options).value(), idea.meter));
  EXPECT_EQ(texts.size(), 5U);
}

TEST(Band, MoreIntensityMeansMoreNotes) {
  for (const VampRhythm& rhythm : vamp_rhythms()) {
    if (rhythm.name == "drone") continue;
    for (const char* meter : {"4/4", "12/8"}) {
      const IdeaSheet idea = vamp_idea(std::string(rhythm.name), meter, "Em7 | A7");
      std::size_t before = 0;
      for (const Intensity intensity : {Intensity::sparse, Intensity::medium, Intensity::full}) {
        BandOptions options;
        options.intensity = intensity;
        std::size_t notes = 0;
        const Band band = play_vamp(idea, options).value();
        for (const BandPart& part : band.parts) notes += part.notes.size();
        EXPECT_GE(notes, before) << rhythm.name << ' ' << meter << ' ' << name(intensity);
        before = notes;
      }
    }
  }
}

/// From medium on, every change of the bass has its approach where the tempo leaves time.
TEST(Band, AnApproachLeadsIntoEveryChange) {
  for (const VampRhythm& rhythm : vamp_rhythms()) {
    if (rhythm.name == "drone" || rhythm.name == "held") continue;
    for (const char* meter : {"4/4", "3/4", "6/8", "12/8", "5/4", "7/8", "2+2+3/8"}) {
      const IdeaSheet idea = vamp_idea(std::string(rhythm.name), meter, "Em7 | C#m7b5 | D/F# | A7");
      const Band band = play_vamp(idea, {}).value();
      const auto& notes = band.part(BandRole::bass)->notes;
      int approaches = 0;
      for (const BandNote& note : notes)
        approaches += note.tone != BandTone::chord && note.tone != BandTone::slash_bass ? 1 : 0;
      EXPECT_EQ(approaches, band.bars) << rhythm.name << ' ' << meter;
    }
  }
}

TEST(Band, FillsStandInTheirBars) {
  for (const Intensity intensity : {Intensity::sparse, Intensity::medium, Intensity::full}) {
    for (const VampRhythm& rhythm : vamp_rhythms()) {
      if (rhythm.name == "drone" || rhythm.name == "held") continue;  // no snare drum to play them on
      const IdeaSheet idea = vamp_idea(std::string(rhythm.name), "4/4", "Em7 | A7 | D | E");
      BandOptions options;
      options.intensity = intensity;
      const Band band = play_vamp(idea, options).value();
      std::set<std::int64_t> bars;
      ASSERT_NE(band.part(BandRole::drums), nullptr);
      for (const BandNote& note : band.part(BandRole::drums)->notes) {
        if (note.touch == BandTouch::fill) bars.insert(bar_of(idea.meter, note.onset));
      }
      EXPECT_EQ(bars, (std::set<std::int64_t>{4, 8})) << rhythm.name;
    }
  }
}

TEST(Band, PlaysEveryChordThatTheoryKnows) {
  for (const std::string_view quality : chord_qualities()) {
    for (const char* root : {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}) {
      const std::string symbol = root + std::string(quality);
      for (const char* rhythm : {"halves", "eighths"}) {
        const IdeaSheet idea = vamp_idea(rhythm, "4/4", symbol);
        const Band band = play_vamp(idea, {}).value();
        const auto strikes = strikes_of(band);
        ASSERT_FALSE(strikes.empty()) << symbol;
        EXPECT_EQ(
            strikes.begin()->second.size(),
            rhythm[0] == 'h' ? std::clamp<std::size_t>(chord_of({idea, {}, ""}, Rational(0)).tones.size(), 3, 4) : 3U)
            << symbol;
      }
    }
  }
}

TEST(Band, AModeWithoutChordsHasItsOwnVamp) {
  for (const Mode& mode : modes()) {
    IdeaSheet idea = vamp_idea("eighths", "5/4", "C", "F# " + std::string(mode.name));
    const Vamp own = parse_vamp(default_vamp(idea.key), idea.meter).value();
    idea.vamp.chords.clear();
    const Band bare = play_vamp(idea, {}).value();
    idea.vamp.chords = own.chords;
    idea.vamp.bars = own.bars;
    EXPECT_EQ(bare, play_vamp(idea, {}).value()) << mode.name;
  }
}

TEST(Band, EveryRhythmWordHasItsTable) {
  ASSERT_EQ(vamp_rhythms().size(), rhythm_tables().size());
  for (const VampRhythm& rhythm : vamp_rhythms()) EXPECT_NE(find_rhythm_table(rhythm.name), nullptr) << rhythm.name;
}

/// Letters and lengths of the tables: a typing slip would be silence.
TEST(Band, TheTablesAreWellFormed) {
  const auto check = [](std::string_view name, std::string_view lane, std::size_t steps, std::string_view letters) {
    if (lane.empty()) return;
    std::string text(lane);
    std::replace(text.begin(), text.end(), '|', ' ');
    std::size_t cell = 0;
    for (const char c : text + " ") {
      if (c == ' ') {
        EXPECT_EQ(cell, steps) << name << ": " << lane;
        cell = 0;
      } else {
        EXPECT_NE(letters.find(c), std::string_view::npos) << name << ": " << lane;
        ++cell;
      }
    }
    EXPECT_EQ(std::count(text.begin(), text.end(), ' ') % 4, 3) << name << ": " << lane;
  };
  for (const RhythmTable& table : rhythm_tables()) {
    for (const auto& [lanes, steps] : {std::pair(table.simple, 4), std::pair(table.long_cells, 6)}) {
      const auto size = static_cast<std::size_t>(steps);
      check(table.name, lanes.chords, size, ".XxmfSstuP");
      check(table.name, lanes.bass, size, ".R58wrqeg");
      check(table.name, lanes.kick, size, ".Xxmfog");
      check(table.name, lanes.snare, size, ".Xxmfogkp");
      check(table.name, lanes.cymbal, size, ".XxmfO");
    }
  }
}

TEST(Band, RefusesWhatCannotBePlayed) {
  IdeaSheet idea = vamp_idea("eighths", "4/4", "Em7 | A7");
  BandOptions options;
  options.bpm = Rational(601);
  EXPECT_EQ(play_vamp(idea, options).error().repair, "600");
  options.bpm = Rational(9);
  EXPECT_EQ(play_vamp(idea, options).error().repair, "10");
  options.bpm = Rational(120);
  options.turns = 65;
  EXPECT_FALSE(play_vamp(idea, options));
  options.turns = 1;
  idea.vamp.bars = 3;
  EXPECT_FALSE(play_vamp(idea, options));
  idea = vamp_idea("eighths", "4/4", "Em7 | A7");
  idea.vamp.rhythm = {"unheard of", "", Rational(0), 1, ""};
  EXPECT_FALSE(play_vamp(idea, options));
}

/// A lick that leaves no room is told, not played over; what was asked to share does.
TEST(Band, ALickOnTheBassLeavesTheBassOut) {
  IdeaSheet idea = vamp_idea("eighths", "4/4", "Em7 | A7");
  add_lick(idea, 28, 55);
  const Band without = play_vamp(idea, {}).value();
  EXPECT_EQ(without.part(BandRole::bass), nullptr);
  BandOptions options;
  options.lick_register = LickRegister::may_share;
  const Band sharing = play_vamp(idea, options).value();
  EXPECT_EQ(sharing.part(BandRole::bass)->registers, RegisterUse::shared);
  idea.feels.clear();
  add_lick(idea, 40, 83);
  const Band band = play_vamp(idea, {}).value();
  for (const BandNote& note : band.part(BandRole::bass)->notes) EXPECT_LT(note.key, 40);
  EXPECT_EQ(band.part(BandRole::guitar)->registers, RegisterUse::shared);
}

/// Nothing follows itself faster than a hand can: at 600 beats a minute a drum is struck at most twelve times a second.
TEST(Band, StaysPlayableAtAnyTempo) {
  for (const VampRhythm& rhythm : vamp_rhythms()) {
    for (const char* meter : {"4/4", "1/16", "12/8", "7/8", "5/4", "12/16", "2/2"}) {
      for (const int bpm : {10, 60, 120, 240, 400, 600}) {
        const IdeaSheet idea = vamp_idea(std::string(rhythm.name), meter, "Em7");
        BandOptions options;
        options.bpm = Rational(bpm);
        options.intensity = Intensity::full;
        const Band band = play_vamp(idea, options).value();
        const BandPart* drums = band.part(BandRole::drums);
        if (drums == nullptr) continue;
        std::map<int, Rational> last;
        for (const BandNote& note : drums->notes) {
          const auto before = last.find(note.key);
          if (before != last.end()) {
            const Rational seconds = (note.onset.value - before->second) * Rational(60) / Rational(bpm);
            EXPECT_GE(seconds.to_double(), 1.0 / 12.01) << rhythm.name << ' ' << meter << ' ' << bpm;
          }
          last[note.key] = note.onset.value;
        }
      }
    }
  }
}

TEST(BarPlan, FeelsBarsAsPlayersDo) {
  const auto plan = [](const char* meter, int bpm) {
    std::string text;
    const BarPlan bar = plan_bar(parse_meter(meter).value(), Rational(bpm), ThreeFeel::back_beats);
    for (std::size_t i = 0; i < bar.pulses.size(); ++i) {
      const Pulse pulse = bar.pulse(0, i);
      text += (i > 0 ? " " : "") + pulse.onset.to_string() + ":" + std::to_string(pulse.steps) + "/" +
              std::to_string(pulse.role);
    }
    return text;
  };
  EXPECT_EQ(plan("4/4", 120), "0:4/0 1:4/1 2:4/2 3:4/3");
  EXPECT_EQ(plan("3/4", 120), "0:4/0 1:4/1 2:4/3");
  EXPECT_EQ(plan("5/4", 120), "0:4/0 1:4/1 2:4/3 3:4/0 4:4/1");
  EXPECT_EQ(plan("7/8", 240), "0:4/0 2:4/1 4:6/3");
  EXPECT_EQ(plan("3+2+2/8", 240), "0:6/0 3:4/1 5:4/3");
  EXPECT_EQ(plan("12/8", 90), "0:6/0 1:6/1 2:6/2 3:6/3");
  EXPECT_EQ(plan("6/8", 60), "0:6/0 1:6/1");
  EXPECT_EQ(plan("1/16", 240), "0:1/0");
  EXPECT_EQ(plan("2/2", 80), "0:4/0 1/2:4/1 1:4/2 3/2:4/3");
  EXPECT_EQ(plan("4/4", 400), "0:4/0 2:4/1");                                 // cut time
  EXPECT_EQ(plan("6/8", 15), "0:4/0 1/3:4/1 2/3:4/3 1:4/0 4/3:4/1 5/3:4/3");  // counted in six
}

RC_GTEST_PROP(BarPlan, PulsesFillTheBar, ()) {
  const RandomVamp random = any_vamp();
  const BarPlan plan = plan_bar(random.idea.meter, random.options.bpm, ThreeFeel::middle);
  Rational at;
  for (const Pulse& pulse : plan.pulses) {
    RC_ASSERT(pulse.onset == at && pulse.steps >= 1 && pulse.steps <= 6);
    at = pulse.end();
  }
  RC_ASSERT(at == Rational(random.idea.meter.beats_per_bar()));
  for (const auto& roles : plan.roles) RC_ASSERT(roles.size() == plan.pulses.size());
}

}  // namespace
}  // namespace fretloom
