#pragma once
// Reads what lies in a pack.

#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.h"
#include "pack/manifest.h"

namespace fretloom {

constexpr std::size_t k_max_manifest_bytes = std::size_t{16} << 20U;  ///< bytes

/// A pack's parts as they lie there: the path from the folder of the packs, and the bytes.
struct PackFiles {
  Manifest manifest;
  std::string manifest_json;
  std::vector<std::pair<std::string, std::string>> files;
  /// Path and what is wrong with it, of parts that were not read: links, pipes, folders.
  std::vector<std::pair<std::string, std::string>> faults;
  std::vector<std::pair<std::string, std::string>> changed;  ///< and of parts that grew too large to be read
  std::vector<std::string> foreign;                          ///< what the manifest does not list

  [[nodiscard]] const std::string* find(std::string_view path) const;
};

/// Reads a pack by the path of one of its folders or of its zip. Follows no link inside the folders and reads no file
/// that the manifest does not list. Errors: io, syntax or range (a folder, the manifest or the lesson file is missing:
/// the message says which; not a manifest), limit (above 2 GB).
[[nodiscard]] Result<PackFiles> read_pack(const std::string& path);

/// The packs in a folder, as read_pack takes them; none if it is not a folder of packs.
[[nodiscard]] std::vector<std::string> packs_in_folder(const std::string& path);

}  // namespace fretloom
