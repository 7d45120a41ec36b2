// Lessons as MIDI, read by strangers: Debian's python3-mido and midicsv and npm midi-file 1.2.4. Each
// must tell the same notes, tempos, meters, markers, texts and names; the notes' seconds by mido's clock must be
// those of the lesson's exact fractions.

#include <gtest/gtest.h>
#include <unistd.h>

#include <array>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>

#include "band/play_vamp.h"
#include "base/text.h"
#include "exchange/midi_score.h"
#include "exchange/outside.h"
#include "lesson/compile.h"
#include "score/swing.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

/// A reader's lines in any order, and apart from them those that begin with `word`.
std::multiset<std::string> without(const std::vector<std::string>& lines, const std::string& word) {
  std::multiset<std::string> kept;
  for (const std::string& line : lines) {
    if (!line.starts_with(word + " ")) kept.insert(line);
  }
  return kept;
}
std::vector<std::string> only(const std::vector<std::string>& lines, const std::string& word) {
  std::vector<std::string> kept;
  for (const std::string& line : lines) {
    if (line.starts_with(word + " ")) kept.push_back(line.substr(word.size() + 1));
  }
  return kept;
}

template <class... Fields>
std::string words_of(const std::string& first, const Fields&... fields) {
  std::string line = first;
  ((line += " " + std::to_string(fields)), ...);
  return line;
}

/// What the file should say, from our own reader.
std::vector<std::string> own_lines(const MidiFile& file) {
  std::vector<std::string> lines = {words_of("file", file.format, file.division, file.tracks.size())};
  const MidiMusic music = midi_notes(file);
  for (const MidiNote& n : music.notes)
    lines.push_back(words_of("note", n.track, n.tick, n.length, n.channel, n.key, n.velocity));
  for (const MidiTempo& tempo : music.tempos) lines.push_back(words_of("tempo", tempo.tick, tempo.microseconds));
  for (const MidiMeter& m : music.meters) lines.push_back(words_of("meter", m.tick, m.numerator, m.denominator));
  for (std::size_t i = 0; i < file.tracks.size(); ++i) {
    for (const MidiEvent& event : file.tracks[i].events) {
      if (event.status >> 4 == 0xC)
        lines.push_back(words_of("program", event.tick, (event.status & 15) + 1, static_cast<int>(event.data[0])));
      if (event.status != 0xFF) continue;
      if (event.meta == k_meta_marker) lines.push_back(words_of("marker", event.tick) + " " + event.data);
      if (event.meta == k_meta_text) lines.push_back(words_of("text", i, event.tick) + " " + event.data);
      if (event.meta == k_meta_track_name) lines.push_back(words_of("name", i) + " " + event.data);
    }
  }
  return lines;
}

/// A quoted text of midicsv: quotes doubled, some bytes as \ooo.
std::string unquoted(std::string_view text) {
  std::string plain;
  for (std::size_t i = 1; i + 1 < text.size(); ++i) {
    if (text[i] == '\\' && text[i + 1] != '\\') {
      plain += static_cast<char>(std::stoi(std::string(text.substr(i + 1, 3)), nullptr, 8));
      i += 3;
    } else {
      if (text[i] == '"' || text[i] == '\\') ++i;
      plain += text[i];
    }
  }
  return plain;
}

/// The lines of midicsv in the same words.
std::vector<std::string> csv_lines(const fs::path& path) {
  std::vector<std::string> lines;
  std::map<std::array<long, 3>, std::vector<std::array<long, 2>>> sounding;  // track, channel, key: tick, velocity
  for (const std::string& row : lines_of("midicsv '" + path.string() + "'")) {
    std::vector<std::string> f;
    std::size_t at = 0;
    while (f.size() < 3 || (at < row.size() && row[at] != '"')) {
      const std::size_t comma = std::min(row.find(", ", at), row.size());
      f.push_back(row.substr(at, comma - at));
      at = comma + 2;
      if (at >= row.size()) break;
    }
    if (at < row.size()) f.push_back(row.substr(at));
    if (f.size() < 3) continue;
    const auto number = [&](std::size_t i) { return std::stol(f.at(i)); };
    const long track = number(0) - 1;
    const long tick = number(1);
    if (f[2] == "Header") lines.push_back(words_of("file", number(3), number(5), number(4)));
    if (f[2] == "Tempo") lines.push_back(words_of("tempo", tick, number(3)));
    if (f[2] == "Time_signature") lines.push_back(words_of("meter", tick, number(3), 1L << number(4)));
    if (f[2] == "Marker_t") lines.push_back(words_of("marker", tick) + " " + unquoted(f.at(3)));
    if (f[2] == "Text_t") lines.push_back(words_of("text", track, tick) + " " + unquoted(f.at(3)));
    if (f[2] == "Title_t") lines.push_back(words_of("name", track) + " " + unquoted(f.at(3)));
    if (f[2] == "Program_c") lines.push_back(words_of("program", tick, number(3) + 1, number(4)));
    if (f[2] == "Note_on_c") sounding[{track, number(3), number(4)}].push_back({tick, number(5)});
    if (f[2] == "Note_off_c") {
      auto& waiting = sounding[{track, number(3), number(4)}];
      if (waiting.empty()) return {"a note ends that never began"};
      lines.push_back(words_of("note", track, waiting.front()[0], tick - waiting.front()[0], number(3) + 1, number(4),
                               waiting.front()[1]));
      waiting.erase(waiting.begin());
    }
  }
  return lines;
}

