// The facts of an idea are the same in every part of a pack: the proof's words, the ending, the key, the clef's family
// and the instrument's program. Each part is read back by other means than it was written by.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <pugixml.hpp>

#include "base/text.h"
#include "draw/font_file.h"
#include "exchange/midi.h"
#include "exchange/random_lesson.h"
#include "outside.h"
#include "pack/pack.h"
#include "score/clef.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"
#include "words/demo.h"
#include "words/idea_story.h"
#include "words/sentences_of.h"

namespace fretloom {
namespace {

const sheet::MusicFont& font() {
  static const sheet::MusicFont font = draw::load_music_font(FRETLOOM_MUSIC_FONT).value();
  return font;
}

/// A lesson, its middle layer and its parts by path.
struct Made {
  CompiledLesson lesson;
  Handout handout;
  LessonSentences sentences;
  std::map<std::string, std::string> parts;
};

Made make(const std::string& text) {
  Made made{compile_lesson(text), {}, {}, {}};
  made.handout = make_handout(made.lesson);
  made.sentences = sentences_of(made.lesson, made.handout);
  PackChoice choice;
  choice.groups = {PartGroup::tab, PartGroup::midi, PartGroup::musicxml, PartGroup::words};
  choice.plan.present_bpm = Rational(0);
  const auto plan = plan_parts(made.lesson, {text, "", "", "sixes", ""}, choice, {&font(), "test"});
  EXPECT_TRUE(plan.ok()) << plan.error().what;
  if (!plan) return made;
  for (const PackPart& part : plan->parts) {
    if (!part.path.ends_with("chapters.txt")) made.parts[part.path] = part.make(nullptr).value();
  }
  const auto engraved = sheet::engrave(made.handout, made.sentences, {}, font());
  EXPECT_TRUE(engraved.ok()) << engraved.error().what;
  if (engraved) made.parts["handout.svg"] = sheet::write_svg(engraved->scene, font());
  return made;
}

/// Words with one space between them, the script's cues left out, so that line breaks do not matter.
std::string flat(const std::string& text) {
  std::string out;
  for (const Word& word : words(text)) {
    if (word.text == "Say:" || word.text == "Show:" || word.text == "Play:") continue;
    out += (out.empty() ? "" : " ") + std::string(word.text);
  }
  return out;
}

/// The words that a reader of the SVG sees, in their order.
std::string printed(const std::string& svg) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
  std::string text;
  for (const auto& found : document.select_nodes("//text")) text += std::string(found.node().text().get()) + " ";
  return text;
}

/// How the student's papers say it; the same text may stand in several places of one.
std::map<std::string, std::string> papers(const Made& made) {
  std::map<std::string, std::string> out;
  out["tab.txt"] = flat(made.parts.at("sixes/sixes-tab.txt"));
  out["handout.svg"] = flat(printed(made.parts.at("handout.svg")));
  return out;
}

void expect_same_words(const Made& made) {
  for (const auto& [path, text] : papers(made)) {
    SCOPED_TRACE(path);
    for (std::size_t i = 0; i < made.handout.ideas.size(); ++i) {
      const IdeaSentences& said = made.sentences.ideas.at(i);
      EXPECT_FALSE(said.proof.empty());
      EXPECT_NE(text.find(flat(said.proof)), std::string::npos) << said.proof;
      ASSERT_EQ(said.endings.size(), made.handout.ideas[i].feels.size());
      for (std::size_t f = 0; f < said.endings.size(); ++f) {
        EXPECT_EQ(said.endings[f].empty(), !made.handout.ideas[i].feels[f].ending.has_value());
        EXPECT_NE(text.find(flat(said.endings[f])), std::string::npos) << said.endings[f];
      }
      EXPECT_NE(text.find(made.handout.ideas[i].key.said_name()), std::string::npos) << i;
    }
  }
}

/// Description and script tell the same proof and the same endings in their own words.
void expect_same_story(const Made& made, const std::string& path, Manner manner) {
  SCOPED_TRACE(path);
  const std::string text = flat(made.parts.at(path));
  const IdeaSheet* before = nullptr;
  for (const IdeaSheet& idea : made.handout.ideas) {
    const std::string changes = changes_sentence(idea, before, manner);
    EXPECT_FALSE(changes.empty());
    EXPECT_NE(text.find(flat(changes)), std::string::npos) << changes;
    std::vector<std::string> told = {feels_sentence(idea, manner)};
    if (manner == Manner::spoken) {
      told.clear();
      for (const Score& score : idea.feels) told.push_back(landing_sentence(idea, score, manner));
    }
    for (const std::string& sentence : told) EXPECT_NE(text.find(flat(sentence)), std::string::npos) << sentence;
    const std::string key = manner == Manner::spoken ? spoken_key(idea.key) : idea.key.said_name();
    EXPECT_NE(text.find(key), std::string::npos) << key;
    before = &idea;
  }
}

/// What a file says of one idea at one feel.
struct FileFacts {
  int program = 0;  ///< from 0
  int fifths = 0;
  bool bass_clef = false;

