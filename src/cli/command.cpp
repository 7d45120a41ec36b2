#include "cli/command.h"

#include <algorithm>
#include <cstdio>

#include "base/text.h"
#include "files/files.h"

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
  std::pair<std::size_t, std::size_t> share{1, 1};
  if (!arguments.part.empty()) {
    const auto part = parse_part(arguments.part);
    if (!part) {
      fail("--part " + arguments.part + " is no share; write i/n with 1 <= i <= n");
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

void print_findings(const LoadedLesson& lesson) {
  for (const Finding& finding : lesson.compiled.findings)
    std::fprintf(stderr, "%s\n", to_line(finding, lesson.path).c_str());
}

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
    fail((target.format.empty() ? std::string("the format is not named")
                                : "\"" + target.format + "\" is no format that can be written here") +
         "; legal is " + join(formats, ", ") + ", by the file's ending or --format");
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
