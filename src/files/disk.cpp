#include "files/disk.h"

#include "files/files.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

Error failed(const std::string& doing, const fs::path& path, const std::error_code& error) {
  return {ErrorKind::io, 0, "cannot " + doing + " " + path.string() + ": " + error.message(), ""};
}

}  // namespace

Result<void> Disk::write(const fs::path& path, std::string_view bytes) {
  std::error_code error;
  fs::create_directories(path.parent_path(), error);
  if (error) return failed("make folder", path.parent_path(), error);
  return write_new_file(path, bytes);
}

Result<void> Disk::make_folder(const fs::path& path) {
  std::error_code error;
  fs::create_directories(path, error);
  if (error) return failed("make folder", path, error);
  return {};
}

Result<void> Disk::rename(const fs::path& from, const fs::path& to) {
  std::error_code error;
  if (fs::exists(fs::symlink_status(to, error)))
    return Error{ErrorKind::io, 0, to.string() + " was put there by another program meanwhile",
                 "move it away and run the command again"};
  fs::rename(from, to, error);
  if (error) return failed("move a file to", to, error);
  return {};
}

Result<void> Disk::remove(const fs::path& path) {
  std::error_code error;
  fs::remove(path, error);
  if (error) return failed("remove", path, error);
  return {};
}

Result<void> Disk::sync(const fs::path& folder) {
  sync_folder(folder);
  return {};
}

}  // namespace fretloom
