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

  [[nodiscard]] const std::string* find(std::string_view path) const;
};

/// Reads a pack's folder or its zip (whose files lie in one folder). Errors: io, syntax (no zip), limit
/// (above 2 GB).
[[nodiscard]] Result<PackFiles> read_pack(const std::string& path);

struct VerifyReport {
  std::size_t parts = 0;              ///< compared
  std::vector<std::string> problems;  ///< one line each; none = the pack is what it should be
  std::vector<std::string> notes;     ///< sound of other bytes that decodes to the same sound
};

/// Every part against its hash and stamp in the manifest, against the lesson file of the pack made anew, and
/// no part too many or too few. Lossy sound, whose encoders choose code by processor, may differ in bytes
/// if it decodes to the same frames within 1e-3. Errors: the manifest or the lesson cannot be read;
/// limit "stopped".
[[nodiscard]] Result<VerifyReport> verify_pack(const PackFiles& pack, const PackTools& tools, int threads = 0,
                                               const StopFlag* stop = nullptr,
                                               const std::function<void(double)>& progress = {});

}  // namespace fretloom
