#pragma once
// Files, read whole and written safely.

#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"

namespace fretloom {

/// All bytes of a file. Waits for what a pipe has to say. Errors: io = it cannot be opened or read; limit = it
/// has more than `limit` bytes, and nothing of it is given.
[[nodiscard]] Result<std::string> read_file(const std::filesystem::path& path, std::size_t limit);

/// Writes to a temporary file in the same folder, syncs it and renames it over `path`, so that no
/// reader ever sees half a file; on an error nothing is left behind. A pipe or device is written through.
/// Error io.
[[nodiscard]] Result<void> write_file(const std::filesystem::path& path, std::string_view bytes);

/// The same for files that are the program's own: a link, pipe or socket in its place goes, and nothing is
/// written where it leads. Error io.
[[nodiscard]] Result<void> replace_file(const std::filesystem::path& path, std::string_view bytes);

/// A file that grows beside its place and takes it when it is whole, as replace_file does; without that it goes with
/// the object.
class FileAside {
 public:
  /// Error io.
  static Result<FileAside> open(const std::filesystem::path& path);
  FileAside(FileAside&& other) noexcept;
  FileAside& operator=(FileAside&&) = delete;
  ~FileAside();

  /// For reading, writing and seeking.
  [[nodiscard]] int descriptor() const { return fd_; }
  /// Behind what was written before. Error io.
  Result<void> write(std::string_view bytes);
  /// Brings the bytes to the disk and the file to its place. Error io.
  Result<void> place();
  /// The same, never over something that lies there. Error io.
  Result<void> place_new();

 private:
  Result<void> placed(int renamed);
  FileAside(std::filesystem::path path, std::string temporary, int fd);
  std::filesystem::path path_;
  std::string temporary_;  ///< empty once it is in its place
  int fd_;
};

/// A file that is not there yet, with its bytes on the disk. Error io, and nothing is left behind; something lies
/// there.
[[nodiscard]] Result<void> write_new_file(const std::filesystem::path& path, std::string_view bytes);

/// Brings the names in a folder to the disk, where its file system can.
void sync_folder(const std::filesystem::path& folder);

/// Whether `name` is a temporary of `file`, as a killed run leaves it in the same folder: "tab.txt.tmp-a1B2c3".
[[nodiscard]] bool is_temporary_of(std::string_view name, std::string_view file);

/// Files with the given extension (".toml") among the paths: a file stands for itself, a folder for
/// all in and below it, sorted by name. Error: a path that does not exist.
[[nodiscard]] Result<std::vector<std::filesystem::path>> collect_files(const std::vector<std::string>& paths,
                                                                       std::string_view extension);

}  // namespace fretloom
