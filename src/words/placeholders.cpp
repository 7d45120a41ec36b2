#include "words/placeholders.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "words/cautions.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/idea_story.h"
#include "words/note_lists.h"
#include "words/settings_words.h"

namespace fretloom {

namespace {

using Facts = TextFacts;

/// Prose of the teacher with a full stop, where another sentence may follow.
std::string as_sentence(const std::string& prose) {
  const std::string line = plain_line(prose);
  constexpr std::string_view k_ends = ".!?:;)\"";
  const bool open = !line.empty() && static_cast<unsigned char>(line.back()) < 0x80 &&
                    k_ends.find(line.back()) == std::string_view::npos;
  return open ? line + "." : line;
}

std::string in_manner(const Facts& facts, const std::string& text) {
  return facts.manner == Manner::written ? text : aloud(text);
}

std::string key_of(const Facts& f, const Key& key) {
  return f.manner == Manner::written ? key.said_name() : spoken_key(key);
}

std::string span_text(const Rational& slow, const Rational& goal) {
  return (slow == goal ? "" : tempo_text(slow) + " to ") + tempo_text(goal) + " beats a minute";
}

/// The slowest and the fastest tempo of all ideas.
std::string tempos(const Facts& f) {
  if (f.handout.ideas.empty()) return "";
  Rational low = f.handout.ideas.front().slow_bpm;
  Rational high = low;
  for (const IdeaSheet& idea : f.handout.ideas) {
    low = std::min({low, idea.slow_bpm, idea.goal_bpm});
    high = std::max({high, idea.slow_bpm, idea.goal_bpm});
  }
  return in_manner(f, span_text(low, high));
}

std::string instrument(const Facts& f) {
  if (f.handout.ideas.empty()) return "";
  const Instrument& instrument = f.handout.ideas.front().instrument;
  const Neck& neck = instrument.neck;
  return in_manner(f,
                   (instrument.tuning_name() ? tuning_words(neck.tuning)
                                             : counted_word(neck.strings(), "string") + " in a tuning of their own") +
                       (neck.capo > 0 ? ", with a capo at " + capo_words(neck.capo) : ""));
}

std::string chords(const Facts& f) {
  return f.handout.ideas.empty() ? "" : chords_text(f.handout.ideas.front().vamp, f.handout.ideas.front().meter);
}

std::string meter(const Facts& f) { return f.handout.ideas.empty() ? "" : f.handout.ideas.front().meter.name(); }

/// For the screen: what is there of it.
std::string music(const Facts& f) {
  std::vector<std::string> parts;
  for (const std::string& part : {f.handout.key.said_name(), meter(f), chords(f)}) {
    if (!part.empty()) parts.push_back(part);
  }
  return join(parts, ", ");
}

std::string ideas(const Facts& f) {
  const auto count = static_cast<int>(f.handout.ideas.size());
  return count == 0 ? "" : counted_in(f.manner, count, "idea");
}

std::string names(const Facts& f) {
  std::vector<std::string> all;
  for (const IdeaSheet& idea : f.handout.ideas) all.push_back(idea_name(idea));
  return listed(all);
}

/// "E dorian and A aeolian": each key once, in the order of the ideas.
std::string keys(const Facts& f) {
  std::vector<std::string> all;
  for (const IdeaSheet& idea : f.handout.ideas) {
    const std::string key = key_of(f, idea.key);
    if (std::find(all.begin(), all.end(), key) == all.end()) all.push_back(key);
  }
  const std::size_t ideas = f.handout.ideas.size();
  return (all.size() > 1 || ideas == 1 ? "in " : ideas == 2 ? "both in " : "all in ") + listed(all);
}

/// ", over Em7 and A7", where the ideas share the chords and one can name them in a breath.
std::string chords_clause(const Facts& f) {
  constexpr std::size_t k_most_chords = 4;
  std::vector<std::string> symbols;
  for (const IdeaSheet& idea : f.handout.ideas) {
    for (const VampChord& chord : idea.vamp.chords) {
      const std::string symbol = chord.chord.symbol();
      if (std::find(symbols.begin(), symbols.end(), symbol) == symbols.end()) symbols.push_back(symbol);
    }
  }
  return symbols.empty() || symbols.size() > k_most_chords ? "" : ", over " + listed(symbols);
}

/// Whether all ideas say the same of something, so that it can be said of the lesson.
template <class Fact>
bool is_shared(const Handout& handout, const Fact& fact) {
  return std::all_of(handout.ideas.begin(), handout.ideas.end(),
                     [&](const IdeaSheet& idea) { return fact(idea) == fact(handout.ideas.front()); });
}

/// "Start at 60 beats a minute and climb to 120 in your own time."
std::string pace(const IdeaSheet& idea) {
  const std::string slow = tempo_text(idea.slow_bpm) + " beats a minute";
  if (idea.slow_bpm == idea.goal_bpm) return " Play at " + slow + ".";
  return " Start at " + slow + " and " + (idea.slow_bpm < idea.goal_bpm ? "climb to " : "come down to ") +
         tempo_text(idea.goal_bpm) + " in your own time.";
}

std::string about(const Facts& f) {
  if (f.handout.ideas.empty()) return "";
  const IdeaSheet& first = f.handout.ideas.front();
  std::string text = std::string(f.handout.ideas.size() == 1 ? "There is " : "There are ") + ideas(f) +
                     " in this lesson, " + keys(f) + (f.manner == Manner::written ? chords_clause(f) : "") + ".";
  const bool plain_guitar = !first.instrument.is_bass() && first.instrument.tuning_name() == "standard";
  const bool is_usual = plain_guitar && first.instrument.neck.capo == 0;
  if (!is_usual && is_shared(f.handout, [](const IdeaSheet& idea) { return idea.instrument; }))
    text += " You play it on " + instrument(f) + ".";
  if (first.meter.is_compound() && is_shared(f.handout, [](const IdeaSheet& idea) { return idea.meter; }))
    text += " Count " + counted_in(f.manner, first.meter.beats_per_bar(), "beat") + " to the bar.";
  const auto tempos = [](const IdeaSheet& idea) { return std::pair(idea.slow_bpm, idea.goal_bpm); };
  return text + (is_shared(f.handout, tempos) ? in_manner(f, pace(first)) : "");
}

std::string opening(const Facts& f) {
  const std::string& lesson = f.sentences.lesson;
  return lesson.empty() ? "" : "This lesson is " + lower(lesson.substr(0, 1)) + lesson.substr(1);
}

/// "The first idea is called Six that folds back."
std::string called(const Facts& f) {
  const std::size_t all = f.handout.ideas.size();
  const std::size_t here = f.idea_index;
  const std::string which = all == 1 ? "The idea"
                            : here > 1 && here + 1 == all
                                ? "The last idea"
                                : "The " + spoken_ordinal(static_cast<int>(here) + 1) + " idea";
  const std::string name = plain_line(f.idea->name);
  return name.empty() ? "" : as_sentence(which + " is called " + name);
}

std::string first_frets(const Facts& f) { return frets_text(first_repetition(f.idea->notes)); }
std::string first_strokes(const Facts& f) { return strokes_text(first_repetition(f.idea->notes)); }

const IdeaSheet* idea_before(const Facts& f) {
  return f.idea_index == 0 ? nullptr : &f.handout.ideas[f.idea_index - 1];
}

/// What is to be played, for the teacher's eyes: figures in every text.
std::string play(const Facts& f) {
  const IdeaSheet& idea = *f.idea;
  if (idea.slow_bpm == idea.goal_bpm) return "At " + span_text(idea.slow_bpm, idea.goal_bpm) + ".";
  return "At " + tempo_text(idea.slow_bpm) + " beats a minute, then at " + tempo_text(idea.goal_bpm) + ".";
}

std::string feel(const Facts& f) { return counted_in(f.manner, f.score->notes_per_beat, "note") + " a beat"; }

IdeaSentences said(const Facts& f) { return sentences_at(f.sentences, f.idea_index); }

constexpr TextScope k_lesson = TextScope::lesson;
constexpr TextScope k_idea = TextScope::idea;
constexpr TextScope k_feel = TextScope::feel;
constexpr TextScope k_item = TextScope::item;

constexpr std::array<Placeholder, 43> k_placeholders = {{
    {"title", k_lesson, "the lesson's title", [](const Facts& f) { return plain_line(f.handout.prose.title); }},
    {"author", k_lesson, "your name", [](const Facts& f) { return plain_line(f.handout.prose.author); }},
    {"intro", k_lesson, "your introduction", [](const Facts& f) { return as_sentence(f.handout.prose.intro); }},
    {"about", k_lesson, "how many ideas, in which key, over which chords, from which tempo to which: a few sentences",
     about},
    {"lesson", k_lesson, "the lesson in a sentence, as the handout has it", opening},
    {"worth", k_lesson, "what it is worth to the picking hand: one sentence",
     [](const Facts& f) { return worth_sentence(f.handout); }},
    {"ideas", k_lesson, "how many ideas: three ideas", ideas},
    {"names", k_lesson, "the ideas' names, with commas", names},
    {"key", k_lesson, "the key: E dorian", [](const Facts& f) { return key_of(f, f.handout.key); }},
    {"instrument", k_lesson, "the strings and their tuning", instrument},
    {"meter", k_lesson, "the meter of the first idea: 4/4", meter},
    {"chords", k_lesson, "the chords of the first idea: Em7 | A7", chords},
    {"music", k_lesson, "key, meter and chords to show: E dorian, 4/4, Em7 | A7", music},
    {"tempos", k_lesson, "60 to 120 beats a minute", tempos},
    {"enclosed", k_lesson, "what goes with the lesson, with commas", [](const Facts& f) { return listed(f.enclosed); }},
    {"links", k_lesson, "your links, with commas",
     [](const Facts& f) { return join(plain_lines(f.handout.prose.links), ", "); }},
    {"licence", k_lesson, "the licence", [](const Facts& f) { return plain_line(f.handout.prose.licence); }},
    {"copyright", k_lesson, "the copyright line", [](const Facts& f) { return plain_line(f.handout.prose.copyright); }},
    {"version", k_lesson, "the lesson's version", [](const Facts& f) { return plain_line(f.handout.prose.version); }},
    {"care", k_lesson, "the caution in a line, for the end of a sentence: As always: ...",
     [](const Facts&) { return std::string(k_short_caution); }},
    {"caution", k_lesson, "the whole caution: breaks, pain, loudness",
     [](const Facts& f) { return in_manner(f, cautions_paragraph()); }},
    {"number", k_idea, "the idea's number in the lesson",
     [](const Facts& f) { return std::to_string(f.idea->number); }},
    {"name", k_idea, "the idea's name", [](const Facts& f) { return idea_name(*f.idea); }},
    {"heading", k_idea, "number and name: 2. Fours on one string",
     [](const Facts& f) { return idea_heading(*f.idea); }},
    {"called", k_idea, "the name in a sentence: The first idea is called ...", called},
    {"note", k_idea, "your note on the idea", [](const Facts& f) { return as_sentence(f.idea->note); }},
    {"shape", k_idea, "what it is and how it travels: one to three sentences",
     [](const Facts& f) { return shape_sentence(*f.idea, idea_before(f), f.manner); }},
    {"changes", k_idea, "how the string changes feel to the picking hand",
     [](const Facts& f) { return changes_sentence(*f.idea, idea_before(f), f.manner); }},
    {"feels", k_idea, "where it meets the beat and where it lands, at each feel: one sentence",
     [](const Facts& f) { return feels_sentence(*f.idea, f.manner); }},
    {"start", k_idea, "the first round, string by string, to be said",
     [](const Facts& f) { return spoken_frets(*f.idea); }},
    {"frets", k_idea, "the first round as a list: 6: 12 15 14 15 | 5: 14 12", first_frets},
    {"strokes", k_idea, "its strokes: D U D U | D U", first_strokes},
    {"notes", k_idea, "how many notes the rule has: six notes",
     [](const Facts& f) { return counted_in(f.manner, f.idea->rule.group(), "note"); }},
    {"idea key", k_idea, "the idea's own key", [](const Facts& f) { return key_of(f, f.idea->key); }},
    {"idea chords", k_idea, "the idea's own chords",
     [](const Facts& f) { return chords_text(f.idea->vamp, f.idea->meter); }},
    {"play", k_idea, "the tempos to play, in figures", play},
    {"rule", k_idea, "the rule, as the handout has it", [](const Facts& f) { return said(f).rule; }},
    {"carried", k_idea, "how it is carried, as the handout has it", [](const Facts& f) { return said(f).idea; }},
    {"proof", k_idea, "the string changes, as the handout has them", [](const Facts& f) { return said(f).proof; }},
    {"feel", k_feel, "four notes a beat", feel},
    {"beat", k_feel, "where it meets the beat: one sentence",
     [](const Facts& f) { return beat_sentence(*f.idea, *f.score, f.manner); }},
    {"landing", k_feel, "where it lands: one sentence",
     [](const Facts& f) { return landing_sentence(*f.idea, *f.score, f.manner); }},
    {"item", k_item, "the thing enclosed, or the link", [](const Facts& f) { return f.item; }},
}};

std::vector<Facts> idea_rounds(const Facts& facts) {
  std::vector<Facts> rounds;
  for (std::size_t i = 0; i < facts.handout.ideas.size(); ++i) {
    Facts& round = rounds.emplace_back(facts);
    round.idea = &facts.handout.ideas[i];
    round.idea_index = i;
  }
  return rounds;
}

std::vector<Facts> feel_rounds(const Facts& facts) {
  std::vector<Facts> rounds;
  for (const Score& score : facts.idea->feels) rounds.emplace_back(facts).score = &score;
  return rounds;
}

std::vector<Facts> item_rounds(const Facts& facts, const std::vector<std::string>& items) {
  std::vector<Facts> rounds;
  for (const std::string& item : items) rounds.emplace_back(facts).item = item;
  return rounds;
}

constexpr std::array<TextList, 4> k_lists = {{
    {"idea", k_lesson, k_idea, "each idea of the lesson", idea_rounds},
    {"feel", k_idea, k_feel, "each number of notes a beat of an idea", feel_rounds},
    {"enclosed", k_lesson, k_item, "each thing that goes with the lesson",
     [](const Facts& f) { return item_rounds(f, f.enclosed); }},
    {"link", k_lesson, k_item, "each link",
     [](const Facts& f) { return item_rounds(f, plain_lines(f.handout.prose.links)); }},
}};

/// Whether what belongs to `outer` is known within `inner`.
bool is_known(TextScope outer, TextScope inner) {
  return outer == inner || outer == k_lesson || (outer == k_idea && inner == k_feel);
}

}  // namespace

std::span<const Placeholder> placeholders() { return k_placeholders; }

std::vector<const Placeholder*> placeholders_in(TextScope scope) {
  std::vector<const Placeholder*> rows;
  for (const Placeholder& row : k_placeholders) {
    if (is_known(row.scope, scope)) rows.push_back(&row);
  }
  return rows;
}

std::span<const TextList> text_lists() { return k_lists; }

}  // namespace fretloom
