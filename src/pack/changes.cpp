#include "pack/changes.h"

#include <algorithm>
#include <map>
#include <optional>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::size_t k_most_lines = 40;

class Comparison {
 public:
  Comparison(const Handout& before, const Handout& after) {
    prose(before.prose, after.prose);
    field("", "key", before.key.said_name(), after.key.said_name());
    for (const IdeaSheet& idea : before.ideas) {
      const IdeaSheet* now = idea_of(after, idea.number);
      if (now != nullptr) compare_idea(where_of(idea), idea, *now);
      if (now == nullptr) whole(idea, "gone");
    }
    for (const IdeaSheet& idea : after.ideas) {
      if (idea_of(before, idea.number) == nullptr) whole(idea, "new");
    }
  }

  std::vector<std::string> take() { return std::move(lines_); }

 private:
  static std::string quoted(const std::string& text) { return "\"" + one_line(text) + "\""; }

  void field(const std::string& where, const std::string& what, const std::string& before, const std::string& after) {
    if (before == after) return;
    std::string line = where.empty() ? "" : where + ": ";
    line += what + " " + before + " to " + after;
    lines_.push_back(line);
  }

  static std::string where_of(const IdeaSheet& idea) { return "idea " + std::to_string(idea.number); }

  static const IdeaSheet* idea_of(const Handout& handout, int number) {
    for (const IdeaSheet& idea : handout.ideas) {
      if (idea.number == number) return &idea;
    }
    return nullptr;
  }

  void prose(const Prose& before, const Prose& after) {
    field("", "title", quoted(before.title), quoted(after.title));
    field("", "author", quoted(before.author), quoted(after.author));
    field("", "intro", quoted(before.intro), quoted(after.intro));
    field("", "licence", quoted(before.licence), quoted(after.licence));
    field("", "copyright", quoted(before.copyright), quoted(after.copyright));
    field("", "version", quoted(before.version), quoted(after.version));
  }

  void whole(const IdeaSheet& idea, const std::string& what) {
    lines_.push_back(where_of(idea) + " " + quoted(idea.name) + ": " + what);
  }

  void compare_idea(const std::string& where, const IdeaSheet& before, const IdeaSheet& after) {
    const auto tempo = [](const Rational& bpm) { return number_text(bpm.to_double()); };
    field(where, "name", quoted(before.name), quoted(after.name));
    field(where, "note", quoted(before.note), quoted(after.note));
    field(where, "key", before.key.said_name(), after.key.said_name());
    field(where, "meter", before.meter.name(), after.meter.name());
    field(where, "slow tempo", tempo(before.slow_bpm), tempo(after.slow_bpm));
    field(where, "goal tempo", tempo(before.goal_bpm), tempo(after.goal_bpm));
    field(where, "vamp", chords_text(before.vamp, before.meter), chords_text(after.vamp, after.meter));
    field(where, "rule", quoted(before.rule.text), quoted(after.rule.text));
    field(where, "tuning", tuning(before.instrument.neck), tuning(after.instrument.neck));
    field(where, "capo", std::to_string(before.instrument.neck.capo), std::to_string(after.instrument.neck.capo));
    for (const Score& feel : before.feels) {
      const Score* other = feel_of(after, feel.notes_per_beat);
      const std::string place = where + ", " + std::to_string(feel.notes_per_beat) + " a beat";
      if (other == nullptr) {
        lines_.push_back(place + ": gone");
      } else {
        compare_notes(place, before.meter, feel, after.meter, *other);
      }
    }
    for (const Score& feel : after.feels) {
      if (feel_of(before, feel.notes_per_beat) == nullptr)
        lines_.push_back(where + ", " + std::to_string(feel.notes_per_beat) + " a beat: new");
    }
  }

  static std::string tuning(const Neck& neck) {
    std::string text;
    for (const SpelledPitch& open : neck.tuning.open) text += (text.empty() ? "" : " ") + open.name();
    return text;
  }

  static const Score* feel_of(const IdeaSheet& idea, int notes_per_beat) {
    for (const Score& feel : idea.feels) {
      if (feel.notes_per_beat == notes_per_beat) return &feel;
    }
    return nullptr;
  }

  /// Each note's place in its bar, from 1.
  static std::string place_of(const Meter& meter, const Score& score, const ScoreNote& note) {
    const auto bar = bar_of(meter, note.onset);
    int number = 0;
    for (const ScoreNote& other : score.notes) {
      if (bar_of(meter, other.onset) == bar && other.onset.value <= note.onset.value) ++number;
    }
    return "bar " + std::to_string(bar) + ", note " + std::to_string(number);
  }

  void compare_notes(const std::string& where, const Meter& old_meter, const Score& before, const Meter& meter,
                     const Score& after) {
    std::map<Rational, const ScoreNote*> then;
    for (const ScoreNote& note : before.notes) then.emplace(note.onset.value, &note);
    for (const ScoreNote& note : after.notes) {
      const std::string place = where + ", " + place_of(meter, after, note);
      const auto found = then.find(note.onset.value);
      if (found == then.end()) {
        lines_.push_back(place + ": new, string " + std::to_string(note.string) + " fret " + std::to_string(note.fret));
        continue;
      }
      compare_note(place, *found->second, note);
      then.erase(found);
    }
    for (const ScoreNote& note : before.notes) {
      if (then.contains(note.onset.value))
        lines_.push_back(where + ", " + place_of(old_meter, before, note) + ": gone");
    }
  }

  void compare_note(const std::string& place, const ScoreNote& before, const ScoreNote& after) {
    const auto stroke = [](const ScoreNote& n) { return n.stroke ? std::string(1, letter(*n.stroke)) : "none"; };
    const auto finger = [](const ScoreNote& n) { return n.finger ? std::to_string(*n.finger) : std::string("none"); };
    field(place, "string", std::to_string(before.string), std::to_string(after.string));
    field(place, "fret", std::to_string(before.fret), std::to_string(after.fret));
    field(place, "stroke", stroke(before), stroke(after));
    field(place, "attack", std::string(name(before.attack)), std::string(name(after.attack)));
    field(place, "finger", finger(before), finger(after));
    field(place, "accent", before.accent ? "on" : "off", after.accent ? "on" : "off");
    field(place, "length", before.duration.value.to_string() + " beats", after.duration.value.to_string() + " beats");
  }

  std::vector<std::string> lines_;
};

}  // namespace

std::vector<std::string> changes(const Handout& before, const Handout& after) {
  return Comparison(before, after).take();
}

std::string changes_text(const Handout& before, const Handout& after) {
  const auto lines = changes(before, after);
  if (lines.empty()) return "No change in what is played or printed.\n";
  std::string text = "Changed since the last pack:\n";
  for (std::size_t i = 0; i < std::min(lines.size(), k_most_lines); ++i) text += "  " + lines[i] + "\n";
  if (lines.size() > k_most_lines) text += "  and " + std::to_string(lines.size() - k_most_lines) + " more\n";
  return text;
}

}  // namespace fretloom
