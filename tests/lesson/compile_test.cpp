// The worked examples of the design, through the whole way from a file to its notes.

#include "lesson/compile.h"

#include <gtest/gtest.h>

#include "base/text.h"
#include "lesson/source.h"

namespace fretloom {
namespace {

CompiledLesson compile(const std::string& idea, const std::string& head = "") {
  return compile_lesson("title = \"T\"\nkey = \"E dorian\"\n" + head +
                        "[layout]\nfrom = 12\n[vamp]\nchords = \"Em7 | A7\"\n[[idea]]\ncell = \"1 3 2 3 + 2 1\"\n" +
                        idea);
}

std::string frets(const std::vector<LickNote>& notes) { return to_text(notes); }

TEST(WorkedExample, LayoutNotesVisitsAndStrokes) {
  const auto lesson = compile("");
  ASSERT_EQ(lesson.ideas.size(), 1U);
  EXPECT_TRUE(lesson.findings.empty());
  const auto& idea = lesson.ideas.front();
  const Ground& ground = *lesson.lesson->settings.ground;
  const auto layout = layout_frets(ground.key, ground.neck, ground.layout);
  EXPECT_EQ(frets_text(layout), "12 14 15 | 12 14 16 | 12 14 16 | 12 14 16 | 14 15 17 | 14 15 17");
  EXPECT_NEAR(widest(ground.neck, layout).span.value, 66.8, 0.05);
  EXPECT_EQ(idea.phrase.repeats, 5);
  EXPECT_EQ(frets(idea.phrase.notes),
            "6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16 14 16 | 2: 15 14 14 17 15 "
            "17 | 1: 15 14");
  std::string visited;
  for (const Visit& visit : idea.proof.visits) visited += std::to_string(visit.notes) + " ";
  EXPECT_EQ(visited, "4 6 6 6 6 2 ");
  for (std::size_t i = 0; i < idea.strokes.size(); ++i)
    EXPECT_EQ(idea.strokes[i], i % 2 == 0 ? Stroke::down : Stroke::up);
  std::string after;
  for (const Change& change : idea.proof.changes) {
    after += std::to_string(change.after_note) + " ";
    EXPECT_EQ(change.last, Stroke::up);
    EXPECT_EQ(change.first, Stroke::down);
    EXPECT_EQ(change.type, ChangeType::inside);
  }
  EXPECT_EQ(after, "4 10 16 22 28 ");
  EXPECT_EQ(idea.blocked.upstroke, 0);
  EXPECT_EQ(idea.blocked.downstroke, 5);
  EXPECT_FALSE(idea.repair.has_value());
  EXPECT_EQ(idea.proof.looped, true);
}

TEST(WorkedExample, ClearAfterDownstrokeIsRepairedByStartingUp) {
  const auto lesson = compile("", "clear_after = \"downstroke\"\n");
  const auto& repair = lesson.ideas.front().repair;
  ASSERT_TRUE(repair.has_value());
  EXPECT_TRUE(repair->possible);
  EXPECT_EQ(repair->first_stroke, Stroke::up);
  EXPECT_EQ(repair->slurs, 0);
}

TEST(WorkedExample, EndingsAtFourAndSixABeat) {
  const auto lesson = compile("");
  const auto& feels = lesson.ideas.front().feels;
  ASSERT_EQ(feels.size(), 2U);
  const Meter meter;
  const EndingOption& four = feels[0].endings.front();
  EXPECT_EQ(four.ending.kind, EndingKind::fill);
  EXPECT_EQ(four.ending.slot, 32);
  EXPECT_EQ(frets(four.fill), "1: 15 17");
  EXPECT_EQ(four.landing.string, 1);
  EXPECT_EQ(four.landing.fret, 19);
  EXPECT_EQ(four.landing.pitch.pitch_class.name(), "B");
  EXPECT_EQ(four.strokes.back(), Stroke::down);
  EXPECT_NE(reason(four, meter, 4).find("the 5th of Em7"), std::string::npos) << reason(four, meter, 4);
  EXPECT_NE(reason(four, meter, 4).find("beat 1 of bar 3"), std::string::npos);
  const EndingOption& six = feels[1].endings.front();
  EXPECT_EQ(six.ending.slot, 36);
  EXPECT_EQ(frets(six.fill), "1: 15 17 15 14 | 2: 17 15");
  EXPECT_EQ(six.landing.string, 2);
  EXPECT_EQ(six.landing.fret, 17);
  EXPECT_EQ(six.landing.pitch.pitch_class.name(), "E");
  EXPECT_EQ(six.strokes.back(), Stroke::down);
  EXPECT_EQ(six.ending.blocked(), 0);
  EXPECT_NE(reason(six, meter, 6).find("the 5th of A7"), std::string::npos) << reason(six, meter, 6);
  EXPECT_NE(reason(six, meter, 6).find("beat 3 of bar 2"), std::string::npos);
}

TEST(WorkedExample, RetrogradeMirroredAndTooManyRepeats) {
  const auto retrograde = compile("back = \"retrograde\"\n");
  const auto& there_and_back = retrograde.ideas.front();
  EXPECT_EQ(there_and_back.phrase.notes.size(), 60U);
  EXPECT_EQ(there_and_back.blocked.own, 0);
  for (std::size_t i = 5; i < there_and_back.proof.changes.size(); ++i) {
    EXPECT_EQ(there_and_back.proof.changes[i].type, ChangeType::outside);
    EXPECT_EQ(there_and_back.proof.changes[i].last, Stroke::up);
  }
  const auto mirrored = compile("back = \"mirrored\"\n");
  const auto& notes = mirrored.ideas.front().phrase.notes;
  EXPECT_EQ(frets({notes.begin() + 30, notes.begin() + 36}), "1: 17 14 15 14 | 2: 15 17");
  const auto too_many = compile("repeats = 6\n");
  EXPECT_TRUE(too_many.ideas.empty());
  ASSERT_EQ(too_many.findings.size(), 1U);
  EXPECT_NE(too_many.findings[0].message.find("there is no string 0"), std::string::npos);
  EXPECT_EQ(too_many.findings[0].repair, "5");
}

TEST(WorkedExample, PentatonicOffTheNeck) {
  const auto lesson = compile_lesson(
      "title = \"T\"\nkey = \"C# minor pentatonic\"\nreach = 90\n[layout]\nnotes = 3\nfrom = 9\n[[idea]]\ncell = \"1 "
      "2\"\n");
  EXPECT_TRUE(lesson.ideas.empty());
  ASSERT_EQ(lesson.findings.size(), 2U);
  EXPECT_NE(lesson.findings[0].message.find("note 3 of string 1 would be fret 26, but the neck ends at fret 24"),
            std::string::npos);
  EXPECT_NE(lesson.findings[0].message.find("9 12 14 | 11 14 16 | 14 16 18 | 16 18 21 | 19 21 24 | 21 24 26"),
            std::string::npos);
  EXPECT_EQ(lesson.findings[0].repair, "from = 7");
  EXPECT_EQ(lesson.findings[1].level, Level::warning);
  EXPECT_NE(lesson.findings[1].message.find("the notes of string 6 lie 96.7 mm apart"), std::string::npos);
  EXPECT_NE(lesson.findings[1].message.find("9 12 | 9 11 | 9 11 | 9 11 | 9 12 | 9 12"), std::string::npos);
}

/// Fours in B phrygian over its own vamp: which beats fall on chord tones, and where the line lands.
TEST(Harmony, BPhrygianInFoursOverItsVamp) {
  const auto lesson = compile_lesson(
      "title = \"T\"\nkey = \"B phrygian\"\n[layout]\nfrom = 7\n[vamp]\nchords = \"Bm7 | Cmaj7\"\n[[idea]]\nsequence = "
      "\"1 2 3 4\"\nrepeats = 8\nnotes_per_beat = [4]\n");
  const auto& idea = lesson.ideas.front();
  const Settings& settings = lesson.lesson->ideas.front().settings;
  std::string names;
  std::string tones;
  for (const LickNote& note : idea.phrase.notes) {
    if (note.unit % 4 != 0) continue;
    const VampChord* chord = chord_at(settings.vamp, settings.meter, Beats(Rational(note.unit, 4)));
    names += note.pitch.pitch_class.name() + " ";
    tones += harmony(settings.key(), chord->chord, note.pitch).role == HarmonicRole::chord_tone ? '1' : '0';
  }
  EXPECT_EQ(names, "B C D E F# G A B ");
  EXPECT_EQ(tones, "10100101");
  const Ending& ending = idea.feels.front().endings.front().ending;
  EXPECT_EQ(ending.slot, 32);
  const Chord bm7 = *parse_chord("Bm7");
  EXPECT_EQ(harmony(settings.key(), bm7, *parse_pitch("C5")).role, HarmonicRole::avoid);
}

TEST(Defaults, AreThoseOfTheDesign) {
  const auto lesson = compile_lesson("title = \"T\"\nkey = \"e DORIAN\"\n[[idea]]\ncell = \"1\"\n");
  const Settings& s = lesson.lesson->ideas.front().settings;
  EXPECT_EQ(lesson.lesson->format, 1);
  EXPECT_EQ(s.key().name(), "E dorian");
  EXPECT_EQ(s.neck().tuning, *parse_tuning("standard"));
  EXPECT_EQ(s.neck().frets, 24);
  EXPECT_EQ(s.neck().scale_length, Millimetres(648));
  EXPECT_EQ(s.neck().capo, 0);
  EXPECT_EQ(s.meter.name(), "4/4");
  EXPECT_EQ(s.tempo.slow_bpm, Rational(60));
  EXPECT_EQ(s.tempo.goal_bpm, Rational(120));
  EXPECT_EQ(s.clear_after, Clear::upstroke);
  EXPECT_EQ(s.reach, 110);
  EXPECT_EQ(s.layout.kind, LayoutKind::per_string);
  EXPECT_EQ(s.layout.notes, 3);
  EXPECT_EQ(s.layout.from, 0);
  EXPECT_EQ(s.vamp.rhythm.name, "sixteenths");
  ASSERT_EQ(s.vamp.chords.size(), 2U);
  EXPECT_EQ(s.vamp.chords[0].chord.symbol(), "Em7");
  EXPECT_EQ(s.vamp.chords[1].chord.symbol(), "A7");
  const Idea& idea = lesson.lesson->ideas.front();
  EXPECT_EQ(idea.lick.carry, (Carry{1, 0}));
  EXPECT_EQ(idea.lick.start_string, 6);
  EXPECT_EQ(idea.start_beat, Rational(0));
  EXPECT_FALSE(idea.lick.repeats.has_value());
  EXPECT_EQ(idea.lick.back, Back::none);
  EXPECT_EQ(idea.notes_per_beat, (std::vector<int>{4, 6}));
  EXPECT_EQ(idea.picking, Picking::alternate);
  EXPECT_EQ(idea.first_stroke, Stroke::down);
  EXPECT_TRUE(idea.ending.wanted);
  EXPECT_FALSE(idea.ending.kind || idea.ending.degree || idea.ending.on);
}

TEST(Overrides, AnIdeaTakesOverOnlyWhatItNames) {
  const auto lesson = compile_lesson(
      "title = \"T\"\nkey = \"E dorian\"\nlayout = { kind = \"octaves\", notes = [4, 3], from = 5 }\n[vamp]\nchords = "
      "\"Em7 | A7\"\nswing = \"2:1\"\n"
      "[[idea]]\ncell = \"1 2\"\nkey = \"A minor pentatonic\"\nlayout = { kind = \"per-string\" }\nmeter = "
      "\"3/4\"\ntempo.goal = 90\ncapo = 2\nvamp.chords = \"Am7\"\n"
      "[[idea]]\nsequence = \"1 2\"\n");
  ASSERT_EQ(lesson.lesson->ideas.size(), 2U);
  for (const Finding& finding : lesson.findings) EXPECT_NE(finding.level, Level::error) << finding.message;
  const Settings& first = lesson.lesson->ideas[0].settings;
  EXPECT_EQ(first.key().name(), "A minor pentatonic");
  EXPECT_EQ(first.layout.kind, LayoutKind::per_string);
  EXPECT_EQ(first.layout.notes, 2);  // five-note scale
  EXPECT_EQ(first.layout.from, 5);
  EXPECT_EQ(first.meter.name(), "3/4");
  EXPECT_EQ(first.tempo.slow_bpm, Rational(60));
  EXPECT_EQ(first.tempo.goal_bpm, Rational(90));
  EXPECT_EQ(first.neck().capo, 2);
  EXPECT_EQ(first.vamp.chords.size(), 1U);
  EXPECT_EQ(first.vamp.swing, Rational(2));
  const Idea& second = lesson.lesson->ideas[1];
  EXPECT_EQ(second.settings.key().name(), "E dorian");
  EXPECT_EQ(second.settings.layout.kind, LayoutKind::octaves);
  EXPECT_EQ(second.lick.carry, (Carry{0, 1}));
}

/// Shuffle and walking bass swing unless the lesson says otherwise; a beat that divides in three has no pair to swing.
TEST(Vamp, SwingsAsItsRhythmAndMeterAllow) {
  const auto swing = [](const std::string& lines) {
    const auto lesson = compile_lesson("title = \"T\"\nkey = \"E dorian\"\n" + lines + "\n[[idea]]\ncell = \"1 2\"\n");
    std::string text = lesson.lesson->ideas.front().settings.vamp.swing.to_string();
    for (const Finding& finding : lesson.findings) {
      if (finding.code == "swing-in-compound") text += ' ' + finding.where.key + " -> " + finding.repair;
    }
    return text;
  };
  EXPECT_EQ(swing("vamp = { rhythm = \"eighths\" }"), "1");
  EXPECT_EQ(swing("vamp = { rhythm = \"shuffle\" }"), "2");
  EXPECT_EQ(swing("vamp = { rhythm = \"walking bass\", swing = \"3:2\" }"), "3/2");
  EXPECT_EQ(swing("vamp = { rhythm = \"shuffle\", swing = \"1:1\" }"), "1");
  EXPECT_EQ(swing("meter = \"12/8\"\nvamp = { rhythm = \"shuffle\" }"), "1");
  EXPECT_EQ(swing("meter = \"6/8\"\nvamp = { swing = \"2:1\" }"), "1 vamp.swing -> \"1:1\"");
}

TEST(Edits, TouchOneNote) {
  const auto plain = compile("");
  const auto edited = compile("edits = [{ repeat = 2, note = 3, fret = 13 }]\n");
  const auto& before = plain.ideas.front().phrase.notes;
  const auto& after = edited.ideas.front().phrase.notes;
  for (std::size_t i = 0; i < before.size(); ++i) EXPECT_EQ(before[i] == after[i], i != 8) << i;
  EXPECT_EQ(after[8].fret, 13);
  EXPECT_EQ(after[8].pitch.name(), "Bb3");  // B was there: its letter stays
}

TEST(Place, FindingsOfLaterStagesStandInTheText) {
  const auto lesson = compile(
      "name = \"A\"\n[[idea]]\nname = \"Bad\"\ncell = \"1 ?\"\n[[idea]]\nname = \"C\"\ncell = \"1 2\"\n"
      "notes_per_beat = [12]\n");
  ASSERT_EQ(lesson.ideas.size(), 2U);
  // An idea in error leaves a gap: the numbers are those of the file.
  EXPECT_EQ(lesson.idea(lesson.ideas[0]).number, 1);
  EXPECT_EQ(lesson.idea(lesson.ideas[1]).number, 3);
  EXPECT_EQ(make_handout(lesson).ideas[1].number, 3);
  const auto placed = [&](const KeyPath& where) { return place_near(lesson.lesson->source, where); };
  EXPECT_EQ(placed({3, "notes_per_beat"}), (Place{16, 18}));
  EXPECT_EQ(placed({1, "notes_per_beat"}), (Place{9, 8})) << "the name, where the key is not given";
  EXPECT_EQ(placed({3, ""}), (Place{13, 1}));
  EXPECT_EQ(placed({7, ""}), (Place{1, 9}));
  EXPECT_EQ(placed({0, "author"}), (Place{1, 9}));
}

TEST(Unreadable, ABracketWithoutAKeyIsASyntaxErrorAtItsPlace) {
  for (const char* text : {"title = \"T\"\n[\nvamp]\n", "title = \"T\"\n[=]\n", "title = \"T\"\n[[\n", "[.a]\n"}) {
    const CompiledLesson lesson = compile_lesson(text);
    EXPECT_FALSE(lesson.is_readable()) << text;
    ASSERT_EQ(lesson.findings.size(), 1U) << text;
    EXPECT_EQ(lesson.findings.front().code, "syntax");
  }
}

// --- What an idea overrides and what it inherits ----------------------------------------------------

std::string key_of(const std::string& head, const std::string& idea) {
  const auto lesson = compile_lesson("title = \"T\"\n" + head + "[[idea]]\ncell = \"1\"\n" + idea);
  for (const Finding& finding : lesson.findings) {
    if (finding.level == Level::error) return finding.message;
  }
  return lesson.lesson->ideas.front().settings.key().name();
}

TEST(Override, TonicOrScaleAloneTakesTheOtherFromTheLesson) {
  EXPECT_EQ(key_of("key = \"E dorian\"\n", "tonic = \"A\"\n"), "A dorian");
  EXPECT_EQ(key_of("key = \"E dorian\"\n", "scale = [\"1\", \"b2\", \"b3\", \"4\", \"5\", \"b6\", \"b7\"]\n"),
            "E phrygian");
  EXPECT_EQ(key_of("tonic = \"E\"\nscale = [\"1\", \"2\", \"b3\", \"4\", \"5\", \"6\", \"b7\"]\n", "tonic = \"G\"\n"),
            "G dorian");
  // The lesson itself needs both, and says so once.
  EXPECT_EQ(key_of("tonic = \"E\"\n", ""), "tonic and scale belong together; scale is missing");
  const auto lesson = compile_lesson("title = \"T\"\ntonic = \"E\"\n[[idea]]\ncell = \"1\"\ntonic = \"A\"\n");
  EXPECT_EQ(lesson.findings.size(), 1U);
  EXPECT_TRUE(lesson.ideas.empty());
}

TEST(Override, WhatTheLessonHasBeenToldIsSaidOnce) {
  const auto count = [](const std::string& head, const std::string& idea) {
    return compile_lesson("title = \"T\"\nkey = \"E dorian\"\n" + head +
                          "[[idea]]\ncell = \"1 2\"\nending = \"none\"\n" + idea)
        .findings.size();
  };
  const std::string wide = "reach = 60\nlayout = { from = 12 }\n";
  EXPECT_EQ(count(wide, ""), 1U);
  for (const char* same : {"tempo = { slow = 50 }\n", "clear_after = \"both\"\n", "meter = \"3/4\"\n",
                           "key = \"D ionian\"\n", "vamp = { chords = \"Em7\" }\n"}) {
    EXPECT_EQ(count(wide, same), 1U) << same;
  }
  EXPECT_EQ(count(wide, "reach = 50\n"), 2U);  // another sentence
  const std::string off = "layout = { from = 24 }\nreach = 400\n";
  EXPECT_EQ(count(off, ""), 1U);
  EXPECT_EQ(count(off, "reach = 300\n"), 1U);
  EXPECT_EQ(count(off, "tempo = { slow = 50 }\n"), 1U);
  const std::string vamp = "layout = { from = 12 }\nvamp = { chords = \"Q\" }\n";
  EXPECT_EQ(count(vamp, "meter = \"3/4\"\n"), 1U);
  EXPECT_EQ(count(vamp, "key = \"A dorian\"\n"), 1U);
}

}  // namespace
}  // namespace fretloom
