#include "pack/cache.h"

#include <algorithm>
#include <chrono>
#include <vector>

#include "files/files.h"
#include "pack/hash.h"
#include "pack/parts.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

struct Kept {
  fs::path path;
  std::uintmax_t bytes = 0;
  fs::file_time_type time;
};

bool is_hex(const std::string& text) { return text.find_first_not_of("0123456789abcdef") == std::string::npos; }

/// Ours by their names: two digits of the key, and the rest of it.
std::vector<Kept> kept_in(const fs::path& folder) {
  std::vector<Kept> all;
  std::error_code error;
  for (fs::recursive_directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    const std::string name = it->path().filename().string();
    const std::string above = it->path().parent_path().filename().string();
    const std::string key = name.substr(0, k_sha256_digits - 2);  // a temporary of a killed run has more
    std::error_code ignored;
    if (above.size() != 2 || !is_hex(above) || key.size() != k_sha256_digits - 2 || !is_hex(key)) continue;
    if (!it->is_regular_file(ignored)) continue;
    all.push_back({it->path(), it->file_size(ignored), it->last_write_time(ignored)});
  }
  return all;
}

}  // namespace

std::optional<std::string> PartCache::get(const std::string& key) const {
  std::error_code error;
  if (folder_.empty() || !fs::is_regular_file(path_of(key), error)) return std::nullopt;
  auto read = read_file(path_of(key), k_max_part_bytes);
  if (!read || read->size() < k_sha256_digits) return std::nullopt;
  std::string bytes = std::move(read).value();
  const std::string hash = bytes.substr(bytes.size() - k_sha256_digits);
  bytes.resize(bytes.size() - k_sha256_digits);
  if (sha256(bytes) != hash) return std::nullopt;
  fs::last_write_time(path_of(key), fs::file_time_type::clock::now(), error);
  return bytes;
}

void PartCache::put(const std::string& key, const std::string& bytes) const {
  if (folder_.empty()) return;
  std::error_code error;
  fs::create_directories(path_of(key).parent_path(), error);
  if (!error) static_cast<void>(replace_file(path_of(key), bytes + sha256(bytes)));
}

void prune_cache(const fs::path& folder, std::uintmax_t bytes, int days) {
  std::vector<Kept> all = kept_in(folder);
  std::sort(all.begin(), all.end(), [](const Kept& a, const Kept& b) { return a.time > b.time; });
  const auto oldest = fs::file_time_type::clock::now() - std::chrono::hours(24 * days);
  std::uintmax_t sum = 0;
  for (const Kept& kept : all) {
    sum += kept.bytes;
    std::error_code error;
    if (kept.time < oldest || sum > bytes) fs::remove(kept.path, error);
  }
}

}  // namespace fretloom
