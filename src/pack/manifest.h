#pragma once
// manifest.json: what a pack holds (docs/manifest.schema.json).

#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace fretloom {

struct ManifestPart {
  std::string path;   ///< from the folder of the packs: "climbing-sixes/climbing-sixes-handout.pdf"
  std::string at;     ///< where it lies: `path`, or beside it where a file of somebody else's has that name
  std::string title;  ///< of a sound file, for the pages: "Sixes, 4 a beat, 60 bpm"; empty for others
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
  std::string name;    ///< of the pack: "climbing-sixes"
  std::string source;  ///< the lesson file that it is made of, from the folder of the packs: "../lessons/sixes.toml"
  std::string lesson_sha256;
  std::string choice;  ///< see choice_text
  std::vector<ManifestPart> parts;

  friend bool operator==(const Manifest&, const Manifest&) = default;
};

constexpr int k_pack_format = 2;

/// The files of a pack: NAME/ for students, NAME-teacher/ for the teacher, NAME.zip.
[[nodiscard]] std::string teacher_folder(const std::string& name);
[[nodiscard]] std::string manifest_path(const std::string& name);
[[nodiscard]] std::string zip_path(const std::string& name);
constexpr std::string_view k_teacher_ending = "-teacher";
constexpr std::string_view k_manifest_file = "manifest.json";

[[nodiscard]] std::string to_json(const Manifest& manifest);
/// Errors: syntax (no JSON, a field missing or of another type, `at` the byte where it is known), range (a
/// newer format; a path that leaves the pack's folder).
[[nodiscard]] Result<Manifest> read_manifest(const std::string& json);

}  // namespace fretloom
