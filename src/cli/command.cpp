#include "cli/command.h"

#include <algorithm>
#include <cstdio>

#include "base/text.h"
#include "files/files.h"
#include "lesson/finding_line.h"

namespace fretloom {

namespace {

LoadedLesson load_one(const std::string& path) {
  auto text = read_file(path, k_max_lesson_bytes);
  if (text) {
    LoadedLesson lesson{path, std::move(text).value(), {}};
    lesson.compiled = compile_lesson(lesson.text);
    return lesson;
  }
  LoadedLesson unreadable{path, "", {}};
  const char* code = text.error().kind == ErrorKind::limit ? "too-large" : "unreadable";
  unreadable.compiled.findings.push_back({Level::error, code, {}, {0, 0}, text.error().what, ""});
  return unreadable;
}

/// Share i of n: every n-th file, so that shares are alike in size. Nothing if the text is no share.
std::optional<std::pair<std::size_t, std::size_t>> parse_part(const std::string& text) {
  const auto halves = split(text, '/');
  if (halves.size() != 2) return std::nullopt;
  const auto i = parse_int(halves[0]);
  const auto n = parse_int(halves[1]);
  if (!i || !n || *i < 1 || *n < *i) return std::nullopt;
  return std::pair(static_cast<std::size_t>(*i), static_cast<std::size_t>(*n));
}

}  // namespace

void LessonArguments::add_to(Arguments& arguments) {
  arguments.required("lesson", paths, "Lesson files, or folders of them", "LESSON");
  arguments.option("--part", part, "Only the i-th of n shares of the lessons", "I/N");
}

std::optional<std::vector<LoadedLesson>> load(const LessonArguments& arguments) {
  auto files = collect_files(arguments.paths, ".toml");
  if (!files) {
    fail(files.error().what);
    return std::nullopt;
  }
  if (files->empty()) {
    const std::string where = arguments.paths.empty() ? "here" : "in " + join(arguments.paths, " or ");
    fail("there are no lessons " + where + "; lesson files end in .toml");
    return std::nullopt;
  }
  std::pair<std::size_t, std::size_t> share{1, 1};
  if (!arguments.part.empty()) {
    const auto part = parse_part(arguments.part);
    if (!part) {
      fail("--part " + arguments.part + " is not a share of the lessons; write i/n, as in 1/4 for the first of four");
      return std::nullopt;
    }
    share = *part;
  }
  std::vector<LoadedLesson> lessons;
  for (std::size_t i = share.first - 1; i < files->size(); i += share.second) {
    lessons.push_back(load_one((*files)[i].string()));
  }
  return lessons;
}

void print_findings(const LoadedLesson& lesson, const std::vector<Finding>& findings) {
  const Lesson* read = lesson.compiled.lesson ? &*lesson.compiled.lesson : nullptr;
  for (const Finding& finding : findings)
    std::fprintf(stderr, "%s\n", finding_line(finding, lesson.path, read).c_str());
}

void print_findings(const LoadedLesson& lesson) { print_findings(lesson, lesson.compiled.findings); }

int exit_code(const LoadedLesson& lesson) {
  if (!lesson.compiled.is_readable()) return k_exit_unreadable;
  return lesson.compiled.has_errors() ? k_exit_errors : k_exit_clean;
}

int exit_code(const std::vector<LoadedLesson>& lessons) {
  int code = k_exit_clean;
  for (const LoadedLesson& lesson : lessons) code = std::max(code, exit_code(lesson));
  return code;
}

std::filesystem::path OutputTarget::path_for(const LoadedLesson& lesson) const {
  if (!is_folder) return output;
  return std::filesystem::path(output) / (std::filesystem::path(lesson.path).stem().string() + "." + format);
}

void WrittenFiles::add(const std::filesystem::path& path, std::size_t pages) {
  ++files_;
  pages_ += pages;
  last_ = path.string();
}

std::string left_out_text(std::size_t lessons) {
  if (lessons == 0) return {};
  return "; " + counted(lessons, "lesson") +
         (lessons == 1 ? " has errors and was left out" : " have errors and were left out");
}

void WrittenFiles::print_line(const OutputTarget& target) const {
  // Standard output that took the file would have this line in it.
  if (files_ == 0 || last_.starts_with("/dev/")) return;
  std::string line = "wrote " + (files_ == 1 ? last_ : counted(files_, "file") + " to " + target.folder().string());
  if (pages_ > 0) line += " (" + counted(pages_, "page") + ")";
  print(line + left_out_text(left_out_) + "\n");
}

std::filesystem::path OutputTarget::folder() const {
  const std::filesystem::path path(output);
  return is_folder ? path : path.has_parent_path() ? path.parent_path() : std::filesystem::path(".");
}

std::optional<OutputTarget> output_target(const std::string& output, const std::string& format,
                                          const std::vector<LoadedLesson>& lessons,
                                          const std::vector<std::string>& formats) {
  namespace fs = std::filesystem;
  std::error_code error;
  OutputTarget target{format, output,
                      lessons.size() != 1 || fs::is_directory(output, error) || output.empty() || output.back() == '/'};
  if (target.format.empty() && !target.is_folder) {
    target.format = fs::path(output).extension().string();
    if (!target.format.empty()) target.format.erase(0, 1);
  }
  if (std::find(formats.begin(), formats.end(), target.format) == formats.end()) {
    const std::vector<std::string_view> names(formats.begin(), formats.end());
    fail((target.format.empty() ? "the name " + output + " does not say which format to write"
                                : "this command cannot write the format \"" + target.format + "\"") +
         "; give the file the ending " + either(names) + ", or name the format with --format");
    return std::nullopt;
  }
  if (target.is_folder && !fs::create_directories(output, error) && error) {
    fail("cannot make folder " + output + ": " + error.message());
    return std::nullopt;
  }
  return target;
}

int print(const std::string& text) {
  const bool written = std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0;
  return written ? k_exit_clean : fail("cannot write to standard output", k_exit_errors);
}

int fail(const std::string& message, int code) {
  std::fprintf(stderr, "fretloom: %s\n", message.c_str());
  return code;
}

}  // namespace fretloom
