#include "words/idea_story.h"

#include <algorithm>
#include <functional>
#include <set>

#include "base/text.h"
#include "lick/feel.h"
#include "words/ending_sentence.h"
#include "words/english.h"
#include "words/idea_lines.h"

namespace fretloom {

namespace {

constexpr std::size_t k_most_told = 16;  // notes that one can say and somebody else can follow
constexpr std::size_t k_most_feels = 3;  // in one sentence

/// "the thickest string", "string 4".
std::string string_name(const IdeaSheet& idea, int string, Manner manner) {
  if (idea.instrument.strings() > 1 && string == 1) return "the thinnest string";
  if (idea.instrument.strings() > 1 && string == idea.instrument.strings()) return "the thickest string";
  return "string " + (manner == Manner::written ? std::to_string(string) : spoken_number(string));
}

/// ", one of them a hammer-on", ", two of them slurred".
std::string slurs_words(const std::vector<ScoreNote>& notes, Manner manner) {
  const auto count = [&](Attack attack) {
    return static_cast<int>(
        std::count_if(notes.begin(), notes.end(), [&](const auto& n) { return n.attack == attack; }));
  };
  const int hammers = count(Attack::hammer);
  const int pulls = count(Attack::pull);
  const int slides = count(Attack::slide);
  const int all = hammers + pulls + slides;
  if (all == 0) return "";
  const std::string start = ", " + number_in(manner, all) + " of them ";
  const std::string noun = all == hammers ? "hammer-on" : all == pulls ? "pull-off" : all == slides ? "slide" : "";
  if (noun.empty()) return start + "slurred";
  return start + (all == 1 ? "a " + noun : noun + "s");
}

std::string shape_words(const IdeaSheet& idea, const std::vector<ScoreNote>& notes, Manner manner) {
  std::set<int> strings;
  for (const ScoreNote& note : notes) strings.insert(note.string);
  const auto count = static_cast<int>(notes.size());
  if (idea.rule.kind == RuleKind::sequence)
    return "A pattern of " + counted_in(manner, count, "note") + " along the scale" + slurs_words(notes, manner);
  const auto places = static_cast<int>(strings.size());
  return capital(counted_in(manner, count, "note")) + (places == 1 ? " on " : " over ") +
         counted_in(manner, places, "string") + slurs_words(notes, manner);
}

std::string steps_words(int steps, Manner manner) {
  return counted_in(manner, std::abs(steps), "scale step") + (steps > 0 ? " higher" : " lower");
}

/// The strings that the way out begins and ends on; the same twice where it ends where it began.
std::pair<int, int> ends_of(const IdeaSheet& idea) {
  if (idea.notes.empty()) return {0, 0};
  const auto last = std::find_if(idea.notes.rbegin(), idea.notes.rend(),
                                 [&](const ScoreNote& note) { return note.repeat == idea.repeats; });
  const int from = idea.notes.front().string;
  return {from, last == idea.notes.rend() ? from : last->string};
}

/// ", then the same again one string thinner. Five rounds take you from the thickest string to the thinnest".
std::string travel_words(const IdeaSheet& idea, const IdeaSheet* before, Manner manner) {
  const int repeats = idea.repeats;
  if (repeats == 1) return ", played once";
  const std::string rounds = counted_in(manner, repeats, "round");
  const Carry& carry = idea.carry;
  if (carry.strings == 0 && carry.steps == 0) return ", " + rounds + " in the same place";
  std::string text = ", then the same again ";
  if (carry.strings != 0)
    text += counted_in(manner, std::abs(carry.strings), "string") + (carry.strings > 0 ? " thinner" : " thicker");
  if (carry.steps != 0) text += (carry.strings != 0 ? " and " : "") + steps_words(carry.steps, manner);
  const auto [from, to] = ends_of(idea);
  if (from == to) return text + ". There are " + rounds + " in all";
  text += ". " + capital(rounds);
  if (before != nullptr && before->repeats > 1 && ends_of(*before) == std::pair(from, to))
    return text + " take you across again";
  std::string end = string_name(idea, to, manner);
  if (end == "the thinnest string" || end == "the thickest string")
    end.resize(end.size() - std::string(" string").size());
  const std::string start = string_name(idea, from, manner);
  return text + " take you from " + start + " to " + (start.starts_with("the") ? end : string_name(idea, to, manner));
}

std::string back_sentence(const IdeaSheet& idea) {
  switch (idea.back) {
    case Back::none: break;
    case Back::retrograde: return " Then it comes back the way it went, note by note.";
    case Back::mirrored: return " Then it turns round and comes back as its own mirror image.";
  }
  return "";
}

/// What the hand does under this picking, where it is not plain alternation.
std::string picking_sentence(Picking picking) {
  switch (picking) {
    case Picking::alternate: break;
    case Picking::grid: return "Your hand keeps swinging down and up in time, even where it picks nothing. ";
    case Picking::economy:
      return "Where the pick is on its way to the next string anyway, it goes on with the same stroke. ";
  }
  return "";
}

std::string free_sentence(const Proof& proof, Manner manner) {
  const auto all = static_cast<int>(proof.changes.size());
  if (proof.picking == Picking::alternate && proof.clear == Clear::both)
    return "Your pick stands clear after both strokes here, so it can leave a string at any time.";
  const std::string which = all == 1 ? "The one string change" : "Every string change";
  if (proof.picking == Picking::alternate)
    return which + " comes after " + a_stroke(proof.changes.front().last) +
           ", when your pick stands clear, so nothing is in its way.";
  if (all == 1) return "The one string change is free.";
  return (all == 2 ? "Both" : "All " + number_in(manner, all)) + " string changes are free.";
}

std::string caught_sentence(const Proof& proof, Manner manner) {
  const auto all = static_cast<int>(proof.changes.size());
  const int blocked = proof.blocked();
  if (blocked == all) {
    return (all == 1 ? "At the one string change" : "At every string change") +
           std::string(" your pick is caught between the strings, so take your time there.");
  }
  return "At " + number_in(manner, blocked) + " of the " + counted_in(manner, all, "string change") +
         " your pick is caught between the strings, so play slowly and feel where it happens.";
}

/// Where the rounds of a feel meet the beat: "every other round starts on the beat".
std::string beat_clause(const IdeaSheet& idea, const Score& score, Manner manner) {
  const Realignment meets = realign(idea.rule.units(), score.notes_per_beat);
  const auto groups = static_cast<int>(meets.groups);
  const std::string beats = counted_in(manner, static_cast<int>(meets.spans), "beat");
  if (groups == 1) return (idea.repeats > 1 ? "each round fills exactly " : "it fills exactly ") + beats;
  if (idea.repeats == 1) return "";
  if (groups >= idea.repeats) return "each round starts at a new place in the beat";
  const std::string which = groups == 2                 ? "other"
                            : manner == Manner::written ? ordinal_word(groups)
                                                        : spoken_ordinal(groups);
  return "every " + which + " round starts " +
         (score.start.value.is_whole() ? "on the beat" : "at the same place in the beat");
}

/// "B, the 5th of Em7".
std::string landing_words(const ScoreNote& note, const Ending& ending, Manner manner) {
  const PitchClass& pitch = note.pitch.pitch_class;
  std::string text = manner == Manner::written ? pitch.name() : spoken_note(pitch);
  if (!ending.chord) return text;
  const std::string chord = manner == Manner::written ? ending.chord->symbol() : "the chord";
  switch (ending.harmony.role) {
    case HarmonicRole::chord_tone: return text + ", " + tone_words(ending.harmony.degree, manner) + " of " + chord;
    case HarmonicRole::tension: return text + ", a note of colour over " + chord;
    case HarmonicRole::avoid: return text + ", which rubs against " + chord;
    case HarmonicRole::outside: return text + ", from outside the key, over " + chord;
  }
  return text;
}

std::string place_words(const IdeaSheet& idea, const ScoreNote& note, Manner manner) {
  const auto bar = static_cast<int>(bar_of(idea.meter, note.onset));
  const auto beat = static_cast<int>(beat_in_bar(idea.meter, note.onset).value.floor()) + 1;
  const auto number = [&](int n) { return manner == Manner::written ? std::to_string(n) : spoken_number(n); };
  return "on beat " + number(beat) + " of bar " + number(bar);
}

/// "Note two is a hammer-on.", "Notes two and five are hammer-ons.": which notes of a repetition `chosen` picks.
std::string marks_sentence(const std::vector<ScoreNote>& notes, const std::string& one, const std::string& many,
                           const std::function<bool(const ScoreNote&)>& chosen) {
  std::vector<std::string> numbers;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (chosen(notes[i])) numbers.push_back(spoken_number(static_cast<int>(i) + 1));
  }
  if (numbers.empty()) return "";
  return (numbers.size() == 1 ? " Note " : " Notes ") + listed(numbers) + (numbers.size() == 1 ? one : many) + ".";
}

std::string string_sentence(int string, const std::vector<int>& frets, bool first) {
  std::vector<std::string> said;
  for (const int fret : frets) said.push_back(fret == 0 ? "open" : spoken_number(fret));
  const bool open = std::find(frets.begin(), frets.end(), 0) != frets.end();
  const std::string kind = open ? "" : frets.size() == 1 ? "fret " : "frets ";
  return (first ? "Start on string " : " Then string ") + spoken_number(string) + ", " + kind + listed(said) + ".";
}

}  // namespace

