#include "words/email.h"

#include "base/text.h"
#include "words/cautions.h"
#include "words/english.h"
#include "words/idea_lines.h"

namespace fretloom {

namespace {

constexpr std::size_t k_width = 72;

/// A paragraph behind an empty line; nothing for nothing.
void paragraph(std::string& text, const std::string& prose, const std::string& indent = "") {
  if (prose.empty()) return;
  text += "\n";
  for (const std::string& line : wrap(prose, k_width - indent.size())) text += indent + line + "\n";
}

/// A list's item behind its mark, further lines under the first one's text.
void item(std::string& text, const std::string& mark, const std::string& prose) {
  std::string lead = mark;
  for (const std::string& line : wrap(prose, k_width - mark.size())) {
    text += lead + line + "\n";
    lead.assign(mark.size(), ' ');
  }
}

}  // namespace

std::string email_text(const Handout& handout, const LessonSentences& sentences,
                       const std::vector<std::string>& enclosed) {
  const std::string title = plain_line(handout.prose.title);
  std::string text = "Subject: New lesson" + (title.empty() ? "" : ": " + title) + "\n";
  paragraph(text, "Hello,");
  paragraph(text, title.empty() ? "There is a new lesson." : "There is a new lesson:");
  paragraph(text, title, "  ");
  paragraph(text, plain_line(handout.prose.intro));
  paragraph(text, opening_sentence(sentences));
  const std::vector<IdeaSheet>& ideas = handout.ideas;
  if (!ideas.empty()) paragraph(text, ideas.size() == 1 ? "It holds one idea:" : "It holds these ideas:");
  for (const IdeaSheet& idea : ideas)
    item(text, std::to_string(idea.number) + ". ", idea_name(idea) + " (" + notes_phrase(idea) + ")");
  const std::vector<std::string> items = plain_lines(enclosed);
  if (!items.empty()) paragraph(text, "Enclosed:");
  for (const std::string& thing : items) item(text, "- ", thing);
  const std::vector<std::string> links = plain_lines(handout.prose.links);
  if (!links.empty()) text += "\nLinks:\n" + join(links, "\n") + "\n";
  paragraph(text, "Take care:");
  for (const Caution& caution : cautions()) item(text, "- ", to_sentence(caution));
  paragraph(text, plain_line(handout.prose.author));
  const std::string licence = plain_line(handout.prose.licence);
  paragraph(text, licence.empty() ? "" : "Licence: " + licence);
  return text;
}

}  // namespace fretloom
