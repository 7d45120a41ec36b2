#pragma once
// A pack planned from a lesson file, with what lies beside it and what the pack before says.

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "pack/manifest.h"
#include "pack/names.h"
#include "pack/pack.h"
#include "pack/parts.h"

namespace fretloom {

/// Every lesson file once: the named ones, and those of folders that are neither in a pack nor put away. Error io: a
/// path that does not exist.
[[nodiscard]] Result<std::vector<std::string>> lessons_to_pack(const std::vector<std::string>& paths);

/// The folder below a folder of lessons where those lie that are put away: kept, and not packed.
constexpr std::string_view k_away_folder = "put-away";

struct LessonFile {
  std::filesystem::path path;
  const std::string& text;
  const CompiledLesson& compiled;
};

struct PlannedPack {
  PackPlan plan;
  std::string before;  ///< the lesson file of the pack that lies there; empty where none does
};

/// What becomes of the choice of the pack before where only some groups are wanted now: it holds for the others, as
/// `merged` says, or it is forgotten.
enum class ChoiceBefore { holds, forgotten };

/// Takes a line about a file: "email.txt:3:1: error: ...".
using LineListener = std::function<void(const std::string&)>;

/// Reads the lesson's logo, the teacher's durations (an empty path: none) and templates, merges `wanted` with the
/// choice of the pack before and plans the parts. Every finding in those files is told, and is an error. Errors: io;
/// those of plan_parts.
[[nodiscard]] Result<PlannedPack> plan_lesson_pack(const LessonFile& lesson, const std::filesystem::path& root,
                                                   const PackName& name, const std::filesystem::path& durations,
                                                   const PackChoice& wanted, ChoiceBefore before,
                                                   const PackTools& tools, const LineListener& tell);

/// A file that a pack found, and what became of it: a sentence without the file's name.
struct FileNote {
  std::filesystem::path path;
  std::string what;
};
/// What the teacher changed in the pack, and what lies beside it for that.
[[nodiscard]] std::vector<FileNote> kept_files(const std::filesystem::path& root, const PackReport& report);

/// "no licence, no links and no note for idea 2"; empty for no findings.
[[nodiscard]] std::string missing_text(const std::vector<Finding>& missing);

/// What a run made: "4 files made, 20 kept, 1 removed"; "nothing has changed".
[[nodiscard]] std::string made_text(const PackReport& report);

}  // namespace fretloom
