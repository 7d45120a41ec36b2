// The sentences of lesson, idea, proof and ending, and the spans that know their key.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <set>

#include "base/text.h"
#include "exchange/random_lesson.h"
#include "lesson/edit.h"
#include "words/choices.h"
#include "words/demo.h"
#include "words/ending_sentence.h"
#include "words/english.h"
#include "words/idea_sentence.h"
#include "words/lesson_sentence.h"
#include "words/more_sentence.h"
#include "words/proof_verdict.h"
#include "words/rule_words.h"
#include "words/short_repair.h"
#include "words/student_proof.h"
#include "words/teacher_proof.h"

namespace fretloom {
namespace {

std::string all_sentences(const CompiledLesson& lesson) {
  std::string text = marked(lesson_sentence(*lesson.lesson)) + "\n";
  for (const CompiledIdea& compiled : lesson.ideas) {
    const Idea& idea = lesson.idea(compiled);
    text += "\n" + std::to_string(idea.number) + ". " + idea.name + "\n" + rule_words(idea.lick.rule) + "\n" +
            marked(idea_sentence(lesson, compiled)) + "\n" + marked(teacher_proof(idea, compiled)) + "\n" +
            student_proof(compiled.proof) + "\n";
    for (const Feel& feel : compiled.feels) {
      const Sentence ending = ending_sentence(lesson, compiled, feel);
      if (!ending.empty()) text += marked(ending) + "\n";
    }
  }
  return text;
}

/// Every span of a lesson that can be changed, what waits behind "and more" left out.
std::vector<Span> changeable(const CompiledLesson& lesson) {
  Sentence all = lesson_sentence(*lesson.lesson);
  for (const CompiledIdea& compiled : lesson.ideas) {
    for (const Sentence& sentence : {idea_sentence(lesson, compiled), teacher_proof(lesson.idea(compiled), compiled)})
      all.insert(all.end(), sentence.begin(), sentence.end());
    for (const Feel& feel : compiled.feels) {
      const Sentence ending = ending_sentence(lesson, compiled, feel);
      all.insert(all.end(), ending.begin(), ending.end());
    }
  }
  std::erase_if(all, [](const Span& span) { return !span.key; });
  return all;
}

std::set<KeyPath> keys_of(const std::vector<Span>& spans) {
  std::set<KeyPath> keys;
  for (const Span& span : spans) keys.insert(*span.key);
  return keys;
}

bool has_new_error(const CompiledLesson& now, const CompiledLesson& before) {
  return std::any_of(now.findings.begin(), now.findings.end(), [&](const Finding& finding) {
    return finding.level == Level::error &&
           std::find(before.findings.begin(), before.findings.end(), finding) == before.findings.end();
  });
}

CompiledLesson lesson_with(const std::string& top, const std::string& idea = "cell = \"1 2\"\n") {
  return compile_lesson("title = \"T\"\n" + top + "[[idea]]\n" + idea);
}

std::string lesson_words(const std::string& top) { return plain(lesson_sentence(*lesson_with(top).lesson)); }

/// The idea sentence of a lesson in E dorian, three notes a string from fret 5.
std::string idea_words(const std::string& idea) {
  const CompiledLesson lesson = lesson_with("key = \"E dorian\"\nlayout = { from = 5 }\n", idea);
  EXPECT_EQ(lesson.ideas.size(), 1U) << idea;
  return lesson.ideas.empty() ? "" : plain(idea_sentence(lesson, lesson.ideas.front()));
}

TEST(Sentences, EqualTheGoldenFiles) {
  for (const std::string& name : k_demos)
    expect_golden(name + ".sentences.txt", all_sentences(compile_lesson(demo_text(name))));
}

// The sentence of the design's look, word for word.
TEST(Sentences, TheLessonReadsAsItWasDrawn) {
  EXPECT_EQ(marked(lesson_sentence(*compile_lesson(demo_text("climbing-sixes")).lesson)),
            "In **E dorian**, on **six strings in standard tuning**, **three notes a string** from **fret 12**, over "
            "**Em7 | A7** in **4/4**, from **60** up to **120** beats a minute. The pick stands clear after "
            "**upstrokes**.");
}

TEST(Sentences, ALessonSaysWhatIsNotUsual) {
  const auto has = [](const std::string& top, const std::string& words) {
    const std::string text = lesson_words(top);
    EXPECT_NE(text.find(words), std::string::npos) << text;
  };
  has("key = \"A minor\"\n", "In A minor, on six strings in standard tuning, three notes a string from the nut, over ");
  has("key = \"E\"\ntuning = \"drop D\"\n", "on six strings in drop D,");
  has("key = \"E\"\ntuning = \"half step down\"\n", "on six strings tuned a half step down,");
  has("key = \"E\"\ntuning = [\"E2\", \"A2\", \"E3\"]\n", "on three strings tuned E2 A2 E3 from the thickest,");
  has("key = \"E\"\ntuning = \"bass\"\n", "on a four-string bass,");
  has("key = \"E\"\ncapo = 2\n", "with a capo at fret 2,");
  has("key = \"E\"\ncapo = 2\nfrets = 22\nscale_length = 628\n",
      "standard tuning with a capo at fret 2, 22 frets and a scale length of 628 mm,");
  has("tonic = \"E\"\nscale = [\"1\", \"b3\", \"5\"]\n", "In E 1 b3 5, on");
  has("tonic = \"E\"\nscale = [\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\"]\n", "In E ionian, on");
  has("key = \"D\"\nlayout = { kind = \"position\", width = 5, from = 6 }\n", "in a position of 5 frets from fret 6,");
  has("key = \"E\"\nlayout = { kind = \"octaves\", notes = [4, 3] }\n",
      "in octaves with four and three notes on each pair of strings from the nut,");
  has("key = \"E\"\nclear_after = \"both\"\n", "clear after both strokes.");
  has("key = \"E\"\nclear_after = \"none\"\n", "clear after neither stroke.");
  has("key = \"E\"\ntempo = { slow = 92.5, goal = 92.5 }\n", ", at 92.5 beats a minute.");
  has("key = \"E\"\nmeter = \"6/8\"\n", "beats a minute (a beat is a dotted quarter note).");
  has("key = \"E\"\nvamp = { chords = \"E\", rhythm = \"held\" }\n", "The chords are held.");
  has("key = \"E\"\nvamp = { swing = \"2:1\" }\n", "The chords are played in sixteenths, with a swing of 2:1.");
  has("key = \"E\"\nreach = 90\n", "The fretting hand spans 90 mm without strain.");
}

TEST(Sentences, AnIdeaSaysHowItIsCarried) {
  const std::string rest = "notes_per_beat = [4]\n";
  const auto starts = [&](const std::string& idea, const std::string& words) {
    const std::string text = idea_words(idea + rest);
    EXPECT_TRUE(text.starts_with(words)) << text;
  };
  starts("cell = \"1 2\"\n",
         "Carried one string thinner each time, as far as the neck goes (six times), at 4 notes a beat, picked "
         "alternately, from a downstroke.");
  starts("cell = \"1 2\"\ncarry = { strings = 2, steps = -1 }\nrepeats = 2\n",
         "Carried two strings thinner and one scale step down each time, twice, at");
  starts("cell = \"1 2\"\ncarry = { strings = -1 }\nstart = { string = 1 }\n",
         "Carried one string thicker each time, as far");
  starts("cell = \"1 2\"\ncarry = { strings = 0 }\nrepeats = 4\n", "Repeated in place, four times, at");
  starts("cell = \"1 2\"\nrepeats = 1\n", "Played once, at");
  starts("cell = \"1 2\"\nback = \"retrograde\"\n",
         "Carried one string thinner each time, as far as the neck goes (six times), and back note by note, at");
  starts("sequence = \"1 2 3\"\n", "Moved one scale step up each time, as far");
  starts("sequence = \"1 2 3\"\ncarry = { steps = 0 }\nrepeats = 2\n", "Repeated in place, twice, at");
  const auto has = [&](const std::string& idea, const std::string& words) {
    const std::string text = idea_words(idea);
    EXPECT_NE(text.find(words), std::string::npos) << text;
  };
  has("cell = \"1 2\"\nstart = { string = 4, beat = -1 }\n",
      " It starts on string 4, one beat before the first bar line.");
  has("cell = \"1 2\"\nstart = { beat = 2 }\n", " It starts on beat 3 of the first bar.");
  has("cell = \"1 2\"\nstart = { beat = -0.5 }\n", " It starts half a beat before the first bar line.");
  has("sequence = \"1 2\"\nstart = { ordinal = 2 }\n", " It starts on the second note of string 6.");
  has("cell = \"1 2\"\nending = \"none\"\n", " It stops without an ending.");
  has("cell = \"1 2\"\nedits = [{ repeat = 2, note = 1, fret = 9 }]\n", " By hand one note is put on another fret.");
  has("cell = \"1 2\"\nkey = \"A aeolian\"\n", " For this idea alone: in A aeolian, over Am7 | Fmaj7.");
  has("cell = \"1 2\"\ntempo = { goal = 90 }\n", " For this idea alone: from 60 up to 90 beats a minute.");
  has("cell = \"1 2\"\nclear_after = \"none\"\n", " For this idea alone the pick stands clear after neither stroke.");
  has("cell = \"1 2\"\nnotes_per_beat = [3, 4, 6]\n", ", at 3, 4 and 6 notes a beat,");
}

/// What stands behind "and more" is what the sentences leave unsaid: together they have every key once or more, and
/// the rest repeats none.
TEST(Sentences, NothingOfALessonIsOutOfReach) {
  for (const std::string& name : k_demos) {
    const CompiledLesson lesson = compile_lesson(demo_text(name));
    const std::set<KeyPath> said = keys_of(changeable(lesson));
    Sentence rest = lesson_more(*lesson.lesson);
    for (const CompiledIdea& compiled : lesson.ideas) add(rest, idea_more(lesson, compiled));
    std::erase_if(rest, [](const Span& span) { return !span.key; });
    std::set<KeyPath> all = said;
    for (const Span& span : rest) EXPECT_TRUE(all.insert(*span.key).second) << name << " " << span.key->text();
    for (int idea = 0; idea <= static_cast<int>(lesson.ideas.size()); ++idea) {
      for (const char* key :
           {"key", "tuning", "frets", "scale_length", "capo", "reach", "layout.kind", "layout.from", "vamp.chords",
            "vamp.rhythm", "vamp.swing", "meter", "tempo.slow", "tempo.goal", "clear_after"})
        EXPECT_TRUE(all.contains({idea, key})) << name << " " << idea << " " << key;
    }
    for (const CompiledIdea& compiled : lesson.ideas) {
      for (const char* key : {"carry.steps", "start.string", "start.beat", "repeats", "back", "notes_per_beat",
                              "picking", "first_stroke", "edits", "fingers"})
        EXPECT_TRUE(all.contains({lesson.idea(compiled).number, key})) << name << " " << key;
    }
  }
}

TEST(Sentences, WhatIsUnsaidReadsAloud) {
  const CompiledLesson lesson = lesson_with("key = \"E dorian\"\nlayout = { from = 5 }\n");
  EXPECT_EQ(
      marked(lesson_more(*lesson.lesson)),
      "There is a capo at **no fret**. The neck has **24 frets**. Its scale length is **648 mm**. Its notes lie "
      "**string by string**. The rhythm of the chords is **sixteenths**. Their swing is **1:1**. The fretting hand "
      "spans **110 mm** without strain.");
  const std::string idea = marked(idea_more(lesson, lesson.ideas.front()));
  EXPECT_TRUE(
      idea.starts_with("Along the scale it goes **in place**. It starts on **string 6**. It starts **on beat 1 of "
                       "the first bar**. It goes **without a way back**. **No note** is put on another fret by "
                       "hand. **No finger** is set by hand. All that the lesson sets can be set for this idea "
                       "alone. Its key is **E dorian**."))
      << idea;
}

TEST(Sentences, SpansKnowWhereTheirValueStands) {
  const CompiledLesson lesson =
      lesson_with("key = \"E dorian\"\nlayout = { from = 5 }\n",
                  "cell = \"1 2\"\ntempo = { goal = 90 }\nclear_after = \"none\"\nending = \"auto\"\n");
  const auto key_of = [&](const std::string& text) {
    for (const Span& span : changeable(lesson)) {
      if (span.text == text) return span.key->text();
    }
    return std::string("none");
  };
  EXPECT_EQ(key_of("E dorian"), "key");
  EXPECT_EQ(key_of("fret 5"), "layout.from");
  EXPECT_EQ(key_of("Em7 | A7"), "vamp.chords");
  EXPECT_EQ(key_of("120"), "tempo.goal");
  EXPECT_EQ(key_of("90"), "idea[1].tempo.goal");
  EXPECT_EQ(key_of("upstrokes"), "clear_after");
  EXPECT_EQ(key_of("neither stroke"), "idea[1].clear_after");
  EXPECT_EQ(key_of("one string thinner"), "idea[1].carry.strings");
  EXPECT_EQ(key_of("right after its last note"), "idea[1].ending");
}

TEST(RuleWords, AreReadAloud) {
  const auto words_of = [](RuleKind kind, const char* text) { return rule_words(*parse_rule(kind, text)); };
  EXPECT_EQ(words_of(RuleKind::cell, "1 3 2 3 + 2 1"),
            "String notes 1, 3, 2 and 3, then, one string thinner, 2 and 1.");
  EXPECT_EQ(words_of(RuleKind::cell, "1"), "String note 1.");
  EXPECT_EQ(words_of(RuleKind::cell, "1 h2! p1x2 -- 3# rx3 4"),
            "String notes 1, hammer on to 2 (accented), and pull off to 1 held for two notes' time, then, two "
            "strings thicker, 3 raised a semitone, a rest of three notes' length, and 4.");
  EXPECT_EQ(words_of(RuleKind::cell, "r 1"), "String note: a rest and 1.");
  EXPECT_EQ(words_of(RuleKind::sequence, "1 -1 2b"), "Scale steps 1, -1, and 2 lowered a semitone.");
}

std::vector<int> unfolded(const std::string& text) {
  std::vector<int> counts;
  const bool is_folded = text.find(',') != std::string::npos || text.find('x') != std::string::npos;
  for (const std::string_view item : split(text, is_folded ? ',' : ' ')) {
    const auto parts = words(item);
    const int times = parts.size() == 3 ? *parse_int(parts[2].text) : 1;
    counts.insert(counts.end(), static_cast<std::size_t>(times), *parse_int(parts[0].text));
  }
  return counts;
}

TEST(Proof, ListsOfEightAndMoreAreFolded) {
  EXPECT_EQ(folded({4, 6, 6, 6, 6, 6, 2}), "4 6 6 6 6 6 2");
  EXPECT_EQ(folded({4, 6, 6, 6, 6, 6, 6, 6, 6, 6, 6, 6, 6, 2}), "4, 6 x 12, 2");
  EXPECT_EQ(folded({3, 3, 3, 3, 3, 3, 3, 3}), "3 x 8");
}

RC_GTEST_PROP(Proof, FoldingLosesNothing, ()) {
  const auto counts = *rc::gen::nonEmpty(rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 4)));
  RC_ASSERT(unfolded(folded(counts)) == counts);
}

