#include "pack/names.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>

#include "base/text.h"
#include "files/files.h"
#include "lesson/compile.h"
#include "pack/manifest.h"
#include "pack/own_file.h"
#include "pack/pack_files.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

/// Names that are devices on some systems, with any ending: a folder of theirs cannot be unpacked there.
bool is_reserved(std::string_view slug) {
  constexpr std::array<std::string_view, 4> k_devices = {"con", "prn", "aux", "nul"};
  if (std::find(k_devices.begin(), k_devices.end(), slug) != k_devices.end()) return true;
  return slug.size() == 4 && (slug.starts_with("com") || slug.starts_with("lpt")) && slug[3] >= '0' && slug[3] <= '9';
}

std::string plain_name(const fs::path& lesson) {
  const std::string slug = file_slug(lesson.stem().string(), "lesson");
  return is_reserved(slug) ? slug + "-lesson" : slug;
}

fs::path real(const fs::path& path) {
  std::error_code error;
  return fs::weakly_canonical(fs::absolute(path, error), error);
}

class Namer {
 public:
  explicit Namer(const fs::path& root) : root_(real(root)) {}

  std::vector<PackName> run(const std::vector<std::string>& lessons) {
    std::vector<PackName> names;
    read_packs();
    for (const std::string& lesson : lessons)
      names.push_back({lesson, "", real(lesson).lexically_relative(root_).generic_string(), ""});
    for (PackName& name : names) keep(name);
    for (PackName& name : names) {
      if (name.name.empty()) choose(name);
    }
    return names;
  }

 private:
  void read_packs() {
    std::error_code error;
    for (fs::directory_iterator it(root_, error), end; !error && it != end; it.increment(error)) {
      const std::string folder = it->path().filename().string();
      if (!folder.ends_with(k_teacher_ending)) continue;
      const auto json = own_bytes(root_, folder + "/" + std::string(k_manifest_file), k_max_manifest_bytes);
      if (!json) continue;
      auto manifest = read_manifest(*json);
      if (!manifest || teacher_folder(manifest->name) != folder) continue;
      by_source_.emplace(manifest->source, manifest->name);
      const std::string name = manifest->name;
      packs_.emplace(name, std::move(manifest).value());
    }
  }

  /// A lesson that has a pack already.
  void keep(PackName& name) {
    const auto pack = by_source_.find(name.source);
    if (pack == by_source_.end()) return;
    // The file may have another name by now; then it has another pack.
    if (!pack->second.starts_with(plain_name(name.lesson))) return;
    take(name, pack->second);
    const auto plain = plain_name(name.lesson);
    if (name.name != plain) name.other = other_of(plain);
  }

  void choose(PackName& name) {
    const std::string plain = plain_name(name.lesson);
    if (is_free(plain, name)) return take(name, plain);
    name.other = other_of(plain);
    const std::string folder = plain + "-" + file_slug(real(name.lesson).parent_path().filename().string(), "other");
    std::string free = folder;
    for (int n = 2; !is_free(free, name); ++n) free = folder + "-" + std::to_string(n);
    take(name, free);
  }

  void take(PackName& name, const std::string& chosen) {
    name.name = chosen;
    taken_[chosen] = name.lesson;
    folders_.insert(chosen);
    folders_.insert(teacher_folder(chosen));
  }

  /// No folder of it is a folder of another lesson's pack.
  [[nodiscard]] bool is_free(const std::string& chosen, const PackName& name) const {
    for (const std::string& folder : {chosen, teacher_folder(chosen)}) {
      if (folders_.contains(folder)) return false;
      for (const auto& [pack, manifest] : packs_) {
        const bool is_its = folder == pack || folder == teacher_folder(pack);
        if (is_its && !(pack == chosen && is_moved(manifest, name))) return false;
      }
    }
    return true;
  }

  /// The pack's lesson file is gone, and this one says that it is the same lesson.
  [[nodiscard]] bool is_moved(const Manifest& manifest, const PackName& name) const {
    std::error_code error;
    if (fs::exists(root_ / manifest.source, error)) return false;
    const auto text = read_file(name.lesson, k_max_lesson_bytes);
    if (!text) return false;
    const auto compiled = compile_lesson(*text);
    if (!compiled.is_readable()) return false;
    const Prose& prose = compiled.lesson->prose;
    return prose.title == manifest.title && prose.author == manifest.author;
  }

  [[nodiscard]] std::string other_of(const std::string& plain) const {
    if (const auto other = taken_.find(plain); other != taken_.end()) return other->second;
    const auto pack = packs_.find(plain);
    if (pack == packs_.end()) return plain;
    std::error_code error;
    return fs::proximate(root_ / pack->second.source, error).string();
  }

  fs::path root_;
  std::map<std::string, Manifest> packs_;         ///< by name
  std::map<std::string, std::string> by_source_;  ///< the name
  std::map<std::string, std::string> taken_;      ///< name and lesson
  std::set<std::string> folders_;
};

}  // namespace

std::vector<PackName> pack_names(const fs::path& root, const std::vector<std::string>& lessons) {
  return Namer(root).run(lessons);
}

bool is_of_a_pack(const fs::path& file) {
  // What a stopped run has built aside.
  const bool is_aside = std::any_of(file.begin(), file.end(), [](const fs::path& step) {
    return step.string().starts_with('.') && step.extension() == ".fretloom";
  });
  if (is_aside) return true;
  const fs::path folder = file.parent_path();
  const auto json = own_bytes(folder, std::string(k_manifest_file), k_max_manifest_bytes);
  if (!json) return false;
  const auto manifest = read_manifest(*json);
  return manifest && folder.filename() == teacher_folder(manifest->name);
}

}  // namespace fretloom
