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

/// {answers: [{phrase, lesson (TOML text), sentence, coverage: {follow, notes, ending}, misfits: [{note, kind, string,
/// fret, attack, expected: {string, fret, attack}, sentence}], cause: null or {kind: "tuning-step", strings, frets},
/// bits, plain_bits, tie, reasons}], phrases: [{number, name, line, notes, answers, reason: null or why there is
/// none}], findings: [{level, code, line, column, message}]}, indented by two spaces, with a newline at the end.
[[nodiscard]] std::string explain_json(const std::vector<ExplainedPhrase>& phrases,
                                       const std::vector<Finding>& findings);

}  // namespace fretloom
