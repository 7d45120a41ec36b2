#include "lesson/finding_line.h"

namespace fretloom {

std::string idea_words(const Finding& finding, const Lesson& lesson) {
  const int number = finding.where.idea;
  if (number < 1) return {};
  std::string words = "idea " + std::to_string(number);
  const auto index = static_cast<std::size_t>(number) - 1;
  if (index < lesson.idea_names.size() && !lesson.idea_names[index].empty()) words += ", " + lesson.idea_names[index];
  if (finding.bar > 0) words += ", bar " + std::to_string(finding.bar);
  return words;
}

std::string finding_line(const Finding& finding, std::string_view file, const Lesson* lesson) {
  Finding said = finding;
  const std::string words = lesson == nullptr ? std::string() : idea_words(finding, *lesson);
  if (!words.empty()) said.message = words + ": " + finding.message;
  return to_line(said, file);
}

}  // namespace fretloom
