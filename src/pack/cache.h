#pragma once
// Parts by what they are made from, on the disk.

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"

namespace fretloom {

/// A file a key, ending in the hash of what is before it, so that a damaged one is as good as none.
/// Several programs may use one cache at a time.
class PartCache {
 public:
  explicit PartCache(std::filesystem::path folder) : folder_(std::move(folder)) {}

  /// The bytes kept for a key; nothing if there are none or they are damaged.
  [[nodiscard]] std::optional<std::string> get(const std::string& key) const;
  /// Error io.
  [[nodiscard]] Result<void> put(const std::string& key, const std::string& bytes) const;

 private:
  [[nodiscard]] std::filesystem::path path_of(const std::string& key) const {
    return folder_ / key.substr(0, 2) / key.substr(2);
  }

  std::filesystem::path folder_;
};

}  // namespace fretloom
