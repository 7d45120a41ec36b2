#pragma once
// What the packs of lessons are called.

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"

namespace fretloom {

struct PackName {
  std::string lesson;  ///< the file, as it was given
  std::string name;
  std::string source;  ///< see Manifest
  std::string other;   ///< the lesson file that has the plain name; empty where this one has it
};

/// One for each lesson file, in their order. A lesson keeps the name of its pack in `root`. Else it takes its file's
/// name as a slug; where a lesson before it in the list or a pack of another lesson has that, the name of its folder is
/// added ("sixes-week-2"), and a number where that is taken too. The whole list must be given, also where only a share
/// of it is packed, so that all shares agree. A pack whose lesson file is gone belongs to the file that has its title
/// and author now.
[[nodiscard]] std::vector<PackName> pack_names(const std::filesystem::path& root,
                                               const std::vector<std::string>& lessons);

/// Whether the file is the copy of a lesson that lies in a pack.
[[nodiscard]] bool is_of_a_pack(const std::filesystem::path& file);

}  // namespace fretloom
