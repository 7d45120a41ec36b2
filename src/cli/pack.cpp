// fretloom pack: everything a lesson publishes, in one folder and one zip.

#include "pack/pack.h"

#include <algorithm>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <memory>
#include <set>

#include "cli/command.h"
#include "cli/music_font.h"
#include "cli/option_values.h"
#include "cli/progress.h"
#include "files/files.h"
#include "pack/cache.h"
#include "pack/changes.h"
#include "pack/hash.h"
#include "pack/index.h"
#include "pack/lesson_pack.h"
#include "pack/manifest.h"
#include "pack/names.h"
#include "pack/own_file.h"
#include "pack/practice_file.h"
#include "pack/work_folder.h"
#include "sheet/options.h"
#include "words/cautions.h"
#include "words/durations.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

struct PackArguments {
  LessonArguments lessons;
  std::string output;
  std::string only;
  std::string what;
  std::string formats = "mp3";
  std::string tempos;
  std::string paper = "a4";
  std::string present;
  std::string durations;
  BandArguments band;
  std::optional<int> minutes;
  std::optional<int> days;
  std::optional<int> threads;
};

constexpr const char* k_group_names = "handout, tab, midi, musicxml, drawings, audio, captions, words, plan, practice";

std::optional<PackChoice> pack_choice(const PackArguments& arguments) {
  PackChoice choice = usual_pack();
  std::vector<Rational> present;
  const bool good =
      (arguments.only.empty() || read_words("only", arguments.only, parse_part_group, k_group_names, choice.groups)) &&
      (arguments.what.empty() || read_words("what", arguments.what, parse_piece,
                                            "demo, loop, click, ladder, bursts, band", choice.sound.pieces)) &&
      read_words("format", arguments.formats, parse_audio_format, "wav, flac, opus, mp3", choice.sound.formats) &&
      read_band(arguments.band, choice.sound) && read_sound_tempos(arguments.tempos, choice.sound) &&
      read_tempos("present", arguments.present, present) &&
      read_count("minutes", arguments.minutes, k_least_minutes, k_most_minutes, choice.plan.minutes_a_day) &&
      read_count("days", arguments.days, 1, k_most_days, choice.plan.days);
  if (!good) return std::nullopt;
  if (present.size() > 1) {
    fail("--present: " + arguments.present + " are several tempos; a student has one");
    return std::nullopt;
  }
  if (!present.empty()) choice.plan.present_bpm = present.front();
  const auto paper = sheet::parse_paper(arguments.paper);
  if (!paper || paper->kind != sheet::PaperKind::sheet) {
    fail("--paper: \"" + arguments.paper + "\" is not known; legal is a4, letter");
    return std::nullopt;
  }
  choice.paper = arguments.paper;
  return choice;
}

/// The file of --durations that belongs to a lesson: itself, or NAME.txt in a folder; empty for none.
fs::path durations_file(const LoadedLesson& lesson, const std::string& durations) {
  std::error_code error;
  if (durations.empty() || !fs::is_directory(durations, error)) return durations;
  const fs::path path = fs::path(durations) / (fs::path(lesson.path).stem().string() + ".txt");
  return fs::exists(path, error) ? path : fs::path();
}

/// One file of durations cannot be of several lessons.
bool is_one_for_many(const std::string& durations, std::size_t lessons) {
  std::error_code error;
  if (durations.empty() || lessons == 1 || fs::is_directory(durations, error)) return false;
  fail("--durations " + durations + " is not a folder, but there are " + counted(lessons, "lesson") +
       "; name a folder that holds NAME.txt for NAME.toml");
  return true;
}

/// Everything that is the same for all lessons of a run.
struct PackContext {
  const PackArguments& arguments;
  PackChoice choice;
  PackTools tools;
  fs::path cache;
};

void print_note(const std::string& path, const std::string& message) {
  std::fprintf(stderr, "%s: note: %s\n", path.c_str(), message.c_str());
}

void print_plan_findings(const LoadedLesson& lesson, const PackPlan& plan) {
  std::vector<Finding> told = plan.findings;
  std::erase_if(told, [](const Finding& finding) { return finding.level == Level::note; });
  print_findings(lesson, told);
  const std::string missing = missing_text(plan.missing);
  if (!missing.empty()) print_note(lesson.path, "the lesson has " + missing + "; the texts leave that out");
}

void print_kept_files(const fs::path& root, const PackReport& report) {
  for (const FileNote& note : kept_files(root, report)) print_note(note.path.string(), note.what);
}

/// One line a lesson: what was made, and where.
std::string report_text(const fs::path& root, const PackPlan& plan, const PackReport& report) {
  const std::string folder = (root / plan.name).string();
  const std::string title = plan.title.empty() ? plan.name : one_line(plan.title);
  return title + ": " + made_text(report) +
         (report.is_changed ? ", in " + folder + " and " + folder + std::string(k_teacher_ending) : " in " + folder) +
         "\n";
}

std::string words_of(const Error& error) {
  return error.what + (error.repair.empty() ? "" : " (repair: " + error.repair + ")");
}

struct Packed {
  int code = k_exit_clean;
  bool has_sound = false;
};

