#pragma once
// The zip of a pack: the parts for students, in one folder.

#include <string>
#include <vector>

#include "files/zip.h"

namespace fretloom {

/// Sound, PDF and pictures are compressed already and go in as they are.
[[nodiscard]] ZipEntry pack_zip_entry(const std::string& path, std::string bytes);
/// SHA-256 of the names and bytes.
[[nodiscard]] std::string pack_zip_key(const std::vector<ZipEntry>& entries);

}  // namespace fretloom
