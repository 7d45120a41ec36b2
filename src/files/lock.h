#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "base/result.h"

namespace fretloom {

/// Holds a lock file for as long as it lives; other programs that want it wait. The file and its folder (if nothing
/// else is in it) go with the lock.
class FileLock {
 public:
  /// Waits for the lock; the file's folders are made. Error io: the file cannot be made or locked.
  [[nodiscard]] static Result<FileLock> take(const std::filesystem::path& path);
  /// Nothing while another program holds it. Error io.
  [[nodiscard]] static Result<std::optional<FileLock>> try_take(const std::filesystem::path& path);

  FileLock(FileLock&& other) noexcept;
  FileLock& operator=(FileLock&& other) noexcept;
  FileLock(const FileLock&) = delete;
  FileLock& operator=(const FileLock&) = delete;
  ~FileLock();

 private:
  FileLock(int fd, std::filesystem::path path) : fd_(fd), path_(std::move(path)) {}
  int fd_;
  std::filesystem::path path_;
};

}  // namespace fretloom
