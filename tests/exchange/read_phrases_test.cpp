// The readers of phrases from outside.

#include "exchange/read_phrases.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <filesystem>
#include <string>

#include "../outside.h"  // not the exchange tests' own
#include "exchange/midi.h"
#include "exchange/open_mxl.h"
#include "exchange/read_musicxml.h"
#include "exchange/read_note_list.h"
#include "exchange/read_text_tab.h"
#include "files/zip.h"

namespace fretloom {
namespace {

/// "6:3 5:7h": the places in short, with the attack's letter where it is no pick.
std::string places(const GivenPhrase& phrase) {
  std::string text;
  for (const GivenNote& note : phrase.notes) {
    if (!text.empty()) text += ' ';
    if (note.at) text += std::to_string(note.at->string) + ":" + std::to_string(note.at->fret);
    if (!note.at) text += "m" + std::to_string(*note.midi);
    if (note.attack != Attack::pick) text += name(note.attack).front();
    if (note.accent) text += '!';
  }
  return text;
}

std::string onsets(const GivenPhrase& phrase) {
  std::string text;
  for (const GivenNote& note : phrase.notes)
    text += (text.empty() ? "" : " ") + (note.time ? note.time->onset.to_string() : "-");
  return text;
}

GivenPhrase first(const Result<std::vector<GivenPhrase>>& phrases) {
  EXPECT_TRUE(phrases.ok()) << (phrases.ok() ? "" : phrases.error().what);
  return phrases.ok() && !phrases->empty() ? phrases->front() : GivenPhrase{};
}

TEST(note_list, frets_slurs_rests_and_units) {
  const GivenPhrase plain = first(read_phrases("6: 12 15 14 15 | 5: 14 12"));
  EXPECT_EQ(places(plain), "6:12 6:15 6:14 6:15 5:14 5:12");
  EXPECT_FALSE(plain.is_timed());
  const GivenPhrase timed = first(read_phrases("6:3 h5 r 6!x2|5:3"));
  EXPECT_EQ(places(timed), "6:3 6:5h 6:6! 5:3");
  EXPECT_EQ(onsets(timed), "0 1/4 3/4 5/4");
  EXPECT_EQ(places(first(read_phrases("E2 G2 A2 B2"))), "m40 m43 m45 m47");
}

TEST(note_list, refuses_with_a_place) {
  for (const auto& [text, at] : {std::pair("6: 12 zwei", 6U), {"6: 12 99", 6U}, {"0: 1", 0U}, {"6: 1x99", 3U}}) {
    const auto list = read_note_list(text);
    ASSERT_FALSE(list.ok()) << text;
    EXPECT_EQ(list.error().at, at) << text;
  }
}

TEST(text_tab, ragged_lines_labels_marks_and_bars) {
  const GivenPhrase phrase =
      first(read_phrases("A lick from an old handout\n"
                         "\n"
                         "e|---------------|-----------5-7\n"
                         "B|---------------|---5-6/8------|\n"
                         "G|---------4h5p4-|-7-------------|\n"
                         "D|---5-7---------|----\n"
                         "A|-7-------------|\n"
                         "E|---------------|--x-\n"));
  EXPECT_EQ(places(phrase), "5:7 4:5 4:7 3:4 3:5h 3:4p 3:7 2:5 2:6 2:8s 1:5 1:7");
  ASSERT_TRUE(phrase.tuning.has_value());
  EXPECT_EQ(*phrase.tuning, *parse_tuning("standard"));
  EXPECT_FALSE(phrase.is_timed());
  EXPECT_EQ(phrase.place, (Place{3, 1}));
}

TEST(text_tab, tunings_in_the_margin) {
  EXPECT_EQ(*tuning_from_labels({"G", "D", "A", "E"}), *parse_tuning("bass"));
  EXPECT_EQ(*tuning_from_labels({"e", "B", "G", "D", "A", "E", "B"}), *parse_tuning("seven-string"));
  EXPECT_EQ(*tuning_from_labels({"E4", "B3", "G3", "D3", "A2", "D2"}), *parse_tuning("drop D"));
  EXPECT_EQ(*tuning_from_labels({"f", "C", "G", "D", "A", "E"}), *parse_tuning("all fourths"));
  EXPECT_EQ(tuning_from_labels({"f", "C", "G", "C", "A", "E"})->open[2].name(), "C3");
  EXPECT_FALSE(tuning_from_labels({"x", "y", "z"}).has_value());
}

TEST(text_tab, counts_tell_the_time_and_headings_begin_phrases) {
  const auto phrases = read_phrases(
      "Capo 2\n"
      "Bar 1\n"
      "     >\n"
      "e|------------|-----|\n"
      "B|-5-----7-8--|-5---|\n"
      "G|------------|-----|\n"
      "   1 + 2 +     1 2\n"
      "\n"
      "Bar 1\n"
      "e|-5-7-|\n"
      "B|-----|\n"
      "G|-----|\n");
  ASSERT_TRUE(phrases.ok());
  ASSERT_EQ(phrases->size(), 2U);
  EXPECT_EQ((*phrases)[0].capo, 2);
  EXPECT_EQ(places((*phrases)[1]), "1:5 1:7");
  EXPECT_FALSE((*phrases)[0].is_timed());  // one count stands beside its note
  const auto timed = read_phrases(
      "e|-----------|-------|\n"
      "B|-5-----7-8-|-5-----|\n"
      "G|-----------|-------|\n"
      "   1 + 2 + 3   1   2\n");
  EXPECT_EQ(onsets(first(timed)), "0 3/2 2 3");
}

TEST(text_tab, chords_keep_one_note_and_say_so) {
  const GivenPhrase phrase = first(read_phrases("e|-3---\nB|-3-5-\nG|-----\n"));
  EXPECT_EQ(places(phrase), "1:3 2:5");
  EXPECT_EQ(phrase.left_out, 1);
}

TEST(text_tab, prose_is_no_tab) {
  const auto phrases = read_phrases("Dear student,\n\nplay it slowly - and often.\n");
  ASSERT_FALSE(phrases.ok());
  EXPECT_EQ(phrases.error().kind, ErrorKind::syntax);
}

// --- MIDI -----------------------------------------------------------------------------------------------------

MidiEvent midi_text(std::int64_t tick, const std::string& text) { return {tick, 0xFF, k_meta_text, text}; }

/// Four eighths E2 F2 A2 B2 on channel `channel`, with these texts.
MidiFile four_notes(std::vector<MidiEvent> texts, int channel = 1) {
  MidiTrack track{std::move(texts), 960};
  for (int i = 0; i < 4; ++i) {
    const std::string key(1, std::array<char, 4>{40, 41, 45, 47}[static_cast<std::size_t>(i)]);
    track.events.push_back({i * 240, static_cast<std::uint8_t>(0x8F + channel), 0, key + '\x58'});
    track.events.push_back({i * 240 + 240, static_cast<std::uint8_t>(0x7F + channel), 0, key + '\x40'});
  }
  std::stable_sort(track.events.begin(), track.events.end(),
                   [](const MidiEvent& a, const MidiEvent& b) { return a.tick < b.tick; });
  return {1, 480, {track}};
}

TEST(read_midi, places_and_slurs_from_its_texts) {
  const MidiFile file = four_notes({midi_text(0, "strings, thick to thin: E2 A2 D3"), midi_text(0, "string 3"),
                                    midi_text(240, "hammer-on"), midi_text(480, "string 2, accent")});
  const GivenPhrase phrase = first(read_phrases(write_midi(file)));
  EXPECT_EQ(places(phrase), "3:0 3:1h 2:0! 2:2");
  ASSERT_TRUE(phrase.tuning.has_value());
  EXPECT_EQ(phrase.tuning->strings(), 3);
  EXPECT_EQ(phrase.capo, 0);
  EXPECT_EQ(onsets(phrase), "0 1/2 1 3/2");
}

TEST(read_midi, pitches_alone_where_a_note_is_not_on_its_string) {
  // String 2 is too high for the second note, one is behind the capo, no string is named, the strings are not.
  for (const MidiFile& file :
       {four_notes({midi_text(0, "strings, thick to thin: E2 A2 D3"), midi_text(0, "string 3"),
                    midi_text(240, "string 2, hammer-on")}),
        four_notes({midi_text(0, "strings, thick to thin: E2 A2 D3; capo 2"), midi_text(0, "string 3")}),
        four_notes({midi_text(0, "strings, thick to thin: E2 A2 D3")}),
        four_notes({midi_text(0, "strings, thick to thin: E2 A2 D3"), midi_text(0, "string 4")}),
        four_notes({midi_text(0, "string 3"), midi_text(240, "hammer-on")}), four_notes({}, 3)})
    EXPECT_EQ(places(first(read_phrases(write_midi(file)))), "m40 m41 m45 m47");
}

// --- MusicXML -------------------------------------------------------------------------------------------------

std::string score(const std::string& inside, const std::string& attributes = "<divisions>2</divisions>") {
  return "<?xml version=\"1.0\"?><score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>One"
         "</part-name></score-part></part-list><part id=\"P1\"><measure number=\"1\"><attributes>" +
         attributes + "</attributes>" + inside + "</measure></part></score-partwise>";
}
std::string note(const std::string& step, int octave, int duration, const std::string& more = "") {
  return "<note><pitch><step>" + step + "</step><octave>" + std::to_string(octave) + "</octave></pitch><duration>" +
         std::to_string(duration) + "</duration>" + more + "</note>";
}

TEST(read_musicxml, pitches_times_ties_and_chords) {
  const GivenPhrase phrase = first(read_musicxml(
      score(note("C", 4, 1, "<tie type=\"start\"/>") + note("C", 4, 2, "<tie type=\"stop\"/>") +
            "<note><rest/><duration>1</duration></note>" + note("E", 4, 2) +
            "<note><chord/><pitch><step>G</step><octave>4</octave></pitch><duration>2</duration></note>")));
  EXPECT_EQ(places(phrase), "m60 m67");
  EXPECT_EQ(onsets(phrase), "0 2");
  EXPECT_EQ(phrase.notes[0].time->duration, Rational(3, 2));
  EXPECT_EQ(phrase.left_out, 1);
}

TEST(read_musicxml, refuses_early_and_with_a_place) {
  const std::string bomb =
      "<?xml version=\"1.0\"?><!DOCTYPE score-partwise [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;\">]>"
      "<score-partwise><part><measure>&b;</measure></part></score-partwise>";
  const auto entities = read_musicxml(bomb);
  ASSERT_FALSE(entities.ok());
  EXPECT_EQ(entities.error().at, bomb.find('['));
  std::string many = "<score-partwise>";
  while (many.size() < 5 * k_max_musicxml_marks) many += "<a/>";
  EXPECT_EQ(read_musicxml(many).error().kind, ErrorKind::limit);
  EXPECT_EQ(read_musicxml(std::string(k_max_musicxml_bytes + 1, ' ')).error().kind, ErrorKind::limit);
  for (const std::string& text :
       {score(note("C", 4, 2147483647)), score(note("C", 4, -1)), score(note("H", 4, 1)), score(note("C", 99, 1)),
        score(note("C", 4, 1), "<divisions>0</divisions>"), score(note("C", 4, 1), "<divisions>99999999</divisions>"),
        score("<backup><duration>4</duration></backup>"),
        score(note("C", 4, 1, "<notations><technical><string>99</string><fret>1</fret></technical></notations>")),
        std::string("<score-timewise/>"), std::string("<score-partwise>"), score("")}) {
    const auto phrases = read_musicxml(text);
    ASSERT_FALSE(phrases.ok()) << text;
    EXPECT_LE(phrases.error().at, text.size());
    EXPECT_FALSE(phrases.error().what.empty());
  }
}

TEST(read_musicxml, the_public_suite_is_read_or_refused_with_a_place) {
  // Inputs of the MusicXML test suite (see SOURCES.md there): made for readers, some of them meant to be hard.
  const std::filesystem::path folder = std::filesystem::path(FRETLOOM_SHARED_DIR) / "reference/musicxml-suite";
  if (!std::filesystem::exists(FRETLOOM_SHARED_DIR)) GTEST_SKIP() << "needs " << folder;
  std::size_t files = 0;
  std::size_t read = 0;
  for (const auto& entry : std::filesystem::directory_iterator(folder)) {
    if (entry.path().extension() != ".xml") continue;
    const std::string text = test::bytes_of(entry.path());
    const auto phrases = read_phrases(text);
    ++files;
    if (phrases.ok()) {
      ++read;
      for (const GivenPhrase& phrase : *phrases) EXPECT_FALSE(phrase.notes.empty());
    } else {
      EXPECT_LE(phrases.error().at, text.size()) << entry.path();
      EXPECT_FALSE(phrases.error().what.empty()) << entry.path();
    }
  }
  EXPECT_EQ(files, 10U);
  EXPECT_GE(read, 8U);
}

TEST(open_mxl, finds_the_document_and_refuses_bombs_and_lies) {
  const std::string document = score(note("C", 4, 1));
  const std::string container = "<container><rootfiles><rootfile full-path=\"a/b.xml\"/></rootfiles></container>";
  const auto archive = zip_bytes({{"META-INF/container.xml", container, false}, {"a/b.xml", document, false}});
  ASSERT_TRUE(archive.ok());
  EXPECT_TRUE(looks_like_zip(*archive));
  EXPECT_EQ(*open_mxl(*archive), document);
  EXPECT_EQ(*open_mxl(*zip_bytes({{"x.xml", document, false}})), document);
  EXPECT_EQ(open_mxl(*zip_bytes({{"x.txt", document, false}})).error().kind, ErrorKind::syntax);
  EXPECT_EQ(open_mxl(*zip_bytes({{"META-INF/container.xml", container, false}})).error().kind, ErrorKind::syntax);
  const auto bomb = zip_bytes({{"x.xml", std::string(30U << 20U, ' '), false}});
  ASSERT_TRUE(bomb.ok());
  ASSERT_LT(bomb->size(), 100'000U);
  EXPECT_EQ(open_mxl(*bomb).error().kind, ErrorKind::limit);
  std::string lying = *archive;
  lying.resize(lying.size() / 2);
  EXPECT_FALSE(open_mxl(lying).ok());
}

TEST(read_phrases, bytes_of_no_kind_are_refused) {
  EXPECT_FALSE(read_phrases(std::string("abc\0def", 7)).ok());
  EXPECT_FALSE(read_phrases("").ok());
  EXPECT_FALSE(read_phrases("MThd").ok());
}

}  // namespace
}  // namespace fretloom
