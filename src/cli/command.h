#pragma once
// What the commands share.

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
std::function<int()> add_notes(Arguments& arguments);
std::function<int()> add_export(Arguments& arguments);
std::function<int()> add_new(Arguments& arguments);

/// The lessons a command works on: files, folders, and a share of them.
struct LessonArguments {
  std::vector<std::string> paths;
  std::string part;  ///< "i/n" or empty

  void add_to(Arguments& arguments);
};

struct LoadedLesson {
  std::string path;
  CompiledLesson compiled;
};

/// Loads and compiles every lesson of the share. Nothing (and a message on stderr) if the arguments
/// themselves are wrong.
std::optional<std::vector<LoadedLesson>> load(const LessonArguments& arguments);

/// Findings to stderr as file:line:col: level: message.
void print_findings(const LoadedLesson& lesson);
int exit_code(const LoadedLesson& lesson);
int exit_code(const std::vector<LoadedLesson>& lessons);

/// `text` to stdout; 0, or 1 if stdout cannot take it.
int print(const std::string& text);
int fail(const std::string& message, int code = k_exit_unreadable);

}  // namespace fretloom
