// fretloom check: findings of lessons, and nothing else.

#include <algorithm>
#include <array>
#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "lesson/notes_json.h"
#include "lesson/source.h"
#include "words/missing_facts.h"

namespace fretloom {

namespace {

struct CheckOptions {
  LessonArguments lessons;
  bool json = false;
  bool all = false;
};

/// Facts that the texts would use, as notes: no lesson is wrong without them.
std::vector<Finding> missing_notes(const LoadedLesson& lesson) {
  if (exit_code(lesson) != k_exit_clean) return {};
  std::vector<Finding> notes = missing_facts(make_handout(lesson.compiled));
  for (Finding& note : notes) {
    note.level = Level::note;
    note.place = place_near(lesson.compiled.lesson->source, note.where);
  }
  return notes;
}

/// How many lessons are how, for the closing line.
struct CheckTally {
  std::size_t fine = 0;
  std::size_t warned = 0;
  std::size_t wrong = 0;
  std::size_t unreadable = 0;
  std::size_t hidden_notes = 0;

  void add(const LoadedLesson& lesson) {
    const auto warns = [](const Finding& f) { return f.level == Level::warning; };
    const auto& findings = lesson.compiled.findings;
    switch (exit_code(lesson)) {
      case k_exit_unreadable: ++unreadable; break;
      case k_exit_errors: ++wrong; break;
      default: ++(std::any_of(findings.begin(), findings.end(), warns) ? warned : fine);
    }
  }

  /// "3 lessons are fine, 1 has errors. 12 notes about missing texts: check --all lists them."
  [[nodiscard]] std::string text() const {
    struct Group {
      std::size_t count;
      const char* one;
      const char* many;
    };
    const std::array groups = {Group{fine, "is fine", "are fine"}, Group{warned, "has warnings", "have warnings"},
                               Group{wrong, "has errors", "have errors"},
                               Group{unreadable, "cannot be read", "cannot be read"}};
    std::string text;
    for (const Group& group : groups) {
      if (group.count == 0) continue;
      text += text.empty() ? counted(group.count, "lesson") : ", " + std::to_string(group.count);
      text += std::string(" ") + (group.count == 1 ? group.one : group.many);
    }
    if (hidden_notes > 0) {
      text += "; " + counted(hidden_notes, "note") + " on what the texts could still use: see " +
              (hidden_notes == 1 ? "it" : "them") + " with check --all";
    }
    return text + "\n";
  }
};

int run_check(const CheckOptions& options) {
  auto lessons = load(options.lessons);
  if (!lessons) return k_exit_unreadable;
  CheckTally tally;
  for (LoadedLesson& lesson : *lessons) {
    tally.add(lesson);
    auto& findings = lesson.compiled.findings;
    const std::vector<Finding> missing = missing_notes(lesson);
    findings.insert(findings.end(), missing.begin(), missing.end());
    if (!options.all)
      tally.hidden_notes += std::erase_if(findings, [](const Finding& f) { return f.level == Level::note; });
    if (!options.json) {
      print_findings(lesson);
    } else if (const int code = print(findings_json(lesson.compiled)); code != 0) {
      return code;
    }
  }
  const int code = exit_code(*lessons);
  if (options.json || lessons->empty()) return code;
  return std::max(code, print(tally.text()));
}

}  // namespace

std::function<int()> add_check(Arguments& arguments) {
  auto options = std::make_shared<CheckOptions>();
  options->lessons.add_to(arguments);
  arguments.flag("--all", options->all, "Also notes: names, links, licence and words that the texts would use");
  arguments.flag("--json", options->json, "Findings as JSON on standard output, one document a lesson");
  return [options] { return run_check(*options); };
}

}  // namespace fretloom
