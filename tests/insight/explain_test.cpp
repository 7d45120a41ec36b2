// Phrases to rules: worked cases, and laws over random ideas.
//
// FRETLOOM_IDEAS sets how many random ideas the laws take (80 by itself; docs/explain.md has figures over 20,000 and
// says how to run them).

#include "insight/explain.h"

#include <gtest/gtest.h>

#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <random>
#include <string>

#include "exchange/midi.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/open_mxl.h"
#include "exchange/read_note_list.h"
#include "exchange/read_phrases.h"
#include "exchange/text_tab.h"
#include "insight/answer_json.h"
#include "insight/code_length.h"
#include "insight/lesson_text.h"
#include "insight/random_idea.h"
#include "insight/sentence.h"
#include "lesson/compile.h"
#include "lick/rule.h"
#include "outside.h"

namespace fretloom {
namespace {

Explanation explained(std::string_view list) {
  const auto given = read_note_list(list);
  EXPECT_TRUE(given.ok()) << list;
  const auto explanation = explain(*given);
  EXPECT_TRUE(explanation.ok()) << list;
  return *explanation;
}

Answer best_of(std::string_view list) {
  const Explanation explanation = explained(list);
  EXPECT_FALSE(explanation.answers.empty()) << list;
  return explanation.answers.empty() ? Answer{} : explanation.answers.front();
}

/// The notes that our own reader makes of the answer's lesson.
std::vector<LickNote> compiled_notes(const Answer& answer) {
  const CompiledLesson compiled = compile_lesson(lesson_text(answer));
  EXPECT_FALSE(compiled.has_errors()) << lesson_text(answer)
                                      << (compiled.findings.empty() ? "" : compiled.findings.front().message);
  return compiled.ideas.empty() ? std::vector<LickNote>() : compiled.ideas.front().phrase.notes;
}

TEST(explain, finds_the_cell_and_the_wrong_note_of_the_worked_case) {
  const Answer answer = best_of("6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 7 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6");
  EXPECT_EQ(answer.lick.rule.text, "1 2 3 1 + 3 2 1 2");
  EXPECT_EQ(answer.key.name(), "G dorian");
  EXPECT_EQ(answer.lick.carry.strings, 2);
  EXPECT_EQ(answer.lick.carry.steps, 0);
  EXPECT_EQ(answer.repeats, 3);
  EXPECT_EQ(answer.follows(), 23U);
  ASSERT_EQ(answer.misfits.size(), 1U);
  EXPECT_EQ(misfit_words(answer.misfits[0]), "note 14 is fret 7 on string 3, where fret 5 was expected");
  EXPECT_EQ(sentence_of(answer),
            "The cell 1 2 3 1 + 3 2 1 2 in G dorian, 3 notes a string from fret 3, is played 3 times, each time 2 "
            "strings thinner, and 23 of 24 notes follow it: note 14 is fret 7 on string 3, where fret 5 was expected.");
}

TEST(explain, tells_a_missed_step_of_the_tuning_as_one_cause) {
  // The case above, mended, its last two strings one fret low throughout.
  const Answer answer = best_of("6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 5 3 5 | 2: 4 5 7 4 | 1: 7 5 4 5");
  ASSERT_TRUE(answer.missed_step.has_value());
  EXPECT_EQ(*answer.missed_step, (MissedStep{2, 1, 8}));
  EXPECT_TRUE(answer.misfits.empty());
  EXPECT_EQ(answer.follows(), 16U);
  EXPECT_EQ(answer.lick.rule.text, "1 2 3 1 + 3 2 1 2");
  EXPECT_NE(sentence_of(answer).find("as if the step from string 3 to string 2 were a fourth; it is a major third"),
            std::string::npos);
  EXPECT_EQ(to_text(compiled_notes(answer)),
            "6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 5 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6");
}

TEST(explain, takes_a_cut_repetition_for_nothing) {
  const Answer answer = best_of("6: 12 15 14 15 | 5: 14 12 12 16 14 16 | 4: 14 12 12 16 14 16 | 3: 14 12 12 16");
  EXPECT_EQ(answer.lick.rule.text, "1 3 2 3 + 2 1");
  EXPECT_TRUE(answer.misfits.empty());
  EXPECT_EQ(answer.ruled, 20U);
  EXPECT_EQ(answer.missing, 4U);
  EXPECT_EQ(answer.repeats, 4);
}

TEST(explain, keeps_rests_held_notes_and_slurs) {
  const Answer answer = best_of("6: 3 h5 r 6x2 | 5: 3 h5 r 7x2 | 4: 3 h5 r 7x2");
  EXPECT_EQ(answer.lick.rule.text, "1 h2 r 3x2");
  EXPECT_EQ(answer.repeats, 3);
  EXPECT_TRUE(answer.misfits.empty());
}

TEST(explain, knows_the_ways_back_and_sequences) {
  const Answer back = best_of("6: 3 5 7 | 5: 3 5 7 | 4: 4 5 7 7 5 4 | 5: 7 5 3 | 6: 7 5 3");
  EXPECT_EQ(back.lick.back, Back::retrograde);
  EXPECT_EQ(back.lick.rule.text, "1 2 3");
  const Answer sequence = best_of("6: 3 5 7 | 5: 3 | 6: 5 7 | 5: 3 5 | 6: 7 | 5: 3 5 7 3 5 7 | 4: 3 | 5: 5 7 | 4: 3 5");
  EXPECT_EQ(sequence.lick.rule.kind, RuleKind::sequence);
  EXPECT_EQ(sequence.lick.rule.text, "1 2 3 4");
  EXPECT_EQ(sequence.lick.carry.steps, 1);
}

TEST(explain, says_that_there_are_not_enough_notes_or_no_rule) {
  EXPECT_EQ(explained("6: 3 5 7").why_not, NoAnswer::too_few);
  EXPECT_EQ(explained("6: 3 | 4: 2 | 1: 9 | 5: 1 | 6: 11").why_not, NoAnswer::too_few);
  EXPECT_EQ(explained("6: 3 8 | 2: 1 | 5: 12 11 | 1: 7 | 3: 2 14 | 4: 5 | 6: 1 | 2: 9 4 | 1: 13 | 5: 6").why_not,
            NoAnswer::no_rule);
}

TEST(explain, compiles_the_phrase_that_a_lesson_of_its_answer_gives) {
  // The edits that keep a wrong note are in the lesson, in a comment.
  const Answer answer = best_of("6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 7 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6");
  std::string text = lesson_text(answer);
  EXPECT_EQ(to_text(compiled_notes(answer)), to_text(answer.notes));
  const std::size_t mark = text.find("# edits");
  ASSERT_NE(mark, std::string::npos);
  const CompiledLesson kept = compile_lesson(text.erase(mark, 2));
  ASSERT_EQ(kept.ideas.size(), 1U);
  EXPECT_EQ(to_text(kept.ideas[0].phrase.notes),
            "6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 7 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6");
}

TEST(explain, json_has_what_machines_need) {
  const auto given = read_note_list("6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 7 3 5");
  const std::string json = explain_json({{1, *given, *explain(*given)}}, {});
  for (const char* key : {"\"answers\"", "\"lesson\"", "\"sentence\"", "\"coverage\"", "\"misfits\"", "\"bits\"",
                          "\"reasons\"", "\"cause\": null"})
    EXPECT_NE(json.find(key), std::string::npos) << key;
}

// --- Random ideas ---------------------------------------------------------------------------------------------

std::size_t wanted_ideas() {
  const char* text = std::getenv("FRETLOOM_IDEAS");
  return text == nullptr ? 80 : static_cast<std::size_t>(std::strtoul(text, nullptr, 10));
}

/// Calls `use(seed, idea)` for so many ideas that pass.
template <class Pass, class Use>
void for_ideas(std::uint32_t first_seed, std::size_t count, Pass pass, Use use) {
  for (std::uint32_t seed = first_seed; count > 0; ++seed) {
    const auto idea = test::random_idea(seed);
    if (!idea || !pass(*idea)) continue;
    --count;
    use(seed, *idea);
  }
}

/// Onset or length in beats, whatever the grid.
Rational beats(int units, int notes_per_beat) { return {units, notes_per_beat}; }

bool same_notes(const std::vector<LickNote>& found, int found_grid, const std::vector<LickNote>& planted) {
  if (found.size() != planted.size()) return false;
  for (std::size_t i = 0; i < found.size(); ++i) {
    const LickNote& a = found[i];
    const LickNote& b = planted[i];
    if (a.string != b.string || a.fret != b.fret || a.attack != b.attack || a.accent != b.accent) return false;
    if (beats(a.unit - found[0].unit, found_grid) != beats(b.unit - planted[0].unit, 4)) return false;
    if (beats(a.units, found_grid) != beats(b.units, 4)) return false;
  }
  return true;
}

bool is_same_rule(const Lick& a, const Lick& b) {
  return a.rule.kind == b.rule.kind && a.rule.text == b.rule.text && a.carry.strings == b.carry.strings &&
         a.carry.steps == b.carry.steps && a.back == b.back;
}

TEST(explain_laws, every_clean_idea_comes_back_with_a_rule_no_longer_than_its_own) {
  // Other rules with the same notes: as long, shorter, or with more notes and yet fewer bits ("1 2 3" on every string
  // in place of "1 2" by two steps). These are the identities that nobody could tell from the notes.
  std::size_t as_long = 0;
  std::size_t shorter = 0;
  std::size_t more_notes = 0;
  std::vector<std::string> shown;
  const std::size_t count = wanted_ideas();
  for_ideas(
      1, count, [](const test::RandomIdea&) { return true; },
      [&](std::uint32_t seed, const test::RandomIdea& idea) {
        const auto explanation = explain(test::given(idea));
        ASSERT_TRUE(explanation.ok() && !explanation->answers.empty()) << "seed " << seed;
        const Answer& answer = explanation->answers.front();
        EXPECT_TRUE(same_notes(answer.notes, answer.notes_per_beat.value_or(4), idea.phrase.notes))
            << "seed " << seed << ": " << idea.lick.rule.text << " came back as " << answer.lick.rule.text;
        const double planted = test::description_bits(idea);
        EXPECT_LE(answer.bits, planted + 1e-9) << "seed " << seed;
        if (answer.lick.rule.tokens.size() > idea.lick.rule.tokens.size()) {
          EXPECT_LT(answer.bits, planted - 0.1) << "seed " << seed;
          ++more_notes;
        } else if (!is_same_rule(answer.lick, idea.lick)) {
          ++(answer.bits < planted - 0.1 ? shorter : as_long);
        }
        if (!is_same_rule(answer.lick, idea.lick) && shown.size() < 5)
          shown.push_back(idea.lick.rule.text + " in " + idea.ground.key.name() + " = " + answer.lick.rule.text +
                          " in " + answer.key.name());
        if (seed % 16 == 0) {
          EXPECT_EQ(to_text(compiled_notes(answer)), to_text(idea.phrase.notes)) << "seed " << seed;
        }
      });
  std::printf("%zu ideas; told by another rule: %zu as long, %zu shorter, %zu with more notes in fewer bits\n", count,
              as_long, shorter, more_notes);
  for (const std::string& line : shown) std::printf("  %s\n", line.c_str());
  EXPECT_LE(more_notes * 1000, count);
}

TEST(explain_laws, one_wrong_note_in_ten_is_named) {
  std::size_t found = 0;
  const std::size_t count = wanted_ideas() / 4;
  for_ideas(
      100'000, count,
      [](const test::RandomIdea& idea) { return idea.phrase.repeats >= 5 && idea.phrase.notes.size() >= 10; },
      [&](std::uint32_t seed, const test::RandomIdea& idea) {
        GivenPhrase given = test::given(idea);
        std::mt19937 random(seed);
        std::vector<int> wrong;
        for (std::size_t ten = 0; ten + 10 <= given.notes.size(); ten += 10) {
          const std::size_t i = ten + random() % 10;
          StringFret& at = *given.notes[i].at;
          const int moved = at.fret + (random() % 2 == 0 ? 1 : -1) * (1 + static_cast<int>(random() % 3));
          at.fret = moved < 0 || moved > 24 - given.capo ? at.fret + (at.fret > 3 ? -2 : 2) : moved;
          given.notes[i].midi = idea.ground.neck.open_midi(at.string) + at.fret;
          wrong.push_back(static_cast<int>(i) + 1);
        }
        const auto explanation = explain(given);
        ASSERT_TRUE(explanation.ok()) << "seed " << seed;
        if (explanation->answers.empty()) return;
        const Answer& answer = explanation->answers.front();
        std::vector<int> named;
        for (const Misfit& misfit : answer.misfits) named.push_back(misfit.note);
        if (same_notes(answer.notes, answer.notes_per_beat.value_or(4), idea.phrase.notes) && named == wrong) ++found;
      });
  std::printf("%zu of %zu ideas with one wrong note in ten come back, all wrong notes named\n", found, count);
  EXPECT_GE(found * 100, count * 95);
}

TEST(explain_laws, pitches_alone_often_find_their_strings) {
  std::size_t rules = 0;
  std::size_t places = 0;
  const std::size_t count = wanted_ideas() / 8;
  for_ideas(
      200'000, count,
      [](const test::RandomIdea& idea) { return idea.phrase.notes.size() >= 12 && idea.phrase.notes.size() <= 100; },
      [&](std::uint32_t seed, const test::RandomIdea& idea) {
        const auto explanation = explain(test::given(idea, false));
        ASSERT_TRUE(explanation.ok()) << "seed " << seed;
        if (explanation->answers.empty()) return;
        const Answer& answer = explanation->answers.front();
        if (to_text(answer.notes) == to_text(idea.phrase.notes)) ++places;
        bool same_pitches = answer.notes.size() == idea.phrase.notes.size();
        for (std::size_t i = 0; same_pitches && i < answer.notes.size(); ++i)
          same_pitches = answer.notes[i].midi == idea.phrase.notes[i].midi;
        if (same_pitches) ++rules;
      });
  std::printf("pitches alone, %zu ideas: %zu come back with the same pitches, %zu on the same strings and frets\n",
              count, rules, places);
  EXPECT_GE(rules * 100, count * 60);
  EXPECT_GE(places * 100, count * 25);
}

// --- What Fretloom wrote --------------------------------------------------------------------------------------

const char* const k_demos[] = {"bass-steps",        "climbing-sixes", "jig-in-six-eight",
                               "low-string-gallop", "odd-ones-out",   "pentatonic-pairs"};

CompiledLesson demo(const std::string& name) {
  const std::string text = test::bytes_of(std::filesystem::path(FRETLOOM_SOURCE_DIR) / "demos" / (name + ".toml"));
  EXPECT_FALSE(text.empty()) << name;
  return compile_lesson(text);
}

/// What a kind of file cannot say.
enum class Knows { all, no_rests };

/// A demo's rule as such a file tells it: columns of a text tab do not tell a rest from a held note.
std::string told(const std::string& rule, Knows knows) {
  return knows == Knows::no_rests && rule == "1 r 3 2x2 3" ? "1x2 3 2x2 3" : rule;
}

/// Each phrase against the idea and feel that it was written for.
void expect_own_rules(const std::string& name, const Handout& handout, const std::vector<GivenPhrase>& phrases,
                      Knows knows) {
  std::size_t shorter = 0;
  const std::vector<FeelRef> feels = feels_of(handout);
  ASSERT_EQ(phrases.size(), feels.size()) << name;
  for (std::size_t i = 0; i < feels.size(); ++i) {
    const IdeaSheet& idea = *feels[i].idea;
    const std::string where = name + ", " + idea.name + ", " + std::to_string(feels[i].score->notes_per_beat);
    const auto explanation = explain(phrases[i]);
    ASSERT_TRUE(explanation.ok()) << where;
    ASSERT_FALSE(explanation->answers.empty()) << where;
    const Answer& answer = explanation->answers.front();
    // Its own rule, or one that tells the same notes with fewer: thirds three by three are thirds one by one.
    EXPECT_LE(answer.lick.rule.tokens.size(), idea.rule.tokens.size()) << where << "\n" << sentence_of(answer);
    if (answer.lick.rule.tokens.size() == idea.rule.tokens.size()) {
      EXPECT_EQ(answer.lick.rule.text, told(idea.rule.text, knows)) << where << "\n" << sentence_of(answer);
      EXPECT_EQ(answer.lick.carry.strings, idea.carry.strings) << where;
      EXPECT_EQ(answer.lick.carry.steps, idea.carry.steps) << where;
    } else {
      ++shorter;
    }
    EXPECT_EQ(answer.lick.back, idea.back) << where;
    EXPECT_TRUE(answer.misfits.empty()) << where << "\n" << sentence_of(answer);
    ASSERT_EQ(answer.notes.size(), idea.notes.size()) << where << "\n" << sentence_of(answer);
    for (std::size_t k = 0; k < idea.notes.size(); ++k) {
      EXPECT_EQ(answer.notes[k].string, idea.notes[k].string) << where << " note " << k + 1;
      EXPECT_EQ(answer.notes[k].fret, idea.notes[k].fret) << where << " note " << k + 1;
    }
  }
  EXPECT_LE(shorter, 2U) << name;
}

TEST(explain_own, text_tab_of_every_demo) {
  for (const char* name : k_demos) {
    const Handout handout = make_handout(demo(name));
    const auto text = text_handout(handout);
    ASSERT_TRUE(text.ok()) << name;
    const auto phrases = read_phrases(*text);
    ASSERT_TRUE(phrases.ok()) << name;
    expect_own_rules(name, handout, *phrases, Knows::no_rests);
  }
}

TEST(explain_own, musicxml_of_every_demo_plain_and_compressed) {
  for (const char* name : k_demos) {
    const Handout handout = make_handout(demo(name));
    const auto text = musicxml_of(handout);
    ASSERT_TRUE(text.ok()) << name;
    const auto phrases = read_phrases(*text);
    ASSERT_TRUE(phrases.ok()) << name << ": " << (phrases.ok() ? "" : phrases.error().what);
    expect_own_rules(name, handout, *phrases, Knows::all);
    const auto archive = mxl_of(handout);
    ASSERT_TRUE(archive.ok());
    const auto document = open_mxl(*archive);
    ASSERT_TRUE(document.ok()) << document.error().what;
    EXPECT_EQ(*document, *text) << name;
  }
}

/// True if every pitch of the idea is the answer's, as far as the shorter of them goes.
bool has_pitches_of(const Answer& answer, const IdeaSheet& idea) {
  const std::size_t count = std::min(answer.notes.size(), idea.notes.size());
  for (std::size_t k = 0; k < count; ++k) {
    if (answer.notes[k].midi != idea.notes[k].pitch.midi()) return false;
  }
  return count + 2 >= idea.notes.size();
}

bool has_places_of(const Answer& answer, const IdeaSheet& idea) {
  if (answer.notes.size() != idea.notes.size()) return false;
  for (std::size_t k = 0; k < idea.notes.size(); ++k) {
    if (answer.notes[k].string != idea.notes[k].string || answer.notes[k].fret != idea.notes[k].fret) return false;
  }
  return true;
}

TEST(explain_own, midi_of_every_demo) {
  for (const char* name : k_demos) {
    const Handout handout = make_handout(demo(name));
    for (const MidiChannels channels : {MidiChannels::one, MidiChannels::per_string}) {
      const auto file = midi_of(handout, {MidiSpeed::goal, channels});
      ASSERT_TRUE(file.ok()) << name;
      const auto phrases = read_phrases(write_midi(*file));
      ASSERT_TRUE(phrases.ok()) << name;
      expect_own_rules(name, handout, *phrases, Knows::all);
    }
  }
}

TEST(explain_own, pitches_of_every_demo_with_its_tuning) {
  // MIDI of others names no strings, and does not tell a landing note that the rule would play too: every rule must be
  // as short and play the same pitches, and most must lie on the same strings.
  std::size_t all = 0;
  std::size_t in_place = 0;
  for (const char* demo_name : k_demos) {
    const Handout handout = make_handout(demo(demo_name));
    const auto made = midi_of(handout);
    ASSERT_TRUE(made.ok()) << demo_name;
    MidiFile file = *made;
    std::erase_if(file.tracks[1].events, [](const MidiEvent& event) { return event.meta == k_meta_text; });
    const auto phrases = read_phrases(write_midi(file));
    ASSERT_TRUE(phrases.ok()) << demo_name;
    const std::vector<FeelRef> feels = feels_of(handout);
    ASSERT_EQ(phrases->size(), feels.size()) << demo_name;
    for (std::size_t i = 0; i < feels.size(); ++i) {
      const IdeaSheet& idea = *feels[i].idea;
      const auto explanation = explain((*phrases)[i], idea.instrument.neck.tuning);
      ASSERT_TRUE(explanation.ok() && !explanation->answers.empty()) << demo_name << " " << i;
      const Answer& answer = explanation->answers.front();
      EXPECT_LE(answer.lick.rule.tokens.size(), idea.rule.tokens.size()) << demo_name << " " << sentence_of(answer);
      EXPECT_TRUE(has_pitches_of(answer, idea)) << demo_name << " " << sentence_of(answer);
      ++all;
      if (has_places_of(answer, idea)) ++in_place;
    }
  }
  std::printf("MIDI of the demos without its texts: %zu of %zu phrases come back on their own strings and frets\n",
              in_place, all);
  EXPECT_GE(in_place * 100, all * 70);
}

}  // namespace
}  // namespace fretloom
