#include "pack/changes.h"

#include <algorithm>
#include <map>
#include <optional>

#include "base/text.h"
#include "pack/words.h"

namespace fretloom {

namespace {

constexpr std::size_t k_most_lines = 40;

class Comparison {
 public:
  Comparison(const Handout& before, const Handout& after) {
    field("", "title", quoted(before.title), quoted(after.title));
    field("", "author", quoted(before.author), quoted(after.author));
    field("", "intro", quoted(before.intro), quoted(after.intro));
    field("", "licence", quoted(before.licence), quoted(after.licence));
    field("", "key", before.key, after.key);
    const std::size_t both = std::min(before.ideas.size(), after.ideas.size());
    for (std::size_t i = 0; i < both; ++i)
      compare_idea("idea " + std::to_string(i + 1), before.ideas[i], after.ideas[i]);
    for (std::size_t i = both; i < before.ideas.size(); ++i)
      whole("idea " + std::to_string(i + 1), before.ideas[i], "gone");
    for (std::size_t i = both; i < after.ideas.size(); ++i)
      whole("idea " + std::to_string(i + 1), after.ideas[i], "new");
  }

  std::vector<std::string> take() { return std::move(lines_); }

 private:
  static std::string quoted(const std::string& text) { return "\"" + plain_line(text) + "\""; }

  void field(const std::string& where, const std::string& what, const std::string& before, const std::string& after) {
    if (before == after) return;
    std::string line = where.empty() ? "" : where + ": ";
    line += what + " " + before + " to " + after;
    lines_.push_back(line);
  }

  void whole(const std::string& where, const ScoreSet& idea, const std::string& what) {
    lines_.push_back(where + " " + quoted(idea.feels.empty() ? "" : idea.feels.front().title) + ": " + what);
  }

  void compare_idea(const std::string& where, const ScoreSet& before, const ScoreSet& after) {
    if (before.feels.empty() || after.feels.empty()) return;
    const Score& old = before.feels.front();
    const Score& now = after.feels.front();
    field(where, "name", quoted(old.title), quoted(now.title));
    field(where, "note", quoted(old.note), quoted(now.note));
    field(where, "key", old.key, now.key);
    field(where, "meter", old.meter.name(), now.meter.name());
    field(where, "slow tempo", tempo_text(old.slow_bpm), tempo_text(now.slow_bpm));
    field(where, "goal tempo", tempo_text(old.goal_bpm), tempo_text(now.goal_bpm));
    field(where, "vamp", vamp_text(old), vamp_text(now));
    field(where, "rule", quoted(old.rule), quoted(now.rule));
    field(where, "tuning", tuning(old), tuning(now));
    field(where, "capo", std::to_string(old.capo), std::to_string(now.capo));
    for (const Score& feel : before.feels) {
      const Score* other = feel_of(after, feel.notes_per_beat);
      const std::string place = where + ", " + std::to_string(feel.notes_per_beat) + " a beat";
      if (other == nullptr) {
        lines_.push_back(place + ": gone");
      } else {
        compare_notes(place, feel, *other);
      }
    }
    for (const Score& feel : after.feels) {
      if (feel_of(before, feel.notes_per_beat) == nullptr)
        lines_.push_back(where + ", " + std::to_string(feel.notes_per_beat) + " a beat: new");
    }
  }

  static std::string tuning(const Score& score) {
    std::string text;
    for (const ScoreString& string : score.strings) text += (text.empty() ? "" : " ") + string.open.name();
    return text;
  }

  static const Score* feel_of(const ScoreSet& idea, int notes_per_beat) {
    for (const Score& feel : idea.feels) {
      if (feel.notes_per_beat == notes_per_beat) return &feel;
    }
    return nullptr;
  }

  /// Each note's place in its bar, from 1.
  static std::string place_of(const Score& score, const ScoreNote& note) {
    const auto bar = bar_of(score.meter, note.onset);
    int number = 0;
    for (const ScoreNote& other : score.notes) {
      if (bar_of(score.meter, other.onset) == bar && other.onset.value <= note.onset.value) ++number;
    }
    return "bar " + std::to_string(bar) + ", note " + std::to_string(number);
  }

  void compare_notes(const std::string& where, const Score& before, const Score& after) {
    std::map<Rational, const ScoreNote*> then;
    for (const ScoreNote& note : before.notes) then.emplace(note.onset.value, &note);
    for (const ScoreNote& note : after.notes) {
      const std::string place = where + ", " + place_of(after, note);
      const auto found = then.find(note.onset.value);
      if (found == then.end()) {
        lines_.push_back(place + ": new, string " + std::to_string(note.string) + " fret " + std::to_string(note.fret));
        continue;
      }
      compare_note(place, *found->second, note);
      then.erase(found);
    }
    for (const ScoreNote& note : before.notes) {
      if (then.contains(note.onset.value)) lines_.push_back(where + ", " + place_of(before, note) + ": gone");
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