/// Words of the house that say nothing to a student, and turns that we do not use.
void expect_no_inner_words(const std::string& text) {
  for (const char* word : {"visit", "slot", "unit", " is no ", " wants", "counter", "parity", "ordinal", "  ", " ,",
                           " .", "..", "no string change", "a eight", "an downstroke", "a upstroke", "()"}) {
    const bool allowed =
        std::string_view(word) == "no string change" && text.starts_with("All notes lie on one string");
    RC_ASSERT((allowed || text.find(word) == std::string::npos));
  }
}

CompiledLesson any_lesson() { return compile_lesson(random_lesson(*rc::gen::arbitrary<std::uint32_t>())); }

RC_GTEST_PROP(Proof, TheTextsSayAsManyBlockedChangesAsThereAre, ()) {
  const CompiledLesson lesson = any_lesson();
  for (const CompiledIdea& compiled : lesson.ideas) {
    const int all = static_cast<int>(compiled.proof.changes.size());
    const int blocked = compiled.proof.blocked();
    const std::string says = all == 0         ? "there is no string change"
                             : blocked == 0   ? "free."
                             : blocked < all  ? capital(number_word(blocked)) + " of the "
                             : blocked == all ? "blocked"
                                              : "?";
    const std::string teacher = plain(teacher_proof(lesson.idea(compiled), compiled));
    const std::string first = teacher.substr(0, teacher.find('.') + 1);
    RC_ASSERT(first.find(says) != std::string::npos);
    RC_ASSERT((first.find("blocked") != std::string::npos) == (blocked > 0));
    RC_ASSERT(student_proof(compiled.proof).starts_with(first));
    const Change* where = first_blocked(compiled.proof.changes);
    RC_ASSERT((where == nullptr || first.find("string " + std::to_string(where->from) + " to string " +
                                              std::to_string(where->to)) != std::string::npos));
  }
}

