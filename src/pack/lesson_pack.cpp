#include "pack/lesson_pack.h"

#include <algorithm>
#include <set>

#include "base/text.h"
#include "files/files.h"
#include "pack/own_file.h"
#include "sheet/options.h"
#include "words/durations.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

Error found_in(const fs::path& path, const std::vector<Finding>& findings, const LineListener& tell) {
  for (const Finding& finding : findings) tell(to_line(finding, path.string()));
  return {ErrorKind::syntax, 0, path.string() + " has " + counted(findings.size(), "error"), ""};
}

std::optional<Error> read_logo(const LessonFile& lesson, PackSources& sources) {
  const std::string& logo = lesson.compiled.lesson->prose.logo;
  if (logo.empty()) return std::nullopt;
  auto bytes = read_file(lesson.path.parent_path() / logo, sheet::k_max_logo_bytes);
  if (!bytes) return bytes.error();
  sources.logo = std::move(bytes).value();
  return std::nullopt;
}

std::optional<Error> read_durations_file(const fs::path& path, PackSources& sources, const LineListener& tell) {
  if (path.empty()) return std::nullopt;
  auto text = read_file(path, k_max_durations_bytes);
  if (!text) return text.error();
  const auto findings = read_durations(*text).findings;
  if (!findings.empty()) return found_in(path, findings, tell);
  sources.durations = std::move(text).value();
  return std::nullopt;
}

/// The teacher's own templates, in a folder beside the lesson.
std::optional<Error> read_templates(const LessonFile& lesson, PackSources& sources, const LineListener& tell) {
  const fs::path folder = lesson.path.parent_path() / k_template_folder;
  for (const TemplateKind kind : {TemplateKind::email, TemplateKind::description, TemplateKind::script}) {
    const fs::path path = folder / template_file_name(kind);
    std::error_code error;
    if (!fs::exists(path, error)) continue;
    auto text = read_file(path, k_max_template_bytes);
    if (!text) return text.error();
    const auto findings = read_template(*text).findings;
    if (!findings.empty()) return found_in(path, findings, tell);
    sources.templates.push_back({kind, std::move(text).value()});
  }
  return std::nullopt;
}

/// The lesson file of the pack that lies there, for the list of changes.
std::string lesson_before(const fs::path& root, const std::optional<Manifest>& old) {
  if (!old) return "";
  return own_bytes(root, lesson_path(old->name), k_max_lesson_bytes).value_or("");
}

}  // namespace

Result<std::vector<std::string>> lessons_to_pack(const std::vector<std::string>& paths) {
  std::vector<std::string> files;
  std::set<fs::path> met;
  for (const std::string& path : paths) {
    std::error_code error;
    const bool is_folder = fs::is_directory(path, error);
    const auto found = collect_files({path}, ".toml");
    if (!found) return found.error();
    for (const fs::path& file : *found) {
      if (is_folder && (is_of_a_pack(file) || file.parent_path().filename() == k_away_folder)) continue;
      if (met.insert(fs::absolute(file, error).lexically_normal()).second) files.push_back(file.string());
    }
  }
  return files;
}

Result<PlannedPack> plan_lesson_pack(const LessonFile& lesson, const fs::path& root, const PackName& name,
                                     const fs::path& durations, const PackChoice& wanted, ChoiceBefore choice_before,
                                     const PackTools& tools, const LineListener& tell) {
  PackSources sources{lesson.text, "", "", name.name, name.source, {}};
  auto bad = read_logo(lesson, sources);
  if (!bad) bad = read_durations_file(durations, sources, tell);
  if (!bad) bad = read_templates(lesson, sources, tell);
  if (bad) return *bad;
  const auto old = manifest_in(root, name.name);
  if (!old) return old.error();
  PackChoice choice = wanted;
  if (old->has_value() && choice_before == ChoiceBefore::holds) {
    const auto before = parse_choice((*old)->choice);
    if (before) choice = merged(*before, wanted);
  }
  auto plan = plan_parts(lesson.compiled, sources, choice, tools);
  if (!plan) return plan.error();
  return PlannedPack{std::move(plan).value(), lesson_before(root, *old)};
}

std::vector<FileNote> kept_files(const fs::path& root, const PackReport& report) {
  std::vector<FileNote> notes;
  for (const auto& [path, at] : report.beside)
    notes.push_back({root / path, "this file was changed or is yours, and stays; the new one is " +
                                      fs::path(at).filename().string() + " beside it"});
  for (const std::string& path : report.edited)
    notes.push_back({root / path, "this file was changed and stays; the lesson no longer gives it"});
  return notes;
}

std::string missing_text(const std::vector<Finding>& missing) {
  std::vector<std::string> names;
  for (const Finding& finding : missing) {
    const std::string key = "no " + std::string(finding.where.last());
    names.push_back(finding.where.idea == 0 ? key : key + " for idea " + std::to_string(finding.where.idea));
  }
  if (names.empty()) return "";
  std::string text = names.front();
  for (std::size_t i = 1; i < names.size(); ++i) text += (i + 1 == names.size() ? " and " : ", ") + names[i];
  return text;
}

std::string made_text(const PackReport& report) {
  if (!report.is_changed) return "nothing has changed";
  const auto made =
      static_cast<std::size_t>(std::count_if(report.states.begin(), report.states.end(), [](PartState state) {
        return state == PartState::made || state == PartState::stamped;
      }));
  std::string text = counted(made, "file") + " made";
  const std::size_t kept = report.states.size() - made;
  if (kept > 0) text += ", " + std::to_string(kept) + " kept";
  if (!report.removed.empty()) text += ", " + std::to_string(report.removed.size()) + " removed";
  return text;
}

}  // namespace fretloom
