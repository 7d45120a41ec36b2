// Lessons that are hard to engrave, each a file of tests/sheet/hard, and the demos: on every paper and screen.

#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>

#include "files/files.h"
#include "lesson/compile.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/laws.h"
#include "words/sentences_of.h"

namespace fretloom::sheet {
namespace {

struct Place {
  std::string name;
  SheetOptions options;
};

std::vector<Place> places() {
  std::vector<Place> places(7);
  places[0].name = "A4";
  places[1].name = "Letter, a cover, for the left hand";
  places[1].options.paper = k_letter;
  places[1].options.layout = PageLayout::cover;
  places[1].options.hand = Hand::left;
  places[2].name = "large print";
  places[2].options.set_print(k_large_print);
  places[3].name = "everything";
  places[3].options.ordinals = places[3].options.counting = true;
  for (std::size_t i = 4; i < 7; ++i) {
    const double width = std::array{390.0, 768.0, 1440.0}[i - 4];
    places[i].name = std::to_string(static_cast<int>(width)) + " pixels";
    places[i].options.set_paper(screen_paper(width));
  }
  return places;
}

class Hard : public testing::TestWithParam<std::filesystem::path> {};

TEST_P(Hard, StandsOnEveryPaper) {
  const auto text = read_file(GetParam(), std::size_t{1} << 20U);
  ASSERT_TRUE(text) << text.error().what;
  const CompiledLesson lesson = compile_lesson(*text);
  const Handout handout = make_handout(lesson);
  ASSERT_FALSE(handout.ideas.empty());
  const LessonSentences sentences = sentences_of(lesson, handout);
  std::size_t notes = 0;
  for (const FeelRef& feel : feels_of(handout)) notes += feel.score->notes.size();
  for (const Place& place : places()) {
    SCOPED_TRACE(place.name);
    const auto sheet = engrave(handout, sentences, place.options, test::music_font());
    ASSERT_TRUE(sheet) << sheet.error().what;
    const Scene& scene = sheet->scene;
    for (const Finding& finding : sheet->findings.findings()) EXPECT_NE(finding.level, Level::error) << finding.message;
    std::size_t drawn = 0;
    for (const Passage& passage : scene.passages) drawn += passage.id == "row" ? 0 : passage.notes.size();
    EXPECT_GE(drawn, notes);
    EXPECT_EQ(test::overlap_of(scene), "");
    EXPECT_EQ(test::off_page(scene), "");
    for (const SceneSystem& system : scene.systems) EXPECT_EQ(system.scale, 1);
    if (place.options.layout == PageLayout::flowing && scene.systems.size() > 1) {
      EXPECT_FALSE(test::has_system_alone(scene));
    }
  }
}

std::vector<std::filesystem::path> lessons() {
  std::vector<std::filesystem::path> found;
  for (const char* folder : {"/tests/sheet/hard", "/demos"}) {
    for (const auto& entry : std::filesystem::directory_iterator(std::string(FRETLOOM_SOURCE_DIR) + folder)) {
      if (entry.path().extension() == ".toml") found.push_back(entry.path());
    }
  }
  std::sort(found.begin(), found.end());
  return found;
}

INSTANTIATE_TEST_SUITE_P(Lessons, Hard, testing::ValuesIn(lessons()), [](const auto& lesson) {
  std::string name = lesson.param.stem().string();
  std::replace(name.begin(), name.end(), '-', '_');
  return name;
});

}  // namespace
}  // namespace fretloom::sheet
