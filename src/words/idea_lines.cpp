#include <algorithm>

#include "base/text.h"
#include "pack/words_facts.h"

namespace fretloom {

namespace {

std::string tuning_text(const Score& score) {
  std::vector<std::string> names;
  for (const ScoreString& string : score.strings) names.push_back(string.open.name());
  return names.empty() ? "" : join(names, " ") + ", thickest string first";
}

/// A compound beat has to be said; a simple one is the denominator's note.
std::string beat_name(const Meter& meter) {
  if (!meter.is_compound()) return "";
  return meter.denominator == 8 ? ", a beat being a dotted quarter note" : ", a beat being a dotted eighth note";
}

/// A sentence of ours within another: they start with an ASCII letter and never with a name.
std::string small_start(std::string sentence) {
  return lower(sentence.substr(0, 1)) + sentence.substr(std::min<std::size_t>(1, sentence.size()));
}

/// "4 and 6".
std::string feels_text(const ScoreSet& set) {
  std::vector<std::string> feels;
  for (const Score& score : set.feels) {
    const std::string count = std::to_string(score.notes_per_beat);
    if (std::find(feels.begin(), feels.end(), count) == feels.end()) feels.push_back(count);
  }
  return listed(feels);
}

void add(Facts& facts, std::string name, std::string value) {
  if (!value.empty()) facts.push_back({std::move(name), std::move(value)});
}

}  // namespace

std::string tempos_text(const Score& score) {
  const std::string goal = tempo_text(score.goal_bpm) + " beats a minute";
  return score.slow_bpm == score.goal_bpm ? goal : tempo_text(score.slow_bpm) + " to " + goal;
}

Facts facts_of(const Score& score) {
  Facts facts;
  add(facts, "Key", plain_line(score.key));
  add(facts, "Meter", score.meter.name());
  add(facts, "Chords", vamp_text(score));
  add(facts, "Tempo", tempos_text(score) + beat_name(score.meter));
  add(facts, "Tuning", tuning_text(score));
  add(facts, "Capo", score.capo > 0 ? "fret " + std::to_string(score.capo) + "; frets count from there" : "");
  return facts;
}

Facts common_facts(const Handout& handout) {
  const std::vector<const ScoreSet*> ideas = ideas_of(handout);
  Facts facts = ideas.empty() ? Facts{} : facts_of(ideas.front()->feels.front());
  const std::string key = plain_line(handout.key);
  if (key.empty()) return facts;
  std::erase_if(facts, [](const Fact& fact) { return fact.name == "Key"; });
  facts.insert(facts.begin(), {"Key", key});
  return facts;
}

Facts different(const Facts& facts, const Facts& common) {
  Facts out;
  std::copy_if(facts.begin(), facts.end(), std::back_inserter(out),
               [&](const Fact& fact) { return std::find(common.begin(), common.end(), fact) == common.end(); });
  const auto is_capo = [](const Fact& fact) { return fact.name == "Capo"; };
  const bool had = std::any_of(common.begin(), common.end(), is_capo);
  if (had && std::none_of(facts.begin(), facts.end(), is_capo)) out.push_back({"Capo", "none for this idea"});
  return out;
}

std::string to_sentence(const Fact& fact) { return fact.name + ": " + fact.value + "."; }

std::string to_sentence(const Caution& caution) {
  return std::string(caution.text) + " (" + std::string(caution.source) + ")";
}

std::vector<const ScoreSet*> ideas_of(const Handout& handout) {
  std::vector<const ScoreSet*> ideas;
  for (const ScoreSet& set : handout.ideas) {
    if (!set.feels.empty()) ideas.push_back(&set);
  }
  return ideas;
}

std::vector<std::string> plain_lines(const std::vector<std::string>& texts) {
  std::vector<std::string> lines;
  for (const std::string& text : texts) {
    std::string line = plain_line(text);
    if (!line.empty()) lines.push_back(std::move(line));
  }
  return lines;
}

std::string idea_heading(const Score& score, std::size_t number) {
  const std::string title = plain_line(score.title);
  return std::to_string(number) + "." + (title.empty() ? "" : " " + title);
}

std::string rule_sentence(const Score& score) {
  const std::string words = plain_line(score.rule_in_words);
  return words.empty() ? "" : "The rule: " + small_start(words);
}

std::string rule_explanation(const Score& score) {
  if (score.rule_in_words.starts_with("String note")) return "String note 1 is a string's lowest note in the layout.";
  return score.rule_in_words.empty() ? "" : "Step 1 is the note where the line starts.";
}

std::string visit_explanation(const Score& score) {
  if (score.proof.find("visit") == std::string::npos) return "";
  return "A visit is a run of notes on one string, until the pick goes to another.";
}

std::string reading_help(const Handout& handout) {
  std::vector<ScoreNote> notes;
  for (const ScoreSet* set : ideas_of(handout)) {
    const std::vector<ScoreNote> first = first_repetition(set->feels.front());
    notes.insert(notes.end(), first.begin(), first.end());
  }
  if (notes.empty()) return "";
  const std::string string = std::to_string(notes.front().string);
  const std::string fret = std::to_string(notes.front().fret);
  const bool has_slurs =
      std::any_of(notes.begin(), notes.end(), [](const ScoreNote& note) { return note.attack != Attack::pick; });
  return "String 1 is the thinnest; " + string + ": " + fret + " means string " + string + ", fret " + fret +
         ". D is a downstroke, U an upstroke" +
         (has_slurs ? "; h, p and s before a fret are a hammer-on, a pull-off and a slide, which take no stroke (-)."
                    : ".");
}

std::string second_start_sentence(const Score& score) {
  const auto second =
      std::find_if(score.notes.begin(), score.notes.end(), [](const ScoreNote& note) { return note.repeat == 2; });
  if (second == score.notes.end()) return "";
  return "The second time through starts on string " + std::to_string(second->string) + " at fret " +
         std::to_string(second->fret) + ".";
}

std::string brief_proof(const Score& score) {
  std::string text = plain_line(score.proof);
  text.resize(std::min(text.find(" Looped "), text.size()));
  for (std::size_t open = text.find(" ("); open != std::string::npos; open = text.find(" (", open)) {
    const std::size_t close = text.find_first_not_of("0123456789 ", open + 2);
    const bool counts = close != std::string::npos && close > open + 2 && text[close] == ')';
    if (counts) text.erase(open, close + 1 - open);
    if (!counts) ++open;
  }
  return text;
}

std::string landing_sentence(const Score& score) {
  const std::string landing = landing_text(score);
  return landing.empty() ? "" : "The line " + landing + ".";
}

std::string notes_phrase(const ScoreSet& set) {
  const int group = set.feels.front().group;
  const std::string feels = feels_text(set) + " to a beat";
  return group < 1 ? feels : counted(static_cast<std::size_t>(group), "note") + ", " + feels;
}

std::string notes_sentence(const ScoreSet& set) {
  const int group = set.feels.front().group;
  const std::string feels = "played " + feels_text(set) + " to a beat.";
  if (group < 1) return "It is " + feels;
  return "The rule has " + counted(static_cast<std::size_t>(group), "note") + ", " + feels;
}

std::vector<ScoreNote> first_repetition(const Score& score) {
  std::vector<ScoreNote> notes;
  std::copy_if(score.notes.begin(), score.notes.end(), std::back_inserter(notes),
               [](const ScoreNote& note) { return note.repeat == 1 && note.role == Role::rule; });
  return notes;
}

std::string start_sentence(const Score& score) {
  const std::vector<ScoreNote> notes = first_repetition(score);
  if (notes.empty()) return "";
  return "The first time through: " + visits_text(notes) + ", with strokes " + strokes_text(notes) + ".";
}

std::vector<std::string> by_feel(const ScoreSet& set, const std::function<std::string(const Score&)>& sentence) {
  std::vector<std::string> all;
  for (const Score& score : set.feels) all.push_back(plain_line(sentence(score)));
  if (std::equal(all.begin() + 1, all.end(), all.begin())) all.resize(1);
  const bool agreed = all.size() == 1;
  std::vector<std::string> out;
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (all[i].empty()) continue;
    out.push_back(agreed ? all[i] : "At " + feel_text(set.feels[i]) + ", " + small_start(all[i]));
  }
  return out;
}

std::string feel_text(const Score& score) {
  return counted(static_cast<std::size_t>(std::max(score.notes_per_beat, 0)), "note") + " a beat";
}

}  // namespace fretloom
