#pragma once
// Facts and sentences about ideas that the description, the script and the e-mail share. Each function
// gives one sentence, or nothing where the fact is missing.

#include <functional>
#include <string>
#include <vector>

#include "pack/words.h"

namespace fretloom {

/// What is set for a whole lesson or for one idea: "Key", "E dorian".
struct Fact {
  std::string name;
  std::string value;

  friend bool operator==(const Fact&, const Fact&) = default;
};
using Facts = std::vector<Fact>;

/// Key, meter, chords, tempo, tuning and capo of an idea.
[[nodiscard]] Facts facts_of(const Score& score);
/// Those of the first idea with the lesson's own key: what the head of a text says once.
[[nodiscard]] Facts common_facts(const Handout& handout);
/// The facts that are not in `common`.
[[nodiscard]] Facts different(const Facts& facts, const Facts& common);
/// "Key: E dorian."
[[nodiscard]] std::string to_sentence(const Fact& fact);
/// "Start playback quiet. (NIOSH ...)"
[[nodiscard]] std::string to_sentence(const Caution& caution);

/// The ideas that have a feel; only they can be spoken of.
[[nodiscard]] std::vector<const ScoreSet*> ideas_of(const Handout& handout);
/// Each on one line; empty ones are dropped.
[[nodiscard]] std::vector<std::string> plain_lines(const std::vector<std::string>& texts);

/// "2. Eight with a turn", "2." without a name.
[[nodiscard]] std::string idea_heading(const Score& score, std::size_t number);
/// "The rule: string notes 1, 3, 2, 3, then 1 string thinner: 2, 1."
[[nodiscard]] std::string rule_sentence(const Score& score);
/// What its numbers count: string notes or scale steps. To be said once.
[[nodiscard]] std::string rule_explanation(const Score& score);
/// What a visit is, if the proof speaks of one. To be said once.
[[nodiscard]] std::string visit_explanation(const Score& score);
/// How to read visits_text and strokes_text, with the signs that this handout's notes need.
[[nodiscard]] std::string reading_help(const Handout& handout);
/// "The second time through starts on string 5 at fret 12."
[[nodiscard]] std::string second_start_sentence(const Score& score);
/// The proof without its lists of counts and without the looped case, which the sheet has: short enough to
/// be said, and alike for feels that differ in their ending alone.
[[nodiscard]] std::string brief_proof(const Score& score);
/// "The line lands in bar 3 ..."
[[nodiscard]] std::string landing_sentence(const Score& score);
/// "6 notes, 4 and 6 to a beat".
[[nodiscard]] std::string notes_phrase(const ScoreSet& set);
/// "The rule has 6 notes, played 4 and 6 to a beat."
[[nodiscard]] std::string notes_sentence(const ScoreSet& set);
/// "The first time through: 6: 12 15 14 15 | 5: 14 12, with strokes D U D U | D U."
[[nodiscard]] std::string start_sentence(const Score& score);
/// One sentence for all feels where they agree, else one each: "At 4 notes a beat, the line ..." An empty
/// one is left out.
[[nodiscard]] std::vector<std::string> by_feel(const ScoreSet& set,
                                               const std::function<std::string(const Score&)>& sentence);
/// The notes of the first time through the rule.
[[nodiscard]] std::vector<ScoreNote> first_repetition(const Score& score);
/// "4 notes a beat".
[[nodiscard]] std::string feel_text(const Score& score);
/// "60 to 120 beats a minute", "60 beats a minute".
[[nodiscard]] std::string tempos_text(const Score& score);

}  // namespace fretloom
