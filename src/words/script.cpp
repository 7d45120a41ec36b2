#include "words/script.h"

#include <algorithm>
#include <functional>
#include <set>

#include "base/text.h"
#include "lick/feel.h"
#include "words/cautions.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/note_lists.h"
#include "words/rule_words.h"
#include "words/settings_words.h"

namespace fretloom {

namespace {

constexpr std::size_t k_width = 80;

class Script {
 public:
  void heading(const std::string& line) {
    if (!text_.empty()) text_ += "\n";
    for (const std::string& part : wrap(line, k_width)) text_ += part + "\n";
  }
  void say(const std::string& prose) { cue("Say:  ", prose); }
  void show(const std::string& prose) { cue("Show: ", prose); }
  void play(const std::string& prose) { cue("Play: ", prose); }
  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  void cue(const std::string& name, const std::string& prose) {
    if (prose.empty()) return;
    std::string lead = name;
    for (const std::string& line : wrap(prose, k_width - name.size())) {
      text_ += lead + line + "\n";
      lead.assign(name.size(), ' ');
    }
  }

  std::string text_;
};

/// "Note 2 is a hammer-on.", "Notes 2 and 5 are hammer-ons.": which notes of a repetition `chosen` picks.
std::string spoken_marks(const std::vector<ScoreNote>& notes, const std::string& mark,
                         const std::function<bool(const ScoreNote&)>& chosen) {
  std::vector<std::string> numbers;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (chosen(notes[i])) numbers.push_back(std::to_string(i + 1));
  }
  if (numbers.empty()) return "";
  if (numbers.size() == 1) return " Note " + numbers.front() + " is a " + mark + ".";
  return " Notes " + listed(numbers) + " are " + mark + "s.";
}

/// "Start on string 6, frets 12, 15, 14 and 15. Then string 5, frets 14 and 12." With slurs and accents.
std::string spoken_frets(const std::vector<ScoreNote>& notes) {
  std::string text;
  for (std::size_t i = 0; i < notes.size();) {
    const int string = notes[i].string;
    std::vector<std::string> frets;
    for (; i < notes.size() && notes[i].string == string; ++i) frets.push_back(std::to_string(notes[i].fret));
    text += text.empty() ? "Start on string " : " Then string ";
    text += std::to_string(string) + (frets.size() == 1 ? ", fret " : ", frets ") + listed(frets) + ".";
  }
  const auto is = [](Attack attack) { return [attack](const ScoreNote& note) { return note.attack == attack; }; };
  text += spoken_marks(notes, "hammer-on", is(Attack::hammer)) + spoken_marks(notes, "pull-off", is(Attack::pull)) +
          spoken_marks(notes, "slide", is(Attack::slide));
  std::vector<std::string> accents;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (notes[i].accent) accents.push_back(std::to_string(i + 1));
  }
  if (accents.empty()) return text;
  return text + " Accent " + (accents.size() == 1 ? "note " : "notes ") + listed(accents) + ".";
}

/// "The chords: bar 1 has D, bar 2 has G and A." Nothing for more bars than anyone would say.
std::string spoken_chords(const IdeaSheet& idea) {
  constexpr std::size_t k_most_bars = 4;
  const std::string vamp = chords_text(idea.vamp, idea.meter);
  const std::vector<std::string_view> bars = split(vamp, '|');
  if (vamp.empty() || bars.size() > k_most_bars) return "";
  if (idea.vamp.chords.size() == 1) return "There is one chord, " + idea.vamp.chords.front().chord.symbol() + ".";
  std::vector<std::string> told;
  for (std::size_t i = 0; i < bars.size(); ++i) {
    std::vector<std::string> chords;
    for (const Word& word : words(bars[i])) chords.emplace_back(word.text);
    const bool same = chords == std::vector<std::string>{"%"};
    told.push_back("bar " + std::to_string(i + 1) + (same ? " stays" : " has " + listed(chords)));
  }
  return "The chords: " + join(told, ", ") + ".";
}

