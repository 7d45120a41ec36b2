#pragma once
// Files of a folder of packs, read without following a link.

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"

namespace fretloom {

/// What keeps `path` (below root) from being a file of the folder itself: a link or something else than a folder on the
/// way to it. Nothing where the way is free or does not go so far yet. Its repair says what to do.
[[nodiscard]] std::optional<Error> blocked_way(const std::filesystem::path& root, const std::string& path);

/// The bytes of a regular file below root with no link on the way; nothing otherwise, or if it has more than `limit`.
[[nodiscard]] std::optional<std::string> own_bytes(const std::filesystem::path& root, const std::string& path,
                                                   std::size_t limit);

/// "a/x.pdf" as "a/x-new.pdf" for 1, "a/x-new-2.pdf" for 2, itself for 0.
[[nodiscard]] std::string beside(const std::string& path, int number);

}  // namespace fretloom