RC_GTEST_PROP(Sentences, NoInnerWordReachesAStudent, ()) {
  const CompiledLesson lesson = any_lesson();
  RC_PRE(lesson.lesson.has_value());
  const LessonSentences sentences = sentences_of(lesson, make_handout(lesson));
  RC_ASSERT(sentences.ideas.size() == lesson.ideas.size());
  expect_no_inner_words(sentences.lesson);
  for (const IdeaSentences& idea : sentences.ideas) {
    expect_no_inner_words(idea.rule);
    expect_no_inner_words(idea.idea);
    expect_no_inner_words(idea.proof);
    for (const std::string& ending : idea.endings) expect_no_inner_words(ending);
  }
}

RC_GTEST_PROP(Sentences, EverySpanOfARandomLessonCanBeSet, ()) {
  const std::string text = random_lesson(*rc::gen::arbitrary<std::uint32_t>());
  const CompiledLesson lesson = compile_lesson(text);
  const std::set<KeyPath> keys = keys_of(changeable(lesson));
  RC_PRE(!keys.empty() && !lesson.ideas.empty());
  const KeyPath key = *rc::gen::elementOf(std::vector<KeyPath>(keys.begin(), keys.end()));
  const std::vector<Choice> offered = choices(text, lesson, key);
  RC_ASSERT(!offered.empty());
}

