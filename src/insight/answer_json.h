#pragma once
// `explain --json`.

#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "insight/explain.h"

namespace fretloom {

/// A phrase of a file and what was found. `number` counts the file's phrases from 1.
struct ExplainedPhrase {
  int number = 1;
  GivenPhrase given;
  Explanation explanation;
};

/// A lesson that is open, which the answers are to fit into.
struct OpenLesson {
  std::string_view text;
  const Home& home;
};

/// {answers: [{phrase, lesson (TOML text), sentence, coverage: {follow, notes, ending}, misfits: [{note, kind, string,
/// fret, attack, expected: {string, fret, attack}, sentence}], cause: null or {kind: "tuning-step", strings, frets},
/// bits, plain_bits, tie, reasons}], phrases: [{number, name, line, notes, answers, reason: null or why there is
/// none}], findings: [{level, code, line, column, message}]}, indented by two spaces, with a newline at the end.
/// With an open lesson, on one line, and each answer also has: keys: [{key, value (TOML)}] of an idea in it, fits (its
/// key, neck and layout are the lesson's), text: the lesson with that idea as its last, or null where it would read
/// with an error.
[[nodiscard]] std::string explain_json(const std::vector<ExplainedPhrase>& phrases,
                                       const std::vector<Finding>& findings, const OpenLesson* open = nullptr);

}  // namespace fretloom
