// fretloom check: findings of lessons, and nothing else.

#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "lesson/notes_json.h"

namespace fretloom {

namespace {

struct CheckOptions {
  LessonArguments lessons;
  bool json = false;
};

int run_check(const CheckOptions& options) {
  const auto lessons = load(options.lessons);
  if (!lessons) return k_exit_unreadable;
  for (const LoadedLesson& lesson : *lessons) {
    if (!options.json) {
      print_findings(lesson);
    } else if (const int code = print(findings_json(lesson.compiled)); code != 0) {
      return code;
    }
  }
  return exit_code(*lessons);
}

}  // namespace

std::function<int()> add_check(Arguments& arguments) {
  auto options = std::make_shared<CheckOptions>();
  options->lessons.add_to(arguments);
  arguments.flag("--json", options->json, "Findings as JSON on standard output, one document a lesson");
  return [options] { return run_check(*options); };
}

}  // namespace fretloom
