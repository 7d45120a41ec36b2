#include "pack/verify.h"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <mutex>
#include <set>

#include "base/parallel.h"
#include "files/files.h"
#include "files/zip.h"
#include "pack/hash.h"
#include "pack/manifest.h"
#include "pack/pack.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t k_largest_pack = std::size_t{2} << 30U;
constexpr float k_same_sound = 1e-3F;

Result<PackFiles> read_folder(const fs::path& folder) {
  PackFiles pack;
  std::error_code error;
  for (fs::recursive_directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    if (!it->is_regular_file(error)) continue;
    auto bytes = read_file(it->path(), k_largest_pack);
    if (!bytes) return bytes.error();
    pack.files.emplace_back(it->path().lexically_relative(folder).generic_string(), std::move(bytes).value());
  }
  if (error) return Error{ErrorKind::io, 0, "cannot read folder " + folder.string() + ": " + error.message(), ""};
  std::sort(pack.files.begin(), pack.files.end());
  return pack;
}

/// Both decode to one sound: as many frames, no sample further apart than an encoder's rounding.
bool is_same_sound(const std::string& a, const std::string& b) {
  const auto first = decode_audio(a);
  const auto second = decode_audio(b);
  if (!first || !second || first->samples.size() != second->samples.size()) return false;
  for (std::size_t i = 0; i < first->samples.size(); ++i) {
    if (std::abs(first->samples[i] - second->samples[i]) > k_same_sound) return false;
  }
  return true;
}

class Verifier {
 public:
  Verifier(const PackFiles& pack, const Manifest& manifest, const PackPlan& plan)
      : pack_(pack), manifest_(manifest), plan_(plan) {}

  void check_files() {
    std::set<std::string> listed = {std::string(k_manifest_file)};
    for (const ManifestPart& part : manifest_.parts) {
      listed.insert(part.path);
      const std::string* bytes = pack_.find(part.path);
      if (bytes == nullptr) {
        problem(part.path, "is in the manifest and not in the pack");
      } else if (sha256(*bytes) != part.sha256 || bytes->size() != part.bytes) {
        problem(part.path, "was changed: its SHA-256 is not the manifest's");
      } else if (part.stamped && bytes->find(full_stamp(manifest_.lesson_sha256)) == std::string::npos) {
        problem(part.path, "does not bear the lesson's hash");
      }
    }
    for (const auto& [path, bytes] : pack_.files) {
      if (!listed.contains(path)) problem(path, "is in the pack and not in the manifest");
    }
    std::set<std::string> planned;
    for (const PackPart& part : plan_.parts) planned.insert(part.path);
    for (const ManifestPart& part : manifest_.parts) {
      if (!planned.contains(part.path)) problem(part.path, "does not come from the lesson");
    }
    for (const std::string& path : planned) {
      if (!listed.contains(path)) problem(path, "comes from the lesson and is missing");
    }
  }

  /// The part made anew. False = stopped.
  bool check_made(std::size_t i, const StopFlag* stop) {
    const PackPart& part = plan_.parts[i];
    const std::string* theirs = pack_.find(part.path);
    if (theirs == nullptr) return true;  // told already
    auto made = part.make(stop);
    if (!made) {
      if (is_stop(made.error())) return false;
      problem(part.path, "cannot be made: " + made.error().what);
      return true;
    }
    std::string ours = std::move(made).value();
    if (part.stamped) stamp(ours, manifest_.lesson_sha256);
    if (ours == *theirs) return true;
    if (part.group == PartGroup::audio && is_same_sound(ours, *theirs)) {
      const std::lock_guard lock(mutex_);
      report_.notes.push_back(part.path + ": other bytes, the same sound");
    } else {
      problem(part.path, "is not what the lesson gives");
    }
    return true;
  }

  VerifyReport take() {
    report_.parts = plan_.parts.size();
    std::sort(report_.problems.begin(), report_.problems.end());
    std::sort(report_.notes.begin(), report_.notes.end());
    return std::move(report_);
  }

 private:
  void problem(const std::string& path, const std::string& what) {
    const std::lock_guard lock(mutex_);
    report_.problems.push_back(path + ": " + what);
  }

  const PackFiles& pack_;
  const Manifest& manifest_;
  const PackPlan& plan_;
  std::mutex mutex_;
  VerifyReport report_;
};

/// The teacher's files out of a pack.
Result<PackSources> sources_of(const PackFiles& pack, const Manifest& manifest) {
  const std::string* lesson = pack.find(k_lesson_file);
  if (lesson == nullptr)
    return Error{ErrorKind::syntax, 0, "the pack has no " + std::string(k_lesson_file) + " to compare with", ""};
  PackSources sources{*lesson, "", ""};
  for (const ManifestPart& part : manifest.parts) {
    const std::string* bytes = pack.find(part.path);
    if (part.group != name(PartGroup::lesson) || bytes == nullptr) continue;
    if (part.path.ends_with(".png")) sources.logo = *bytes;
    if (part.path == k_durations_file) sources.durations = *bytes;
  }
  return sources;
}

}  // namespace

const std::string* PackFiles::find(std::string_view path) const {
  for (const auto& [name, bytes] : files) {
    if (name == path) return &bytes;
  }
  return nullptr;
}

Result<PackFiles> read_pack(const std::string& path) {
  std::error_code error;
  if (fs::is_directory(path, error)) return read_folder(path);
  const auto bytes = read_file(path, k_largest_pack);
  if (!bytes) return bytes.error();
  auto entries = unzip(*bytes, k_largest_pack);
  if (!entries) {
    Error bad = entries.error();
    bad.what = path + ": " + bad.what;
    return bad;
  }
  PackFiles pack;
  for (const ZipEntry& entry : *entries)
    pack.files.emplace_back(entry.name.substr(entry.name.find('/') + 1), entry.bytes);
  return pack;
}

Result<VerifyReport> verify_pack(const PackFiles& pack, const PackTools& tools, int threads, const StopFlag* stop,
                                 const std::function<void(double)>& progress) {
  const std::string* json = pack.find(k_manifest_file);
  if (json == nullptr)
    return Error{ErrorKind::syntax, 0, "this is no pack: it has no " + std::string(k_manifest_file), ""};
  const auto manifest = read_manifest(*json);
  if (!manifest) return manifest.error();
  const auto sources = sources_of(pack, *manifest);
  if (!sources) return sources.error();
  const auto choice = parse_choice(manifest->choice);
  if (!choice) return choice.error();
  const auto plan = plan_parts(compile_lesson(sources->lesson), *sources, *choice, tools);
  if (!plan) return plan.error();
  Verifier verifier(pack, *manifest, *plan);
  verifier.check_files();
  std::mutex mutex;
  std::size_t done = 0;
  bool is_stopped = false;
  run_parallel(plan->parts.size(), threads, [&](std::size_t i) {
    const bool went_on = (stop == nullptr || !stop->load()) && verifier.check_made(i, stop);
    const std::lock_guard lock(mutex);
    is_stopped = is_stopped || !went_on;
    ++done;
    if (progress) progress(static_cast<double>(done) / static_cast<double>(plan->parts.size()));
    return went_on;
  });
  if (is_stopped) return stopped();
  VerifyReport report = verifier.take();
  if (sha256(sources->lesson) != manifest->lesson_sha256)
    report.problems.insert(report.problems.begin(),
                           std::string(k_lesson_file) + ": its SHA-256 is not the manifest's lesson_sha256");
  return report;
}

}  // namespace fretloom
