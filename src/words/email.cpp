// The e-mail that goes out with a lesson.

#include "base/text.h"
#include "pack/words_facts.h"

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

std::string idea_line(const ScoreSet& set) {
  const std::string title = plain_line(set.feels.front().title);
  return title.empty() ? notes_sentence(set) : title + " (" + notes_phrase(set) + ")";
}

}  // namespace

std::string email_text(const Handout& handout, const std::vector<std::string>& enclosed) {
  const std::string title = plain_line(handout.title);
  std::string text = "Subject: New lesson" + (title.empty() ? "" : ": " + title) + "\n";
  paragraph(text, "Hello,");
  paragraph(text, title.empty() ? "There is a new lesson." : "There is a new lesson:");
  paragraph(text, title, "  ");
  paragraph(text, plain_line(handout.intro));

  const Facts common = common_facts(handout);
  std::string line;
  for (const Fact& fact : common) {
    const bool brief = fact.name == "Key" || fact.name == "Chords" || fact.name == "Tempo";
    if (brief) line += (line.empty() ? "" : " ") + to_sentence(fact);
  }
  paragraph(text, line);

  const std::vector<const ScoreSet*> ideas = ideas_of(handout);
  if (!ideas.empty()) paragraph(text, ideas.size() == 1 ? "It holds one idea:" : "It holds these ideas:");
  for (std::size_t i = 0; i < ideas.size(); ++i) item(text, std::to_string(i + 1) + ". ", idea_line(*ideas[i]));
  const std::vector<std::string> items = plain_lines(enclosed);
  if (!items.empty()) paragraph(text, "Enclosed:");
  for (const std::string& thing : items) item(text, "- ", thing);
  const std::vector<std::string> links = plain_lines(handout.links);
  if (!links.empty()) text += "\nLinks:\n" + join(links, "\n") + "\n";

  paragraph(text, "Take care:");
  for (const Caution& caution : cautions()) item(text, "- ", to_sentence(caution));
  paragraph(text, plain_line(handout.author));
  const std::string licence = plain_line(handout.licence);
  paragraph(text, licence.empty() ? "" : "Licence: " + licence);
  return text;
}

}  // namespace fretloom
