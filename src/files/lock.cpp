#include "files/lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

namespace fretloom {

namespace {

Error failed(const std::filesystem::path& path) {
  return {ErrorKind::io, 0, "cannot lock " + path.string() + ": " + std::strerror(errno), ""};
}

/// -1 and errno where it cannot be.
int open_lock(const std::filesystem::path& path) {
  constexpr int k_tries = 100;  // the folder may go while another program lets go of its lock
  for (int i = 0; i < k_tries; ++i) {
    std::error_code error;
    std::filesystem::create_directories(path.parent_path(), error);
    const int fd = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0644);
    if (fd >= 0 || errno != ENOENT) return fd;
  }
  return -1;
}

/// Whether the locked file is still the one at the path, and not one that its last holder removed.
bool is_current(int fd, const std::filesystem::path& path) {
  struct stat held {};
  struct stat there {};
  return ::fstat(fd, &held) == 0 && ::lstat(path.c_str(), &there) == 0 && held.st_ino == there.st_ino &&
         held.st_dev == there.st_dev;
}

/// The file, locked; -1 and errno EWOULDBLOCK where another program holds it and `how` does not wait.
int lock_file(const std::filesystem::path& path, int how) {
  while (true) {
    const int fd = open_lock(path);
    if (fd < 0) return -1;
    while (::flock(fd, how) != 0) {
      if (errno == EINTR) continue;
      const int why = errno;
      ::close(fd);
      errno = why;
      return -1;
    }
    if (is_current(fd, path)) return fd;
    ::close(fd);
  }
}

}  // namespace

Result<FileLock> FileLock::take(const std::filesystem::path& path) {
  const int fd = lock_file(path, LOCK_EX);
  if (fd < 0) return failed(path);
  return FileLock(fd, path);
}

Result<std::optional<FileLock>> FileLock::try_take(const std::filesystem::path& path) {
  const int fd = lock_file(path, LOCK_EX | LOCK_NB);
  if (fd >= 0) return std::optional(FileLock(fd, path));
  if (errno == EWOULDBLOCK) return std::optional<FileLock>();
  return failed(path);
}

FileLock::FileLock(FileLock&& other) noexcept : fd_(std::exchange(other.fd_, -1)), path_(std::move(other.path_)) {}

FileLock& FileLock::operator=(FileLock&& other) noexcept {
  std::swap(fd_, other.fd_);
  std::swap(path_, other.path_);
  return *this;
}

FileLock::~FileLock() {
  if (fd_ < 0) return;
  ::unlink(path_.c_str());
  ::rmdir(path_.parent_path().c_str());
  ::close(fd_);
}

}  // namespace fretloom
