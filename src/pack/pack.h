#pragma once
// Making a pack: folders for students and for the teacher and a zip of the first, from one content hash.
//
//   ROOT/NAME/...           for students
//   ROOT/NAME-teacher/...   for the teacher: script, e-mail, lesson file, manifest.json
//   ROOT/NAME.zip           the first folder's parts
//   WORK/...                what is being built (work_folder.h)
//
// A part whose key is in the cache is not made again, only stamped. All that changes is written aside and comes in
// one swap. A file that Fretloom did not make, or that was changed since, stays, and the part lies beside it.

#include <filesystem>
#include <functional>
#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "files/disk.h"
#include "pack/manifest.h"
#include "pack/parts.h"

namespace fretloom {

/// kept: the file lay there; stamped: out of the cache; made: from the beginning; left: not asked for.
enum class PartState { kept, stamped, made, left };
[[nodiscard]] std::string_view name(PartState state);

struct PackReport {
  std::vector<PartState> states;  ///< one a part of the plan: the job log
  bool zip_written = false;
  bool is_changed = false;           ///< whether anything was
  std::vector<std::string> removed;  ///< parts of the pack before that this one does not have
  /// Files of somebody else that have a part's name, and where the part lies: paths from the root.
  std::vector<std::pair<std::string, std::string>> beside;
  std::vector<std::string> edited;  ///< parts of the pack before that somebody changed; they stay, and are nobody's now
};

struct PackRun {
  std::filesystem::path root;
  int threads = 0;  ///< 0: one a core
  const StopFlag* stop = nullptr;
  std::function<void(double part)> progress;  ///< 0 to 1, ascending, from one thread at a time
  std::vector<PartGroup> only;                ///< make these, and leave the others as they are; empty: all
  std::filesystem::path cache;                ///< see PartCache; empty: none
  Disk* disk = nullptr;                       ///< nullptr: the real one
};

/// Before a pack is made: finishes what a stopped run left of it, and reads its manifest. Nothing if there is no pack.
/// Errors: io; syntax and range = what lies in the manifest's place is not a manifest of ours.
[[nodiscard]] Result<std::optional<Manifest>> manifest_in(const std::filesystem::path& root, const std::string& name);

/// Errors: io (no folder, no permission, no space, a link in a folder's place, a file that changed meanwhile), and
/// those of the parts with the part's path in front; stopped. After an error the pack is as it was; what was finished
/// is kept in the cache, so that the next run goes on from there. The index page is not written: the pack is marked as
/// due.
[[nodiscard]] Result<PackReport> make_pack(const PackPlan& plan, const PackRun& run);

}  // namespace fretloom