TEST(Choices, OfEveryWordOfEveryDemoAreLegalAndReadAsTheySay) {
  const std::set<std::string_view> own_words = {"ending",   "ending.kind",    "ending.degree", "ending.on", "cell",
                                                "sequence", "notes_per_beat", "edits",         "fingers"};
  for (const std::string& name : k_demos) {
    const std::string text = demo_text(name);
    const CompiledLesson lesson = compile_lesson(text);
    for (const KeyPath& key : keys_of(changeable(lesson))) {
      SCOPED_TRACE(name + " " + key.text());
      const std::vector<Choice> offered = choices(text, lesson, key);
      EXPECT_GE(offered.size(), 1U);
      for (const Choice& choice : offered) {
        const auto edited = set_value(text, key, choice.value);
        ASSERT_TRUE(edited.ok()) << choice.value;
        const CompiledLesson changed = compile_lesson(*edited);
        EXPECT_FALSE(has_new_error(changed, lesson)) << choice.value;
        for (const Span& span : changeable(changed)) {
          if (span.key == key && !span.value && !own_words.contains(key.key)) {
            EXPECT_EQ(span.text, choice.says);
          }
        }
      }
    }
  }
}

TEST(Choices, MeetTheKeyAsItStands) {
  const std::string text = demo_text("climbing-sixes");
  const CompiledLesson lesson = compile_lesson(text);
  const auto says = [&](const KeyPath& key) {
    std::vector<std::string> out;
    for (const Choice& choice : choices(text, lesson, key)) out.push_back(choice.says);
    return out;
  };
  EXPECT_EQ(says({0, "clear_after"}),
            (std::vector<std::string>{"upstrokes", "downstrokes", "both strokes", "neither stroke"}));
  EXPECT_EQ(says({0, "tuning"}).front(), "six strings in standard tuning");
  EXPECT_EQ(says({0, "layout.from"}).front(), "the nut");
  EXPECT_EQ(says({0, "key"})[1], "G dorian");
  EXPECT_TRUE(says({0, "title"}).empty());
  EXPECT_TRUE(says({9, "cell"}).empty());
  EXPECT_TRUE(choices("=", compile_lesson("="), {0, "key"}).empty());
}

