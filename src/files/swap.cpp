#include "files/swap.h"

#include <sys/stat.h>

#include <algorithm>
#include <set>

#include "base/text.h"
#include "files/files.h"

namespace fretloom {

namespace fs = std::filesystem;

namespace {

constexpr std::string_view k_journal = "journal";
constexpr std::string_view k_end = "end";
constexpr std::size_t k_largest_journal = std::size_t{64} << 20U;

bool lies(const fs::path& path) {
  std::error_code error;
  return fs::exists(fs::symlink_status(path, error));
}

/// Below a folder, whoever wrote the journal.
bool is_below(std::string_view path) {
  const auto steps = split(path, '/');
  return std::none_of(steps.begin(), steps.end(),
                      [](std::string_view step) { return step.empty() || step == "." || step == ".."; });
}

}  // namespace

std::string identity_of(const fs::path& path) {
  struct stat what {};
  if (::lstat(path.c_str(), &what) != 0) return "-";
  return std::to_string(what.st_ino) + ":" + std::to_string(what.st_size) + ":" + std::to_string(what.st_mtim.tv_sec) +
         "." + std::to_string(what.st_mtim.tv_nsec);
}

/// The steps of one swap, as they are written down and done. Every one can be done again: what is done already is
/// seen from where the files lie.
class Journal {
 public:
  using Step = FileSwap::Step;
  using Steps = std::map<std::string, Step>;

  Journal(Disk& disk, fs::path root, fs::path aside, Steps steps)
      : disk_(disk), root_(std::move(root)), aside_(std::move(aside)), steps_(std::move(steps)) {}

  /// A line a step, and a last one that says that all are there.
  static std::string to_text(const Steps& steps) {
    std::string text;
    for (const auto& [path, step] : steps) text += (step.is_put ? "put " : "take ") + step.expected + " " + path + "\n";
    return text + std::string(k_end) + "\n";
  }

  static Result<Steps> read(const fs::path& aside) {
    const Error damaged{ErrorKind::syntax, 0, (aside / k_journal).string() + " is damaged", "remove the file"};
    const auto text = read_file(aside / k_journal, k_largest_journal);
    if (!text) return text.error();
    Steps steps;
    auto lines = split(*text, '\n');
    if (lines.size() < 2 || lines[lines.size() - 2] != k_end) return damaged;
    lines.resize(lines.size() - 2);
    for (const std::string_view line : lines) {
      const auto first = line.find(' ');
      const auto second = line.find(' ', first + 1);
      if (first == std::string_view::npos || second == std::string_view::npos) return damaged;
      const std::string_view path = line.substr(second + 1);
      if (!is_below(path)) return damaged;
      steps[std::string(path)] = {line.substr(0, first) == "put",
                                  std::string(line.substr(first + 1, second - first - 1))};
    }
    return steps;
  }

  Result<void> finish_or_undo() {
    const auto finished = finish();
    if (finished) return clear();
    if (const auto undone = undo(); !undone) return finished;  // the journal stays
    if (const auto cleared = clear(); !cleared) return cleared;
    return finished;
  }

  /// The journal goes first, and with it the promise; then what was kept for it.
  Result<void> clear() {
    if (lies(aside_ / k_journal)) {
      if (const auto gone = disk_.remove(aside_ / k_journal); !gone) return gone;
      if (const auto synced = disk_.sync(aside_); !synced) return synced;
    }
    return clear_tree(disk_, aside_);
  }

  static Result<void> clear_tree(Disk& disk, const fs::path& folder) {
    std::vector<fs::path> all;
    std::error_code error;
    if (!fs::is_directory(fs::symlink_status(folder, error))) return {};
    for (fs::recursive_directory_iterator it(folder, error), end; !error && it != end; it.increment(error))
      all.push_back(it->path());
    std::sort(all.rbegin(), all.rend());  // what lies in a folder before it
    for (const fs::path& path : all) {
      if (const auto gone = disk.remove(path); !gone) return gone;
    }
    return disk.remove(folder);
  }

 private:
  Result<void> finish() {
    for (const auto& [path, step] : steps_) {
      if (const auto done = finish(path, step); !done) return done;
    }
    for (const fs::path& folder : folders()) {
      if (const auto synced = disk_.sync(folder); !synced) return synced;
    }
    return remove_empty_folders();
  }

