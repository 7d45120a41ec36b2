#include "pack/pack.h"

#include <algorithm>
#include <array>
#include <map>
#include <mutex>
#include <set>

#include "base/parallel.h"
#include "files/files.h"
#include "files/lock.h"
#include "files/zip.h"
#include "pack/cache.h"
#include "pack/hash.h"
#include "pack/manifest.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

std::optional<std::string> file_bytes(const fs::path& path) {
  std::error_code error;
  if (!fs::is_regular_file(path, error)) return std::nullopt;
  auto bytes = read_file(path, k_max_part_bytes);
  if (!bytes) return std::nullopt;
  return std::move(bytes).value();
}

/// The folders between the pack's and the part, outermost first: "drawings" of "drawings/a.svg".
std::vector<fs::path> folders_of(const fs::path& folder, const fs::path& part) {
  std::vector<fs::path> folders;
  fs::path at = folder;
  for (const fs::path& step : part.parent_path()) folders.push_back(at /= step);
  return folders;
}

/// A file of the pack itself, not one that a link leads to.
bool is_own_file(const fs::path& folder, const fs::path& part) {
  std::error_code error;
  const auto folders = folders_of(folder, part);
  return std::all_of(folders.begin(), folders.end(),
                     [&](const fs::path& path) { return fs::is_directory(fs::symlink_status(path, error)); }) &&
         fs::is_regular_file(fs::symlink_status(folder / part, error));
}

std::optional<std::string> own_bytes(const fs::path& folder, const fs::path& part) {
  return is_own_file(folder, part) ? file_bytes(folder / part) : std::nullopt;
}

std::optional<Error> make_folder(const fs::path& path) {
  std::error_code error;
  fs::create_directories(path, error);
  if (!error) return std::nullopt;
  return Error{ErrorKind::io, 0, "cannot make folder " + path.string() + ": " + error.message(), ""};
}

/// Sound is compressed already, and so is a PDF's inside.
bool is_compressed(std::string_view path) {
  for (const std::string_view ending : {".mp3", ".opus", ".flac", ".pdf", ".png"}) {
    if (path.ends_with(ending)) return true;
  }
  return false;
}

class Packer {
 public:
  Packer(const PackPlan& plan, const PackRun& run)
      : plan_(plan),
        run_(run),
        folder_(run.root / run.name),
        zip_(run.root / (run.name + ".zip")),
        cache_(run.root / ".cache" / "parts"),
        bytes_(plan.parts.size()),
        done_(plan.parts.size(), 0) {
    report_.folder = folder_;
    report_.zip = zip_;
    report_.states.resize(plan.parts.size(), PartState::kept);
  }

  Result<PackReport> run() {
    if (auto bad = make_folder(run_.root / ".cache")) return *bad;
    const auto lock = FileLock::take(run_.root / ".cache" / (run_.name + ".lock"));
    if (!lock) return lock.error();
    read_old();
    find_stale();
    if (!stale_.empty() || !report_.removed.empty() || !is_manifest_current()) {
      if (auto bad = renew()) return *bad;
    }
    if (auto bad = write_zip()) return *bad;
    return std::move(report_);
  }

 private:
  using Bad = std::optional<Error>;

  /// The pack that lies there, if one does.
  void read_old() {
    const auto json = own_bytes(folder_, k_manifest_file);
    if (!json) return;
    const auto manifest = read_manifest(*json);
    if (!manifest) return;
    for (const ManifestPart& part : manifest->parts) old_.emplace(part.path, part);
    old_lesson_ = manifest->lesson_sha256;
    std::set<std::string> planned;
    for (const PackPart& part : plan_.parts) planned.insert(part.path);
    for (const ManifestPart& part : manifest->parts) {
      if (!planned.contains(part.path)) report_.removed.push_back(part.path);
    }
  }

  /// Parts whose file is not what it should be; the bytes of the others are read.
  void find_stale() {
    std::vector<char> stale(plan_.parts.size(), 1);
    run_parallel(plan_.parts.size(), run_.threads, [&](std::size_t i) {
      const PackPart& part = plan_.parts[i];
      const auto old = old_.find(part.path);
      if (old == old_.end() || old->second.key != part.key || old->second.stamped != part.stamped) return true;
      if (part.stamped && old_lesson_ != plan_.lesson_hash) return true;
      auto bytes = own_bytes(folder_, part.path);
      if (!bytes || sha256(*bytes) != old->second.sha256) return true;
      bytes_[i] = std::move(*bytes);
      stale[i] = 0;
      return true;
    });
    for (std::size_t i = 0; i < stale.size(); ++i) {
      if (stale[i] != 0) {
        stale_.push_back(i);
      } else {
        done_[i] = 1;
      }
    }
  }

  [[nodiscard]] bool is_manifest_current() const {
    return own_bytes(folder_, k_manifest_file) == std::optional(to_json(manifest()));
  }

  [[nodiscard]] Manifest manifest() const {
    Manifest manifest{plan_.title, plan_.author, plan_.key, plan_.ideas, plan_.lesson_hash, plan_.choice, {}};
    for (std::size_t i = 0; i < plan_.parts.size(); ++i) {
      const PackPart& part = plan_.parts[i];
      manifest.parts.push_back(
          {part.path, std::string(name(part.group)), part.key, sha256(bytes_[i]), bytes_[i].size(), part.stamped});
    }
    return manifest;
  }

