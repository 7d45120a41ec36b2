#include "words/missing_facts.h"

#include "words/english.h"

namespace fretloom {

namespace {

class Missing {
 public:
  void add(Level level, std::string_view fact, KeyPath where, std::string message) {
    findings_.push_back({level, "missing-" + std::string(fact), std::move(where), {}, std::move(message), ""});
  }
  /// A warning where `value` says nothing. The fact is named as its key.
  void need(std::string_view value, std::string_view fact, int idea, std::string message) {
    if (plain_line(value).empty()) add(Level::warning, fact, {idea, std::string(fact)}, std::move(message));
  }
  [[nodiscard]] std::vector<Finding> take() { return std::move(findings_); }

 private:
  std::vector<Finding> findings_;
};

void miss_idea(Missing& missing, const IdeaSheet& idea) {
  missing.need(idea.name, "name", idea.number, "this idea has no name; the texts call it by its number");
  if (idea.vamp.chords.empty()) {
    missing.add(Level::warning, "chords", {idea.number, "vamp.chords"},
                "this idea has no chords; the texts say nothing about its harmony");
  }
  if (plain_line(idea.note).empty()) {
    missing.add(Level::note, "note", {idea.number, "note"},
                "this idea has no note; one sentence of your own tells students what to listen for");
  }
}

}  // namespace

std::vector<Finding> missing_facts(const Handout& handout) {
  Missing missing;
  const Prose& prose = handout.prose;
  missing.need(prose.title, "title", 0, "the lesson has no title; its texts begin without one");
  missing.need(prose.author, "author", 0, "the lesson has no author; its texts are not signed");
  missing.need(prose.intro, "intro", 0, "the lesson has no intro; one sentence of your own opens its texts");
  missing.need(prose.licence, "licence", 0, "the lesson has no licence; students cannot tell what they may do with it");
  if (plain_lines(prose.links).empty())
    missing.add(Level::warning, "links", {0, "links"}, "the lesson has no links; its texts point to no other page");
  if (handout.ideas.empty())
    missing.add(Level::warning, "ideas", {0, "idea"},
                "the lesson has no idea that can be played; its texts have nothing to tell");
  for (const IdeaSheet& idea : handout.ideas) miss_idea(missing, idea);
  return missing.take();
}

}  // namespace fretloom