  Result<void> finish(const std::string& path, const Step& step) {
    if (step.is_put && !lies(fresh(path))) return {};
    if (lies(root_ / path) && !lies(kept(path))) {
      if (identity_of(root_ / path) != step.expected) return changed(path);
      if (const auto moved = move(root_ / path, kept(path)); !moved) return moved;
    }
    return step.is_put ? move(fresh(path), root_ / path) : Result<void>();
  }

  Result<void> undo() {
    for (const auto& [path, step] : steps_) {
      if (step.is_put && !lies(fresh(path)) && lies(root_ / path)) {
        if (const auto moved = move(root_ / path, fresh(path)); !moved) return moved;
      }
      if (!lies(kept(path))) continue;
      if (const auto moved = move(kept(path), root_ / path); !moved) return moved;
    }
    for (const fs::path& folder : folders()) {
      if (const auto synced = disk_.sync(folder); !synced) return synced;
    }
    return remove_empty_folders();
  }

  Result<void> move(const fs::path& from, const fs::path& to) {
    std::error_code error;
    if (!fs::is_directory(to.parent_path(), error)) {
      if (const auto made = disk_.make_folder(to.parent_path()); !made) return made;
    }
    return disk_.rename(from, to);
  }

  /// The folders whose names change, the ones inside first.
  [[nodiscard]] std::vector<fs::path> folders() const {
    std::set<fs::path> found;
    for (const auto& [path, step] : steps_) {
      for (fs::path folder = fs::path(path).parent_path();; folder = folder.parent_path()) {
        found.insert(root_ / folder);
        if (folder.empty()) break;
      }
    }
    return {found.rbegin(), found.rend()};
  }

  Result<void> remove_empty_folders() {
    std::error_code error;
    for (const fs::path& folder : folders()) {
      if (folder == root_ / "" || !fs::is_directory(folder, error) || !fs::is_empty(folder, error)) continue;
      if (const auto gone = disk_.remove(folder); !gone) return gone;
    }
    return {};
  }

  [[nodiscard]] Error changed(const std::string& path) const {
    return {ErrorKind::io, 0, (root_ / path).string() + " was changed by another program meanwhile",
            "run the command again"};
  }

  [[nodiscard]] fs::path fresh(const std::string& path) const { return aside_ / "new" / path; }
  [[nodiscard]] fs::path kept(const std::string& path) const { return aside_ / "old" / path; }

  Disk& disk_;
  fs::path root_;
  fs::path aside_;
  Steps steps_;
};

FileSwap::FileSwap(Disk& disk, fs::path root, fs::path aside)
    : disk_(disk), root_(std::move(root)), aside_(std::move(aside)) {}

Result<void> FileSwap::put(const std::string& path, std::string_view bytes, const std::string& expected) {
  if (const auto written = disk_.write(aside_ / "new" / path, bytes); !written) return written;
  const std::lock_guard lock(mutex_);
  steps_[path] = {true, expected};
  return {};
}

void FileSwap::take(const std::string& path, const std::string& expected) {
  steps_.emplace(path, Step{false, expected});
}

Result<void> FileSwap::commit() {
  Journal journal(disk_, root_, aside_, steps_);
  if (auto prepared = prepare(); !prepared) {
    static_cast<void>(journal.clear());  // nothing has been moved yet
    return prepared;
  }
  return journal.finish_or_undo();
}

Result<void> FileSwap::prepare() {
  std::set<fs::path> folders;
  for (const auto& [path, step] : steps_) {
    if (step.is_put) folders.insert((aside_ / "new" / path).parent_path());
  }
  folders.insert(aside_ / "new");
  for (const fs::path& folder : folders) {
    if (const auto synced = disk_.sync(folder); !synced) return synced;
  }
  // A journal is whole or not there.
  const fs::path draft = aside_ / "journal-draft";
  if (const auto written = disk_.write(draft, Journal::to_text(steps_)); !written) return written;
  if (const auto renamed = disk_.rename(draft, aside_ / k_journal); !renamed) return renamed;
  return disk_.sync(aside_);
}

Result<void> recover_swap(Disk& disk, const fs::path& root, const fs::path& aside) {
  if (!lies(aside / k_journal)) return Journal::clear_tree(disk, aside);
  const auto steps = Journal::read(aside);
  if (!steps) return steps.error();
  return Journal(disk, root, aside, *steps).finish_or_undo();
}

}  // namespace fretloom
