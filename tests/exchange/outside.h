#pragma once
// Lessons for tests that hand files to strangers, and what those print.

#include <map>
#include <string>
#include <vector>

namespace fretloom {

/// Lessons that hold what demos need not: odd meters, tempos and tunings, pick-ups in twelfths, names
/// beyond ASCII.
const std::map<std::string, std::string>& odd_lessons();
/// Those and every demo, by name.
std::map<std::string, std::string> all_lessons();

/// A whole file, empty if it cannot be read.
std::string read_text(const std::string& path);
/// Runs a shell command: the lines that it prints on stdout and stderr, empty ones left out.
std::vector<std::string> lines_of(const std::string& command);

}  // namespace fretloom
