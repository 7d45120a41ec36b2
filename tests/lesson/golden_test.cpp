// notes --json against golden files and against the contract's schema.
// FRETLOOM_REWRITE=1 lesson_test rewrites docs/golden; read the change before you keep it.

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "lesson/notes_json.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

std::string slurp(const fs::path& path) {
  std::ifstream file(path, std::ios::binary);
  std::stringstream text;
  text << file.rdbuf();
  return text.str();
}

std::vector<fs::path> lessons_in(const char* folder) {
  std::vector<fs::path> found;
  for (const auto& entry : fs::directory_iterator(fs::path(FRETLOOM_SOURCE_DIR) / folder)) {
    if (entry.path().extension() == ".toml") found.push_back(entry.path());
  }
  return found;
}

TEST(NotesJson, EqualsTheGoldenFiles) {
  const auto lessons = lessons_in("docs/golden");
  ASSERT_GE(lessons.size(), 3U);
  for (const fs::path& lesson : lessons) {
    SCOPED_TRACE(lesson.string());
    const std::string json = notes_json(compile_lesson(slurp(lesson)));
    const fs::path golden = fs::path(lesson).replace_extension(".json");
    if (std::getenv("FRETLOOM_REWRITE") != nullptr) std::ofstream(golden, std::ios::binary) << json;
    EXPECT_EQ(json, slurp(golden));
  }
}

TEST(NotesJson, ATitleThatIsNotThereIsNull) {
  const std::string rest = "key = \"E\"\n[[idea]]\ncell = \"1\"\n";
  const auto has = [](const std::string& lesson, const char* title) {
    return notes_json(compile_lesson(lesson)).find(title) != std::string::npos;
  };
  EXPECT_TRUE(has(rest, "\"title\": null,"));
  EXPECT_TRUE(has("title = 3\n" + rest, "\"title\": null,"));
  EXPECT_TRUE(has("title = \"\"\n" + rest, "\"title\": \"\","));
}

/// Through ajv (npm), a general validator of JSON Schema 2020-12.
TEST(NotesJson, KeepsToTheSchema) {
  const fs::path folder = fs::temp_directory_path() / ("fretloom-schema-" + std::to_string(::getpid()));
  fs::create_directories(folder);
  std::string files;
  int count = 0;
  const auto write = [&](const std::string& json) {
    const fs::path file = folder / (std::to_string(++count) + ".json");
    std::ofstream(file, std::ios::binary) << json;
    files += " '" + file.string() + "'";
  };
  for (const char* where : {"docs/golden", "demos"}) {
    for (const fs::path& lesson : lessons_in(where)) write(notes_json(compile_lesson(slurp(lesson))));
  }
  ASSERT_GE(count, 9);
  write(notes_json(compile_lesson("not a lesson")));
  write(notes_json(compile_lesson("key = \"E\"\n[[idea]]\ncell = \"1\"\n")));
  write(notes_json(compile_lesson("title = \"T\"\nkey = \"H\"\n[[idea]]\ncell = \"1\"\n")));
  write(notes_json(compile_lesson("title = \"T\"\nkey = \"E\"\ntuning = \"ukulele\"\n[[idea]]\ncell = \"1\"\n")));
  const std::string root = FRETLOOM_SOURCE_DIR;
  const std::string command = "cd '" + root + "' && node tests/lesson/validate.mjs docs/notes.schema.json" + files;
  EXPECT_EQ(std::system(command.c_str()), 0);
  // The check can fail: a note without its fret is no note.
  const fs::path broken = folder / "broken.json";
  std::string json = slurp(fs::path(root) / "docs/golden/climbing-six.json");
  json.erase(json.find("          \"fret\": 12,\n"), std::string("          \"fret\": 12,\n").size());
  std::ofstream(broken, std::ios::binary) << json;
  EXPECT_NE(std::system(("cd '" + root + "' && node tests/lesson/validate.mjs docs/notes.schema.json '" +
                         broken.string() + "' >/dev/null")
                            .c_str()),
            0);
  fs::remove_all(folder);
}

}  // namespace
}  // namespace fretloom