/// The first string change with the stroke before it and the one after it.
std::string first_change(const Proof& proof) {
  if (proof.changes.empty()) return "";
  const Change& change = proof.changes.front();
  return "The first change, from string " + std::to_string(change.from) + " to string " + std::to_string(change.to) +
         ", comes after note " + std::to_string(change.after_note) + ": " + a_stroke(change.last) + ", then " +
         a_stroke(change.first) + ".";
}

/// Where the last time through ends, out and back.
std::string last_time(const IdeaSheet& idea) {
  if (idea.notes.empty() || idea.notes.back().repeat < 2) return "";
  const ScoreNote& last = idea.notes.back();
  return "The " + ordinal_word(last.repeat) + " and last time through ends on string " + std::to_string(last.string) +
         " at fret " + std::to_string(last.fret) + ".";
}

/// Where rule and beat meet again.
std::string beat_sentence(const Rule& rule, int notes_per_beat) {
  const Realignment beat = realign(rule.units(), notes_per_beat);
  const std::string beats = counted_word(static_cast<int>(beat.spans), "beat");
  if (beat.groups == 1) return "Each time through fills exactly " + beats + ".";
  return "After " + counted_word(static_cast<int>(beat.groups), "time") + " through, which take " + beats +
         ", the rule starts in the same place of the beat again.";
}

void tell_feel(Script& script, const IdeaSheet& idea, const Score& score, const std::string& ending) {
  script.show("The tab at " + feel_text(score) + (score.ratio ? " (" + score.ratio->name() + ")" : "") + ".");
  script.say(beat_sentence(idea.rule, score.notes_per_beat));
  script.say(ending);
  if (!ending.empty()) script.say(landing_place_sentence(score));
  const bool one = idea.slow_bpm == idea.goal_bpm;
  script.play(one ? "At " + tempos_text(idea) + "."
                  : "Slow, at " + tempo_text(idea.slow_bpm) + " beats a minute, then at " + tempo_text(idea.goal_bpm) +
                        ".");
}

/// `explained` holds what needs no second explanation.
void tell_idea(Script& script, const IdeaSheet& idea, const IdeaSentences& said, std::set<std::string>& explained) {
  script.heading(idea_heading(idea));
  script.say(plain_line(idea.note));
  script.say(rule_sentence(said));
  const std::string explanation = rule_explanation(idea);
  if (explained.insert(explanation).second) script.say(explanation);
  const std::vector<ScoreNote> notes = first_repetition(idea.notes);
  if (!notes.empty()) {
    script.show(frets_text(notes) + ", strokes " + strokes_text(notes) + ".");
    script.say(spoken_frets(notes));
  }
  script.say(carry_sentence(said));
  script.say(second_time_sentence(idea));
  script.say(last_time(idea));
  script.say(first_change(idea.proof));
  script.say(said.proof);
  for (std::size_t i = 0; i < idea.feels.size(); ++i)
    tell_feel(script, idea, idea.feels[i], i < said.endings.size() ? said.endings[i] : "");
}

}  // namespace

std::string script_text(const Handout& handout, const LessonSentences& sentences) {
  Script script;
  const std::string title = plain_line(handout.prose.title);
  script.heading(title.empty() ? "Script" : "Script: " + title);
  script.heading("Opening");
  const std::string author = plain_line(handout.prose.author);
  script.say(author.empty() ? "" : "Hello, this is " + author + ".");
  script.say(plain_line(handout.prose.intro));
  script.say(opening_sentence(sentences));
  if (!handout.ideas.empty()) script.say(spoken_chords(handout.ideas.front()));
  std::set<std::string> explained;
  for (std::size_t i = 0; i < handout.ideas.size(); ++i)
    tell_idea(script, handout.ideas[i], sentences_at(sentences, i), explained);
  script.heading("Closing");
  for (const Caution& caution : cautions()) {
    if (caution.source.empty()) script.say(std::string(caution.text));
    if (!caution.source.empty()) script.show(to_sentence(caution));
  }
  return script.take();
}

}  // namespace fretloom
