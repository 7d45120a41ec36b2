#pragma once
// Zip archives (APPNOTE 6.3) in memory, through libzip. The same entries give the same bytes with one zlib.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace fretloom {

struct ZipEntry {
  std::string name;  ///< path inside, "/" between folders, UTF-8
  std::string bytes;
  bool stored = false;  ///< not compressed: for what is compressed already
};

/// The archive's bytes: entries in their order, all dated 1980-01-01 00:00. Errors: io (libzip's own
/// message), range (an empty name, or one twice).
[[nodiscard]] Result<std::string> zip_bytes(const std::vector<ZipEntry>& entries);

/// The entries of an archive, without its folders. Errors: syntax (no zip, damaged, or its list of files and
/// the files disagree), range (a name that leads out of the folder or comes twice, a link, an encrypted
/// entry), limit (more than `limit` bytes in all, or 100 times the archive's, told
/// before they are unpacked).
[[nodiscard]] Result<std::vector<ZipEntry>> unzip(std::string_view bytes, std::size_t limit);

}  // namespace fretloom