std::string shape_sentence(const IdeaSheet& idea, const IdeaSheet* before, Manner manner) {
  const std::vector<ScoreNote> notes = first_repetition(idea.notes);
  if (notes.empty()) return "";
  return shape_words(idea, notes, manner) + travel_words(idea, before, manner) + "." + back_sentence(idea);
}

std::string changes_sentence(const IdeaSheet& idea, const IdeaSheet* before, Manner manner) {
  const Proof& proof = idea.proof;
  if (proof.changes.empty()) return "It stays on one string, so there is no string change to think about.";
  if (proof.blocked() > 0) return picking_sentence(proof.picking) + caught_sentence(proof, manner);
  const std::string text = picking_sentence(proof.picking) + free_sentence(proof, manner);
  const bool again = before != nullptr && changes_sentence(*before, nullptr, manner) == text;
  if (!again || proof.picking != Picking::alternate) return text;
  if (proof.clear == Clear::both) return "Here too, your pick can leave a string at any time.";
  return "Here too, every string change comes after " + a_stroke(proof.changes.front().last) + ".";
}

std::string beat_sentence(const IdeaSheet& idea, const Score& score, Manner manner) {
  const std::string beat = beat_clause(idea, score, manner);
  return beat.empty() ? "" : "At " + counted_in(manner, score.notes_per_beat, "note") + " a beat, " + beat + ".";
}

