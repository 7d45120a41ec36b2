#pragma once
// The page of a catalogue: all packs of a folder.

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "files/disk.h"
#include "pack/manifest.h"

namespace fretloom {

/// One HTML page without scripts or outside requests; titles escaped. It bears its own SHA-256, taken with zeros in
/// that place, by which it is known again.
[[nodiscard]] std::string index_html(const std::vector<Manifest>& packs);
/// A page that index_html gave, and that nobody has changed since.
[[nodiscard]] bool is_own_index(const std::string& html);

struct IndexReport {
  std::size_t packs = 0;
  std::filesystem::path page;  ///< index.html, or beside it where somebody else's has that name
};

/// Writes ROOT/index.html from the manifests that lie in ROOT's folders, whoever made them: shares of one
/// catalogue made side by side merge so. Nothing is written if there is no pack or the page is as it was. A page that
/// Fretloom did not make, or that was changed, stays, and the new one lies beside it as index-new.html. Error io.
[[nodiscard]] Result<IndexReport> write_index(Disk& disk, const std::filesystem::path& root);

}  // namespace fretloom
