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
  void need(std::string_view value, std::string_view fact, int idea, std::string_view left_out) {
    if (!plain_line(value).empty()) return;
    add(Level::warning, fact, {idea, std::string(fact)},
        "there is no " + std::string(fact) + "; " + std::string(left_out));
  }
  [[nodiscard]] std::vector<Finding> take() { return std::move(findings_); }

 private:
  std::vector<Finding> findings_;
};

void miss_idea(Missing& missing, const IdeaSheet& idea) {
  missing.need(idea.name, "name", idea.number, "the idea is named by its number alone");
  if (idea.vamp.chords.empty()) {
    missing.add(Level::warning, "chords", {idea.number, "vamp.chords"},
                "there are no chords; the texts do not speak of them");
  }
  if (plain_line(idea.note).empty()) {
    missing.add(Level::note, "note", {idea.number, "note"},
                "there is no note; the texts say nothing about the idea in your own words");
  }
}

}  // namespace

std::vector<Finding> missing_facts(const Handout& handout) {
  Missing missing;
  const Prose& prose = handout.prose;
  missing.need(prose.title, "title", 0, "the texts begin without one");
  missing.need(prose.author, "author", 0, "the texts are not signed");
  missing.need(prose.intro, "intro", 0, "the texts begin with the facts");
  missing.need(prose.licence, "licence", 0, "nobody can tell what a student may do with the lesson");
  if (plain_lines(prose.links).empty())
    missing.add(Level::warning, "links", {0, "links"}, "there are no links; the texts lead nowhere");
  if (handout.ideas.empty())
    missing.add(Level::warning, "ideas", {0, "idea"}, "no idea can be played; the texts have no notes");
  for (const IdeaSheet& idea : handout.ideas) miss_idea(missing, idea);
  return missing.take();
}

}  // namespace fretloom
