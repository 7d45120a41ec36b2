#include "pack/verify.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <mutex>
#include <set>

#include "base/parallel.h"
#include "base/text.h"
#include "pack/hash.h"
#include "pack/manifest.h"
#include "pack/pack.h"

namespace fretloom {

namespace {

constexpr float k_same_sound = 1e-3F;

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
  Verifier(const PackFiles& pack, const Manifest& manifest) : pack_(pack), manifest_(manifest) {
    report_.notes = pack.notes;
  }

  /// The files against the manifest.
  void check_files() {
    std::set<std::string> faulty;
    for (const auto& [path, what] : pack_.faults) {
      faulty.insert(path);
      problem(path, what);
    }
    if (sha256(*pack_.find(k_lesson_file)) != manifest_.lesson_sha256)
      problem(std::string(k_lesson_file), "its SHA-256 is not the manifest's lesson_sha256");
    std::set<std::string> listed = {std::string(k_manifest_file)};
    for (const ManifestPart& part : manifest_.parts) {
      if (!listed.insert(part.path).second) problem(part.path, "is in the manifest twice");
      if (faulty.contains(part.path)) continue;
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
  }

  /// The manifest against the lesson.
  void check_plan(const PackPlan& plan) {
    report_.parts = plan.parts.size();
    std::set<std::string> planned;
    std::set<std::string> listed;
    for (const PackPart& part : plan.parts) planned.insert(part.path);
    for (const ManifestPart& part : manifest_.parts) listed.insert(part.path);
    for (const ManifestPart& part : manifest_.parts) {
      if (!planned.contains(part.path)) problem(part.path, "does not come from the lesson");
    }
    for (const std::string& path : planned) {
      if (!listed.contains(path)) problem(path, "comes from the lesson and is missing");
    }
    const bool has_problems = !report_.problems.empty();
    if (!has_problems && *pack_.find(k_manifest_file) != to_json(manifest_of(plan)))
      problem(std::string(k_manifest_file), "is not what the lesson gives");
  }

  [[nodiscard]] bool is_good() const { return report_.problems.empty(); }

  /// The part made anew. False = stopped.
  bool check_made(const PackPart& part, const StopFlag* stop) {
    const std::string* theirs = pack_.find(part.path);
    if (theirs == nullptr) return true;  // told already
    auto made = part.make(stop);
    if (!made) {
      if (made.error().kind == ErrorKind::stopped) return false;
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
    std::sort(report_.problems.begin(), report_.problems.end());
    std::sort(report_.notes.begin(), report_.notes.end());
    return std::move(report_);
  }

 private:
  void problem(const std::string& path, const std::string& what) {
    const std::lock_guard lock(mutex_);
    report_.problems.push_back(printable(path) + ": " + what);
  }

  /// The manifest that the plan gives, where it lists the same parts. A key tells which program made the
  /// part, and the pack may be of another one: then no key is this program's.
  [[nodiscard]] Manifest manifest_of(const PackPlan& plan) const {
    Manifest made{plan.title, plan.author, plan.key, plan.ideas, plan.lesson_hash, plan.choice, {}};
    std::map<std::string, ManifestPart> theirs;
    for (const ManifestPart& part : manifest_.parts) theirs.emplace(part.path, part);
    const bool is_ours = std::any_of(plan.parts.begin(), plan.parts.end(), [&](const PackPart& part) {
      return part.stamped && theirs.at(part.path).key == part.key;
    });
    for (const PackPart& part : plan.parts) {
      const ManifestPart& other = theirs.at(part.path);
      const bool is_key_due = is_ours || !part.stamped || !is_sha256(other.key);
      made.parts.push_back({part.path, std::string(name(part.group)), is_key_due ? part.key : other.key, other.sha256,
                            other.bytes, part.stamped});
    }
    return made;
  }

  static bool is_sha256(std::string_view text) {
    return text.size() == k_sha256_digits && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
  }

  const PackFiles& pack_;
  const Manifest& manifest_;
  std::mutex mutex_;
  VerifyReport report_;
};

/// Why the pack cannot be verified without the file.
Error missing(const PackFiles& pack, std::string_view file, const std::string& so) {
  for (const auto& [path, what] : pack.faults) {
    if (path == file) return {ErrorKind::syntax, 0, path + " " + what, ""};
  }
  return {ErrorKind::syntax, 0, so + ": it has no " + std::string(file), ""};
}

/// The teacher's files out of a pack.
Result<PackSources> sources_of(const PackFiles& pack, const Manifest& manifest) {
  const std::string* lesson = pack.find(k_lesson_file);
  if (lesson == nullptr) return missing(pack, k_lesson_file, "there is nothing to compare with");
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

Result<VerifyReport> verify_pack(const PackFiles& pack, const PackTools& tools, int threads, const StopFlag* stop,
                                 const std::function<void(double)>& progress) {
  const std::string* json = pack.find(k_manifest_file);
  if (json == nullptr) return missing(pack, k_manifest_file, "this is no pack");
  if (json->size() > k_max_manifest_bytes)
    return Error{ErrorKind::limit, 0,
                 std::string(k_manifest_file) + " is larger than " + byte_text(k_max_manifest_bytes), ""};
  const auto manifest = read_manifest(*json);
  if (!manifest) return manifest.error();
  const auto sources = sources_of(pack, *manifest);
  if (!sources) return sources.error();
  const auto choice = parse_choice(manifest->choice);
  if (!choice) return choice.error();
  Verifier verifier(pack, *manifest);
  verifier.check_files();
  const auto plan = plan_parts(compile_lesson(sources->lesson), *sources, *choice, tools);
  if (!plan) {  // of a lesson that was changed nothing may be left to derive
    if (verifier.is_good()) return plan.error();
    return verifier.take();
  }
  verifier.check_plan(*plan);
  std::mutex mutex;
  std::size_t done = 0;
  bool is_stopped = false;
  run_parallel(plan->parts.size(), threads, [&](std::size_t i) {
    const bool went_on = (stop == nullptr || !stop->load()) && verifier.check_made(plan->parts[i], stop);
    const std::lock_guard lock(mutex);
    is_stopped = is_stopped || !went_on;
    ++done;
    if (progress) progress(static_cast<double>(done) / static_cast<double>(plan->parts.size()));
    return went_on;
  });
  if (is_stopped) return stopped();
  return verifier.take();
}

}  // namespace fretloom
