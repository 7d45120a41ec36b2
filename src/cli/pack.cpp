// fretloom pack: everything a lesson publishes, in one folder and one zip.

#include "pack/pack.h"

#include <algorithm>
#include <array>
#include <filesystem>
#include <map>
#include <memory>
#include <set>

#include "cli/command.h"
#include "cli/music_font.h"
#include "cli/progress.h"
#include "cli/words.h"
#include "files/files.h"
#include "pack/changes.h"
#include "pack/hash.h"
#include "pack/index.h"
#include "pack/manifest.h"
#include "pack/pack_files.h"
#include "sheet/options.h"
#include "words/durations.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

struct PackArguments {
  LessonArguments lessons;
  std::string output;
  std::string only;
  std::string what = "demo";
  std::string formats = "mp3";
  std::string tempos;
  std::string paper = "a4";
  std::string present;
  std::string durations;
  std::optional<int> minutes;
  std::optional<int> days;
  std::optional<int> threads;
};

constexpr const char* k_group_names = "handout, tab, midi, musicxml, drawings, audio, captions, words, plan";

std::optional<PackChoice> pack_choice(const PackArguments& arguments) {
  PackChoice choice;
  choice.plan.present_bpm = Rational(0);
  std::vector<Rational> present;
  const bool good =
      (arguments.only.empty() || read_words("only", arguments.only, parse_part_group, k_group_names, choice.groups)) &&
      read_words("what", arguments.what, parse_piece, "demo, loop, click, ladder, bursts", choice.sound.pieces) &&
      read_words("format", arguments.formats, parse_audio_format, "wav, flac, opus, mp3", choice.sound.formats) &&
      read_sound_tempos(arguments.tempos, choice.sound) && read_tempos("present", arguments.present, present) &&
      read_count("minutes", arguments.minutes, k_least_minutes, k_most_minutes, choice.plan.minutes_a_day) &&
      read_count("days", arguments.days, 1, k_most_days, choice.plan.days);
  if (!good) return std::nullopt;
  if (present.size() > 1) {
    fail("--present: " + arguments.present + " are several tempos; a student has one");
    return std::nullopt;
  }
  if (!present.empty()) choice.plan.present_bpm = present.front();
  const auto paper = sheet::parse_paper(arguments.paper);
  if (!paper || paper->strip) {
    fail("--paper: \"" + arguments.paper + "\" is not known; legal is a4, letter");
    return std::nullopt;
  }
  choice.paper = arguments.paper;
  return choice;
}

/// The lesson file that lies in a pack is the pack's, not a lesson of the folder around.
bool is_of_a_pack(const fs::path& file) {
  std::error_code error;
  const fs::path manifest = file.parent_path() / k_manifest_file;
  if (file.filename() != k_lesson_file || !fs::is_regular_file(manifest, error)) return false;
  const auto json = read_file(manifest, k_max_manifest_bytes);
  return json && read_manifest(*json).ok();
}

/// Every lesson file once: the named ones, and those of folders that do not lie in a pack.
Result<std::vector<std::string>> lesson_files(const std::vector<std::string>& paths) {
  std::vector<std::string> files;
  std::set<fs::path> met;
  for (const std::string& path : paths) {
    std::error_code error;
    const bool is_folder = fs::is_directory(path, error);
    const auto found = collect_files({path}, ".toml");
    if (!found) return found.error();
    for (const fs::path& file : *found) {
      if (is_folder && is_of_a_pack(file)) continue;
      if (met.insert(fs::absolute(file, error).lexically_normal()).second) files.push_back(file.string());
    }
  }
  return files;
}

/// Names that are devices on some systems, with any ending: a folder of theirs cannot be unpacked there.
bool is_reserved(std::string_view slug) {
  constexpr std::array<std::string_view, 4> k_devices = {"con", "prn", "aux", "nul"};
  if (std::find(k_devices.begin(), k_devices.end(), slug) != k_devices.end()) return true;
  return slug.size() == 4 && (slug.starts_with("com") || slug.starts_with("lpt")) && slug[3] >= '0' && slug[3] <= '9';
}

