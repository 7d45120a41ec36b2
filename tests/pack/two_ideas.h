#pragma once
// A small lesson and its pack "two" in a folder that goes away.

#include <gtest/gtest.h>

#include <filesystem>
#include <map>
#include <string>

#include "draw/font_file.h"
#include "outside.h"
#include "pack/index.h"
#include "pack/pack.h"
#include "pack/work_folder.h"

namespace fretloom::test {

inline const sheet::MusicFont& music_font() {
  static const sheet::MusicFont font = draw::load_music_font(FRETLOOM_MUSIC_FONT).value();
  return font;
}

inline PackTools tools(const std::string& maker = "test") { return {&music_font(), maker}; }

/// A TOML literal for a title.
inline std::string title_string(const std::string& title) {
  std::string text = "\"";
  for (const char c : title) text += c == '"' ? std::string("\\\"") : std::string(1, c);
  return text + "\"";
}

/// Two short ideas; the second one's third note of its first repetition at `fret`.
inline std::string lesson_text(int fret = 10, const std::string& title = "Two ideas") {
  return "title = " + title_string(title) +
         "\nauthor = \"Demo Teacher\"\nkey = \"D dorian\"\ntempo = { slow = 90, goal = 150 }\nlayout = { from = 5 }\n"
         "[[idea]]\nname = \"One\"\nnotes_per_beat = [4]\ncell = \"1 2 3 2\"\nrepeats = 2\n[[idea]]\nname = "
         "\"Two\"\nnotes_per_beat = [4]\ncell = \"1 3 2 1\"\n"
         "repeats = 2\nedits = [{ repeat = 1, note = 3, fret = " +
         std::to_string(fret) + " }]\n";
}

inline PackPlan plan_of(const std::string& lesson, const std::string& maker = "test", PackChoice choice = {},
                        const std::string& durations = "", const std::string& name = "two") {
  choice.plan.present_bpm = Rational(0);
  const auto plan =
      plan_parts(compile_lesson(lesson), {lesson, "", durations, name, "../" + name + ".toml"}, choice, tools(maker));
  EXPECT_TRUE(plan.ok()) << plan.error().what;
  return plan.value();
}

/// A plan without sound, which is fast to make.
inline PackPlan quiet_plan(const std::string& lesson = lesson_text(), const std::string& name = "two") {
  PackChoice choice;
  choice.groups = {PartGroup::tab, PartGroup::midi, PartGroup::words, PartGroup::plan};
  return plan_of(lesson, "test", choice, "", name);
}

inline std::filesystem::path packs(const Folder& folder) { return folder.path() / "packs"; }

inline PackRun run_in(const Folder& folder) {
  PackRun run;
  run.root = packs(folder);
  run.threads = 2;
  run.cache = folder.path() / "cache";
  return run;
}

inline PackReport make(const PackPlan& plan, const Folder& folder, std::vector<PartGroup> only = {}) {
  PackRun run = run_in(folder);
  run.only = std::move(only);
  const auto report = make_pack(plan, run);
  EXPECT_TRUE(report.ok()) << report.error().what;
  return report.ok() ? report.value() : PackReport();
}

/// As the command does after its packs.
inline void make_with_index(const PackPlan& plan, const Folder& folder) {
  make(plan, folder);
  Disk disk;
  const auto index = write_index(disk, packs(folder));
  EXPECT_TRUE(index.ok()) << index.error().what;
}

/// All files below a folder with their bytes.
inline std::map<std::string, std::string> tree(const std::filesystem::path& root) {
  std::map<std::string, std::string> files;
  if (!std::filesystem::exists(root)) return files;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(root)) {
    const std::string path = entry.path().lexically_relative(root).generic_string();
    if (entry.is_regular_file()) files[path] = bytes_of(entry.path());
  }
  return files;
}

inline std::map<std::string, PartState> states(const PackPlan& plan, const PackReport& report) {
  std::map<std::string, PartState> by_path;
  for (std::size_t i = 0; i < plan.parts.size(); ++i) by_path[plan.parts[i].path] = report.states[i];
  return by_path;
}

}  // namespace fretloom::test
