// The spoken outline.

#include <algorithm>
#include <numeric>

#include "base/text.h"
#include "pack/words_facts.h"

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

/// "Start on string 6, and play frets 12, 15, 14 and 15. Then string 5, frets 14 and 12."
std::string spoken_visits(const std::vector<ScoreNote>& notes) {
  std::string text;
  for (std::size_t i = 0; i < notes.size();) {
    const int string = notes[i].string;
    std::vector<std::string> frets;
    for (; i < notes.size() && notes[i].string == string; ++i) {
      const ScoreNote& note = notes[i];
      const std::string verb = note.attack == Attack::hammer  ? "hammer-on "
                               : note.attack == Attack::pull  ? "pull-off "
                               : note.attack == Attack::slide ? "slide "
                                                              : "";
      frets.push_back(verb + std::to_string(note.fret) + (note.accent ? " with an accent" : ""));
    }
    text += text.empty() ? "Start on string " : " Then string ";
    text += std::to_string(string) + (frets.size() == 1 ? ", fret " : ", frets ") + listed(frets) + ".";
  }
  return text;
}

std::string stroke_word(Stroke stroke) { return stroke == Stroke::down ? "a downstroke" : "an upstroke"; }

/// The first string change with the stroke before it and the one after it.
std::string first_change(const Score& score) {
  const ScoreNote* last_picked = nullptr;
  for (std::size_t i = 0; i + 1 < score.notes.size(); ++i) {
    const ScoreNote& note = score.notes[i];
    const ScoreNote& next = score.notes[i + 1];
    if (note.stroke) last_picked = &note;
    if (note.string == next.string || last_picked == nullptr || !next.stroke) continue;
    return "The first change, from string " + std::to_string(note.string) + " to string " +
           std::to_string(next.string) + ", comes after note " + std::to_string(i + 1) + ": " +
           stroke_word(*last_picked->stroke) + ", then " + stroke_word(*next.stroke) + ".";
  }
  return "";
}

/// How often the rule comes, out and back: repetitions of the score's own notes.
std::string rounds_sentence(const Score& score) {
  int rounds = 0;
  for (const ScoreNote& note : score.notes) rounds = std::max(rounds, note.role == Role::rule ? note.repeat : 0);
  if (rounds < 2) return "";
  const auto last = std::find_if(score.notes.rbegin(), score.notes.rend(),
                                 [](const ScoreNote& note) { return note.role == Role::rule; });
  return "The rule comes " + std::to_string(rounds) + " times and ends on string " + std::to_string(last->string) +
         " at fret " + std::to_string(last->fret) + ".";
}

/// Where rule and beat meet again: lcm(units, notes a beat).
std::string beat_sentence(const Score& score) {
  const int units = score.rule_units;
  const int per_beat = score.notes_per_beat;
  if (units < 1 || per_beat < 1) return "";
  const int common = std::gcd(units, per_beat);
  const auto rounds = static_cast<std::size_t>(per_beat / common);
  const std::string beats = counted(static_cast<std::size_t>(units / common), "beat");
  if (rounds == 1) return "Each time through fills exactly " + beats + ".";
  return "The rule falls on the beat again after " + std::to_string(rounds) + " times through, which is " + beats + ".";
}

void tell_feel(Script& script, const Score& score) {
  script.show("The tab at " + feel_text(score) + (score.ratio ? " (" + score.ratio->name() + ")" : "") + ".");
  script.say(beat_sentence(score));
  const std::string landing = landing_text(score);
  if (!landing.empty()) script.say("The line " + landing + ".");
  const bool one = score.slow_bpm == score.goal_bpm;
  script.play(one ? "At " + tempos_text(score) + "."
                  : "Slow, at " + tempo_text(score.slow_bpm) + " beats a minute, then at " +
                        tempo_text(score.goal_bpm) + ".");
}

void tell_idea(Script& script, const ScoreSet& set, std::size_t number, const Facts& common) {
  const Score& first = set.feels.front();
  script.heading(idea_heading(first, number));
  script.say(plain_line(first.note));
  for (const Fact& fact : different(facts_of(first), common)) script.say(to_sentence(fact));
  const std::vector<ScoreNote> notes = first_repetition(first);
  script.say(rule_sentence(first));
  if (!notes.empty()) {
    script.show(visits_text(notes) + ", strokes " + strokes_text(notes) + ".");
    script.say(spoken_visits(notes));
  }
  script.say(first_change(first));
  script.say(rounds_sentence(first));
  for (const std::string& sentence : by_feel(set, [](const Score& score) { return score.proof; })) script.say(sentence);
  for (const Score& score : set.feels) tell_feel(script, score);
}

}  // namespace

std::string script_text(const Handout& handout) {
  Script script;
  const std::string title = plain_line(handout.title);
  script.heading(title.empty() ? "Script" : "Script: " + title);
  script.heading("Opening");
  const std::string author = plain_line(handout.author);
  script.say(author.empty() ? "" : "Hello, this is " + author + ".");
  script.say(plain_line(handout.intro));
  const Facts common = common_facts(handout);
  for (const Fact& fact : common) script.say(to_sentence(fact));
  const std::vector<const ScoreSet*> ideas = ideas_of(handout);
  for (std::size_t i = 0; i < ideas.size(); ++i) tell_idea(script, *ideas[i], i + 1, common);
  script.heading("Closing");
  for (const Caution& caution : cautions()) script.say(to_sentence(caution));
  return script.take();
}

}  // namespace fretloom
