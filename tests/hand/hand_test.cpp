// Strokes, proof, repair and endings: the worked examples of the design, and the parity theorem against
// enumeration.

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <set>
#include <string>
#include <vector>

#include "hand/ending.h"
#include "hand/proof.h"
#include "hand/repair.h"
#include "hand/strokes.h"

namespace fretloom {
namespace {

Neck standard() { return {*parse_tuning("standard"), 24, Millimetres(648), 0}; }

/// A lick on three notes a string in standard tuning.
struct Scene {
  Ground ground;
  Lick lick;
  Phrase phrase;

  Scene(const std::string& key, int from, RuleKind kind, const std::string& rule, std::optional<int> repeats,
        Back back = Back::none)
      : ground{*parse_key(key), standard(), *make_layout(*parse_key(key), standard(), LayoutRule{.from = from})} {
    lick.rule = *parse_rule(kind, rule);
    if (kind == RuleKind::sequence) lick.carry = {0, 1};
    lick.repeats = repeats;
    lick.back = back;
    std::vector<Remark> remarks;
    phrase = expand(ground, lick, remarks).value_or(Phrase{});
  }

  [[nodiscard]] std::vector<Change> changes_after(Clear clear, Stroke first = Stroke::down) const {
    return changes(phrase.notes, assign_strokes(phrase.notes, Picking::alternate, first), clear);
  }

