// The plan as a page to print. How it goes is common practice, no source.

#include <algorithm>

#include "base/text.h"
#include "words/cautions.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/plan.h"

namespace fretloom {

namespace {

constexpr std::size_t k_width = 80;

void item(std::string& text, const std::string& mark, const std::string& prose) {
  std::string lead = mark;
  for (const std::string& line : wrap(prose, k_width - mark.size())) {
    text += lead + line + "\n";
    lead.assign(mark.size(), ' ');
  }
}

std::string padded(std::string text, std::size_t columns) {
  if (text.size() < columns) text.insert(0, columns - text.size(), ' ');
  return text;
}

std::string block_text(const PlanBlock& block, const Handout& handout, const std::vector<HeardTempo>& heard) {
  const IdeaSheet& idea = handout.ideas[block.idea];
  const Score& feel = idea.feels[block.feel];
  const std::string text = idea_name(idea) + ", " + feel_text(feel) + ", at " + tempo_text(block.bpm);
  if (block.kind != PlanKind::rung) return text;
  const HeardTempo wanted{idea.number, feel.notes_per_beat, block.bpm};
  const bool is_heard = std::find(heard.begin(), heard.end(), wanted) != heard.end();
  return is_heard ? text + ", with its sound file" : text;
}

void append_block(std::string& text, const PlanBlock& block, const Handout& handout,
                  const std::vector<HeardTempo>& heard) {
  const std::string minutes = padded(std::to_string(block.minutes), 2) + " min  ";
  if (block.kind == PlanKind::rest) {
    text += "      " + minutes + "rest\n";
    return;
  }
  std::string kind(name(block.kind));
  kind.resize(13, ' ');
  item(text, "  [ ] " + minutes + kind, block_text(block, handout, heard));
}

std::string head(const PracticePlan& plan) {
  const PlanRequest& request = plan.request;
  return counted(static_cast<std::size_t>(request.minutes_a_day), "minute") + " a day for " +
         counted(static_cast<std::size_t>(request.days), "day") + ", starting from " + tempo_text(request.present_bpm) +
         " beats a minute.";
}

}  // namespace

std::string plan_text(const PracticePlan& plan, const Handout& handout, const std::vector<HeardTempo>& heard) {
  const std::string title = plain_line(handout.prose.title);
  std::string text;
  item(text, "", title.empty() ? "Practice plan" : "Practice plan: " + title);
  item(text, "", head(plan));
  text += "\nHow it goes\n";
  item(text, "- ",
       "Ladder rung: play the idea again and again at the tempo shown, with its sound file where the line says so, "
       "and with a metronome elsewhere.");
  item(text, "- ", "Burst: play it once at its goal tempo, then wait as long as that took.");
  item(text, "- ", "Mixed: play it from memory, at the tempo shown.");
  item(text, "- ", "Rest: take both hands off the strings.");
  item(text, "- ",
       "Tempos are in beats a minute. The idea changes from block to block on purpose: coming back to it is part of "
       "the practice.");
  item(text, "- ",
       "If you cannot play a tempo cleanly, go back to the last one that was clean. The tempos are there to be tried; "
       "nobody has to reach them all.");
  text += "\nTake care\n";
  for (const Caution& caution : cautions()) item(text, "- ", to_sentence(caution));
  for (std::size_t i = 0; i < plan.days.size(); ++i) {
    text += "\nDay " + std::to_string(i + 1) + "\n";
    for (const PlanBlock& block : plan.days[i].blocks) append_block(text, block, handout, heard);
  }
  return text;
}

}  // namespace fretloom
