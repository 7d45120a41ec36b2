#pragma once
// The page of a catalogue: all packs of a folder.

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "pack/manifest.h"

namespace fretloom {

/// A pack's folder name and its manifest.
struct CataloguePack {
  std::string name;
  Manifest manifest;
};

/// One HTML page without scripts or outside requests; titles escaped.
[[nodiscard]] std::string index_html(const std::vector<CataloguePack>& packs);

/// Writes ROOT/index.html from the manifests that lie in ROOT's folders, whoever made them: shares of one
/// catalogue made side by side merge so. Nothing is written if there is no pack or the page is as it was.
/// The value: how many packs it lists. Error io.
[[nodiscard]] Result<std::size_t> write_index(const std::filesystem::path& root);

}  // namespace fretloom
