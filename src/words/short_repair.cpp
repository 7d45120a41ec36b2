#include "words/short_repair.h"

#include "words/english.h"
#include "words/slur_words.h"

namespace fretloom {

std::string short_repair(const IdeaSheet& idea) {
  if (!idea.repair) return "";
  const Repair& repair = *idea.repair;
  if (!repair.possible) return "no repair frees them all";
  std::string text;
  if (repair.first_stroke != idea.first_stroke) text = "start with " + a_stroke(repair.first_stroke);
  if (repair.slurs > 0) {
    text += (text.empty() ? "" : " and ") + slur_words(idea.rule, repair.rule);
    const int group = idea.rule.group();
    if (group > 1) text += " of every " + number_word(group);
  }
  return text + (idea.proof.changes.size() == 1 ? ", and it is free" : ", and all are free");
}

}  // namespace fretloom