/// Pressed one after the other, the words before the first semicolon free every change.
TEST(Proof, ItsRepairsDoWhatTheySay) {
  const std::string text = demo_text("odd-ones-out");
  const CompiledLesson lesson = compile_lesson(text);
  const Sentence proof = teacher_proof(lesson.idea(lesson.ideas.front()), lesson.ideas.front());
  std::vector<Span> repairs;
  std::copy_if(proof.begin(), proof.end(), std::back_inserter(repairs),
               [](const Span& s) { return s.value.has_value(); });
  ASSERT_EQ(repairs.size(), 3U);
  EXPECT_EQ(repairs[0].text, "Hammer on to the second note");
  EXPECT_EQ(repairs[0].value, "\"1 h2 3\"");
  const auto mended = compile_lesson(*set_value(text, *repairs[0].key, *repairs[0].value));
  EXPECT_EQ(mended.ideas.front().blocked.own, 0);
  EXPECT_EQ(repairs[1].text, "hammer on to the third note");
  EXPECT_EQ(repairs[1].value, "\"1 2 h3\"");
  EXPECT_EQ(repairs[2].text, "start with an upstroke");
  const auto turned = compile_lesson(*set_value(text, *repairs[2].key, *repairs[2].value));
  EXPECT_EQ(turned.ideas.front().blocked.own, 2);
}

