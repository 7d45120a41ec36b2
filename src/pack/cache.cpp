#include "pack/cache.h"

#include "files/files.h"
#include "pack/hash.h"
#include "pack/parts.h"

namespace fretloom {

std::optional<std::string> PartCache::get(const std::string& key) const {
  std::error_code error;
  if (!std::filesystem::is_regular_file(path_of(key), error)) return std::nullopt;
  auto read = read_file(path_of(key), k_max_part_bytes);
  if (!read || read->size() < k_sha256_digits) return std::nullopt;
  std::string bytes = std::move(read).value();
  const std::string hash = bytes.substr(bytes.size() - k_sha256_digits);
  bytes.resize(bytes.size() - k_sha256_digits);
  if (sha256(bytes) != hash) return std::nullopt;
  return bytes;
}

Result<void> PartCache::put(const std::string& key, const std::string& bytes) const {
  std::error_code error;
  const std::filesystem::path path = path_of(key);
  std::filesystem::create_directories(path.parent_path(), error);
  if (error)
    return Error{ErrorKind::io, 0, "cannot make folder " + path.parent_path().string() + ": " + error.message(), ""};
  return replace_file(path, bytes + sha256(bytes));
}

}  // namespace fretloom
