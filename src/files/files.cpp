#include "files/files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstdio>
#include <cstring>
#include <utility>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::string_view k_temporary = ".tmp-";

Error io_error(const std::filesystem::path& path, const std::string& doing) {
  return {ErrorKind::io, 0, "cannot " + doing + " " + path.string() + ": " + std::strerror(errno), ""};
}

/// A file descriptor that closes itself.
class Descriptor {
 public:
  explicit Descriptor(int fd) : fd_(fd) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

bool write_all(int fd, std::string_view bytes) {
  while (!bytes.empty()) {
    const ssize_t n = ::write(fd, bytes.data(), bytes.size());
    if (n < 0 && errno == EINTR) continue;
    if (n <= 0) return false;
    bytes.remove_prefix(static_cast<std::size_t>(n));
  }
  return true;
}

}  // namespace

void sync_folder(const std::filesystem::path& folder) {
  const Descriptor file(::open(folder.empty() ? "." : folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (file.get() >= 0) ::fsync(file.get());
}

Result<std::string> read_file(const std::filesystem::path& path, std::size_t limit) {
  const Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (file.get() < 0) return io_error(path, "open");
  const Error too_large{ErrorKind::limit, 0,
                        path.string() + " is larger than " + byte_text(limit) + ", the most that is read", ""};
  struct stat what {};
  const bool is_sized = ::fstat(file.get(), &what) == 0 && S_ISREG(what.st_mode) && what.st_size > 0;
  if (is_sized && static_cast<std::uintmax_t>(what.st_size) > limit) return too_large;
  std::string bytes;
  std::array<char, std::size_t{1} << 16U> block{};
  for (;;) {
    const ssize_t n = ::read(file.get(), block.data(), block.size());
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return io_error(path, "read");
    if (n == 0) return bytes;
    bytes.append(block.data(), static_cast<std::size_t>(n));
    if (bytes.size() > limit) return too_large;
  }
}

namespace {

/// A pipe, a terminal, a device, this program's own streams: what lies there is no file to be replaced.
bool is_special(const std::filesystem::path& path) {
  const std::string& text = path.native();
  if (text.starts_with("/dev/") || text.starts_with("/proc/")) return true;
  struct stat what {};
  return ::stat(path.c_str(), &what) == 0 && !S_ISREG(what.st_mode) && !S_ISDIR(what.st_mode);
}

Result<void> write_through(const std::filesystem::path& path, std::string_view bytes) {
  const Descriptor file(::open(path.c_str(), O_WRONLY | O_CLOEXEC));
  if (file.get() < 0 || !write_all(file.get(), bytes)) return io_error(path, "write");
  return {};
}

}  // namespace

bool is_temporary_of(std::string_view name, std::string_view file) {
  constexpr std::size_t k_random = 6;  // of mkstemp
  return name.size() == file.size() + k_temporary.size() + k_random && name.starts_with(file) &&
         name.substr(file.size()).starts_with(k_temporary);
}

Result<void> write_file(const std::filesystem::path& path, std::string_view bytes) {
  if (is_special(path)) return write_through(path, bytes);
  std::error_code ignored;
  if (std::filesystem::is_symlink(path, ignored)) {  // the link stays; its file is renewed
    const auto target = std::filesystem::canonical(path, ignored);
    if (!ignored) return write_file(target, bytes);
  }
  return replace_file(path, bytes);
}

Result<void> write_new_file(const std::filesystem::path& path, std::string_view bytes) {
  const Descriptor file(::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644));
  if (file.get() < 0) return io_error(path, "write");
  if (write_all(file.get(), bytes) && ::fsync(file.get()) == 0) return {};
  Error error = io_error(path, "write");
  ::unlink(path.c_str());
  return error;
}

FileAside::FileAside(std::filesystem::path path, std::string temporary, int fd)
    : path_(std::move(path)), temporary_(std::move(temporary)), fd_(fd) {}

FileAside::FileAside(FileAside&& other) noexcept
    : path_(std::move(other.path_)),
      temporary_(std::exchange(other.temporary_, {})),
      fd_(std::exchange(other.fd_, -1)) {}

FileAside::~FileAside() {
  if (fd_ >= 0) ::close(fd_);
  if (!temporary_.empty()) ::unlink(temporary_.c_str());
}

Result<FileAside> FileAside::open(const std::filesystem::path& path) {
  std::string temporary = path.string() + std::string(k_temporary) + "XXXXXX";
  const int fd = ::mkstemp(temporary.data());
  if (fd < 0) return io_error(path, "write");
  ::fchmod(fd, 0644);
  return FileAside(path, std::move(temporary), fd);
}

Result<void> FileAside::write(std::string_view bytes) {
  if (!write_all(fd_, bytes) || ::fsync(fd_) != 0) return io_error(path_, "write");
  return {};
}

Result<void> FileAside::place() {
  if (::fsync(fd_) != 0) return io_error(path_, "write");
  return placed(::rename(temporary_.c_str(), path_.c_str()));
}

Result<void> FileAside::place_new() {
  if (::fsync(fd_) != 0) return io_error(path_, "write");
  int renamed = ::renameat2(AT_FDCWD, temporary_.c_str(), AT_FDCWD, path_.c_str(), RENAME_NOREPLACE);
  if (renamed != 0 && errno == EINVAL) {  // a file system that cannot: a second name never replaces one either
    renamed = ::link(temporary_.c_str(), path_.c_str());
    if (renamed == 0) ::unlink(temporary_.c_str());
  }
  return placed(renamed);
}

Result<void> FileAside::placed(int renamed) {
  if (renamed != 0) return io_error(path_, "write");
  temporary_.clear();
  sync_folder(path_.parent_path());
  return {};
}

Result<void> replace_file(const std::filesystem::path& path, std::string_view bytes) {
  auto file = FileAside::open(path);
  if (!file) return file.error();
  FileAside aside = std::move(file).value();
  if (const auto written = aside.write(bytes); !written) return written.error();
  return aside.place();
}

Result<std::vector<std::filesystem::path>> collect_files(const std::vector<std::string>& paths,
                                                         std::string_view extension) {
  namespace fs = std::filesystem;
  std::vector<fs::path> found;
  for (const std::string& text : paths) {
    const fs::path path(text);
    std::error_code error;
    if (!fs::is_directory(path, error)) {
      found.push_back(path);  // the reader says what is wrong with a missing file
      continue;
    }
    std::vector<fs::path> inside;
    for (fs::recursive_directory_iterator it(path, fs::directory_options::skip_permission_denied, error), end;
         !error && it != end; it.increment(error)) {
      if (it->path().extension() == extension && it->is_regular_file(error)) inside.push_back(it->path());
    }
    if (error) return Error{ErrorKind::io, 0, "cannot read folder " + text + ": " + error.message(), ""};
    std::sort(inside.begin(), inside.end());
    found.insert(found.end(), inside.begin(), inside.end());
  }
  return found;
}

}  // namespace fretloom
