#include "pack/pack.h"

#include <algorithm>
#include <array>
#include <map>
#include <mutex>
#include <set>

#include "base/parallel.h"
#include "files/lock.h"
#include "files/swap.h"
#include "pack/cache.h"
#include "pack/hash.h"
#include "pack/own_file.h"
#include "pack/pack_files.h"
#include "pack/pack_zip.h"
#include "pack/work_folder.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr int k_most_beside = 100;

class Packer {
 public:
  Packer(const PackPlan& plan, const PackRun& run, Disk& disk)
      : plan_(plan),
        run_(run),
        disk_(disk),
        cache_(run.cache),
        work_(work_folder(run.root)),
        swap_(disk_, run.root, work_ / plan.name),
        settled_(plan.parts.size()) {
    report_.states.resize(plan.parts.size(), PartState::kept);
  }

  Result<PackReport> run() {
    const auto lock = FileLock::take(lock_path(work_, plan_.name));
    if (!lock) return lock.error();
    if (const auto recovered = clear_aside(); !recovered) return recovered.error();
    auto bad = build();
    if (!bad && swap_.is_empty()) return std::move(report_);
    if (!bad) bad = mark_due();
    if (bad) {
      static_cast<void>(clear_aside());
      return *bad;
    }
    if (const auto done = swap_.commit(); !done) return done.error();
    report_.is_changed = true;
    return std::move(report_);
  }

 private:
  using Bad = std::optional<Error>;

  /// A part in its place.
  struct Settled {
    std::optional<ManifestPart> entry;  ///< none: the pack does not have it
    std::string bytes;                  ///< of students' parts, for the zip; empty where they are not there
  };

  [[nodiscard]] Result<void> clear_aside() const { return recover_swap(disk_, run_.root, work_ / plan_.name); }

  Bad build() {
    if (auto bad = check_folders()) return bad;
    if (auto bad = read_old()) return bad;
    for (const auto step :
         {&Packer::settle_parts, &Packer::drop_old_parts, &Packer::settle_zip, &Packer::put_manifest}) {
      if (auto bad = (this->*step)()) return bad;
    }
    return std::nullopt;
  }

  Bad check_folders() const {
    std::vector<std::string> paths = {manifest_path(plan_.name)};
    for (const PackPart& part : plan_.parts) paths.push_back(part.path);
    for (const std::string& path : paths) {
      if (auto bad = blocked_way(run_.root, path)) return bad;
    }
    return std::nullopt;
  }

  Bad read_old() {
    const auto manifest = manifest_in(run_.root, plan_.name);
    if (!manifest) return manifest.error();
    if (!manifest->has_value()) return std::nullopt;
    for (const ManifestPart& part : (*manifest)->parts) {
      old_.emplace(part.path, part);
      owner_.emplace(part.at, part);
    }
    return std::nullopt;
  }

  Bad settle_parts() {
    Bad failed;
    std::mutex mutex;
    std::size_t done = 0;
    run_parallel(plan_.parts.size(), run_.threads, [&](std::size_t i) {
      Bad bad = run_.stop != nullptr && run_.stop->load() ? Bad(stopped()) : settle(i);
      const std::lock_guard lock(mutex);
      if (bad && !failed) failed = std::move(bad);
      ++done;
      if (run_.progress) run_.progress(static_cast<double>(done) / static_cast<double>(plan_.parts.size()));
      return !failed.has_value();
    });
    return failed;
  }

  [[nodiscard]] bool is_asked(PartGroup group) const {
    return run_.only.empty() || is_always(group) ||
           std::find(run_.only.begin(), run_.only.end(), group) != run_.only.end();
  }

  Bad settle(std::size_t i) {
    const PackPart& part = plan_.parts[i];
    if (!is_asked(part.group) && leave(part, settled_[i])) {
      report_.states[i] = PartState::left;
      return std::nullopt;
    }
    return place(part, settled_[i], report_.states[i]);
  }

  /// A part that is not asked for stays as it is. False if somebody changed it: then the part itself lies nowhere.
  bool leave(const PackPart& part, Settled& settled) const {
    const auto old = old_.find(part.path);
    if (old == old_.end()) return true;
    std::error_code error;
    auto bytes = bytes_at(old->second.at);
    if (!bytes && fs::exists(fs::symlink_status(run_.root / old->second.at, error))) return false;
    settled.entry = old->second;
    if (bytes) settled.bytes = std::move(*bytes);
    return true;
  }

