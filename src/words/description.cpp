#include "words/description.h"

#include <set>

#include "base/text.h"
#include "words/cautions.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/rule_words.h"

namespace fretloom {

namespace {

class Description {
 public:
  Description(const Handout& handout, const LessonSentences& sentences) : handout_(handout), sentences_(sentences) {}

  std::string write() {
    head();
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) idea(handout_.ideas[i], sentences_at(sentences_, i));
    tail();
    text_.erase(0, text_.find_first_not_of('\n'));
    return std::move(text_);
  }

 private:
  void line(const std::string& sentence) {
    if (!sentence.empty()) text_ += sentence + "\n";
  }
  void paragraph(const std::string& sentence) { line(sentence.empty() ? "" : "\n" + sentence); }

  void head() {
    line(plain_line(handout_.prose.title));
    const std::string author = plain_line(handout_.prose.author);
    line(author.empty() ? "" : "By " + author);
    paragraph(plain_line(handout_.prose.intro));
    paragraph(opening_sentence(sentences_));
    line(reading_help(handout_));
  }

  void idea(const IdeaSheet& sheet, const IdeaSentences& said) {
    paragraph(idea_heading(sheet));
    line(plain_line(sheet.note));
    line(rule_sentence(said));
    const std::string explanation = rule_explanation(sheet);
    if (explained_.insert(explanation).second) line(explanation);
    line(first_time_sentence(sheet));
    line(carry_sentence(said));
    line(second_time_sentence(sheet));
    line(said.proof);
    for (std::size_t i = 0; i < sheet.feels.size(); ++i) {
      const std::string ending = i < said.endings.size() ? said.endings[i] : "";
      if (!ending.empty()) line(ending + " " + landing_place_sentence(sheet.feels[i]));
    }
  }

  void tail() {
    text_ += "\nTake care\n";
    for (const Caution& caution : cautions()) line(to_sentence(caution));
    const std::vector<std::string> links = plain_lines(handout_.prose.links);
    if (!links.empty()) text_ += "\nLinks\n" + join(links, "\n") + "\n";
    const std::string licence = plain_line(handout_.prose.licence);
    paragraph(licence.empty() ? "" : "Licence: " + licence);
  }

  const Handout& handout_;
  const LessonSentences& sentences_;
  std::set<std::string> explained_;
  std::string text_;
};

}  // namespace

std::string description_text(const Handout& handout, const LessonSentences& sentences) {
  return Description(handout, sentences).write();
}

}  // namespace fretloom