  Bad renew() {
    std::error_code error;
    fs::remove(zip_, error);
    if (error) return Error{ErrorKind::io, 0, "cannot remove " + zip_.string() + ": " + error.message(), ""};
    for (const PackPart& part : plan_.parts) {
      if (auto bad = make_part_folders(part.path)) return bad;
    }
    remove_leftovers();
    Bad failed;
    std::mutex mutex;
    run_parallel(stale_.size(), run_.threads, [&](std::size_t i) {
      auto bad = renew_part(stale_[i]);
      const std::lock_guard lock(mutex);
      if (bad && !failed) failed = std::move(bad);
      done_[stale_[i]] = 1;
      if (run_.progress)
        run_.progress(static_cast<double>(std::count(done_.begin(), done_.end(), 1)) /
                      static_cast<double>(done_.size()));
      return !failed.has_value();
    });
    if (failed) return failed;
    for (const std::string& path : report_.removed) {
      if (!is_own_file(folder_, path)) continue;
      fs::remove(folder_ / path, error);
      const fs::path above = (folder_ / path).parent_path();
      if (above != folder_ && fs::is_empty(above, error)) fs::remove(above, error);
    }
    const auto written = replace_file(folder_ / k_manifest_file, to_json(manifest()));
    if (!written) return written.error();
    return std::nullopt;
  }

  /// A link in a folder's place goes, so that no part is written outside of the pack.
  Bad make_part_folders(const std::string& part) const {
    if (auto bad = make_folder(folder_)) return bad;
    for (const fs::path& folder : folders_of(folder_, part)) {
      std::error_code error;
      if (fs::is_symlink(fs::symlink_status(folder, error))) fs::remove(folder, error);
      if (auto bad = make_folder(folder)) return bad;
    }
    return std::nullopt;
  }

  Bad renew_part(std::size_t i) {
    const PackPart& part = plan_.parts[i];
    if (run_.stop != nullptr && run_.stop->load()) return stopped();
    auto bytes = part.stamped ? cache_.get(part.key) : std::nullopt;
    report_.states[i] = bytes ? PartState::stamped : PartState::made;
    if (!bytes) {
      auto made = part.make(run_.stop);
      if (!made) return made.error().kind == ErrorKind::stopped ? made.error() : with_path(part, made.error());
      bytes = std::move(made).value();
      if (part.stamped) {
        if (const auto kept = cache_.put(part.key, *bytes); !kept) return kept.error();
      }
    }
    if (part.stamped && stamp(*bytes, plan_.lesson_hash) == 0)
      return with_path(part, Error{ErrorKind::limit, 0, "the lesson's hash cannot be put in", ""});
    const auto written = replace_file(folder_ / part.path, *bytes);
    if (!written) return written.error();
    bytes_[i] = std::move(*bytes);
    return std::nullopt;
  }

  static Error with_path(const PackPart& part, Error error) {
    error.what = part.path + ": " + error.what;
    return error;
  }

  /// What a killed run left of its temporary files.
  void remove_leftovers() const {
    std::vector<fs::path> leftovers;
    std::error_code error;
    for (fs::recursive_directory_iterator it(folder_, error), end; !error && it != end; it.increment(error)) {
      const std::string path = it->path().lexically_relative(folder_).generic_string();
      const auto is_of = [&](std::string_view file) { return is_temporary_of(path, file); };
      if (is_of(k_manifest_file) ||
          std::any_of(plan_.parts.begin(), plan_.parts.end(), [&](const PackPart& part) { return is_of(part.path); }))
        leftovers.push_back(it->path());
    }
    for (fs::directory_iterator it(run_.root, error), end; !error && it != end; it.increment(error)) {
      if (is_temporary_of(it->path().filename().string(), zip_.filename().string())) leftovers.push_back(it->path());
    }
    for (const fs::path& path : leftovers) fs::remove(path, error);
  }

  Bad write_zip() {
    std::vector<ZipEntry> entries = {{run_.name + "/" + std::string(k_manifest_file), to_json(manifest()), false}};
    for (std::size_t i = 0; i < plan_.parts.size(); ++i) {
      const std::string& path = plan_.parts[i].path;
      entries.push_back({run_.name + "/" + path, std::move(bytes_[i]), is_compressed(path)});
    }
    const auto bytes = zip_bytes(entries);
    if (!bytes) return bytes.error();
    if (own_bytes(run_.root, zip_.filename()) == std::optional(*bytes)) return std::nullopt;
    const auto written = replace_file(zip_, *bytes);
    if (!written) return written.error();
    report_.zip_written = true;
    return std::nullopt;
  }

  const PackPlan& plan_;
  const PackRun& run_;
  fs::path folder_;
  fs::path zip_;
  PartCache cache_;
  PackReport report_;
  std::map<std::string, ManifestPart> old_;
  std::string old_lesson_;
  std::vector<std::size_t> stale_;
  std::vector<std::string> bytes_;  ///< of each part, once it is known to be right
  std::vector<char> done_;
};

}  // namespace

std::string_view name(PartState state) {
  constexpr std::array<std::string_view, 3> k_names = {"kept", "stamped", "made"};
  return k_names[static_cast<std::size_t>(state)];
}

Result<PackReport> make_pack(const PackPlan& plan, const PackRun& run) { return Packer(plan, run).run(); }

}  // namespace fretloom
