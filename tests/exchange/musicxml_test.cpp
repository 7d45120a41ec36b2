// MusicXML held against the standard's schema, against a second reading of its own and against strangers.

#include "exchange/musicxml.h"

#include <gtest/gtest.h>
#include <unistd.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>

#include "base/text.h"
#include "exchange/musicxml_chord.h"
#include "exchange/musicxml_reading.h"
#include "exchange/outside.h"
#include "exchange/random_lesson.h"
#include "exchange/small_idea.h"
#include "lesson/compile.h"
#include "score/clef.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t k_random_lessons = 200;

struct Written {
  std::string name;
  Handout handout;
  std::string document;
};

/// Every demo, the odd lessons and 200 random ones that are legal, as documents. Made once.
const std::vector<Written>& written_lessons() {
  static const std::vector<Written> k_written = [] {
    std::vector<Written> written;
    const auto add = [&](const std::string& name, const std::string& text, bool must_be_legal) {
      const CompiledLesson compiled = compile_lesson(text);
      if (compiled.has_errors() || !compiled.is_readable()) {
        EXPECT_FALSE(must_be_legal) << name;
        return;
      }
      Written one{name, make_handout(compiled), ""};
      const auto document = musicxml_of(one.handout);
      EXPECT_TRUE(document) << name << ": " << document.error().what << "\n" << text;
      if (!document) return;
      one.document = *document;
      written.push_back(std::move(one));
    };
    for (const auto& [name, text] : all_lessons()) add(name, text, true);
    const std::size_t given = written.size();
    for (std::uint32_t seed = 1; seed < 4000 && written.size() < given + k_random_lessons; ++seed)
      add("random " + std::to_string(seed), random_lesson(seed), false);
    EXPECT_EQ(written.size(), given + k_random_lessons);
    return written;
  }();
  return k_written;
}

/// A folder that goes when the test ends, with every document in it.
class Folder {
 public:
  Folder() : path_(fs::path(testing::TempDir()) / ("fretloom_xml_" + std::to_string(getpid()))) {
    fs::create_directories(path_);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { fs::remove_all(path_); }

  std::string put(const std::string& name, const std::string& bytes) const {
    const fs::path path = path_ / name;
    std::ofstream(path, std::ios::binary) << bytes;
    return path.string();
  }
  [[nodiscard]] std::string put_all() const {
    std::string files;
    for (std::size_t i = 0; i < written_lessons().size(); ++i)
      files += " '" + put(std::to_string(10000 + i) + ".musicxml", written_lessons()[i].document) + "'";
    return files;
  }

 private:
  fs::path path_;
};

/// Lines of xmllint that are not "... validates"; nothing for valid files.
std::vector<std::string> schema_faults(const std::string& files) {
  const std::string schema = std::string(FRETLOOM_SHARED_DIR) + "/reference/musicxml-4.0";
  auto lines = lines_of("XML_CATALOG_FILES='" + schema + "/local-catalog.xml' xmllint --nonet --noout --schema '" +
                        schema + "/musicxml.xsd'" + files + "; echo \"exit $?\"");
  std::erase_if(lines, [](const std::string& line) { return line.ends_with(" validates") || line == "exit 0"; });
  return lines;
}

bool has_schema() { return fs::exists(FRETLOOM_SHARED_DIR); }

// MusicXML 4.0's own schema (W3C, commit 830fb18c).
TEST(MusicXml, IsValidAgainstTheSchema) {
  if (!has_schema()) GTEST_SKIP() << "no ../shared";
  const Folder folder;
  EXPECT_EQ(schema_faults(folder.put_all()), std::vector<std::string>());
  // The check itself can fail.
  std::string broken = written_lessons().front().document;
  broken.replace(broken.find("<staves>2"), 9, "<staves>x");
  EXPECT_NE(schema_faults(" '" + folder.put("broken.musicxml", broken) + "'"), std::vector<std::string>());
}

Rational quarters(const Meter& meter, const Rational& beats) { return beats * meter.beat_value() * Rational(4); }

/// A note's strokes, fingers and attack as the reading names them.
std::string marks_of(const ScoreNote& note, int staff) {
  std::vector<std::string> marks;
  if (staff == 1 && note.stroke) marks.push_back(*note.stroke == Stroke::down ? "down-bow" : "up-bow");
  if (staff == 1 && note.finger) marks.push_back("finger " + std::to_string(*note.finger));
  if (note.attack == Attack::hammer) marks.emplace_back("hammer-on");
  if (note.attack == Attack::pull) marks.emplace_back("pull-off");
  if (note.attack == Attack::slide) marks.emplace_back("slide");
  if (staff == 1 && note.accent) marks.emplace_back("accent");
  return join(marks, " ");
}

std::string line_of(const xml_reading::Note& note) {
  return std::to_string(note.staff) + " at " + note.onset.to_string() + " for " + note.duration.to_string() + " " +
         note.pitch + " " + std::to_string(note.string) + ":" + std::to_string(note.fret) + " " + note.marks;
}

/// Measures from one double bar to the next: an idea at one feel.
struct ReadPassage {
  FeelRef feel;
  std::size_t first = 0;  ///< measure index
  std::size_t last = 0;   ///< exclusive
  std::int64_t bar = 1;   ///< the idea's own number of its first full bar: an idea may start after bar 1
  Rational origin;        ///< bar 1 beat 1