  friend bool operator==(const FileFacts&, const FileFacts&) = default;
};

void PrintTo(const FileFacts& facts, std::ostream* out) {
  *out << "program " << facts.program << ", " << facts.fifths << " fifths" << (facts.bass_clef ? ", bass clef" : "");
}

std::vector<FileFacts> of_middle_layer(const Handout& handout) {
  std::vector<FileFacts> all;
  for (const FeelRef& feel : feels_of(handout)) {
    const Instrument& instrument = feel.idea->instrument;
    all.push_back({instrument.midi_program(), key_signature(feel.idea->key), clef_of(*feel.idea) == Clef::bass});
  }
  return all;
}

/// What is in force where each passage begins; a passage begins with its rehearsal words in bold.
std::vector<FileFacts> of_musicxml(const std::string& xml) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_buffer(xml.data(), xml.size()));
  std::map<std::string, int> programs;
  for (const auto& found : document.select_nodes("//midi-instrument"))
    programs[found.node().attribute("id").value()] = found.node().child("midi-program").text().as_int() - 1;
  std::vector<FileFacts> all;
  FileFacts now;
  for (const auto& found : document.select_nodes("//measure")) {
    const pugi::xml_node measure = found.node();
    for (const pugi::xml_node attributes : measure.children("attributes")) {
      if (const auto key = attributes.child("key")) now.fifths = key.child("fifths").text().as_int();
      const auto clef = attributes.find_child_by_attribute("clef", "number", "1");
      if (clef) now.bass_clef = clef.child("sign").text().get() == std::string("F");
    }
    if (!measure.select_node("direction//words[@font-weight='bold']")) continue;
    // The instrument stands at each note, or is the only one.
    const std::string id = measure.select_node(".//note/instrument").node().attribute("id").value();
    now.program = id.empty() ? programs.begin()->second : programs.at(id);
    all.push_back(now);
  }
  return all;
}

/// What is in force at each marker.
std::vector<FileFacts> of_midi(const std::string& bytes) {
  const MidiFile file = read_midi(bytes).value();
  const auto last = [&](std::size_t track, std::int64_t until, const auto& is_one) {
    const MidiEvent* found = nullptr;
    for (const MidiEvent& event : file.tracks.at(track).events) {
      if (event.tick <= until && is_one(event)) found = &event;
    }
    return found;
  };
  std::vector<FileFacts> all;
  for (const MidiEvent& marker : file.tracks.at(0).events) {
    if (marker.status != 0xFF || marker.meta != k_meta_marker) continue;
    const MidiEvent* key = last(0, marker.tick, [](const MidiEvent& e) { return e.meta == k_meta_key; });
    const MidiEvent* program = last(1, marker.tick, [](const MidiEvent& e) { return (e.status & 0xF0) == 0xC0; });
    if (key == nullptr || program == nullptr) return all;
    // A MIDI file has no clef: its program says the family.
    all.push_back({program->data[0], static_cast<std::int8_t>(key->data[0]), program->data[0] >= 32});
  }
  return all;
}

/// The clef of every system of the handout, by its outline: both clefs are one glyph each.
std::size_t distinct_clefs(const std::string& svg) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
  std::set<std::string> shapes;
  for (const auto& found : document.select_nodes("//g[@class='clef']//use"))
    shapes.insert(found.node().attribute("href").value());
  return shapes.size();
}

void expect_same_facts(const std::string& lesson) {
  const Made made = make(lesson);
  if (testing::Test::HasFailure()) return;
  expect_same_words(made);
  expect_same_story(made, "sixes-teacher/sixes-description.txt", Manner::written);
  expect_same_story(made, "sixes-teacher/sixes-script.txt", Manner::spoken);
  const auto facts = of_middle_layer(made.handout);
  EXPECT_EQ(of_musicxml(made.parts.at("sixes/sixes.musicxml")), facts);
  EXPECT_EQ(of_midi(made.parts.at("sixes/sixes.mid")), facts);
  EXPECT_EQ(of_midi(made.parts.at("sixes/sixes-slow.mid")), facts);
  const auto is_bass = [](const FileFacts& f) { return f.bass_clef; };
  const bool mixed =
      std::any_of(facts.begin(), facts.end(), is_bass) && !std::all_of(facts.begin(), facts.end(), is_bass);
  EXPECT_EQ(distinct_clefs(made.parts.at("handout.svg")), mixed ? 2U : 1U);
}

TEST(Facts, AreTheSameInEveryPartOfEveryDemo) {
  for (const std::string& demo : k_demos) {
    SCOPED_TRACE(demo);
    expect_same_facts(demo_text(demo));
  }
}

TEST(Facts, AreTheSameForABassAmongGuitars) {
  expect_same_facts(
      "title = \"Both\"\nkey = \"A minor\"\n[layout]\nfrom = 5\n[[idea]]\nname = \"High\"\ncell = \"1 2 3 2\"\n"
      "[[idea]]\nname = \"Low\"\ntuning = \"bass\"\nreach = 250\nkey = \"D dorian\"\ncell = \"1 2 3 2\"\n");
}

TEST(Facts, AreTheSameInEveryPartOfRandomLessons) {
  std::size_t lessons = 0;
  for (std::uint32_t seed = 9000; lessons < 200; ++seed) {
    const std::string lesson = random_lesson(seed);
    const CompiledLesson compiled = compile_lesson(lesson);
    if (!compiled.is_readable() || compiled.has_errors()) continue;
    ++lessons;
    SCOPED_TRACE(lesson);
    expect_same_facts(lesson);
    if (testing::Test::HasFailure()) return;
  }
}

}  // namespace
}  // namespace fretloom
