#include "words/repair_sentence.h"

#include <algorithm>

#include "hand/strokes.h"
#include "lesson/judge.h"
#include "lesson/table_reader.h"
#include "words/english.h"
#include "words/slur_words.h"

namespace fretloom {

namespace {

constexpr std::size_t k_most_ties_told = 2;  // the choices for the rule have them all

class Mender {
 public:
  Mender(const Idea& idea, const CompiledIdea& compiled) : idea_(idea), compiled_(compiled) {}

  Sentence tell() {
    if (!compiled_.repair) return {};
    if (compiled_.repair->possible) {
      possible(*compiled_.repair);
    } else {
      add(text_, "No repair frees them all. " + capital(compiled_.repair->reason) + ".");
    }
    other_start();
    note_by_note();
    return std::move(text_);
  }

 private:
  [[nodiscard]] bool turns() const { return compiled_.repair->first_stroke != idea_.first_stroke; }

  void start_with(bool capitalized) {
    const std::string words = "start with " + a_stroke(other(idea_.first_stroke));
    add(text_, capitalized ? capital(words) : words, {idea_.number, "first_stroke"});
    text_.back().value = toml_string(name(other(idea_.first_stroke)));
  }

  void slur(const std::string& rule, bool capitalized) {
    const std::string words = slur_words(idea_.lick.rule, rule);
    add(text_, capitalized ? capital(words) : words, rule_path(idea_));
    text_.back().value = toml_string(rule);
  }

  void possible(const Repair& repair) {
    if (turns()) start_with(true);
    if (repair.slurs > 0) {
      if (turns()) add(text_, " and ");
      slur(repair.rule, !turns());
      const int group = idea_.lick.rule.group();
      if (group > 1) add(text_, " of every " + number_word(group));
      const std::size_t ties = std::min(repair.ties.size(), k_most_ties_told);
      for (std::size_t i = 0; i < ties; ++i) {
        add(text_, i == 0 ? " (or " : " or ");
        slur(repair.ties[i], false);
      }
      if (ties > 0) add(text_, ")");
    }
    add(text_, compiled_.proof.changes.size() == 1 ? ", and it is free" : ", and all are free");
  }

  /// The other first stroke alone, where it leaves fewer blocked than now.
  void other_start() {
    const Repair& repair = *compiled_.repair;
    const auto strokes = assign_strokes(compiled_.phrase.notes, idea_.picking, other(idea_.first_stroke));
    const int stay = count_blocked(changes(compiled_.phrase.notes, strokes, idea_.settings.clear_after));
    const bool better = stay < compiled_.proof.blocked() && !(repair.possible && turns());
    if (better) {
      add(text_, repair.possible ? "; or " : " ");
      start_with(!repair.possible);
      add(text_, ", and " + number_word(stay) + (stay == 1 ? " stays" : " stay") + " blocked.");
    } else if (repair.possible) {
      add(text_, ".");
    }
  }

  /// Fewer slurs than the rule's would sound, if each note could be slurred by itself.
  void note_by_note() {
    const Repair& repair = *compiled_.repair;
    const int rounds = compiled_.phrase.repeats * (idea_.lick.back == Back::none ? 1 : 2);
    if (!repair.possible || !repair.note_by_note || *repair.note_by_note >= repair.slurs * rounds) return;
    add(text_, " Slurred note by note instead of in every repetition, " + counted_word(*repair.note_by_note, "slur") +
                   (*repair.note_by_note == 1 ? " is enough." : " are enough."));
  }

  const Idea& idea_;
  const CompiledIdea& compiled_;
  Sentence text_;
};

}  // namespace

Sentence repair_sentence(const Idea& idea, const CompiledIdea& compiled) { return Mender(idea, compiled).tell(); }

}  // namespace fretloom