  [[nodiscard]] const IdeaSheet& idea() const { return *feel.idea; }
  [[nodiscard]] Rational in_quarters(const Rational& beats) const { return quarters(idea().meter, beats); }
};

std::vector<ReadPassage> passages_of(const Handout& handout, const xml_reading::Document& document) {
  std::vector<ReadPassage> passages;
  std::size_t next = 0;
  for (const FeelRef& feel : feels_of(handout)) {
    const Meter& meter = feel.idea->meter;
    ReadPassage passage{feel, next, next, 1, {}};
    passage.bar = std::max<std::int64_t>(1, bar_of(meter, feel.score->start));
    bool found = false;
    while (next < document.measures.size()) {
      const auto& measure = document.measures[next++];
      if (!found && !measure.implicit) passage.origin = measure.begin;
      found = found || !measure.implicit;
      if (!found) passage.origin = measure.begin + measure.length;
      if (!measure.bar_line.empty()) break;
    }
    // An idea may also end before bar 0: whole bars are missing up to bar 1.
    const std::int64_t beats = meter.beats_per_bar();
    if (!found) passage.origin -= quarters(meter, Rational((feel.score->end.value / Rational(beats)).ceil() * beats));
    passage.origin -= quarters(meter, Rational((passage.bar - 1) * beats));
    passage.last = next;
    passages.push_back(passage);
  }
  return passages;
}

std::vector<std::string> expected_notes(const std::vector<ReadPassage>& passages) {
  std::vector<std::string> lines;
  for (const int staff : {1, 2}) {
    for (const ReadPassage& passage : passages) {
      for (const ScoreNote& note : passage.feel.score->notes) {
        const bool tab = staff == 2;
        lines.push_back(line_of({staff, passage.origin + passage.in_quarters(note.onset.value),
                                 passage.in_quarters(note.duration.value), note.pitch.name(), note.pitch.midi(),
                                 tab ? note.string : 0, tab ? note.fret : -1, marks_of(note, staff)}));
      }
    }
  }
  return lines;
}

/// A chord stands on every beat of a full bar where the vamp sets one.
std::vector<std::string> expected_harmonies(const std::vector<ReadPassage>& passages,
                                            const xml_reading::Document& document) {
  std::vector<std::string> lines;
  for (const ReadPassage& passage : passages) {
    const auto bars = std::count_if(document.measures.begin() + static_cast<std::ptrdiff_t>(passage.first),
                                    document.measures.begin() + static_cast<std::ptrdiff_t>(passage.last),
                                    [](const auto& measure) { return !measure.implicit; });
    const Meter& meter = passage.idea().meter;
    const std::int64_t beats = meter.beats_per_bar();
    for (std::int64_t beat = (passage.bar - 1) * beats; beat < (passage.bar - 1 + bars) * beats; ++beat) {
      const VampChord* chord = chord_at(passage.idea(), Beats(Rational(beat)));
      if (chord == nullptr) continue;
      if (!((Rational(beat) - chord->onset.value) / passage.idea().vamp.length(meter).value).is_whole()) continue;
      lines.push_back((passage.origin + passage.in_quarters(Rational(beat))).to_string() + " " + chord->chord.symbol());
    }
  }
  return lines;
}

void expect_context(const ReadPassage& passage, const xml_reading::Document& document) {
  const IdeaSheet& idea = passage.idea();
  ASSERT_LT(passage.first, passage.last);
  std::vector<int> open;
  for (const SpelledPitch& string : idea.instrument.neck.tuning.open) open.push_back(string.midi());
  const std::string meter = idea.meter.name();
  std::int64_t number = passage.bar;
  for (std::size_t i = passage.first; i < passage.last; ++i) {
    const auto& measure = document.measures[i];
    EXPECT_EQ(measure.fifths, key_signature(idea.key));
    EXPECT_EQ(measure.beats + "/" + std::to_string(measure.beat_type), meter);
    EXPECT_EQ(measure.clef, clef_of(idea) == Clef::bass ? "F4-1" : "G2-1");
    EXPECT_EQ(measure.open, open);
    EXPECT_EQ(measure.capo, idea.instrument.neck.capo);
    EXPECT_DOUBLE_EQ(measure.tempo, passage.in_quarters(idea.goal_bpm).to_double());
    EXPECT_EQ(measure.implicit, measure.begin < passage.origin) << measure.number;
    if (measure.implicit) continue;
    EXPECT_EQ(measure.text.empty() ? measure.number : measure.text, std::to_string(number++));
  }
  EXPECT_EQ(document.measures[passage.last - 1].bar_line,
            passage.last == document.measures.size() ? "light-heavy" : "light-light");
}

TEST(MusicXml, SaysWhatTheScoresSay) {
  std::size_t notes = 0;
  for (const Written& lesson : written_lessons()) {
    SCOPED_TRACE(lesson.name);
    const auto document = xml_reading::read(lesson.document);
    ASSERT_EQ(document.faults, std::vector<std::string>());
    EXPECT_EQ(document.title, lesson.handout.prose.title);
    const auto passages = passages_of(lesson.handout, document);
    EXPECT_EQ(passages.empty() ? 1 : passages.back().last, document.measures.size());
    for (const ReadPassage& passage : passages) expect_context(passage, document);
    std::vector<std::string> read;
    for (const auto& note : document.notes) read.push_back(line_of(note));
    ASSERT_EQ(read, expected_notes(passages));
    std::vector<std::string> harmonies;
    for (const auto& harmony : document.harmonies)
      harmonies.push_back(harmony.onset.to_string() + " " + harmony.symbol);
    EXPECT_EQ(harmonies, expected_harmonies(passages, document));
    std::vector<std::string> words;
    for (const IdeaSheet& idea : lesson.handout.ideas) {
      words.push_back("[" + std::to_string(idea.number) + "]");
      for (const Score& score : idea.feels) {
        const std::string feel = counted(static_cast<std::size_t>(score.notes_per_beat), "note") + " a beat";
        words.push_back(idea.name.empty() ? feel : idea.name + ", " + feel);
        words.push_back("Rule: " + idea.rule.text);
      }
    }
    EXPECT_EQ(document.words, words);
    notes += read.size();
  }
  EXPECT_GT(notes, 10000U);
}

// The open string at the nut, the capo and the fret, all three from the document, make the pitch.
TEST(MusicXml, StringAndFretMakeThePitch) {
  std::size_t checked = 0;
  for (const Written& lesson : written_lessons()) {
    SCOPED_TRACE(lesson.name);
    const auto document = xml_reading::read(lesson.document);
    auto measure = document.measures.begin();
    for (const auto& note : document.notes) {
      if (note.staff != 2) continue;
      while (measure + 1 != document.measures.end() && note.onset >= (measure + 1)->begin) ++measure;
      ASSERT_GE(note.string, 1);
      ASSERT_LE(static_cast<std::size_t>(note.string), measure->open.size());
      ASSERT_GE(note.fret, 0);
      const int open = measure->open[measure->open.size() - static_cast<std::size_t>(note.string)];
      ASSERT_EQ(open + measure->capo + note.fret, note.midi) << line_of(note);
      ++checked;
    }
  }
  EXPECT_GT(checked, 5000U);
}

// npm musicxml-io 0.9.6: titles, spelled pitches, onsets and lengths, strings, frets and strokes.
TEST(MusicXml, AStrangerReadsTheSameNotes) {
  // The package asks for node 20.12 or later; Debian 12's own is older.
  const auto old =
      lines_of("node -e 'const [a, b] = process.versions.node.split(\".\"); console.log(a * 100 + +b < 2012)'");
  if (old != std::vector<std::string>{"false"}) GTEST_SKIP() << "needs node 20.12";
  const Folder folder;
  const auto lines =
      lines_of("node '" + std::string(FRETLOOM_SOURCE_DIR) + "/tests/exchange/musicxml_values.mjs'" + folder.put_all());
  std::vector<std::string> wanted = {"version 0.9.6"};
  for (const Written& lesson : written_lessons()) {
    wanted.push_back("title " + lesson.handout.prose.title);
    const auto document = xml_reading::read(lesson.document);
    const std::size_t at = lesson.document.find("<divisions>") + 11;
    const Rational divisions(std::stoi(lesson.document.substr(at)));
    const auto passages = passages_of(lesson.handout, document);
    for (const bool tab : {false, true}) {
      for (const ReadPassage& passage : passages) {
        for (const ScoreNote& note : passage.feel.score->notes) {
          const auto in_divisions = [&](const Rational& time) { return (time * divisions).to_string(); };
          const std::string said = in_divisions(passage.origin + passage.in_quarters(note.onset.value)) + " " +
                                   in_divisions(passage.in_quarters(note.duration.value)) + " " + note.pitch.name() +
                                   " ";
          wanted.push_back(tab ? "staff2 " + said + std::to_string(note.string) + " " + std::to_string(note.fret)
                               : "staff1 " + said +
                                     (note.stroke ? std::string(1, letter(*note.stroke)) : std::string("-")));
        }
      }
    }
  }
  ASSERT_FALSE(lines.empty());
  ASSERT_EQ(lines.front(), wanted.front()) << "run scripts/setup.sh check";
  ASSERT_EQ(lines.size(), wanted.size());
  for (std::size_t i = 0; i < lines.size(); ++i) ASSERT_EQ(lines[i], wanted[i]);
}

TEST(MusicXml, EscapesWhatPeopleType) {
  IdeaSheet idea = small_idea();
  add_note(idea, 6, "3");
  idea.name = "</words><script>alert(1)</script>";
  idea.rule.text = "1 & 2 ]]> \"3\"";
  idea.vamp.chords[0].chord.suffix = "m7\"<&>'";
  Handout handout = small_handout({idea});
  handout.prose.title = "\"Quotes\" & 'more' <script>\U0001F3B8</script> \u05EA\u05D5\u0020\u202Bmixed\u202C";
  handout.prose.author = "A <b>";
  handout.prose.licence = "Mine & yours\x01\xFF\xEF\xBF\xBE";
  handout.prose.copyright = "\u00a9 A <b>";
  handout.prose.version = "2 & a bit";
  const auto text = musicxml_of(handout);
  ASSERT_TRUE(text);
  EXPECT_EQ(text->find("<script>"), std::string::npos);
  const auto document = xml_reading::read(*text);
  EXPECT_EQ(document.faults, std::vector<std::string>());
  EXPECT_EQ(document.title, handout.prose.title);
  EXPECT_EQ(document.words,
            (std::vector<std::string>{"[1]", idea.name + ", 4 notes a beat", "Rule: " + idea.rule.text}));
  ASSERT_EQ(document.harmonies.size(), 1U);
  EXPECT_EQ(document.harmonies[0].symbol, "Em7\"<&>'");
  EXPECT_NE(text->find("<rights>\u00a9 A &lt;b&gt;</rights>"), std::string::npos);
  EXPECT_NE(text->find("<miscellaneous-field name=\"version\">2 &amp; a bit</miscellaneous-field>"), std::string::npos);
  EXPECT_NE(text->find("<rights>Mine &amp; yours\uFFFD\uFFFD\uFFFD</rights>"), std::string::npos);
  if (!has_schema()) return;
  const Folder folder;
  EXPECT_EQ(schema_faults(" '" + folder.put("escapes.musicxml", *text) + "'"), std::vector<std::string>());
}

/// Blanks and line ends taken out.
std::string packed(std::string text) {
  std::erase_if(text, [](char c) { return c == ' ' || c == '\n'; });
  return text;
}

bool holds(const std::string& document, const std::string& part) {
  return packed(document).find(packed(part)) != std::string::npos;
}

// Element order and words after the standard's "note" and "technical".
TEST(MusicXml, WritesAChainOfSlursAsOne) {
  IdeaSheet idea = small_idea();
  add_note(idea, 1, "5!");
  add_note(idea, 1, "h7");
  add_note(idea, 1, "p5", 3);
  add_note(idea, 1, "s12");
  const auto text = musicxml_of(small_handout({idea}));
  ASSERT_TRUE(text);
  EXPECT_TRUE(holds(*text,
                    R"(<stem>none</stem><staff>2</staff><notations><slur type="start" number="1"/><technical>
      <string>1</string><fret>5</fret><hammer-on type="start" number="1">H</hammer-on></technical></notations>)"))
      << *text;
  EXPECT_TRUE(holds(*text, R"(<technical><string>1</string><fret>7</fret><hammer-on type="stop" number="1"/>
      <pull-off type="start" number="1">P</pull-off></technical>)"));
  // The held note: the slide leaves its last head, the tie joins two.
  EXPECT_TRUE(holds(*text, R"(<tied type="stop"/><slide type="start" number="1"/>)"));
  EXPECT_TRUE(holds(*text, R"(<slur type="stop" number="1"/><slide type="stop" number="1"/>)"));
  EXPECT_TRUE(holds(*text, R"(<technical><down-bow/><hammer-on type="start" number="1">H</hammer-on></technical>
      <articulations><accent/></articulations>)"));
  EXPECT_EQ(xml_reading::read(*text).faults, std::vector<std::string>());
}

// Stubs point to their partner in the beat (common practice).
TEST(MusicXml, BeamsByBeatWithHooks) {
  IdeaSheet idea = small_idea();
  set_meter(idea, "2/4", "Em7");
  for (const int units : {3, 1, 1, 2, 1}) add_note(idea, 1, "5", units);
  const auto text = musicxml_of(small_handout({idea}));
  ASSERT_TRUE(text);
  std::string beams;
  for (std::size_t at = text->find("<beam "); at != std::string::npos; at = text->find("<beam ", at + 1))
    beams += text->substr(at + 14, 1) + text->substr(at + 16, text->find('<', at + 1) - at - 16) + " ";
  EXPECT_EQ(beams,
            "1>begin 1>end 2>backward hook "
            "1>begin 2>forward hook 1>continue 1>end 2>backward hook ");
}

TEST(MusicXml, NumbersPickUpsOnceAndCountsEachIdea) {
  IdeaSheet idea = small_idea();
  feel_of(idea).start = Beats(Rational(-1));
  for (int i = 0; i < 6; ++i) add_note(idea, 6, "3");
  IdeaSheet twice = idea;
  twice.feels.push_back(feel_of(idea));
  const auto text = musicxml_of(small_handout({idea, twice}));
  ASSERT_TRUE(text);
  std::string numbers;
  for (const auto& measure : xml_reading::read(*text).measures)
    numbers += measure.number + (measure.implicit ? "i" : "") + (measure.text.empty() ? "" : "=" + measure.text) +
               (measure.bar_line.empty() ? "" : "|") + " ";
  EXPECT_EQ(numbers, "0i 1| X1i 2=1| X2i 3=1| ");
  EXPECT_TRUE(holds(*text, R"(<measure number="0" implicit="yes"><attributes><divisions>4</divisions>)"));
}

TEST(MusicXml, SaysTheTempoOfItsSpeed) {
  IdeaSheet idea = small_idea();
  set_meter(idea, "6/8", "Em7");
  idea.slow_bpm = Rational(93, 2);
  add_note(idea, 6, "3");
  const auto slow = musicxml_of(small_handout({idea}), {MusicXmlSpeed::slow});
  ASSERT_TRUE(slow);
  EXPECT_TRUE(holds(*slow, R"(<metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>46.5</per-minute>
      </metronome></direction-type><staff>1</staff><sound tempo="69.75"/>)"));
}

TEST(MusicXml, SaysWhatChangesBetweenIdeas) {
  IdeaSheet first = small_idea();
  first.key = parse_key("E altered").value();  // a mode that the standard has no word for
  add_note(first, 6, "3");
  IdeaSheet second = first;  // the signature alone
  second.key = first.key.on(parse_pitch_class("A").value());
  IdeaSheet third = second;  // the meter alone, and with it the beat that the tempo counts
  set_meter(third, "4/8", "Em7");
  IdeaSheet fourth = third;  // the capo alone
  fourth.instrument.neck.capo = 2;
  feel_of(fourth).notes[0].pitch = spell_sharp(45);
  fourth.feels.push_back(feel_of(fourth));
  const auto text = musicxml_of(small_handout({first, second, third, fourth}));
  ASSERT_TRUE(text);
  std::string said;
  for (const auto& measure : xml_reading::read(*text).measures)
    said += std::to_string(measure.fifths) + " " + measure.beats + "/" + std::to_string(measure.beat_type) + " " +
            number_text(measure.tempo) + " " + std::to_string(measure.capo) + " | ";
  EXPECT_EQ(said, "-1 4/4 120 0 | -2 4/4 120 0 | -2 4/8 60 0 | -2 4/8 60 2 | -2 4/8 60 2 | ");
  const auto count = [&](std::string_view word) {
    int n = 0;
    for (std::size_t at = text->find(word); at != std::string::npos; at = text->find(word, at + 1)) ++n;
    return n;
  };
  EXPECT_EQ(count("<attributes>"), 4);
  EXPECT_EQ(count("<metronome>"), 2);
  EXPECT_EQ(count("<clef "), 2);
  EXPECT_EQ(count("<rehearsal>"), 4);
}

TEST(MusicXml, TellsModesInTheStandardsWords) {
  const auto mode = [](const std::string& name) {
    IdeaSheet idea = small_idea();
    idea.key = parse_key(name).value();
    add_note(idea, 6, "3");
    const auto text = musicxml_of(small_handout({idea}));
    return xml_reading::read(*text).measures.at(0).mode;
  };
  EXPECT_EQ(mode("E dorian"), "dorian");
  EXPECT_EQ(mode("C"), "ionian");
  EXPECT_EQ(mode("F# minor"), "aeolian");
  EXPECT_EQ(mode("A harmonic minor"), "minor");
  EXPECT_EQ(mode("Bb major pentatonic"), "major");
  EXPECT_EQ(mode("E phrygian dominant"), "");
}

TEST(MusicXml, CallsIdeasByTheirNumberInTheLesson) {
  IdeaSheet idea = small_idea();
  add_note(idea, 6, "3");
  idea.name.clear();
  Handout handout = small_handout({idea});
  handout.ideas[0].number = 3;  // two before it are in error and left out
  EXPECT_EQ(xml_reading::read(musicxml_of(handout).value()).words, (std::vector<std::string>{"[3]", "4 notes a beat"}));
}

// Programs of General MIDI, from 1: 28 electric guitar (clean), 34 electric bass (finger).
TEST(MusicXml, TellsTheInstrumentOnceOrNoteByNote) {
  IdeaSheet bass = small_idea({"E1", "A1", "D2", "G2"});
  add_note(bass, 4, "3");
  IdeaSheet guitar = small_idea();
  add_note(guitar, 6, "3");
  const auto alone = musicxml_of(small_handout({bass, bass}));
  ASSERT_TRUE(alone);
  EXPECT_TRUE(holds(*alone, R"(<part-name>Bass</part-name><score-instrument id="P1-I1"><instrument-name>Bass
      </instrument-name></score-instrument><midi-instrument id="P1-I1"><midi-channel>1</midi-channel>
      <midi-program>34</midi-program></midi-instrument></score-part>)"))
      << *alone;
  EXPECT_FALSE(holds(*alone, "<instrument id"));
  const auto both = musicxml_of(small_handout({guitar, bass, guitar}));
  ASSERT_TRUE(both);
  EXPECT_TRUE(holds(*both, R"(<part-name>Guitar and bass</part-name>)"));
  EXPECT_TRUE(holds(*both, R"(<midi-instrument id="P1-I1"><midi-channel>1</midi-channel><midi-program>28</midi-program>
      </midi-instrument><midi-instrument id="P1-I2"><midi-channel>2</midi-channel><midi-program>34</midi-program>)"));
  std::string told;
  for (std::size_t at = both->find("<instrument id"); at != std::string::npos;
       at = both->find("<instrument id", at + 1))
    told += both->substr(at + 20, 1);
  EXPECT_EQ(told, "112211");  // each note on two staves
  EXPECT_EQ(xml_reading::read(*both).faults, std::vector<std::string>());
  if (!has_schema()) return;
  const Folder folder;
  EXPECT_EQ(schema_faults(" '" + folder.put("both.musicxml", *both) + "'"), std::vector<std::string>());
}

/// The tones of each kind, from the documentation of the standard's kind-value, in semitones and degrees
/// above the root; on chord sheets an 11th has no third and a 13th no eleventh.
const std::map<std::string_view, std::string_view> k_kind_tones = {
    {"major", "1 3 5"},
    {"minor", "1 b3 5"},
    {"augmented", "1 3 #5"},
    {"diminished", "1 b3 b5"},
    {"dominant", "1 3 5 b7"},
    {"major-seventh", "1 3 5 7"},
    {"minor-seventh", "1 b3 5 b7"},
    {"diminished-seventh", "1 b3 b5 bb7"},
    {"augmented-seventh", "1 3 #5 b7"},
    {"half-diminished", "1 b3 b5 b7"},
    {"major-minor", "1 b3 5 7"},
    {"major-sixth", "1 3 5 6"},
    {"minor-sixth", "1 b3 5 6"},
    {"dominant-ninth", "1 3 5 b7 9"},
    {"major-ninth", "1 3 5 7 9"},
    {"minor-ninth", "1 b3 5 b7 9"},
    {"dominant-11th", "1 5 b7 9 11"},
    {"major-11th", "1 3 5 7 9 11"},
    {"minor-11th", "1 b3 5 b7 9 11"},
    {"dominant-13th", "1 3 5 b7 9 13"},
    {"major-13th", "1 3 5 7 9 13"},
    {"minor-13th", "1 b3 5 b7 9 13"},
    {"suspended-second", "1 2 5"},
    {"suspended-fourth", "1 4 5"},
    {"power", "1 5"},
};

std::vector<std::string> tones_of(const MusicXmlKind& kind) {
  std::vector<Degree> tones;
  for (const Word& word : words(k_kind_tones.at(kind.kind))) tones.push_back(parse_degree(word.text).value());
  for (const MusicXmlDegree& degree : kind.degrees) {
    if (degree.type == "add") {
      tones.push_back({degree.value, degree.alter - (degree.value == 7 ? 1 : 0)});
      continue;
    }
    const auto tone =
        std::find_if(tones.begin(), tones.end(), [&](const Degree& t) { return t.number == degree.value; });
    if (tone == tones.end()) return {"no tone " + std::to_string(degree.value)};
    if (degree.type == "subtract") {
      tones.erase(tone);
    } else {
      tone->alter += degree.alter;
    }
  }
  std::vector<std::string> names;
  for (const Degree& tone : tones) names.push_back(tone.name());
  std::sort(names.begin(), names.end());
  return names;
}

TEST(MusicXmlChord, KindAndDegreesMakeTheChord) {
  for (const char* suffix :
       {"",      "m",     "5",    "6",      "m6",      "6/9",   "m6/9",    "7",     "maj7",   "m7",      "mmaj7",
        "m7b5",  "dim",   "dim7", "aug",    "7#5",     "7b5",   "sus2",    "sus4",  "7sus4",  "9",       "maj9",
        "m9",    "9sus4", "11",   "m11",    "maj7#11", "9#11",  "7#11",    "13",    "m13",    "maj13",   "13sus4",
        "7b9",   "7#9",   "7b13", "7b9b13", "7#9#5",   "7alt",  "add9",    "madd9", "maj7#5", "maj9#11", "13b9",
        "13#11", "m7b9",  "maj6", "add4",   "7b9#9",   "sus24", "m(maj9)", "7no3",  "no5",    "maj7b5"}) {
    const auto chord = parse_chord("C" + std::string(suffix));
    ASSERT_TRUE(chord) << suffix;
    std::vector<std::string> names;
    for (const Degree& tone : chord->tones) names.push_back(tone.name());
    std::sort(names.begin(), names.end());
    EXPECT_EQ(tones_of(musicxml_kind(*chord)), names) << suffix << " as " << musicxml_kind(*chord).kind;
  }
  const auto kind = [](const char* symbol) { return musicxml_kind(parse_chord(symbol).value()); };
  EXPECT_EQ(kind("Cm7"), (MusicXmlKind{"minor-seventh", {}}));
  EXPECT_EQ(kind("C7b9"), (MusicXmlKind{"dominant", {{9, -1, "add"}}}));
  EXPECT_EQ(kind("C7sus4"), (MusicXmlKind{"suspended-fourth", {{7, 0, "add"}}}));
  EXPECT_EQ(kind("Cmaj7b5"), (MusicXmlKind{"major-seventh", {{5, -1, "alter"}}}));
}

TEST(MusicXml, RefusesWhatItCannotSay) {
  IdeaSheet idea = small_idea();
  add_note(idea, 6, "3");
  idea.instrument.neck.tuning.open.clear();
  EXPECT_FALSE(musicxml_of(small_handout({idea})));
  idea = small_idea();
  add_note(idea, 6, "3");
  feel_of(idea).notes[0].pitch.octave = 10;
  EXPECT_EQ(musicxml_of(small_handout({idea})).error().what,
            "Small: G10 cannot be written in MusicXML, which has octaves 0 to 9");
  feel_of(idea).notes[0].pitch.octave = 2;
  feel_of(idea).notes[0].duration = Beats(Rational(1, 997));
  EXPECT_FALSE(musicxml_of(small_handout({idea})));
  EXPECT_FALSE(mxl_of(small_handout({idea})));
  const auto empty = musicxml_of(Handout{});
  ASSERT_TRUE(empty);
  if (!has_schema()) return;
  const Folder folder;
  EXPECT_EQ(schema_faults(" '" + folder.put("empty.musicxml", *empty) + "'"), std::vector<std::string>());
}

// Python's zipfile and Debian's unzip read the container; the standard asks for "mimetype" first, stored.
TEST(Mxl, IsAZipThatStrangersOpen) {
  const Written& lesson = written_lessons().front();
  const auto bytes = mxl_of(lesson.handout);
  ASSERT_TRUE(bytes);
  const Folder folder;
  const std::string path = folder.put("lesson.mxl", *bytes);
  const std::string inside = folder.put("inside.musicxml", "");
  EXPECT_EQ(lines_of("/usr/bin/python3 '" + std::string(FRETLOOM_SOURCE_DIR) + "/tests/exchange/mxl_zipfile.py' '" +
                     path + "' '" + inside + "'"),
            (std::vector<std::string>{
                "entry mimetype stored 1980 1 1 0 0 0", "entry META-INF/container.xml deflated 1980 1 1 0 0 0",
                "entry lesson.musicxml deflated 1980 1 1 0 0 0", "mimetype application/vnd.recordare.musicxml",
                "root lesson.musicxml application/vnd.recordare.musicxml+xml"}));
  EXPECT_EQ(read_text(inside), lesson.document);
  const auto tested = lines_of("unzip -t '" + path + "'");
  ASSERT_FALSE(tested.empty());
  EXPECT_TRUE(tested.back().starts_with("No errors detected")) << tested.back();
  // Media type sniffing: 30 bytes of header, the name, then the text as it is.
  EXPECT_EQ(bytes->substr(30, 42), "mimetypeapplication/vnd.recordare.musicxml");
}

TEST(Mxl, IsTheSameInEveryTimeZone) {
  const Written& lesson = written_lessons().front();
  const auto first = mxl_of(lesson.handout);
  setenv("TZ", "Pacific/Auckland", 1);
  tzset();
  const auto second = mxl_of(lesson.handout);
  unsetenv("TZ");
  tzset();
  ASSERT_TRUE(first && second);
  EXPECT_TRUE(*first == *second);
  EXPECT_TRUE(musicxml_of(lesson.handout).value() == lesson.document);
}

}  // namespace
}  // namespace fretloom
