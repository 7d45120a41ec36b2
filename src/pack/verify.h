#pragma once
// Is a pack what its lesson gives?

#include <string>
#include <vector>

#include "base/result.h"
#include "pack/pack_files.h"
#include "pack/parts.h"

namespace fretloom {

struct VerifyReport {
  std::size_t parts = 0;              ///< compared
  std::vector<std::string> problems;  ///< one line each; none = the pack is what it should be
  std::vector<std::string> notes;     ///< parts that somebody changed or put there, and other bytes that say the same
};

/// Every part against its hash and stamp in the manifest, against the lesson file of the pack made anew, and
/// no part too many or too few; the zip against the parts; and the manifest against the one that the lesson gives. A
/// part that somebody changed is a note, and so is a file of somebody else's; what is stale or missing is a problem,
/// and so is a changed file of the lesson, from which all is derived. Lossy sound, whose encoders choose code by
/// processor, may differ in bytes if it decodes to the same frames within 1e-3. Errors: the manifest or the lesson
/// cannot be read; stopped.
[[nodiscard]] Result<VerifyReport> verify_pack(const PackFiles& pack, const PackTools& tools, int threads = 0,
                                               const StopFlag* stop = nullptr,
                                               const std::function<void(double)>& progress = {});

}  // namespace fretloom
