#include "files/lock.h"

#include <fcntl.h>
#include <sys/file.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <utility>

namespace fretloom {

Result<FileLock> FileLock::take(const std::filesystem::path& path) {
  const auto failed = [&] {
    return Error{ErrorKind::io, 0, "cannot lock " + path.string() + ": " + std::strerror(errno), ""};
  };
  const int fd = ::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (fd < 0) return failed();
  while (::flock(fd, LOCK_EX) != 0) {
    if (errno == EINTR) continue;
    Error error = failed();
    ::close(fd);
    return error;
  }
  return FileLock(fd);
}

FileLock& FileLock::operator=(FileLock&& other) noexcept {
  std::swap(fd_, other.fd_);
  return *this;
}

FileLock::~FileLock() {
  if (fd_ >= 0) ::close(fd_);
}

}  // namespace fretloom