  /// The bytes of a part that lies where the manifest says, as it was made.
  [[nodiscard]] std::optional<std::string> bytes_at(const std::string& at) const {
    const auto owner = owner_.find(at);
    if (owner == owner_.end()) return std::nullopt;
    auto bytes = own_bytes(run_.root, at, k_max_part_bytes);
    if (!bytes || sha256(*bytes) != owner->second.sha256) return std::nullopt;
    return bytes;
  }

  [[nodiscard]] bool is_current(const PackPart& part, const ManifestPart& old, const std::string& bytes) const {
    if (old.key != part.key || old.stamped != part.stamped) return false;
    return !part.stamped || bytes.find(full_stamp(plan_.lesson_hash)) != std::string::npos;
  }

  /// The first place that is free, or the part's own already.
  Bad place(const PackPart& part, Settled& settled, PartState& state) {
    std::optional<std::string> made;
    for (int number = 0; number < k_most_beside; ++number) {
      const std::string at = beside(part.path, number);
      const std::string identity = identity_of(run_.root / at);
      auto there = bytes_at(at);
      const bool is_own = there.has_value() && owner_.at(at).path == part.path;
      if (is_own && is_current(part, owner_.at(at), *there)) return settle_at(part, at, std::move(*there), settled);
      if (!made) {
        auto bytes = make(part, state);
        if (!bytes) return bytes.error();
        made = std::move(bytes).value();
      }
      if (!is_own && identity != "-") {
        const auto foreign = own_bytes(run_.root, at, made->size());
        if (foreign != made) continue;  // somebody else's
        state = PartState::kept;
      } else if (there != made) {
        if (const auto put = swap_.put(at, *made, identity); !put) return put.error();
      }
      return settle_at(part, at, std::move(*made), settled);
    }
    return Error{ErrorKind::io, 0, "there is no free name for " + (run_.root / part.path).string(), ""};
  }

  Bad settle_at(const PackPart& part, const std::string& at, std::string bytes, Settled& settled) {
    settled.entry = ManifestPart{part.path,     at,           part.title,  std::string(name(part.group)), part.key,
                                 sha256(bytes), bytes.size(), part.stamped};
    settled.bytes = std::move(bytes);
    const std::lock_guard lock(mutex_);
    if (at != part.path) report_.beside.emplace_back(part.path, at);
    const auto old = old_.find(part.path);
    if (old != old_.end() && old->second.at != at) take(old->second.at);
    return std::nullopt;
  }

  /// Takes a part away that is no longer needed, but not if somebody changed it.
  bool take(const std::string& at) {
    const std::string identity = identity_of(run_.root / at);
    if (!bytes_at(at)) return false;
    swap_.take(at, identity);
    return true;
  }

  Result<std::string> make(const PackPart& part, PartState& state) {
    auto bytes = part.stamped ? cache_.get(part.key) : std::nullopt;
    state = bytes ? PartState::stamped : PartState::made;
    if (!bytes) {
      auto made = part.make(run_.stop);
      if (!made) return made.error().kind == ErrorKind::stopped ? made.error() : with_path(part, made.error());
      bytes = std::move(made).value();
      if (part.stamped) cache_.put(part.key, *bytes);
    }
    if (part.stamped && stamp(*bytes, plan_.lesson_hash) == 0)
      return with_path(part, Error{ErrorKind::limit, 0, "the lesson's hash cannot be put in", ""});
    return std::move(*bytes);
  }

  static Error with_path(const PackPart& part, Error error) {
    error.what = part.path + ": " + error.what;
    return error;
  }

  /// What the pack had and the lesson no longer gives.
  Bad drop_old_parts() {
    std::set<std::string> planned = {zip_path(plan_.name)};
    for (const PackPart& part : plan_.parts) planned.insert(part.path);
    for (const auto& [path, part] : old_) {
      if (planned.contains(path)) continue;
      const auto group = parse_part_group(part.group);
      if (group && !is_asked(*group)) {
        carried_.push_back({part, bytes_at(part.at).value_or("")});
        continue;
      }
      std::error_code error;
      if (take(part.at)) {
        report_.removed.push_back(part.at);
      } else if (fs::exists(fs::symlink_status(run_.root / part.at, error))) {
        report_.edited.push_back(part.at);
      }
    }
    std::sort(report_.beside.begin(), report_.beside.end());
    return std::nullopt;
  }

