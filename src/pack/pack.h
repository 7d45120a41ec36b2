#pragma once
// Making a pack: a folder and a zip of it, from one content hash.
//
//   ROOT/NAME/...       the parts and manifest.json
//   ROOT/NAME.zip       the same files; only ever beside parts that agree with it
//   ROOT/.cache/        parts by what they are made from, and a lock for each pack
//
// A part whose key is in the cache is not made again, only stamped. The zip goes before the first part
// changes and comes back last, so that a run which is killed leaves no zip that disagrees with its folder.

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "base/result.h"
#include "pack/parts.h"

namespace fretloom {

/// kept: the file lay there; stamped: out of the cache; made: from the beginning.
enum class PartState { kept, stamped, made };
[[nodiscard]] std::string_view name(PartState state);

struct PackReport {
  std::filesystem::path folder;
  std::filesystem::path zip;
  bool zip_written = false;
  std::vector<PartState> states;     ///< one a part of the plan: the job log
  std::vector<std::string> removed;  ///< parts of the pack before that this one has not
};

struct PackRun {
  std::filesystem::path root;
  std::string name;  ///< of folder and zip, as file_slug gives
  int threads = 0;   ///< 0: one a core
  const StopFlag* stop = nullptr;
  std::function<void(double part)> progress;  ///< 0 to 1, ascending, from one thread at a time
};

/// Errors: io (no folder, no permission, no space), and those of the parts with the part's path in front;
/// stopped. After an error there is no zip unless nothing had to change; what was finished is kept
/// in the cache, so that the next run goes on from there.
[[nodiscard]] Result<PackReport> make_pack(const PackPlan& plan, const PackRun& run);

constexpr std::string_view k_manifest_file = "manifest.json";

}  // namespace fretloom