  [[nodiscard]] std::vector<EndingOption> endings(int notes_per_beat, const std::string& chords,
                                                  std::optional<EndingKind> wish = std::nullopt) const {
    const Meter meter = *parse_meter("4/4");
    const EndingRequest request{Rational(0), notes_per_beat, meter, std::nullopt, std::nullopt};
    EndingContext context;
    context.meter = meter;
    context.notes_per_beat = notes_per_beat;
    context.blocked = count_blocked(changes_after(Clear::upstroke));
    context.wish = wish;
    return rank_endings(propose_endings(ground, lick, phrase, request), ground.key, *parse_vamp(chords, meter),
                        context);
  }
};

Scene worked(Back back = Back::none) { return {"E dorian", 12, RuleKind::cell, "1 3 2 3 + 2 1", std::nullopt, back}; }

// --- The worked example --------------------------------------------------------------------------

TEST(WorkedExample, StrokesAlternateThroughout) {
  const Scene scene = worked();
  std::string strokes;
  for (const auto& stroke : assign_strokes(scene.phrase.notes, Picking::alternate, Stroke::down))
    strokes += letter(*stroke);
  std::string wanted;
  for (int i = 0; i < 15; ++i) wanted += "DU";
  EXPECT_EQ(strokes, wanted);
}

TEST(WorkedExample, EveryChangeIsInsideAfterAnUpstroke) {
  const std::vector<Change> found = worked().changes_after(Clear::upstroke);
  std::vector<int> after;
  for (const Change& change : found) {
    after.push_back(change.after_note);
    EXPECT_EQ(change.last, Stroke::up);
    EXPECT_EQ(change.first, Stroke::down);
    EXPECT_EQ(change.type, ChangeType::inside);
    EXPECT_EQ(change.from, change.to + 1);
  }
  EXPECT_EQ(after, (std::vector<int>{4, 10, 16, 22, 28}));
  EXPECT_EQ(count_blocked(found), 0);
  EXPECT_EQ(count_blocked(found, Clear::downstroke), 5);
  EXPECT_EQ(count_blocked(worked().changes_after(Clear::downstroke)), 5);
}

TEST(WorkedExample, IsProvedOpenAndLooped) {
  const Scene scene = worked();
  const Proof proof =
      prove(scene.phrase.notes, scene.changes_after(Clear::upstroke), Picking::alternate, Clear::upstroke);
  EXPECT_FALSE(proof.counter_example.has_value());
  EXPECT_EQ(proof.looped, true);
  const std::string sentence = parity_sentence(proof);
  EXPECT_NE(sentence.find("Every string change follows an upstroke"), std::string::npos) << sentence;
  EXPECT_NE(sentence.find("4 6 6 6 6 2"), std::string::npos) << sentence;
}

TEST(WorkedExample, IsRepairedByStartingWithAnUpstroke) {
  const Scene scene = worked();
  EXPECT_FALSE(repair(scene.lick.rule, scene.phrase, Picking::alternate, Stroke::down, Clear::upstroke).has_value());
  const auto found = repair(scene.lick.rule, scene.phrase, Picking::alternate, Stroke::down, Clear::downstroke);
  ASSERT_TRUE(found.has_value());
  EXPECT_TRUE(found->possible);
  EXPECT_EQ(found->first_stroke, Stroke::up);
  EXPECT_EQ(found->slurs, 0);
  EXPECT_EQ(found->rule, scene.lick.rule.text);
  EXPECT_EQ(count_blocked(scene.changes_after(Clear::downstroke, Stroke::up)), 0);
}

TEST(WorkedExample, ReturnsOutsideAfterUpstrokes) {
  const std::vector<Change> retrograde = worked(Back::retrograde).changes_after(Clear::upstroke);
  ASSERT_EQ(retrograde.size(), 10U);
  for (std::size_t i = 5; i < 10; ++i) {
    EXPECT_EQ(retrograde[i].type, ChangeType::outside);
    EXPECT_EQ(retrograde[i].last, Stroke::up);
  }
  EXPECT_EQ(count_blocked(retrograde), 0);
  const std::vector<Change> mirrored = worked(Back::mirrored).changes_after(Clear::upstroke);
  ASSERT_GE(mirrored.size(), 10U);
  for (const Change& change : mirrored) {
    if (change.after_note > 30) {
      EXPECT_EQ(change.type, ChangeType::outside) << change.after_note;
    }
  }
}

TEST(WorkedExample, EndsOnTheFifthAtFourABeat) {
  const std::vector<EndingOption> found = worked().endings(4, "Em7 | A7");
  ASSERT_FALSE(found.empty());
  const EndingOption& fill = found.front();
  EXPECT_EQ(fill.ending.kind, EndingKind::fill);
  EXPECT_EQ(fill.ending.slot, 32);
  EXPECT_EQ(to_text(fill.fill), "1: 15 17");
  EXPECT_EQ(to_text({fill.landing}), "1: 19");
  EXPECT_EQ(fill.landing.pitch.pitch_class.name(), "B");
  EXPECT_EQ(fill.ending.harmony.role, HarmonicRole::chord_tone);
  EXPECT_EQ(fill.ending.harmony.degree, "5");
  EXPECT_EQ(fill.strokes.back(), Stroke::down);
  EXPECT_EQ(fill.strokes.size(), 33U);
  EXPECT_EQ(fill.ending.units_changed, 2);
  EXPECT_EQ(reason(fill, *parse_meter("4/4"), 4),
            "2 more notes along the layout; B, the 5th of Em7, on beat 1 of bar 3, 1 step on in the same direction, "
            "a downstroke");
}

TEST(WorkedExample, EndsOnTheFifthAtSixABeat) {
  const std::vector<EndingOption> found = worked().endings(6, "Em7 | A7");
  ASSERT_FALSE(found.empty());
  const EndingOption& fill = found.front();
  EXPECT_EQ(fill.ending.kind, EndingKind::fill);
  EXPECT_EQ(fill.ending.slot, 36);
  EXPECT_EQ(to_text(fill.fill), "1: 15 17 15 14 | 2: 17 15");
  EXPECT_EQ(to_text({fill.landing}), "2: 17");
  EXPECT_EQ(fill.landing.pitch.pitch_class.name(), "E");
  EXPECT_EQ(fill.ending.harmony.role, HarmonicRole::chord_tone);
  EXPECT_EQ(fill.ending.harmony.degree, "5");
  EXPECT_EQ(fill.ending.blocked(), 0);
  EXPECT_EQ(fill.strokes.back(), Stroke::down);
}

// --- Endings -------------------------------------------------------------------------------------

/// The three repetitions end on slot 18; the next strong slot is 24, the next beat 20, and 16 lies in the last one.
TEST(Endings, EveryKindSaysWhyInPlainWords) {
  const Scene scene("E dorian", 12, RuleKind::cell, "1 3 2 3 + 2 1", 3);
  std::vector<std::string> reasons;
  for (const EndingOption& option : scene.endings(4, "Em7 | A7"))
    reasons.push_back(reason(option, *parse_meter("4/4"), 4));
  EXPECT_EQ(reasons, (std::vector<std::string>{
                         "2 more notes along the layout; A, the root of A7, on beat 2 of bar 2, 1 step back, "
                         "a downstroke",
                         "the last note is held for 3/4 of a beat; A, the root of A7, on beat 2 of bar 2, 1 step on "
                         "in the same direction, a downstroke",
                         "the whole idea starts half a beat later; A, the root of A7, on beat 2 of bar 2, 1 step on "
                         "in the same direction, a downstroke",
                         "the last note is held for 1 3/4 beats; A, the root of A7, on beat 3 of bar 2, 1 step on in "
                         "the same direction, a downstroke",
                         "the whole idea starts 1 1/2 beats later; A, the root of A7, on beat 3 of bar 2, 1 step on "
                         "in the same direction, a downstroke",
                         "the last time through is cut short by half a beat; A, the root of A7, on beat 1 of bar 2, "
                         "2 steps on in the same direction, a downstroke",
                         "6 more notes along the layout; A, the root of A7, on beat 3 of bar 2, 2 steps on in the "
                         "same direction, a downstroke",
                     }));
}

TEST(Endings, AWishComesFirstWhereItCanBeMet) {
  const Scene scene("E dorian", 12, RuleKind::cell, "1 3 2 3 + 2 1", 3);
  const std::vector<EndingOption> late = scene.endings(4, "Em7 | A7", EndingKind::late);
  ASSERT_EQ(late.size(), 7U);
  EXPECT_EQ(late[0].ending.kind, EndingKind::late);
  EXPECT_EQ(late[1].ending.kind, EndingKind::late);
  EXPECT_EQ(late[2].ending.kind, EndingKind::fill);
  // The whole idea has no landing slot in its last repetition: nothing to trim at.
  const std::vector<EndingOption> trim = worked().endings(4, "Em7 | A7", EndingKind::trim);
  EXPECT_FALSE(has_kind(trim, EndingKind::trim));
  EXPECT_EQ(trim.front().ending.kind, EndingKind::fill);
}

TEST(Endings, TheLastNoteAgainIsARootOnly) {
  // Sixteen units, so that the phrase ends on a landing slot: the last note is E (5: 14 is B, 6: 12 is E).
  const Scene scene("E dorian", 12, RuleKind::cell, "3 2 3 2 3 2 3 1", 1);
  const std::vector<EndingOption> on_root = scene.endings(4, "Em7");
  ASSERT_EQ(on_root.size(), 1U);
  EXPECT_EQ(to_text({on_root.front().landing}), "6: 12");
  EXPECT_EQ(on_root.front().ending.steps, 0);
  EXPECT_FALSE(on_root.front().ending.same_direction);
  EXPECT_EQ(reason(on_root.front(), *parse_meter("4/4"), 4),
            "no more notes are needed; E, the root of Em7, on beat 3 of bar 1, the same note again, a downstroke");
  EXPECT_NE(to_text({scene.endings(4, "C").front().landing}), "6: 12");
}

// --- A sequence over two chords ------------------------------------------------------------------

TEST(Phrygian, ASequenceMeetsTheChordsOnBeats) {
  const Scene scene("B phrygian", 7, RuleKind::sequence, "1 2 3 4", 8);
  ASSERT_EQ(scene.phrase.notes.size(), 32U);
  // Worked out by hand: Bm7 is B D F# A, Cmaj7 C E G B.
  constexpr std::array k_names = {"B", "C", "D", "E", "F#", "G", "A", "B"};
  constexpr std::array k_chord_tone = {true, false, true, false, false, true, false, true};
  const std::array chords = {*parse_chord("Bm7"), *parse_chord("Cmaj7")};
  for (std::size_t beat = 0; beat < k_names.size(); ++beat) {
    const LickNote& note = scene.phrase.notes[4 * beat];
    EXPECT_EQ(note.unit, static_cast<int>(4 * beat));
    EXPECT_EQ(note.pitch.pitch_class.name(), k_names[beat]);
    const bool tone = harmony(scene.ground.key, chords[beat / 4], note.pitch).role == HarmonicRole::chord_tone;
    EXPECT_EQ(tone, k_chord_tone[beat]) << "beat " << beat;
  }
}

TEST(Phrygian, LandsBackOnTheFirstChord) {
  const Scene scene("B phrygian", 7, RuleKind::sequence, "1 2 3 4", 8);
  const std::vector<EndingOption> found = scene.endings(4, "Bm7 | Cmaj7");
  ASSERT_FALSE(found.empty());
  EXPECT_EQ(found.front().ending.kind, EndingKind::fill);
  EXPECT_TRUE(found.front().fill.empty());
  EXPECT_EQ(found.front().ending.slot, 32);
  const Meter meter = *parse_meter("4/4");
  const Vamp vamp = *parse_vamp("Bm7 | Cmaj7", meter);
  const VampChord* chord = chord_at(vamp, meter, Beats(Rational(32, 4)));
  ASSERT_NE(chord, nullptr);
  EXPECT_EQ(chord->chord.symbol(), "Bm7");
  EXPECT_EQ(harmony(scene.ground.key, chord->chord, *parse_pitch("C5")).role, HarmonicRole::avoid);
  // The landing is a chord tone of Bm7, so it is not that C.
  EXPECT_EQ(found.front().ending.harmony.role, HarmonicRole::chord_tone);
}

// --- The parity theorem --------------------------------------------------------------------------

/// Visits with these picked counts on these strings; every other visit has a slurred note besides.
std::vector<LickNote> phrase_of(const std::array<int, 6>& picked, const std::array<int, 6>& strings) {
  std::vector<LickNote> notes;
  for (std::size_t v = 0; v < picked.size(); ++v) {
    for (int i = 0; i < picked[v]; ++i) {
      LickNote note;
      note.string = strings[v];
      note.fret = 5 + i;
      notes.push_back(note);
    }
    if (v % 2 == 1) {
      LickNote slurred = notes.back();
      slurred.attack = Attack::hammer;
      ++slurred.fret;
      notes.push_back(slurred);
    }
  }
  return notes;
}

/// The strokes before every string change of `cycles` cycles, played one after the other.
std::set<char> strokes_before_changes(const std::vector<LickNote>& cycle, int cycles) {
  std::set<char> found;
  char next = 'D';
  char last = 0;
  int string = 0;
  for (int c = 0; c < cycles; ++c) {
    for (const LickNote& note : cycle) {
      if (string != 0 && note.string != string) found.insert(last);
      string = note.string;
      if (note.attack != Attack::pick) continue;
      last = next;
      next = next == 'D' ? 'U' : 'D';
    }
  }
  return found;
}

TEST(Parity, TheoremEqualsEnumeration) {
  // The second row's last and first visit are one string: looped they merge.
  constexpr std::array<std::array<int, 6>, 3> k_strings = {
      {{6, 5, 4, 3, 2, 1}, {3, 2, 1, 2, 1, 3}, {2, 1, 2, 1, 2, 1}}};
  int holds = 0;
  int loops = 0;
  for (const auto& strings : k_strings) {
    for (int cell = 0; cell < 729; ++cell) {
      std::array<int, 6> picked{};
      for (int v = 0, rest = cell; v < 6; ++v, rest /= 3) picked[static_cast<std::size_t>(v)] = 1 + rest % 3;
      const std::vector<LickNote> notes = phrase_of(picked, strings);
      const auto found = changes(notes, assign_strokes(notes, Picking::alternate, Stroke::down), Clear::upstroke);
      ASSERT_EQ(found.size(), 5U);
      const Proof proof = prove(notes, found, Picking::alternate, Clear::upstroke);
      const bool open = strokes_before_changes(notes, 1).size() == 1;
      // Strokes repeat after two cycles at most, so three hold every change, the joints included.
      const bool looped = strokes_before_changes(notes, 3).size() == 1;
      EXPECT_EQ(!proof.counter_example.has_value(), open) << "cell " << cell;
      EXPECT_EQ(proof.looped, looped) << "cell " << cell;
      EXPECT_FALSE(parity_sentence(proof).empty());
      holds += open ? 1 : 0;
      loops += looped ? 1 : 0;
    }
  }
  // Four inner visits that are even (1 of 3 counts each): 9 of 729 each; looped all even: 1; merged
  // ends even together: 5 of 9.
  EXPECT_EQ(holds, 3 * 9);
  EXPECT_EQ(loops, 1 + 5 + 1);
}

}  // namespace
}  // namespace fretloom
