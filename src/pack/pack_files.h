#pragma once
// Reads what lies in a pack.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"

namespace fretloom {

constexpr std::size_t k_max_manifest_bytes = std::size_t{16} << 20U;  ///< bytes

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

}  // namespace fretloom