/// A folder name for each lesson file, the same whatever the share: its name, with some of the hash of its
/// whole path where two are alike.
std::map<std::string, std::string> pack_names(const std::vector<std::string>& files) {
  std::map<std::string, int> count;
  const auto plain = [](const fs::path& file) {
    const std::string slug = file_slug(file.stem().string(), "lesson");
    return is_reserved(slug) ? slug + "-lesson" : slug;
  };
  for (const std::string& file : files) ++count[plain(file)];
  std::map<std::string, std::string> names;
  for (const std::string& file : files) {
    constexpr std::size_t k_digits = 8;
    const std::string hash = sha256(fs::path(file).lexically_normal().string()).substr(0, k_digits);
    names[file] = count[plain(file)] == 1 ? plain(file) : plain(file) + "-" + hash;
  }
  return names;
}

std::optional<Error> read_logo(const LoadedLesson& lesson, PackSources& sources) {
  const std::string& logo = lesson.compiled.lesson->prose.logo;
  if (logo.empty()) return std::nullopt;
  auto bytes = read_file(fs::path(lesson.path).parent_path() / logo, sheet::k_max_logo_bytes);
  if (!bytes) return bytes.error();
  sources.logo = std::move(bytes).value();
  return std::nullopt;
}

/// The file of --durations that belongs to a lesson: itself, or NAME.txt in a folder; empty for none.
fs::path durations_path(const LoadedLesson& lesson, const std::string& durations) {
  std::error_code error;
  if (durations.empty() || !fs::is_directory(durations, error)) return durations;
  const fs::path path = fs::path(durations) / (fs::path(lesson.path).stem().string() + ".txt");
  return fs::exists(path, error) ? path : fs::path();
}

std::optional<Error> read_durations_file(const fs::path& path, PackSources& sources) {
  if (path.empty()) return std::nullopt;
  auto text = read_file(path, k_max_durations_bytes);
  if (!text) return text.error();
  const auto findings = read_durations(*text).findings;
  for (const Finding& finding : findings) std::fprintf(stderr, "%s\n", to_line(finding, path.string()).c_str());
  if (!findings.empty())
    return Error{ErrorKind::syntax, 0, path.string() + " has " + counted(findings.size(), "error"), ""};
  sources.durations = std::move(text).value();
  return std::nullopt;
}

/// One file of durations cannot be of several lessons.
bool is_one_for_many(const std::string& durations, std::size_t lessons) {
  std::error_code error;
  if (durations.empty() || lessons == 1 || fs::is_directory(durations, error)) return false;
  fail("--durations " + durations + " is no folder, but there are " + counted(lessons, "lesson") +
       "; name a folder that holds NAME.txt for NAME.toml");
  return true;
}

/// The lesson file of the pack that lies there, for the list of changes.
std::string lesson_before(const fs::path& folder) {
  std::error_code error;
  if (!fs::exists(folder / k_lesson_file, error)) return "";
  auto text = read_file(folder / k_lesson_file, k_max_lesson_bytes);
  return text ? std::move(text).value() : "";
}

void print_report(const PackPlan& plan, const PackReport& report) {
  std::string text;
  std::size_t kept = 0;
  for (std::size_t i = 0; i < plan.parts.size(); ++i) {
    if (report.states[i] == PartState::kept) {
      ++kept;
    } else {
      std::string state(name(report.states[i]));
      state.resize(9, ' ');
      text += state + (report.folder / plan.parts[i].path).string() + "\n";
    }
  }
  for (const std::string& path : report.removed) text += "removed  " + (report.folder / path).string() + "\n";
  if (kept > 0) text += "kept     " + counted(kept, "part") + " of " + report.folder.string() + "\n";
  text += (report.zip_written ? "made     " : "kept     ") + report.zip.string() + "\n";
  print(text);
}

/// The same fact may be missing for every idea.
void print_plan_findings(const LoadedLesson& lesson, const PackPlan& plan) {
  for (const Finding& finding : plan.findings) std::fprintf(stderr, "%s\n", to_line(finding, lesson.path).c_str());
}

