#include "pack/own_file.h"

#include "files/files.h"

namespace fretloom {

namespace fs = std::filesystem;

std::optional<Error> blocked_way(const fs::path& root, const std::string& path) {
  fs::path at = root;
  for (const fs::path& step : fs::path(path).parent_path()) {
    at /= step;
    std::error_code error;
    const auto status = fs::symlink_status(at, error);
    if (!fs::exists(status) || fs::is_directory(status)) continue;
    const std::string what = fs::is_symlink(status) ? " is a link to another place" : " is a file, not a folder";
    return Error{ErrorKind::io, 0, at.string() + what + "; nothing is written there",
                 "move it away, or choose another folder with -o"};
  }
  return std::nullopt;
}

std::optional<std::string> own_bytes(const fs::path& root, const std::string& path, std::size_t limit) {
  std::error_code error;
  if (blocked_way(root, path) || !fs::is_regular_file(fs::symlink_status(root / path, error))) return std::nullopt;
  auto bytes = read_file(root / path, limit);
  if (!bytes) return std::nullopt;
  return std::move(bytes).value();
}

std::string beside(const std::string& path, int number) {
  if (number == 0) return path;
  const auto dot = path.rfind('.');
  return path.substr(0, dot) + "-new" + (number > 1 ? "-" + std::to_string(number) : "") + path.substr(dot);
}

}  // namespace fretloom