std::string landing_sentence(const IdeaSheet& idea, const Score& score, Manner manner) {
  const ScoreNote* note = landing_of(score);
  if (note == nullptr || !score.ending) return "";
  const Ending& ending = *score.ending;
  const std::string place = landing_words(*note, ending, manner) + ", " + place_words(idea, *note, manner) + ".";
  switch (ending.kind) {
    case EndingKind::fill:
      if (ending.fill == 0) break;
      return capital(number_in(manner, ending.fill)) + " more " + (ending.fill == 1 ? "note leads" : "notes lead") +
             " you to " + place;
    case EndingKind::hold: return "Let the last note ring, and then land on " + place;
    case EndingKind::late: return "Start a little later, and you land on " + place;
    case EndingKind::trim: return "Cut the last round short, and you land on " + place;
  }
  return "You land on " + place;
}

std::string feels_sentence(const IdeaSheet& idea, Manner manner) {
  if (idea.feels.size() > k_most_feels) {
    std::vector<std::string> feels;
    for (const Score& score : idea.feels) feels.push_back(number_in(manner, score.notes_per_beat));
    return "You play it at " + listed(feels) + " notes a beat.";
  }
  std::vector<std::string> clauses;
  for (const Score& score : idea.feels) {
    std::string clause = beat_clause(idea, score, manner);
    const ScoreNote* note = landing_of(score);
    if (note != nullptr && score.ending)
      clause += (clause.empty() ? "you land on " : " and you land on ") + landing_words(*note, *score.ending, manner);
    if (clause.empty()) continue;
    const std::string feel = clauses.empty() ? "At " + counted_in(manner, score.notes_per_beat, "note") + " a beat, "
                                             : "at " + number_in(manner, score.notes_per_beat) + ", ";
    clauses.push_back(feel + clause);
  }
  return clauses.empty() ? "" : join(clauses, "; ") + ".";
}

std::string spoken_frets(const IdeaSheet& idea) {
  const std::vector<ScoreNote> notes = first_repetition(idea.notes);
  if (notes.empty()) return "";
  if (notes.size() > k_most_told) return "The notes of the first round are on the screen.";
  std::string text;
  for (std::size_t i = 0; i < notes.size();) {
    const int string = notes[i].string;
    std::vector<int> frets;
    for (; i < notes.size() && notes[i].string == string; ++i) frets.push_back(notes[i].fret);
    text += string_sentence(string, frets, text.empty());
  }
  const auto is = [](Attack attack) { return [attack](const ScoreNote& note) { return note.attack == attack; }; };
  text += marks_sentence(notes, " is a hammer-on", " are hammer-ons", is(Attack::hammer));
  text += marks_sentence(notes, " is a pull-off", " are pull-offs", is(Attack::pull));
  text += marks_sentence(notes, " is a slide", " are slides", is(Attack::slide));
  return text + marks_sentence(notes, " has an accent", " have an accent", [](const ScoreNote& n) { return n.accent; });
}

std::string worth_sentence(const Handout& handout) {
  std::size_t crossing = 0;
  std::size_t caught = 0;
  for (const IdeaSheet& idea : handout.ideas) {
    if (!idea.proof.changes.empty()) ++crossing;
    if (idea.proof.blocked() > 0) ++caught;
  }
  if (handout.ideas.empty()) return "";
  if (crossing == 0) return "All of it stays on one string, so you can listen to the picking hand alone.";
  if (caught == 0)
    return "Your pick is free at every string change, so you can keep the hand loose and listen to the time.";
  if (caught == crossing)
    return "You will feel where the pick is caught between two strings, and that is worth knowing.";
  return "You will feel where the pick is caught between two strings, and what it is like when it is not.";
}

}  // namespace fretloom