/// Seconds of every lick note, from the fractions of the lesson alone.
std::vector<double> exact_seconds(const Handout& handout, MidiSpeed speed) {
  std::vector<double> seconds;
  double now = 0;  // where the passage begins
  for (const MidiPassage& place : midi_passages(handout)) {
    const IdeaSheet& idea = *place.feel.idea;
    const Rational bpm = speed == MidiSpeed::slow ? idea.slow_bpm : idea.goal_bpm;
    const Rational bar_ticks = Rational(40320) * Rational(idea.meter.numerator(), idea.meter.denominator);
    const auto beats = [&](std::int64_t ticks) {
      return Rational(ticks) / bar_ticks * Rational(idea.meter.beats_per_bar());
    };
    const auto in_seconds = [&](const Rational& b) { return (b * Rational(60) / bpm).to_double(); };
    for (const ScoreNote& note : swung(idea.meter, idea.vamp.swing, *place.feel.score).notes)
      seconds.push_back(now + in_seconds(beats(place.origin - place.begin) + note.onset.value));
    now += in_seconds(beats(place.end - place.begin));
  }
  return seconds;
}

class MidiOutside : public testing::TestWithParam<std::pair<const std::string, std::string>> {};

TEST_P(MidiOutside, StrangersReadTheSameMusic) {
  const CompiledLesson compiled = compile_lesson(GetParam().second);
  for (const Finding& finding : compiled.findings)
    ASSERT_NE(finding.level, Level::error) << to_line(finding, GetParam().first);
  const Handout handout = make_handout(compiled);
  ASSERT_FALSE(handout.ideas.empty());
  for (const auto& [speed, channels] :
       {std::pair(MidiSpeed::goal, MidiChannels::one), std::pair(MidiSpeed::slow, MidiChannels::per_string)}) {
    const auto bands = play_vamps(handout, speed == MidiSpeed::slow ? BandSpeed::slow : BandSpeed::goal);
    ASSERT_TRUE(bands) << bands.error().what;
    const auto file = midi_of(handout, {speed, channels}, *bands);
    ASSERT_TRUE(file) << file.error().what;
    const std::string bytes = write_midi(*file);
    const auto read = read_midi(bytes);
    ASSERT_TRUE(read) << read.error().what;
    ASSERT_EQ(*read, *file);
    const fs::path path = fs::path(testing::TempDir()) / ("fretloom_" + std::to_string(getpid()) + ".mid");
    std::ofstream(path, std::ios::binary) << bytes;

    const auto own = own_lines(*file);
    const std::multiset<std::string> wanted(own.begin(), own.end());
    const fs::path here = fs::path(FRETLOOM_SOURCE_DIR) / "tests/exchange";
    const auto mido = lines_of("PYTHONIOENCODING=utf-8 /usr/bin/python3 '" + (here / "midi_mido.py").string() + "' '" +
                               path.string() + "'");
    EXPECT_EQ(without(mido, "seconds"), wanted);
    EXPECT_EQ(without(csv_lines(path), "seconds"), wanted);
    const auto npm = lines_of("node '" + (here / "midi_file_values.mjs").string() + "' '" + path.string() + "'");
    EXPECT_EQ(only(npm, "version"), std::vector<std::string>{"1.2.4"}) << "run scripts/setup.sh check";
    EXPECT_EQ(without(npm, "version"), wanted);
    fs::remove(path);

    const auto exact = exact_seconds(handout, speed);
    const auto told = only(mido, "seconds");
    const MidiMusic music = midi_notes(*file);
    ASSERT_EQ(told.size(), exact.size());
    std::size_t i = 0;
    for (const MidiNote& note : music.notes) {
      if (note.track != 1) continue;
      // A file's tempo is whole microseconds: up to one part in 200,000 at 600 quarters a minute.
      EXPECT_NEAR(std::stod(told[i]), exact[i], 1e-4 + exact[i] * 5e-6);
      EXPECT_NEAR(music.seconds_at(note.tick).value, std::stod(told[i]), 1e-6);
      ++i;
    }
  }
}

INSTANTIATE_TEST_SUITE_P(Lessons, MidiOutside, testing::ValuesIn(all_lessons()), [](const auto& lesson) {
  std::string name = lesson.param.first;
  for (char& c : name) c = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') ? c : '_';
  return name;
});

TEST(MidiOutsideLessons, HasDemos) { EXPECT_GT(all_lessons().size(), odd_lessons().size()); }

}  // namespace
}  // namespace fretloom
