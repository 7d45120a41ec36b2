#pragma once
// manifest.json: what a pack holds (docs/manifest.schema.json).

#include <string>
#include <vector>

#include "base/result.h"

namespace fretloom {

struct ManifestPart {
  std::string path;
  std::string group;
  std::string key;     ///< of what it was made from
  std::string sha256;  ///< of its bytes
  std::size_t bytes = 0;
  bool stamped = true;

  friend bool operator==(const ManifestPart&, const ManifestPart&) = default;
};

struct Manifest {
  std::string title;
  std::string author;
  std::string key;
  std::size_t ideas = 0;
  std::string lesson_sha256;
  std::string choice;  ///< see choice_text
  std::vector<ManifestPart> parts;

  friend bool operator==(const Manifest&, const Manifest&) = default;
};

constexpr int k_pack_format = 1;

[[nodiscard]] std::string to_json(const Manifest& manifest);
/// Errors: syntax (no JSON, a field missing or of another type, `at` the byte where it is known), range (a
/// newer format; a path that leaves the pack's folder).
[[nodiscard]] Result<Manifest> read_manifest(const std::string& json);

}  // namespace fretloom
