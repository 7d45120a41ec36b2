#pragma once
// Parts by what they are made from, on the disk.

#include <filesystem>
#include <optional>
#include <string>

namespace fretloom {

/// A file a key, ending in the hash of what is before it, so that a damaged one is as good as none.
/// Several programs may use one cache at a time. A cache that cannot be written keeps nothing, and nothing fails.
class PartCache {
 public:
  /// An empty path: no cache.
  explicit PartCache(std::filesystem::path folder) : folder_(std::move(folder)) {}

  /// The bytes kept for a key, which is as young as new then; nothing if there are none or they are damaged.
  [[nodiscard]] std::optional<std::string> get(const std::string& key) const;
  void put(const std::string& key, const std::string& bytes) const;

 private:
  [[nodiscard]] std::filesystem::path path_of(const std::string& key) const {
    return folder_ / key.substr(0, 2) / key.substr(2);
  }

  std::filesystem::path folder_;
};

constexpr std::uintmax_t k_cache_bytes = std::uintmax_t{1} << 30U;
constexpr int k_cache_days = 60;

/// Removes what nobody asked for within `days`, and then the oldest until the rest has at most `bytes`. Files that no
/// cache of ours has are left alone.
void prune_cache(const std::filesystem::path& folder, std::uintmax_t bytes = k_cache_bytes, int days = k_cache_days);

}  // namespace fretloom
