#include <algorithm>
#include <array>
#include <set>

#include "base/text.h"
#include "pack/words.h"
#include "pack/words_facts.h"

namespace fretloom {

namespace {

// Sources, all from memory: NIOSH publication 98-126, "Criteria for a recommended standard: occupational
// noise exposure" (1998): 85 dB(A) over 8 hours, 3 dB exchange rate. Recommendation ITU-T H.870 with WHO,
// "Guidelines for safe listening devices/systems" (2018): 80 dB(A) over 40 hours a week for adults. Breaks
// and pain: common practice among teachers; no figure is claimed.
constexpr std::array<Caution, 5> k_cautions = {{
    {"Warm up before you play, and take a break every 20 to 30 minutes.", "common practice"},
    {"Stop when anything hurts, tingles or goes numb. If it stays, see a doctor or a hand therapist before you play "
     "on.",
     "common practice"},
    {"Start playback quiet, and turn it up no further than you need.", "common practice"},
    {"The recommended limit for noise at work is 85 dB(A) for 8 hours; every 3 dB more halves the time.",
     "NIOSH 98-126, 1998"},
    {"The recommended limit for listening at leisure is 80 dB(A) for 40 hours a week.",
     "WHO and ITU-T H.870, 2018, for adults"},
}};

/// Collects findings about facts of the lesson file.
class Missing {
 public:
  void add(Level level, std::string_view fact, std::string where, std::string message) {
    findings_.push_back({level, "missing-" + std::string(fact), std::move(where), {}, std::move(message), ""});
  }
  /// A warning where `value` says nothing.
  void need(std::string_view value, std::string_view fact, std::string where, std::string_view left_out) {
    if (!plain_line(value).empty()) return;
    std::string message = "there is no " + std::string(fact) + "; " + std::string(left_out);
    add(Level::warning, fact, std::move(where), std::move(message));
  }
  [[nodiscard]] std::vector<Finding> take() { return std::move(findings_); }

 private:
  std::vector<Finding> findings_;
};

void miss_idea(Missing& missing, const Score& score, std::size_t number) {
  const std::string path = "idea[" + std::to_string(number) + "]";
  missing.need(score.title, "name", path + ".name", "the idea is named by its number alone");
  if (score.vamp.empty()) {
    missing.add(Level::warning, "chords", path + ".vamp.chords", "there are no chords; the texts do not speak of them");
  }
  if (plain_line(score.note).empty()) {
    missing.add(Level::note, "note", path + ".note", "there is no note; the idea goes out without a word of yours");
  }
}

class Description {
 public:
  explicit Description(const Handout& handout) : handout_(handout), common_(common_facts(handout)) {}

  std::string write() {
    head();
    const std::vector<const ScoreSet*> ideas = ideas_of(handout_);
    for (std::size_t i = 0; i < ideas.size(); ++i) idea(*ideas[i], i + 1);
    tail();
    text_.erase(0, text_.find_first_not_of('\n'));
    return std::move(text_);
  }

 private:
  void line(const std::string& sentence) {
    if (!sentence.empty()) text_ += sentence + "\n";
  }

  void head() {
    line(plain_line(handout_.title));
    const std::string author = plain_line(handout_.author);
    line(author.empty() ? "" : "By " + author);
    const std::string intro = plain_line(handout_.intro);
    line(intro.empty() ? "" : "\n" + intro);
    if (!common_.empty()) text_ += "\n";
    for (const Fact& fact : common_) line(to_sentence(fact));
    line(reading_help(handout_));
  }

  void idea(const ScoreSet& set, std::size_t number) {
    const Score& first = set.feels.front();
    text_ += "\n" + idea_heading(first, number) + "\n";
    line(plain_line(first.note));
    for (const Fact& fact : different(facts_of(first), common_)) line(to_sentence(fact));
    line(rule_sentence(first));
    if (said_.insert(rule_explanation(first)).second) line(rule_explanation(first));
    line(notes_sentence(set));
    line(start_sentence(first));
    line(second_start_sentence(first));
    for (const std::string& sentence : by_feel(set, brief_proof)) line(sentence);
    if (said_.insert(visit_explanation(first)).second) line(visit_explanation(first));
    for (const std::string& sentence : by_feel(set, landing_sentence)) line(sentence);
  }

  void tail() {
    text_ += "\nTake care\n";
    for (const Caution& caution : cautions()) line(to_sentence(caution));
    const std::vector<std::string> links = plain_lines(handout_.links);
    if (!links.empty()) text_ += "\nLinks\n" + join(links, "\n") + "\n";
    const std::string licence = plain_line(handout_.licence);
    line(licence.empty() ? "" : "\nLicence: " + licence);
  }

  const Handout& handout_;
  Facts common_;
  std::set<std::string> said_;
  std::string text_;
};

}  // namespace

std::span<const Caution> cautions() { return k_cautions; }

std::vector<Finding> missing_facts(const Handout& handout) {
  Missing missing;
  missing.need(handout.title, "title", "title", "the texts begin without one");
  missing.need(handout.author, "author", "author", "the texts are not signed");
  missing.need(handout.intro, "intro", "intro", "the texts begin with the facts");
  missing.need(handout.licence, "licence", "licence", "nobody can tell what a student may do with the lesson");
  if (plain_lines(handout.links).empty()) {
    missing.add(Level::warning, "links", "links", "there are no links; the texts lead nowhere");
  }
  const std::vector<const ScoreSet*> ideas = ideas_of(handout);
  if (ideas.empty()) missing.add(Level::warning, "ideas", "idea", "no idea can be played; the texts have no notes");
  for (std::size_t i = 0; i < ideas.size(); ++i) miss_idea(missing, ideas[i]->feels.front(), i + 1);
  return missing.take();
}

std::string description_text(const Handout& handout) { return Description(handout).write(); }

}  // namespace fretloom
