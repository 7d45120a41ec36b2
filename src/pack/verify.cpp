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
#include "pack/pack_zip.h"

namespace fretloom {

namespace {

constexpr float k_same_sound = 1e-3F;
constexpr std::size_t k_largest_unzipped = std::size_t{2} << 30U;

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
  explicit Verifier(const PackFiles& pack) : pack_(pack), manifest_(pack.manifest) {}

  /// The files against the manifest.
  void check_files() {
    for (const auto& [path, what] : pack_.faults) {
      faulty_.insert(path);
      problem(path, what);
    }
    for (const auto& [path, what] : pack_.changed) {
      faulty_.insert(path);
      note(path, what);
    }
    std::set<std::string> listed;
    for (const ManifestPart& part : manifest_.parts) {
      if (!listed.insert(part.path).second) problem(part.path, "is in the manifest twice");
      if (part.at != part.path)
        note(part.path, "is a file that Fretloom did not make; the part lies beside it as " + printable(part.at));
      if (!faulty_.contains(part.path)) check_file(part);
    }
    for (const std::string& path : pack_.foreign) note(path, "was not made by Fretloom");
  }

  /// The manifest against the lesson.
  void check_plan(const PackPlan& plan) {
    report_.parts = plan.parts.size();
    std::set<std::string> planned;
    std::set<std::string> listed;
    planned.insert(zip_path(manifest_.name));
    for (const PackPart& part : plan.parts) planned.insert(part.path);
    for (const ManifestPart& part : manifest_.parts) listed.insert(part.path);
    for (const ManifestPart& part : manifest_.parts) {
      if (!planned.contains(part.path)) problem(part.path, "does not come from the lesson");
    }
    for (const std::string& path : planned) {
      if (!listed.contains(path)) problem(path, "comes from the lesson and is missing");
    }
    const bool has_problems = !report_.problems.empty();
    if (!has_problems && pack_.manifest_json != to_json(manifest_of(plan)))
      problem(manifest_path(manifest_.name), "is not what the lesson gives");
  }

  [[nodiscard]] bool is_good() const { return report_.problems.empty(); }

  /// The zip against the parts.
  void check_zip() {
    const std::string path = zip_path(manifest_.name);
    const std::string* bytes = pack_.find(path);
    if (bytes == nullptr || faulty_.contains(path)) return;  // told already
    const auto entries = unzip(*bytes, k_largest_unzipped);
    if (!entries) return problem(path, printable(entries.error().what));
    const bool is_changed = edited_.contains(path);
    if (!holds_the_parts(*entries)) {
      if (!is_changed) problem(path, "does not hold the parts of the pack");
      if (is_changed) note(path, "was changed since it was made, and holds other files than the pack");
    } else if (is_changed) {
      note(path, "other bytes than this program writes, the same files");
    } else {
      std::vector<ZipEntry> again;
      for (const ZipEntry& entry : *entries) again.push_back(pack_zip_entry(entry.name, entry.bytes));
      const auto ours = zip_bytes(again);
      if (!ours || *ours != *bytes) note(path, "other bytes than this program writes, the same files");
    }
  }

