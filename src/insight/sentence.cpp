#include "insight/sentence.h"

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "base/text.h"

namespace fretloom {

namespace {

std::string number(std::size_t n) { return std::to_string(n); }
std::string many(int count, std::string_view noun) { return counted(static_cast<std::size_t>(count), noun); }

std::string times(int count) { return count == 1 ? "once" : count == 2 ? "twice" : std::to_string(count) + " times"; }

std::string rule_name(const Answer& answer) {
  return (answer.lick.rule.kind == RuleKind::cell ? "cell " : "sequence ") + answer.lick.rule.text;
}

std::string layout_words(const LayoutRule& layout) {
  const std::string from = " from fret " + std::to_string(layout.from);
  switch (layout.kind) {
    case LayoutKind::per_string: return many(layout.notes, "note") + " a string" + from;
    case LayoutKind::position: return "in a position of " + many(layout.width, "fret") + from;
    case LayoutKind::octaves:
      return std::to_string(layout.octave_notes.first) + " and " + std::to_string(layout.octave_notes.second) +
             " notes on each pair of strings" + from + ", pair by pair an octave higher";
  }
  return from;
}

std::string carry_words(const Answer& answer) {
  if (answer.repeats < 2) return {};
  const Carry& carry = answer.lick.carry;
  std::vector<std::string> parts;
  if (carry.strings != 0)
    parts.push_back(many(std::abs(carry.strings), "string") + (carry.strings > 0 ? " thinner" : " thicker"));
  if (carry.steps != 0)
    parts.push_back(many(std::abs(carry.steps), "scale step") + (carry.steps > 0 ? " higher" : " lower"));
  return parts.empty() ? " on the same notes" : ", each time " + join(parts, " and ");
}

std::string back_words(Back back) {
  switch (back) {
    case Back::none: return "";
    case Back::retrograde: return ", then back in reverse order";
    case Back::mirrored: return ", then back as in a mirror";
  }
  return "";
}

std::string attack_words(Attack attack) {
  switch (attack) {
    case Attack::pick: return "a picked note";
    case Attack::hammer: return "a hammer-on";
    case Attack::pull: return "a pull-off";
    case Attack::slide: return "a slide";
  }
  return "a picked note";
}

std::string interval_words(int semitones) {
  switch (semitones) {
    case 3: return "a minor third";
    case 4: return "a major third";
    case 5: return "a fourth";
    case 7: return "a fifth";
    default: return many(semitones, "semitone");
  }
}

int step_below(const Tuning& tuning, int string) {
  const auto index = static_cast<std::size_t>(tuning.strings() - string);
  return tuning.open[index].midi() - tuning.open[index - 1].midi();
}

/// "strings 2 and 1", "string 1".
std::string thin_strings(int from) {
  std::string text = from == 1 ? "string 1" : "strings " + std::to_string(from);
  for (int string = from - 1; string >= 1; --string) text += (string == 1 ? " and " : ", ") + std::to_string(string);
  return from == 1 ? "string 1" : text;
}

std::string missed_step_words(const Answer& answer) {
  const MissedStep& step = *answer.missed_step;
  const int own = step_below(answer.neck.tuning, step.string);
  return "all " + many(step.notes, "note") + " on " + thin_strings(step.string) + " are " +
         many(std::abs(step.frets), "fret") + " too " + (step.frets > 0 ? "low" : "high") +
         ", as if the step from string " + std::to_string(step.string + 1) + " to string " +
         std::to_string(step.string) + " were " + interval_words(own + step.frets) + "; it is " + interval_words(own);
}

std::string misfits_words(const Answer& answer) {
  std::vector<std::string> parts;
  if (answer.missed_step) parts.push_back(missed_step_words(answer));
  constexpr std::size_t k_named = 6;
  for (std::size_t i = 0; i < std::min(k_named, answer.misfits.size()); ++i)
    parts.push_back(misfit_words(answer.misfits[i]));
  if (answer.misfits.size() > k_named) parts.push_back(number(answer.misfits.size() - k_named) + " more do not follow");
  return join(parts, "; ");
}

std::string key_reason(const Answer& answer) {
  const std::size_t inside = answer.ruled - answer.outside;
  std::string text = answer.missed_step ? "With the frets put right, " : "";
  text += answer.outside == 0 ? "all " + counted(answer.ruled, "note") + " are"
                              : number(inside) + " of " + counted(answer.ruled, "note") + " are";
  text.front() = text.front() == 'a' ? 'A' : text.front();
  text += " in " + answer.key.said_name();
  const int tonic = answer.key.tonic().semitones();
  const auto is_tonic = [&](int midi) { return floor_mod(midi - tonic, 12) == 0; };
  std::vector<std::string> why;
  if (is_tonic(answer.heard.front().midi)) why.emplace_back("the phrase begins on " + answer.key.tonic().name());
  if (is_tonic(answer.heard.back().midi)) why.emplace_back("it ends on " + answer.key.tonic().name());
  if (is_tonic(answer.neck.open_midi(answer.neck.strings()) + answer.layout.from))
    why.emplace_back(answer.key.tonic().name() + " is the layout's lowest note");
  if (!why.empty()) text += "; " + join(why, "; ");
  return text + ".";
}

std::string other_keys_reason(const Answer& answer) {
  std::vector<std::string> names;
  constexpr std::size_t k_named = 3;
  for (std::size_t i = 0; i < std::min(k_named, answer.same_notes.size()); ++i)
    names.push_back(answer.same_notes[i].said_name());
  if (names.empty()) return {};
  return "The same notes also make " + join(names, ", ") + (answer.same_notes.size() > k_named ? " and others." : ".");
}

}  // namespace

std::string misfit_words(const Misfit& misfit) {
  const std::string note = "note " + std::to_string(misfit.note) + " is ";
  switch (misfit.kind) {
    case MisfitKind::place: {
      const bool same_string = misfit.found.string == misfit.expected.string;
      return note + "fret " + std::to_string(misfit.found.fret) + " on string " + std::to_string(misfit.found.string) +
             ", where fret " + std::to_string(misfit.expected.fret) +
             (same_string ? "" : " on string " + std::to_string(misfit.expected.string)) + " was expected";
    }
    case MisfitKind::attack:
      return note + attack_words(misfit.found_attack) + ", where " + attack_words(misfit.expected_attack) +
             " was expected";
    case MisfitKind::time: return note + "longer or shorter than expected";
    case MisfitKind::accent: return note + "accented or left plain against the rule";
  }
  return note;
}

std::string sentence_of(const Answer& answer) {
  std::string text = "The " + rule_name(answer) + " in " + answer.key.said_name() + ", " + layout_words(answer.layout) +
                     ", is played " + times(answer.repeats) + carry_words(answer) + back_words(answer.lick.back);
  if (answer.missing > 0) text += " (the last time without its last " + counted(answer.missing, "note") + ")";
  const std::size_t ending = answer.heard.size() - answer.ruled;
  if (answer.follows() == answer.ruled) {
    text += ", and all " + counted(answer.ruled, "note") + " follow it";
  } else {
    text += ", and " + number(answer.follows()) + " of " + counted(answer.ruled, "note") +
            " follow it: " + misfits_words(answer);
  }
  if (ending == 1) text += "; the last note behind it is an ending";
  if (ending > 1) text += "; the last " + counted(ending, "note") + " behind it are an ending";
  return text + ".";
}

std::vector<std::string> reasons_of(const Answer& answer) {
  std::vector<std::string> reasons = {key_reason(answer)};
  const auto bits = [](double value) { return std::to_string(std::lround(value)); };
  reasons.push_back("Told by this rule the phrase takes " + bits(answer.bits) + " bits, told note by note " +
                    bits(answer.plain_bits) + ".");
  if (std::string other = other_keys_reason(answer); !other.empty()) reasons.push_back(std::move(other));
  if (!answer.places_given)
    reasons.emplace_back(
        "Only pitches were given; the strings and frets are the ones that this rule and layout ask for.");
  if (answer.repeats * (answer.lick.back == Back::none ? 1 : 2) == 2)
    reasons.emplace_back("It is heard only twice, so that another rule may be meant.");
  if (answer.tie) reasons.emplace_back("Another rule is just as simple.");
  return reasons;
}

std::string_view sentence_of(NoAnswer why) {
  switch (why) {
    case NoAnswer::too_few: return "There are not enough notes to tell a rule; write at least two repetitions.";
    case NoAnswer::no_rule: return "No rule tells these notes more simply than the notes themselves do.";
  }
  return "";
}

}  // namespace fretloom
