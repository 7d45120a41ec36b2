#include "words/ending_sentence.h"

#include "words/english.h"
#include "words/spoken.h"

namespace fretloom {

namespace {

class EndingTeller {
 public:
  EndingTeller(const CompiledLesson& lesson, const CompiledIdea& compiled, const Feel& feel)
      : source_(lesson.lesson->source), idea_(lesson.idea(compiled)), feel_(feel), option_(feel.endings.front()) {}

  Sentence tell() {
    if (idea_.notes_per_beat.size() > 1) {
      const int k = feel_.notes_per_beat;
      add(text_, "At " + std::to_string(k) + (k == 1 ? " note a beat " : " notes a beat "));
      before();
    } else {
      before();
      text_.front().text = capital(text_.front().text);
    }
    landing();
    behind();
    add(text_, ".");
    blocked();
    return std::move(text_);
  }

 private:
  /// A key of the ending's table; the whole value where that is a word ("auto").
  [[nodiscard]] KeyPath place(std::string_view key) const {
    const KeyPath whole{idea_.number, "ending"};
    const auto next = source_.upper_bound(whole);
    const bool has_keys =
        next != source_.end() && next->first.idea == whole.idea && next->first.key.starts_with("ending.");
    return source_.contains(whole) && !has_keys ? whole : whole / key;
  }

  [[nodiscard]] const Ending& ending() const { return option_.ending; }

  void before() {
    const int k = feel_.notes_per_beat;
    const Rational later = Rational(ending().start_slot, k) - idea_.start_beat;
    switch (ending().kind) {
      case EndingKind::late:
        add(text_, "it starts ");
        add(text_, beats_words(later) + " later", place("kind"));
        add(text_, " and ends on ");
        return;
      case EndingKind::trim:
        add(text_, "the last time through ");
        add(text_, "is cut short", place("kind"));
        add(text_, ", and it ends on ");
        return;
      case EndingKind::fill:
      case EndingKind::hold: add(text_, "it ends on "); return;
    }
  }

  void landing() {
    const Meter& meter = idea_.settings.meter;
    const Beats beat(Rational(ending().slot, feel_.notes_per_beat));
    add(text_, option_.landing.pitch.pitch_class.name() + ", ");
    if (ending().chord) {
      add(text_, harmony_words(ending().harmony, *ending().chord), place("degree"));
      add(text_, ", ");
    }
    add(text_, "in ");
    add(text_,
        "bar " + std::to_string(bar_of(meter, beat)) + " on beat " +
            std::to_string(beat_in_bar(meter, beat).value.floor() + 1),
        place("on"));
  }

  void behind() {
    if (ending().kind == EndingKind::fill) {
      add(text_, ", ");
      add(text_,
          option_.fill.empty() ? "right after its last note"
                               : "after " + counted_word(static_cast<int>(option_.fill.size()), "more note"),
          place("kind"));
    }
    if (ending().kind == EndingKind::hold) {
      add(text_, "; ");
      add(text_, "the note before it rings until then", place("kind"));
    }
  }

  void blocked() {
    const Change* first = first_blocked(ending().changes);
    if (first == nullptr) return;
    const int count = ending().blocked();
    add(text_, " " + capital(counted_word(count, "string change")) + " of the ending " +
                   (count == 1 ? "is blocked, " : "are blocked, the first ") + "from string " +
                   std::to_string(first->from) + " to string " + std::to_string(first->to) + ".");
  }

  const SourceIndex& source_;
  const Idea& idea_;
  const Feel& feel_;
  const EndingOption& option_;
  Sentence text_;
};

}  // namespace

Sentence ending_sentence(const CompiledLesson& lesson, const CompiledIdea& idea, const Feel& feel) {
  return feel.endings.empty() ? Sentence{} : EndingTeller(lesson, idea, feel).tell();
}

std::string harmony_words(const Harmony& harmony, const Chord& chord) {
  const std::string symbol = chord.symbol();
  switch (harmony.role) {
    case HarmonicRole::chord_tone: return tone_words(harmony.degree, Manner::written) + " of " + symbol;
    case HarmonicRole::tension: return "a tension over " + symbol;
    case HarmonicRole::avoid: return "an avoid note over " + symbol;
    case HarmonicRole::outside: return "outside the key over " + symbol;
  }
  return "";
}

std::string ending_kind_words(EndingKind kind) {
  switch (kind) {
    case EndingKind::fill: return "fill the gap with notes";
    case EndingKind::hold: return "hold the last note";
    case EndingKind::late: return "start later";
    case EndingKind::trim: return "cut the last time short";
  }
  return "";
}

std::string ending_on_words(EndingOn on) {
  switch (on) {
    case EndingOn::beat: return "any beat";
    case EndingOn::strong: return "a strong beat";
    case EndingOn::bar: return "the first beat of a bar";
  }
  return "";
}

}  // namespace fretloom