Packed pack_lesson(const LoadedLesson& lesson, const PackContext& context, const PackName& name) {
  const PackArguments& arguments = context.arguments;
  const fs::path root = arguments.output;
  const auto failed = [&](const Error& error) {
    return Packed{fail(lesson.path + ": " + words_of(error), k_exit_errors), false};
  };
  const auto tell = [](const std::string& line) { std::fprintf(stderr, "%s\n", line.c_str()); };
  const auto planned = plan_lesson_pack({lesson.path, lesson.text, lesson.compiled}, root, name,
                                        durations_file(lesson, arguments.durations), context.choice,
                                        ChoiceBefore::holds, context.tools, tell);
  if (!planned) return failed(planned.error());
  const PackPlan& plan = planned->plan;
  print_plan_findings(lesson, plan);
  if (!name.other.empty())
    print_note(lesson.path, "the pack of " + name.other + " has this name already; this one is called " + name.name);
  PackRun run{root, arguments.threads.value_or(0), &stop_flag(), {}, context.choice.groups, context.cache, nullptr};
  Result<PackReport> report = PackReport();
  {
    ProgressBar bar(name.name);
    run.progress = [&bar](double part) { bar.show(part); };
    report = make_pack(plan, run);
  }
  if (!report) return failed(report.error());
  print_kept_files(root, *report);
  print(report_text(root, plan, *report));
  if (!planned->before.empty() && planned->before != lesson.text)
    print(changes_text(make_handout(compile_lesson(planned->before)), make_handout(lesson.compiled)));
  const bool has_sound = std::any_of(plan.parts.begin(), plan.parts.end(),
                                     [](const PackPart& part) { return part.group == PartGroup::audio; });
  return {k_exit_clean, has_sound};
}

/// What to do with the packs, once for all.
void print_close(const fs::path& root, const IndexReport& index, const std::string& last, bool has_sound) {
  if (index.packs == 0) return;
  if (index.page.filename() != "index.html")
    print_note((root / "index.html").string(), "this page was changed or is yours, and stays; the new one is " +
                                                   index.page.filename().string() + " beside it");
  print("Open " + (root / index.page.filename()).string() + " in a browser to see " +
        std::string(has_sound ? "and hear " : "") +
        (index.packs == 1 ? "the pack" : "the " + counted(index.packs, "pack")) + ". Students start with " +
        (root / last / "start.html").string() + ", or get " + (root / zip_path(last)).string() + ".\n" +
        (has_sound ? std::string(k_listening_caution) + "\n" : ""));
}

int run_pack(const PackArguments& arguments) {
  const auto files = lessons_to_pack(arguments.lessons.paths);
  if (!files) return fail(files.error().what);
  const auto lessons = load({*files, arguments.lessons.part});
  const auto choice = pack_choice(arguments);
  if (!lessons || !choice || is_one_for_many(arguments.durations, files->size())) return k_exit_unreadable;
  const auto font = load_font();
  if (!font) return fail(words_of(font.error()), k_exit_errors);
  const PackContext context{
      arguments, *choice, {&*font, program_hash(), practice_files(), choice->sound.samples}, part_cache_folder()};
  Disk disk;
  if (const auto recovered = recover_packs(disk, arguments.output); !recovered)
    return fail(words_of(recovered.error()), k_exit_errors);
  std::map<std::string, PackName> names;
  for (PackName& name : pack_names(arguments.output, *files)) names[name.lesson] = std::move(name);
  listen_for_stop();
  int code = k_exit_clean;
  std::string last;
  bool has_sound = false;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    code = std::max(code, exit_code(lesson));
    if (exit_code(lesson) != k_exit_clean) continue;
    const PackName& name = names.at(lesson.path);
    const Packed packed = pack_lesson(lesson, context, name);
    if (packed.code == k_exit_clean) last = name.name;
    has_sound = has_sound || packed.has_sound;
    code = std::max(code, packed.code);
    if (stop_flag().load()) break;
  }
  if (!context.cache.empty()) prune_cache(context.cache);
  std::error_code error;
  if (!fs::is_directory(arguments.output, error)) return code;
  const auto index = write_index(disk, arguments.output);
  if (!index) return fail(words_of(index.error()), k_exit_errors);
  if (!last.empty() && !stop_flag().load()) print_close(arguments.output, *index, last, has_sound);
  return code;
}

}  // namespace

std::string program_hash() {
  constexpr std::size_t k_largest_program = std::size_t{1} << 30U;
  const auto bytes = read_file("/proc/self/exe", k_largest_program);
  const auto font = read_file(music_font_file(), k_largest_program);
  const std::string program = bytes ? sha256(*bytes) : std::string("fretloom " FRETLOOM_VERSION);
  return font ? sha256(program + sha256(*font)) : program;
}

std::filesystem::path part_cache_folder() {
  const auto folder_of = [](const char* variable) {
    const char* value = std::getenv(variable);
    const fs::path path = value == nullptr ? "" : value;
    return path.is_absolute() ? path : fs::path();
  };
  if (const fs::path cache = folder_of("XDG_CACHE_HOME"); !cache.empty()) return cache / "fretloom" / "parts";
  const fs::path home = folder_of("HOME");
  return home.empty() ? home : home / ".cache" / "fretloom" / "parts";
}

std::function<int()> add_pack(Arguments& arguments) {
  auto options = std::make_shared<PackArguments>();
  options->lessons.add_to(arguments);
  arguments.required("-o,--output", options->output, "Folder for the packs; made if it is not there", "DIR");
  arguments.option("--only", options->only, std::string("Only these parts: ") + k_group_names, "LIST");
  arguments.option("--what", options->what,
                   "Audio: demo, loop, click, ladder, bursts, band: the band alone; demo,band if left out", "LIST");
  options->band.add_to(arguments, "both");
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
