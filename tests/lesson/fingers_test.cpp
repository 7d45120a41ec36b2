// The fretting hand on the demo lessons: the whole played phrase, endings included, keeps to the rules.

#include "hand/fingers.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <map>
#include <set>
#include <sstream>
#include <string>
#include <vector>

#include "lesson/compile.h"

namespace fretloom {
namespace {

/// One feel's phrase as it is played.
struct Played {
  std::string where;
  std::vector<LickNote> notes;
  std::vector<int> fingers;
  bool stray_landing = false;  ///< outside its string's row: it goes by cost
};

std::vector<Played> played_demos() {
  std::vector<Played> all;
  for (const auto& entry : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/demos")) {
    if (entry.path().extension() != ".toml") continue;
    std::ifstream file(entry.path(), std::ios::binary);
    std::stringstream text;
    text << file.rdbuf();
    const CompiledLesson lesson = compile_lesson(text.str());
    for (const CompiledIdea& idea : lesson.ideas) {
      for (const Feel& feel : idea.feels) {
        const Idea& source = lesson.idea(idea);
        const CarriedLayout layout = carried_layout(source.settings.ground, source.lick, idea.phrase);
        const auto add = [&](const std::vector<LickNote>& notes, const std::vector<int>& tail, std::size_t body) {
          std::vector<int> fingers(idea.fingering.fingers.begin(),
                                   idea.fingering.fingers.begin() + static_cast<std::ptrdiff_t>(body));
          fingers.insert(fingers.end(), tail.begin(), tail.end());
          const std::vector<int> row = layout.row(notes.back().string, notes.back().repeat);
          const bool stray = std::find(row.begin(), row.end(), notes.back().fret) == row.end();
          all.push_back(
              {entry.path().filename().string() + ": " + to_text(notes), notes, fingers, !tail.empty() && stray});
        };
        add(idea.phrase.notes, {}, idea.phrase.notes.size());
        for (std::size_t e = 0; e < feel.endings.size(); ++e)
          add(feel.endings[e].notes(), feel.ending_fingers[e], feel.endings[e].body.size());
      }
    }
  }
  return all;
}

/// Finger of each fret of a visit; 0 where it has several.
std::map<int, int> fingers_of_frets(const Played& phrase, std::size_t first, std::size_t end) {
  std::map<int, int> fingers;
  for (std::size_t i = first; i < end; ++i) {
    if (phrase.notes[i].fret == 0) continue;
    const auto [fret, is_new] = fingers.emplace(phrase.notes[i].fret, phrase.fingers[i]);
    if (!is_new && fret->second != phrase.fingers[i]) fret->second = 0;
  }
  return fingers;
}

TEST(DemoFingers, EveryVisitOfThreeNotesFollowsTheTable) {
  // Common practice, no source.
  const std::map<std::pair<int, int>, std::vector<int>> table = {
      {{1, 1}, {1, 2, 3}}, {{1, 2}, {1, 2, 4}}, {{2, 1}, {1, 3, 4}}, {{2, 2}, {1, 2, 4}},
      {{1, 3}, {1, 2, 4}}, {{2, 3}, {1, 2, 4}}, {{3, 1}, {1, 3, 4}}, {{3, 2}, {1, 3, 4}}};
  int visits = 0;
  std::set<std::pair<int, int>> gaps;
  for (const Played& phrase : played_demos()) {
    SCOPED_TRACE(phrase.where);
    std::size_t end = 0;
    for (std::size_t first = 0; first < phrase.notes.size(); first = end) {
      for (end = first; end < phrase.notes.size() && phrase.notes[end].string == phrase.notes[first].string;) ++end;
      const bool stray = phrase.stray_landing && end == phrase.notes.size();
      const std::map<int, int> fingers = fingers_of_frets(phrase, first, stray ? end - 1 : end);
      for (const auto& [fret, finger] : fingers) EXPECT_NE(finger, 0) << "fret " << fret << " from note " << first;
      if (fingers.size() != 3) continue;
      auto fret = fingers.begin();
      const auto low = *fret++;
      const auto middle = *fret++;
      const std::pair<int, int> gap{middle.first - low.first, fret->first - middle.first};
      const auto row = table.find(gap);
      if (row == table.end()) continue;
      ++visits;
      gaps.insert(gap);
      EXPECT_EQ((std::vector<int>{low.second, middle.second, fret->second}), row->second) << "from note " << first;
    }
  }
  EXPECT_GT(visits, 150);
  EXPECT_GE(gaps.size(), 5U);
}

TEST(DemoFingers, SlidesKeepAndHammerOnsAndPullOffsChange) {
  int slurs = 0;
  for (const Played& phrase : played_demos()) {
    SCOPED_TRACE(phrase.where);
    for (std::size_t i = 1; i < phrase.notes.size(); ++i) {
      const Attack attack = phrase.notes[i].attack;
      if (attack == Attack::pick || phrase.fingers[i] == 0 || phrase.fingers[i - 1] == 0) continue;
      ++slurs;
      EXPECT_EQ(phrase.fingers[i] == phrase.fingers[i - 1], attack == Attack::slide) << i;
    }
  }
  EXPECT_GT(slurs, 10);
}

}  // namespace
}  // namespace fretloom
