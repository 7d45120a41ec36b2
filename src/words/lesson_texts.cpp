#include "words/lesson_texts.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "words/english.h"

namespace fretloom {

namespace {

constexpr std::size_t k_email_width = 72;
constexpr std::size_t k_script_width = 80;

/// Columns before a line's own words, under which its further lines start: behind "- ", behind "Say:  ".
std::size_t indent_of(std::string_view line) {
  constexpr std::array<std::string_view, 4> k_leads = {"- ", "Say:", "Show:", "Play:"};
  for (const std::string_view lead : k_leads) {
    if (line.starts_with(lead)) return std::min(line.find_first_not_of(' ', lead.size()), line.size());
  }
  return 0;
}

/// Every line broken at blanks; `kept` lines at the start stay whole.
std::string wrapped(const std::string& text, std::size_t width, std::size_t kept) {
  std::string out;
  std::size_t number = 0;
  std::vector<std::string_view> lines = split(text, '\n');
  lines.pop_back();  // behind the last line break
  for (const std::string_view line : lines) {
    if (number++ < kept || display_width(line) <= width) {
      out += std::string(line) + "\n";
      continue;
    }
    const std::size_t indent = indent_of(line);
    std::string lead(line.substr(0, indent));
    for (const std::string& part : wrap(line.substr(indent), width - indent)) {
      out += lead + part + "\n";
      lead.assign(indent, ' ');
    }
  }
  return out;
}

}  // namespace

std::string lesson_text(TemplateKind kind, const Handout& handout, const LessonSentences& sentences,
                        const std::vector<std::string>& enclosed, const TextTemplate& text) {
  const Manner manner = kind == TemplateKind::script ? Manner::spoken : Manner::written;
  const std::string filled = fill(text, {handout, sentences, plain_lines(enclosed), manner, nullptr, 0, nullptr, ""});
  switch (kind) {
    case TemplateKind::email: return wrapped(filled, k_email_width, 1);
    case TemplateKind::description: return filled;
    case TemplateKind::script: return wrapped(filled, k_script_width, 0);
  }
  return filled;
}

std::string email_text(const Handout& handout, const LessonSentences& sentences,
                       const std::vector<std::string>& enclosed, const TextTemplate& text) {
  return lesson_text(TemplateKind::email, handout, sentences, enclosed, text);
}

std::string description_text(const Handout& handout, const LessonSentences& sentences,
                             const std::vector<std::string>& enclosed, const TextTemplate& text) {
  return lesson_text(TemplateKind::description, handout, sentences, enclosed, text);
}

std::string script_text(const Handout& handout, const LessonSentences& sentences,
                        const std::vector<std::string>& enclosed, const TextTemplate& text) {
  return lesson_text(TemplateKind::script, handout, sentences, enclosed, text);
}

}  // namespace fretloom