  Bad settle_zip() {
    std::vector<ZipEntry> entries;
    for (auto* list : {&settled_, &carried_}) {
      for (Settled& settled : *list) {
        if (settled.entry && !settled.bytes.empty() && settled.entry->path.starts_with(plan_.name + "/"))
          entries.push_back(pack_zip_entry(settled.entry->path, std::move(settled.bytes)));
      }
    }
    PackPart part{zip_path(plan_.name),  "",    PartGroup::zip,
                  pack_zip_key(entries), false, [&](const StopFlag*) { return zip_bytes(entries); }};
    PartState state = PartState::kept;
    auto bad = place(part, zip_, state);
    report_.zip_written = state != PartState::kept;
    return bad;
  }

  Bad put_manifest() {
    Manifest manifest{plan_.title,  plan_.author,      plan_.key,    plan_.ideas, plan_.name,
                      plan_.source, plan_.lesson_hash, plan_.choice, {}};
    for (const auto* list : {&settled_, &carried_}) {
      for (const Settled& settled : *list) {
        if (settled.entry) manifest.parts.push_back(*settled.entry);
      }
    }
    manifest.parts.push_back(*zip_.entry);
    const std::string path = manifest_path(plan_.name);
    const std::string identity = identity_of(run_.root / path);
    const std::string json = to_json(manifest);
    if (own_bytes(run_.root, path, k_max_manifest_bytes) == std::optional(json)) return std::nullopt;
    const auto put = swap_.put(path, json, identity);
    return put ? Bad() : put.error();
  }

  Bad mark_due() {
    const fs::path mark = work_ / (std::string(k_due) + plan_.name);
    std::error_code error;
    if (fs::exists(mark, error)) return std::nullopt;
    const auto written = disk_.write(mark, "");
    return written ? Bad() : written.error();
  }

  const PackPlan& plan_;
  const PackRun& run_;
  Disk& disk_;
  PartCache cache_;
  fs::path work_;
  FileSwap swap_;
  PackReport report_;
  std::mutex mutex_;
  std::map<std::string, ManifestPart> old_;    ///< by path
  std::map<std::string, ManifestPart> owner_;  ///< by where they lie
  std::vector<Settled> settled_;               ///< one a part of the plan
  std::vector<Settled> carried_;               ///< not asked for, and no longer of the plan
  Settled zip_;
};

}  // namespace

std::string_view name(PartState state) {
  constexpr std::array<std::string_view, 4> k_names = {"kept", "stamped", "made", "left"};
  return k_names[static_cast<std::size_t>(state)];
}

Result<std::optional<Manifest>> manifest_in(const fs::path& root, const std::string& name) {
  const std::string path = manifest_path(name);
  if (auto bad = blocked_way(root, path)) return *bad;
  std::error_code error;
  if (!fs::exists(fs::symlink_status(root / path, error))) return std::optional<Manifest>();
  const std::string repair = "move it away, or choose another folder with -o";
  const auto json = own_bytes(root, path, k_max_manifest_bytes);
  if (!json) return Error{ErrorKind::syntax, 0, (root / path).string() + " is not the manifest of a pack", repair};
  auto manifest = read_manifest(*json);
  if (!manifest) return Error{manifest.error().kind, 0, (root / path).string() + ": " + manifest.error().what, repair};
  if (manifest->name != name)
    return Error{ErrorKind::range, 0, (root / path).string() + " is of the pack \"" + manifest->name + "\"", repair};
  return std::optional(std::move(manifest).value());
}

Result<PackReport> make_pack(const PackPlan& plan, const PackRun& run) {
  Disk disk;
  Disk& used = run.disk != nullptr ? *run.disk : disk;
  if (const auto made = used.make_folder(run.root); !made) return made.error();
  return Packer(plan, run, used).run();
}

}  // namespace fretloom
