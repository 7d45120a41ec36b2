#include "pack/pack_zip.h"

#include <algorithm>
#include <array>

#include "pack/hash.h"

namespace fretloom {

ZipEntry pack_zip_entry(const std::string& path, std::string bytes) {
  constexpr std::array<std::string_view, 5> k_compressed = {".mp3", ".opus", ".flac", ".pdf", ".png"};
  const bool is_compressed = std::any_of(k_compressed.begin(), k_compressed.end(),
                                         [&](std::string_view ending) { return path.ends_with(ending); });
  return {path, std::move(bytes), is_compressed};
}

std::string pack_zip_key(const std::vector<ZipEntry>& entries) {
  std::string text;
  for (const ZipEntry& entry : entries) text += entry.name + "\n" + sha256(entry.bytes) + "\n";
  return sha256(text);
}

}  // namespace fretloom
