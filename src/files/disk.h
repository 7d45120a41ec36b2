#pragma once
// The single steps by which several files are changed together (see swap.h).

#include <filesystem>
#include <string>
#include <string_view>

#include "base/result.h"

namespace fretloom {

/// Each call is one step on the disk. Tests put another disk in its place, which stops after any of them.
class Disk {
 public:
  Disk() = default;
  Disk(const Disk&) = delete;
  Disk& operator=(const Disk&) = delete;
  virtual ~Disk() = default;

  /// A new file with its bytes on the disk; its folders are made. Error io; something lies there already.
  virtual Result<void> write(const std::filesystem::path& path, std::string_view bytes);
  /// The folders of `path` and itself. Error io.
  virtual Result<void> make_folder(const std::filesystem::path& path);
  /// Never over something that lies at `to`. Error io.
  virtual Result<void> rename(const std::filesystem::path& from, const std::filesystem::path& to);
  /// A file or an empty folder. Error io.
  virtual Result<void> remove(const std::filesystem::path& path);
  /// Brings the names in a folder to the disk.
  virtual Result<void> sync(const std::filesystem::path& folder);
};

}  // namespace fretloom
