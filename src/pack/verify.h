#pragma once
// Is a pack what its lesson gives?

#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "pack/parts.h"

namespace fretloom {

/// A pack's files: path inside the pack and bytes.
struct PackFiles {
  std::vector<std::pair<std::string, std::string>> files;
  /// Path and what is wrong with it, of all that was not read: links, pipes, files far larger than the
  /// manifest says.
  std::vector<std::pair<std::string, std::string>> faults;
  std::vector<std::string> notes;  ///< a zip that another program wrote

  [[nodiscard]] const std::string* find(std::string_view path) const;
};

/// Reads a pack's folder or its zip (whose files lie in one folder). Follows no link inside the folder and
/// reads no file that the manifest does not list. Errors: io, syntax (no zip, or several folders in it),
/// range (an entry that no pack has), limit (above 2 GB).
[[nodiscard]] Result<PackFiles> read_pack(const std::string& path);

struct VerifyReport {
  std::size_t parts = 0;              ///< compared
  std::vector<std::string> problems;  ///< one line each; none = the pack is what it should be
  std::vector<std::string> notes;     ///< other bytes that say the same: lossy sound, the zip's packing
};

/// Every part against its hash and stamp in the manifest, against the lesson file of the pack made anew, and
/// no part too many or too few; and the manifest against the one that the lesson gives. Lossy sound, whose encoders
/// choose code by processor, may differ in bytes if it decodes to the same frames within 1e-3. Errors: the manifest or
/// the lesson cannot be read; limit "stopped".
[[nodiscard]] Result<VerifyReport> verify_pack(const PackFiles& pack, const PackTools& tools, int threads = 0,
                                               const StopFlag* stop = nullptr,
                                               const std::function<void(double)>& progress = {});

}  // namespace fretloom
