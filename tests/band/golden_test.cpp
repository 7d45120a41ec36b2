// Part scores of every rhythm: as goldens, note by note (tests/band/golden), and as grids in docs/band.md.
// FRETLOOM_REWRITE=1 band_test --gtest_filter='PartScores*' rewrites both; read the change before you keep it.

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <regex>

#include "band/part_score.h"
#include "band/play_vamp.h"
#include "band/random_vamp.h"
#include "outside.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

bool rewrites() { return std::getenv("FRETLOOM_REWRITE") != nullptr; }

/// The meter that shows a rhythm best, and others that it must survive.
std::vector<std::string> meters_of(const VampRhythm& rhythm) {
  if (rhythm.name == "waltz") return {"3/4", "4/4"};
  if (rhythm.name == "two-beat") return {"4/4", "6/8"};
  if (rhythm.name == "shuffle") return {"4/4", "12/8"};
  if (rhythm.name == "gallop") return {"4/4", "7/8"};
  if (rhythm.name == "walking bass") return {"4/4", "5/4"};
  return {"4/4", "9/8"};
}

std::string file_name(std::string_view rhythm) {
  std::string name(rhythm);
  for (char& c : name) c = c == ' ' ? '-' : c;
  return name + ".txt";
}

/// Drawn by scripts/band_figures.sh.
std::string picture_of(std::string_view rhythm) {
  std::string name(rhythm);
  for (char& c : name) c = c == ' ' ? '-' : c;
  return "band/" + name + ".png";
}

TEST(PartScores, EveryRhythmPlaysAsItDid) {
  for (const VampRhythm& rhythm : vamp_rhythms()) {
    std::string text;
    for (const std::string& meter : meters_of(rhythm)) {
      const IdeaSheet idea = vamp_idea(std::string(rhythm.name), meter, "Em7 | A7");
      BandOptions options;
      options.bpm = Rational(idea.meter.denominator == 8 && !idea.meter.is_compound() ? 224 : 112);
      options.turns = 2;
      text += meter + "\n" + to_text(play_vamp(idea, options).value(), idea.meter);
    }
    const std::string path = std::string(FRETLOOM_SOURCE_DIR "/tests/band/golden/") + file_name(rhythm.name);
    if (rewrites()) test::put_bytes(path, text);
    ASSERT_TRUE(fs::exists(path)) << path;
    EXPECT_EQ(test::bytes_of(path), text) << rhythm.name;
  }
}

std::string grids_of(const VampRhythm& rhythm) {
  const std::string meter = meters_of(rhythm).front();
  const IdeaSheet idea = vamp_idea(std::string(rhythm.name), meter, "Em7 | A7");
  BandOptions options;
  options.bpm = Rational(112);
  const Band band = play_vamp(idea, options).value();
  std::vector<ScoreBar> bars;
  for (const int bar : {0, 1, 3})
    bars.push_back({bar, meter + ", bar " + std::to_string(bar + 1) + ", " + (bar % 2 == 0 ? "Em7" : "A7")});
  if (rhythm.name == "drone") bars.resize(1);
  const std::string picture = picture_of(rhythm.name);
  EXPECT_TRUE(fs::exists(std::string(FRETLOOM_SOURCE_DIR "/docs/") + picture)) << picture;
  return "### " + std::string(rhythm.name) + "\n\nChords: " + std::string(rhythm.played) + ".\n\n```\n" +
         part_score(band, idea.meter, bars) + "```\n\n![Two bars as they sound](" + picture + ")\n";
}

TEST(PartScores, StandInTheDocument) {
  const std::string path = FRETLOOM_SOURCE_DIR "/docs/band.md";
  const std::string page = test::bytes_of(path);
  const std::string mark = "<!-- Written by tests/band/golden_test.cpp. -->\n";
  const std::size_t at = page.find(mark);
  ASSERT_NE(at, std::string::npos);
  std::string wanted = page.substr(0, at) + mark;
  for (const VampRhythm& rhythm : vamp_rhythms()) wanted += "\n" + grids_of(rhythm);
  if (rewrites()) test::put_bytes(path, wanted);
  EXPECT_EQ(test::bytes_of(path), wanted);
}

}  // namespace
}  // namespace fretloom
