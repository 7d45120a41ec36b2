#include "words/idea_sentence.h"

#include <algorithm>

#include "words/english.h"
#include "words/lesson_sentence.h"

namespace fretloom {

namespace {

class IdeaTeller {
 public:
  IdeaTeller(const CompiledLesson& lesson, const CompiledIdea& compiled)
      : lesson_(*lesson.lesson), idea_(lesson.idea(compiled)), compiled_(compiled) {}

  Sentence tell() {
    movement();
    way_back();
    feels();
    picking();
    add(text_, ".");
    start();
    changed_by_hand();
    if (!idea_.ending.wanted) {
      add(text_, " It ");
      add(text_, "stops without an ending", own("ending"));
      add(text_, ".");
    }
    add_sentence(text_, override_sentence(lesson_, idea_));
    return std::move(text_);
  }

 private:
  [[nodiscard]] KeyPath own(std::string_view key) const { return {idea_.number, std::string(key)}; }
  [[nodiscard]] bool is_sequence() const { return idea_.lick.rule.kind == RuleKind::sequence; }

  void movement() {
    const Carry& carry = idea_.lick.carry;
    if (idea_.lick.repeats == 1) {
      add(text_, "Played ");
      add(text_, repeats_words(1), own("repeats"));
      return;
    }
    if (carry.strings == 0 && carry.steps == 0) {
      add(text_, "Repeated ");
      add(text_, carry_steps_words(0), own(is_sequence() ? "carry.steps" : "carry.strings"));
    } else {
      add(text_, carry.strings != 0 ? "Carried " : "Moved ");
      if (carry.strings != 0) add(text_, carry_strings_words(carry.strings), own("carry.strings"));
      if (carry.strings != 0 && carry.steps != 0) add(text_, " and ");
      if (carry.steps != 0) add(text_, carry_steps_words(carry.steps), own("carry.steps"));
      add(text_, " each time");
    }
    add(text_, ", ");
    add(text_, repeats_words(idea_.lick.repeats), own("repeats"));
    if (!idea_.lick.repeats) add(text_, " (" + times_word(compiled_.phrase.repeats) + ")");
  }

  void way_back() {
    if (idea_.lick.back == Back::none) return;
    add(text_, ", ");
    add(text_, back_words(idea_.lick.back), own("back"));
  }

  void feels() {
    const std::vector<int>& feels = idea_.notes_per_beat;
    add(text_, ", at ");
    for (std::size_t i = 0; i < feels.size(); ++i) {
      if (i > 0) add(text_, i + 1 < feels.size() ? ", " : " and ");
      add(text_, std::to_string(feels[i]), own("notes_per_beat"));
    }
    add(text_, feels.back() == 1 ? " note a beat" : " notes a beat");
  }

  void picking() {
    add(text_, idea_.picking == Picking::alternate ? ", picked " : ", with ");
    add(text_, picking_words(idea_.picking), own("picking"));
    add(text_, ", from ");
    add(text_, a_stroke(idea_.first_stroke), own("first_stroke"));
  }

  void start() {
    const bool other_string = idea_.lick.start_string != idea_.settings.neck().strings();
    const bool other_note = is_sequence() && idea_.lick.start_ordinal != 1;
    const bool other_beat = idea_.start_beat != Rational(0);
    if (!other_string && !other_note && !other_beat) return;
    add(text_, " It starts ");
    if (other_note) {
      add(text_, "on ");
      add(text_, start_ordinal_words(idea_.lick.start_ordinal), own("start.ordinal"));
      add(text_, " of ");
    } else if (other_string) {
      add(text_, "on ");
    }
    if (other_string || other_note) add(text_, string_words(idea_.lick.start_string), own("start.string"));
    if (other_beat) {
      if (other_string || other_note) add(text_, ", ");
      add(text_, start_beat_words(idea_.start_beat, idea_.settings.meter), own("start.beat"));
    }
    add(text_, ".");
  }

  void changed_by_hand() {
    const auto edits = static_cast<int>(idea_.lick.edits.size());
    if (edits > 0) {
      add(text_, " By hand ");
      add(text_, counted_word(edits, "note"), own("edits"));
      add(text_, edits == 1 ? " is put on another fret." : " are put on other frets.");
    }
    const auto pins = static_cast<int>(idea_.fingers.size());
    if (pins > 0) {
      add(text_, " ");
      add(text_, capital(counted_word(pins, "finger")), own("fingers"));
      add(text_, pins == 1 ? " is set by hand." : " are set by hand.");
    }
  }

  const Lesson& lesson_;
  const Idea& idea_;
  const CompiledIdea& compiled_;
  Sentence text_;
};

}  // namespace

Sentence idea_sentence(const CompiledLesson& lesson, const CompiledIdea& idea) {
  return IdeaTeller(lesson, idea).tell();
}

std::string carry_strings_words(int strings) {
  if (strings == 0) return "in place";
  return counted_word(std::abs(strings), "string") + (strings > 0 ? " thinner" : " thicker");
}

std::string carry_steps_words(int steps) {
  if (steps == 0) return "in place";
  return counted_word(std::abs(steps), "scale step") + (steps > 0 ? " up" : " down");
}

std::string repeats_words(const std::optional<int>& repeats) {
  return repeats ? times_word(*repeats) : "as far as the neck goes";
}

std::string back_words(Back back) {
  switch (back) {
    case Back::none: return "without a way back";
    case Back::retrograde: return "and back note by note";
    case Back::mirrored: return "and back in a mirror";
  }
  return "";
}

std::string picking_words(Picking picking) {
  switch (picking) {
    case Picking::alternate: return "alternately";
    case Picking::grid: return "grid picking";
    case Picking::economy: return "economy picking";
  }
  return "";
}

std::string start_beat_words(const Rational& beat, const Meter& meter) {
  if (beat < Rational(0)) return beats_words(-beat) + " before the first bar line";
  const Rational place = beat_in_bar(meter, Beats(beat)).value;
  const auto bar = static_cast<int>(bar_of(meter, Beats(beat)));
  if (!place.is_whole()) return beats_words(beat) + " after the first bar line";
  return "on beat " + std::to_string(place.num() + 1) + " of the " + ordinal_word(bar) + " bar";
}

std::string start_ordinal_words(int ordinal) { return "the " + ordinal_word(ordinal) + " note"; }

std::string string_words(int string) { return "string " + std::to_string(string); }

}  // namespace fretloom