  /// The part made anew. False = stopped.
  bool check_made(const PackPart& part, const StopFlag* stop) {
    const std::string* theirs = pack_.find(part.path);
    if (theirs == nullptr || edited_.contains(part.path)) return true;  // told already
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
      note(part.path, "other bytes, the same sound");
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
  void check_file(const ManifestPart& part) {
    const std::string* bytes = pack_.find(part.path);
    const bool is_source = part.group == name(PartGroup::lesson);
    if (bytes == nullptr) {
      problem(part.path, "is in the manifest and not in the pack");
    } else if (sha256(*bytes) != part.sha256 || bytes->size() != part.bytes) {
      edited_.insert(part.path);
      if (is_source) problem(part.path, "was changed: its SHA-256 is not the manifest's");
      if (!is_source && part.group != name(PartGroup::zip)) note(part.path, "was changed since it was made");
    } else if (part.path == lesson_path(manifest_.name) && part.sha256 != manifest_.lesson_sha256) {
      problem(part.path, "its SHA-256 is not the manifest's lesson_sha256");
    } else if (part.stamped && bytes->find(full_stamp(manifest_.lesson_sha256)) == std::string::npos) {
      problem(part.path, "is of another version of the lesson");
    }
  }

  [[nodiscard]] bool holds_the_parts(const std::vector<ZipEntry>& entries) const {
    std::map<std::string, std::string> wanted;
    for (const ManifestPart& part : manifest_.parts) {
      if (part.path.starts_with(manifest_.name + "/")) wanted.emplace(part.path, part.sha256);
    }
    return entries.size() == wanted.size() && std::all_of(entries.begin(), entries.end(), [&](const ZipEntry& entry) {
             const auto found = wanted.find(entry.name);
             return found != wanted.end() && found->second == sha256(entry.bytes);
           });
  }

  void note(const std::string& path, const std::string& what) {
    const std::lock_guard lock(mutex_);
    report_.notes.push_back(printable(path) + ": " + what);
  }

  void problem(const std::string& path, const std::string& what) {
    const std::lock_guard lock(mutex_);
    report_.problems.push_back(printable(path) + ": " + what);
  }

  /// The manifest that the plan gives, where it lists the same parts. A key tells which program made the
  /// part, and the pack may be of another one: then no key is this program's.
  [[nodiscard]] Manifest manifest_of(const PackPlan& plan) const {
    Manifest made{plan.title,  plan.author,      plan.key,    plan.ideas, plan.name,
                  plan.source, plan.lesson_hash, plan.choice, {}};
    std::map<std::string, ManifestPart> theirs;
    for (const ManifestPart& part : manifest_.parts) theirs.emplace(part.path, part);
    const bool is_ours = std::any_of(plan.parts.begin(), plan.parts.end(), [&](const PackPart& part) {
      return part.group != PartGroup::lesson && theirs.at(part.path).key == part.key;
    });
    for (const PackPart& part : plan.parts) {
      const ManifestPart& other = theirs.at(part.path);
      const bool is_key_due = is_ours || part.group == PartGroup::lesson || !is_sha256(other.key);
      made.parts.push_back({part.path, other.at, part.title, std::string(name(part.group)),
                            is_key_due ? part.key : other.key, other.sha256, other.bytes, part.stamped});
    }
    ManifestPart zip = theirs.at(zip_path(plan.name));
    zip.group = name(PartGroup::zip);
    zip.stamped = false;
    zip.title.clear();
    zip.key = zip_key();
    made.parts.push_back(std::move(zip));
    return made;
  }

  /// See pack_zip_key; by the hashes of the manifest, whose parts a student may not all have.
  [[nodiscard]] std::string zip_key() const {
    std::string text;
    for (const ManifestPart& part : manifest_.parts) {
      if (part.path.starts_with(manifest_.name + "/")) text += part.path + "\n" + part.sha256 + "\n";
    }
    return sha256(text);
  }

  static bool is_sha256(std::string_view text) {
    return text.size() == k_sha256_digits && text.find_first_not_of("0123456789abcdef") == std::string_view::npos;
  }

  const PackFiles& pack_;
  const Manifest& manifest_;
  std::set<std::string> faulty_;  ///< not read
  std::set<std::string> edited_;
  std::mutex mutex_;
  VerifyReport report_;
};

/// The teacher's files out of a pack.
Result<PackSources> sources_of(const PackFiles& pack) {
  const Manifest& manifest = pack.manifest;
  const std::string* lesson = pack.find(lesson_path(manifest.name));
  if (lesson == nullptr)
    return Error{ErrorKind::syntax, 0,
                 "there is nothing to compare with: " + lesson_path(manifest.name) + " is missing", ""};
  PackSources sources{*lesson, "", "", manifest.name, manifest.source, {}};
  for (const ManifestPart& part : manifest.parts) {
    const std::string* bytes = pack.find(part.path);
    if (part.group != name(PartGroup::lesson) || bytes == nullptr) continue;
    if (part.path.ends_with(".png")) sources.logo = *bytes;
    if (part.path == durations_path(manifest.name)) sources.durations = *bytes;
    for (const TemplateKind kind : {TemplateKind::email, TemplateKind::description, TemplateKind::script}) {
      if (part.path == template_path(manifest.name, kind)) sources.templates.push_back({kind, *bytes});
    }
  }
  return sources;
}

}  // namespace

Result<VerifyReport> verify_pack(const PackFiles& pack, const PackTools& tools, int threads, const StopFlag* stop,
                                 const std::function<void(double)>& progress) {
  const auto sources = sources_of(pack);
  if (!sources) return sources.error();
  const auto choice = parse_choice(pack.manifest.choice);
  if (!choice) return choice.error();
  Verifier verifier(pack);
  verifier.check_files();
  verifier.check_zip();
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
