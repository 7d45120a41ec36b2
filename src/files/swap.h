#pragma once
// Several files of one folder changed together: all of them or none, whenever the program is stopped.
//
//   ASIDE/new/...    what is to come, written and synced first
//   ASIDE/journal    what is to be done; from here on the swap is finished, before it is undone
//   ASIDE/old/...    what was there, until all is done
//
// ASIDE lies on the folder's own file system, so that every file changes its place by a rename. Nothing is written
// over: a file goes away by a rename, and comes by one.

#include <filesystem>
#include <map>
#include <mutex>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "files/disk.h"

namespace fretloom {

/// What lies at a path, so that a change is noticed: inode, size and time of a file; "-" where nothing lies.
[[nodiscard]] std::string identity_of(const std::filesystem::path& path);

class FileSwap {
 public:
  /// Both folders must exist or be makable. What an earlier swap left in ASIDE must be recovered first.
  FileSwap(Disk& disk, std::filesystem::path root, std::filesystem::path aside);

  /// Brings a file to `path` (below root, "/" between steps) in place of what `expected` names. Written aside now;
  /// from any thread. Error io.
  [[nodiscard]] Result<void> put(const std::string& path, std::string_view bytes, const std::string& expected);
  /// Takes away the file that `expected` names, and its folder if that is empty then.
  void take(const std::string& path, const std::string& expected);
  [[nodiscard]] bool is_empty() const { return steps_.empty(); }

  /// Does it all. On an error all is as it was, or, where that failed too, as the next recover_swap makes it. Errors:
  /// io; a file that was changed or came meanwhile.
  [[nodiscard]] Result<void> commit();

 private:
  struct Step {
    bool is_put = true;
    std::string expected;
  };
  friend class Journal;

  /// Everything is on the disk, the journal last.
  Result<void> prepare();

  Disk& disk_;
  std::filesystem::path root_;
  std::filesystem::path aside_;
  std::mutex mutex_;
  std::map<std::string, Step> steps_;  ///< by path
};

/// Finishes the swap whose journal lies in ASIDE, or undoes it where it cannot be finished, and clears ASIDE away.
/// Without a journal nothing was changed. Errors: io = it can be neither finished nor undone; the error of the
/// finishing where it was undone.
[[nodiscard]] Result<void> recover_swap(Disk& disk, const std::filesystem::path& root,
                                        const std::filesystem::path& aside);

}  // namespace fretloom