int pack_lesson(const LoadedLesson& lesson, const PackArguments& arguments, const PackChoice& choice,
                const PackTools& tools, const std::string& pack_name) {
  PackSources sources{lesson.text, "", ""};
  auto bad = read_logo(lesson, sources);
  if (!bad) bad = read_durations_file(durations_path(lesson, arguments.durations), sources);
  if (bad) return fail(lesson.path + ": " + bad->what, k_exit_errors);
  const auto plan = plan_parts(lesson.compiled, sources, choice, tools);
  if (!plan) return fail(lesson.path + ": " + plan.error().what, k_exit_errors);
  print_plan_findings(lesson, *plan);
  PackRun run{arguments.output, pack_name, arguments.threads.value_or(0), &stop_flag(), {}};
  const std::string before = lesson_before(run.root / run.name);
  Result<PackReport> report = PackReport();
  {
    ProgressBar bar(pack_name);
    run.progress = [&bar](double part) { bar.show(part); };
    report = make_pack(*plan, run);
  }
  if (!report) return fail(lesson.path + ": " + report.error().what, k_exit_errors);
  print_report(*plan, *report);
  if (!before.empty() && before != lesson.text)
    print(changes_text(make_handout(compile_lesson(before)), make_handout(lesson.compiled)));
  return k_exit_clean;
}

int run_pack(const PackArguments& arguments) {
  const auto files = lesson_files(arguments.lessons.paths);
  if (!files) return fail(files.error().what);
  const auto lessons = load({*files, arguments.lessons.part});
  const auto choice = pack_choice(arguments);
  if (!lessons || !choice || is_one_for_many(arguments.durations, files->size())) return k_exit_unreadable;
  const auto font = load_font();
  if (!font) return fail(font.error().what + " (repair: " + font.error().repair + ")", k_exit_errors);
  const PackTools tools{&*font, program_hash()};
  const auto names = pack_names(*files);
  listen_for_stop();
  int code = k_exit_clean;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    code = std::max(code, exit_code(lesson));
    if (exit_code(lesson) != k_exit_clean) continue;
    code = std::max(code, pack_lesson(lesson, arguments, *choice, tools, names.at(lesson.path)));
    if (stop_flag().load()) return code;
  }
  const auto index = write_index(arguments.output);
  if (!index) return fail(index.error().what, k_exit_errors);
  return code;
}

}  // namespace

std::string program_hash() {
  constexpr std::size_t k_largest_program = std::size_t{1} << 30U;
  const auto bytes = read_file("/proc/self/exe", k_largest_program);
  return bytes ? sha256(*bytes) : std::string("fretloom " FRETLOOM_VERSION);
}

std::function<int()> add_pack(Arguments& arguments) {
  auto options = std::make_shared<PackArguments>();
  options->lessons.add_to(arguments);
  arguments.required("-o,--output", options->output, "Folder for the packs; made if it is not there", "DIR");
  arguments.option("--only", options->only, std::string("Only these parts: ") + k_group_names, "LIST");
  arguments.option("--what", options->what, "Audio: demo, loop, click, ladder, bursts; demo if left out", "LIST");
  arguments.option("--tempo", options->tempos,
                   "Audio: beats a minute, or ladder: every rung; slow and goal if left out", "LIST");
  arguments.option("--format", options->formats, "Audio: mp3, flac, opus, wav; mp3 if left out", "LIST");
  arguments.option("--paper", options->paper, "Handout: a4 or letter; a4 if left out", "NAME");
  arguments.option("--minutes", options->minutes,
                   "Practice plan: minutes a day, " + std::to_string(k_least_minutes) + " to " +
                       std::to_string(k_most_minutes) + "; 20 if left out",
                   "N");
  arguments.option("--days", options->days,
                   "Practice plan: days, 1 to " + std::to_string(k_most_days) + "; 7 if left out", "N");
  arguments.option("--present", options->present, "Practice plan: the student's tempo; slow if left out", "BPM");
  arguments.option("--durations", options->durations,
                   "Chapters: your own sections, a line each: m:ss title; or a folder with NAME.txt for NAME.toml",
                   "FILE");
  arguments.option("--threads", options->threads, "Parts made side by side; one a core if left out", "N");
  return [options] { return run_pack(*options); };
}

}  // namespace fretloom
