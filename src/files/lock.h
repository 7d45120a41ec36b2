#pragma once

#include <filesystem>
#include <optional>

#include "base/result.h"

namespace fretloom {

/// Holds a lock file for as long as it lives; other programs that want it wait.
class FileLock {
 public:
  /// Waits for the lock. Error io: the file cannot be made or locked.
  [[nodiscard]] static Result<FileLock> take(const std::filesystem::path& path);

  FileLock(FileLock&& other) noexcept : fd_(other.fd_) { other.fd_ = -1; }
  FileLock& operator=(FileLock&& other) noexcept;
  FileLock(const FileLock&) = delete;
  FileLock& operator=(const FileLock&) = delete;
  ~FileLock();

 private:
  explicit FileLock(int fd) : fd_(fd) {}
  int fd_;
};

}  // namespace fretloom
