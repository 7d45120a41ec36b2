#pragma once
// What the commands share.

#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "cli/arguments.h"
#include "lesson/compile.h"

namespace fretloom {

/// Exit codes of the contract: 0 clean or warnings only, 1 errors, 2 unreadable (or misuse).
enum ExitCode { k_exit_clean = 0, k_exit_errors = 1, k_exit_unreadable = 2 };

std::function<int()> add_check(Arguments& arguments);
std::function<int()> add_list(Arguments& arguments);
std::function<int()> add_notes(Arguments& arguments);
std::function<int()> add_export(Arguments& arguments);
std::function<int()> add_explain(Arguments& arguments);
std::function<int()> add_new(Arguments& arguments);
std::function<int()> add_sheet(Arguments& arguments);
std::function<int()> add_sound(Arguments& arguments);
std::function<int()> add_pack(Arguments& arguments);
std::function<int()> add_verify(Arguments& arguments);
std::function<int()> add_studio(Arguments& arguments);

/// The lessons a command works on: files, folders, and a share of them.
struct LessonArguments {
  std::vector<std::string> paths;
  std::string part;  ///< "i/n" or empty

  void add_to(Arguments& arguments);
};

struct LoadedLesson {
  std::string path;
  std::string text;  ///< the file's bytes
  CompiledLesson compiled;
};

/// Loads and compiles every lesson of the share. Nothing (and a message on stderr) if the arguments
/// themselves are wrong.
std::optional<std::vector<LoadedLesson>> load(const LessonArguments& arguments);

/// Findings to stderr as file:line:col: level: message; the idea and bar stand before the message.
void print_findings(const LoadedLesson& lesson, const std::vector<Finding>& findings);
void print_findings(const LoadedLesson& lesson);
int exit_code(const LoadedLesson& lesson);
int exit_code(const std::vector<LoadedLesson>& lessons);

/// Where a command writes: one file, or a folder with a file a lesson.
struct OutputTarget {
  std::string format;
  std::string output;
  bool is_folder = false;

  [[nodiscard]] std::filesystem::path path_for(const LoadedLesson& lesson) const;
  [[nodiscard]] std::filesystem::path folder() const;
};

/// What a command has written, for its closing line.
class WrittenFiles {
 public:
  /// `pages` is 0 for a file that has none.
  void add(const std::filesystem::path& path, std::size_t pages = 0);
  void leave_out() { ++left_out_; }
  /// "wrote climbing-sixes.pdf (4 pages)", "wrote 6 files to out; 1 lesson has errors and was left out", to stdout.
  void print_line(const OutputTarget& target) const;

 private:
  std::size_t files_ = 0;
  std::size_t pages_ = 0;
  std::size_t left_out_ = 0;
  std::string last_;
};

/// "; 1 lesson has errors and was left out", empty for none.
[[nodiscard]] std::string left_out_text(std::size_t lessons);

/// The target of -o, its format by --format or the file's ending; makes the folder. Nothing (and a
/// message on stderr) if the format is not among `formats` or the folder cannot be made.
std::optional<OutputTarget> output_target(const std::string& output, const std::string& format,
                                          const std::vector<LoadedLesson>& lessons,
                                          const std::vector<std::string>& formats);

/// SHA-256 of this very program and its music font: others may make other parts.
std::string program_hash();

/// Where parts of packs are kept: $XDG_CACHE_HOME/fretloom/parts, or ~/.cache/fretloom/parts (XDG Base Directory
/// Specification 0.8); empty where neither is told.
std::filesystem::path part_cache_folder();

/// `text` to stdout; 0, or 1 if stdout cannot take it.
int print(const std::string& text);
int fail(const std::string& message, int code = k_exit_unreadable);

}  // namespace fretloom
