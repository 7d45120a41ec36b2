// The spoken outline.

#include <algorithm>
#include <functional>
#include <numeric>
#include <set>

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
std::string spoken_visits(const std::vector<ScoreNote>& notes) {
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
std::string spoken_chords(const Score& score) {
  constexpr std::size_t k_most_bars = 4;
  const std::string vamp = vamp_text(score);
  const std::vector<std::string_view> bars = split(vamp, '|');
  if (vamp.empty() || bars.size() > k_most_bars) return "";
  if (words(vamp).size() == 1) return "There is one chord, " + vamp + ".";
  std::vector<std::string> told;
  for (std::size_t i = 0; i < bars.size(); ++i) {
    std::vector<std::string> chords;
    for (const Word& word : words(bars[i])) chords.emplace_back(word.text);
    const bool same = chords == std::vector<std::string>{"%"};
    told.push_back("bar " + std::to_string(i + 1) + (same ? " stays" : " has " + listed(chords)));
  }
  return "The chords: " + join(told, ", ") + ".";
}

/// A fact as one says it; what is better seen than said is shown.
void tell_fact(Script& script, const Fact& fact, const Score& score) {
  if (fact.name == "Chords") {
    script.show(to_sentence(fact));
    script.say(spoken_chords(score));
  } else if (fact.name == "Tuning") {
    script.show(to_sentence(fact));
  } else if (fact.name == "Capo") {
    script.say(to_sentence(fact));
  } else {
    script.say("The " + lower(fact.name) + " is " + fact.value + ".");
  }
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

/// How often the rule is played, out and back.
std::string rounds_sentence(const Score& score) {
  const auto last = std::find_if(score.notes.rbegin(), score.notes.rend(),
                                 [](const ScoreNote& note) { return note.role == Role::rule; });
  if (last == score.notes.rend() || last->repeat < 2) return "";
  return "In all there are " + std::to_string(last->repeat) + " times through; the last one ends on string " +
         std::to_string(last->string) + " at fret " + std::to_string(last->fret) + ".";
}

/// Where rule and beat meet again: lcm(units, notes a beat).
std::string beat_sentence(const Score& score) {
  const int units = score.rule_units;
  const int per_beat = score.notes_per_beat;
  if (units < 1 || per_beat < 1) return "";
  const int common = std::gcd(units, per_beat);
  const int rounds = per_beat / common;
  const std::string beats = counted(static_cast<std::size_t>(units / common), "beat");
  if (rounds == 1) return "Each time through fills exactly " + beats + ".";
  return "After " + std::to_string(rounds) + " times through, which take " + beats +
         ", the rule starts in the same place of the beat again.";
}

void tell_feel(Script& script, const Score& score) {
  script.show("The tab at " + feel_text(score) + (score.ratio ? " (" + score.ratio->name() + ")" : "") + ".");
  script.say(beat_sentence(score));
  script.say(landing_sentence(score));
  const bool one = score.slow_bpm == score.goal_bpm;
  script.play(one ? "At " + tempos_text(score) + "."
                  : "Slow, at " + tempo_text(score.slow_bpm) + " beats a minute, then at " +
                        tempo_text(score.goal_bpm) + ".");
}

/// `explained` holds what needs no second explanation.
void tell_idea(Script& script, const ScoreSet& set, std::size_t number, const Facts& common,
               std::set<std::string>& explained) {
  const Score& first = set.feels.front();
  script.heading(idea_heading(first, number));
  script.say(plain_line(first.note));
  for (const Fact& fact : different(facts_of(first), common)) tell_fact(script, fact, first);
  script.say(rule_sentence(first));
  if (explained.insert(rule_explanation(first)).second) script.say(rule_explanation(first));
  const std::vector<ScoreNote> notes = first_repetition(first);
  if (!notes.empty()) {
    script.show(visits_text(notes) + ", strokes " + strokes_text(notes) + ".");
    script.say(spoken_visits(notes));
    script.say(second_start_sentence(first));
  }
  script.say(first_change(first));
  for (const std::string& sentence : by_feel(set, rounds_sentence)) script.say(sentence);
  for (const std::string& sentence : by_feel(set, brief_proof)) script.say(sentence);
  if (explained.insert(visit_explanation(first)).second) script.say(visit_explanation(first));
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
  const std::vector<const ScoreSet*> ideas = ideas_of(handout);
  for (const Fact& fact : common) tell_fact(script, fact, ideas.empty() ? Score{} : ideas.front()->feels.front());
  std::set<std::string> explained;
  for (std::size_t i = 0; i < ideas.size(); ++i) tell_idea(script, *ideas[i], i + 1, common, explained);
  script.heading("Closing");
  for (const Caution& caution : cautions()) {
    const bool is_said = caution.source == "common practice";
    if (is_said) script.say(std::string(caution.text));
    if (!is_said) script.show(to_sentence(caution));
  }
  return script.take();
}

}  // namespace fretloom
