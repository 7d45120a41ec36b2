#include "pack/work_folder.h"

#include <sys/stat.h>
#include <unistd.h>

#include <set>

#include "files/lock.h"
#include "files/swap.h"
#include "pack/index.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view k_lock_ending = ".lock";

bool is_one_file_system(const fs::path& a, const fs::path& b) {
  struct stat first {};
  struct stat second {};
  return ::stat(a.c_str(), &first) == 0 && ::stat(b.c_str(), &second) == 0 && first.st_dev == second.st_dev;
}

fs::path inside(const fs::path& root) { return root / ".fretloom"; }
fs::path beside(const fs::path& root) { return root.parent_path() / ("." + root.filename().string() + ".fretloom"); }

/// Links and steps back resolved, so that the folder has one name.
fs::path real(const fs::path& root) {
  std::error_code error;
  const fs::path path = fs::weakly_canonical(fs::absolute(root, error), error);
  return path.has_filename() ? path : path.parent_path();
}

Result<void> recover_in(Disk& disk, const fs::path& root, const fs::path& work) {
  std::error_code error;
  if (!fs::is_directory(fs::symlink_status(work, error))) return {};
  std::set<std::string> names;
  bool is_index_due = false;
  for (fs::directory_iterator it(work, error), end; !error && it != end; it.increment(error)) {
    const std::string name = it->path().filename().string();
    if (name.starts_with('.')) {
      is_index_due = true;
    } else if (name.ends_with(k_lock_ending)) {
      names.insert(name.substr(0, name.size() - k_lock_ending.size()));
    } else {
      names.insert(name);
    }
  }
  for (const std::string& name : names) {
    const auto lock = FileLock::try_take(lock_path(work, name));
    if (!lock) return lock.error();
    if (!lock->has_value()) continue;
    if (const auto recovered = recover_swap(disk, root, work / name); !recovered) return recovered;
  }
  if (is_index_due) {
    if (const auto written = write_index(disk, root); !written) return written.error();
  }
  fs::remove(work, error);  // where it was left empty
  return {};
}

}  // namespace

fs::path work_folder(const fs::path& root) {
  const fs::path folder = real(root);
  const fs::path above = folder.parent_path();
  const bool is_good = above != folder && is_one_file_system(folder, above) && ::access(above.c_str(), W_OK) == 0;
  return is_good ? beside(folder) : inside(folder);
}

std::vector<fs::path> work_folders(const fs::path& root) {
  const fs::path folder = real(root);
  return {beside(folder), inside(folder)};
}

fs::path lock_path(const fs::path& work, const std::string& name) { return work / (name + std::string(k_lock_ending)); }

Result<void> recover_packs(Disk& disk, const fs::path& root) {
  for (const fs::path& work : work_folders(root)) {
    if (const auto recovered = recover_in(disk, root, work); !recovered) return recovered;
  }
  return {};
}

}  // namespace fretloom