RC_GTEST_PROP(Proof, RepairsOfRandomLessonsFreeEveryChange, ()) {
  std::string text = random_lesson(*rc::gen::arbitrary<std::uint32_t>());
  const CompiledLesson lesson = compile_lesson(text);
  for (const CompiledIdea& compiled : lesson.ideas) {
    if (!compiled.repair || !compiled.repair->possible) continue;
    std::string edited = text;
    for (const Span& span : teacher_proof(lesson.idea(compiled), compiled)) {
      if (span.text.find("; or ") != std::string::npos) break;
      if (!span.value) continue;
      const auto next = set_value(edited, *span.key, *span.value);
      RC_ASSERT(next.ok());
      edited = *next;
    }
    const CompiledLesson mended = compile_lesson(edited);
    for (const CompiledIdea& now : mended.ideas) {
      if (mended.idea(now).number == lesson.idea(compiled).number) RC_ASSERT(now.blocked.own == 0);
    }
  }
}

TEST(Sentences, OfAnUnreadableLessonAreEmptyButForTheCautions) {
  const CompiledLesson none = compile_lesson("=");
  const LessonSentences sentences = sentences_of(none, make_handout(none));
  EXPECT_EQ(sentences.lesson, "");
  EXPECT_TRUE(sentences.ideas.empty());
  EXPECT_FALSE(sentences.cautions.empty());
}

/// As it stands in the music: the first clause of the whole repair, from the typed one.
TEST(Sentences, TheRepairInAFewWords) {
  const Told lesson = told(demo_text("odd-ones-out"));
  EXPECT_EQ(lesson.sentences.ideas[0].repair, "hammer on to the second note of every three, and all are free");
  EXPECT_EQ(lesson.sentences.ideas[1].repair, "") << "nothing is blocked";
  IdeaSheet idea = lesson.handout.ideas[0];
  idea.repair->slurs = 0;
  idea.repair->first_stroke = Stroke::up;
  EXPECT_EQ(short_repair(idea), "start with an upstroke, and all are free");
  idea.repair->possible = false;
  EXPECT_EQ(short_repair(idea), "no repair frees them all");
}

}  // namespace
}  // namespace fretloom
