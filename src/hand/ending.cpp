#include "hand/ending.h"

#include <algorithm>
#include <tuple>

#include "base/text.h"

namespace fretloom {

namespace {

class EndingRanker {
 public:
  EndingRanker(const Key& key, const Vamp& vamp, const EndingContext& context)
      : key_(key), vamp_(vamp), context_(context) {}

  [[nodiscard]] EndingOption rank(const EndingShape& shape) const {
    const Rational beat(shape.slot, context_.notes_per_beat);
    const VampChord* chord = chord_at(vamp_, context_.meter, Beats(beat));
    std::vector<LickNote> before = shape.body;
    before.insert(before.end(), shape.fill.begin(), shape.fill.end());
    const Strokes strokes = assign_strokes(before, context_.picking, context_.first_stroke);
    std::optional<Stroke> last;
    for (const auto& stroke : strokes) last = stroke ? stroke : last;
    using Order = std::tuple<int, int, int, double, int, int>;
    const auto order = [&](const LandingCandidate& c) {
      const Stroke stroke = next_stroke(&before.back(), last, c.note, context_.picking, context_.first_stroke);
      return Order(chord != nullptr ? rest_rank(chord->chord, c.note.midi) : 4, c.same_direction ? 0 : 1, c.steps,
                   c.move.value, stroke == Stroke::down ? 0 : 1, c.note.fret);
    };
    const LandingCandidate* best = &shape.landings.front();
    for (const LandingCandidate& candidate : shape.landings) {
      if (order(candidate) < order(*best)) best = &candidate;
    }
    EndingOption option{{}, shape.body, shape.fill, best->note, {}};
    const std::vector<LickNote> notes = option.notes();
    option.strokes = assign_strokes(notes, context_.picking, context_.first_stroke);
    option.ending = facts(shape, *best, notes, option.strokes, chord);
    return option;
  }

 private:
  [[nodiscard]] Ending facts(const EndingShape& shape, const LandingCandidate& landing,
                             const std::vector<LickNote>& notes, const Strokes& strokes, const VampChord* chord) const {
    Ending ending;
    ending.kind = shape.kind;
    ending.start_slot = shape.start_slot;
    ending.slot = shape.slot;
    ending.fill = static_cast<int>(shape.fill.size());
    ending.steps = landing.steps;
    ending.same_direction = landing.same_direction;
    if (chord != nullptr) {
      ending.chord = chord->chord;
      ending.harmony = harmony(key_, chord->chord, landing.note.pitch);
    }
    for (const Change& change : changes(notes, strokes, context_.clear)) {
      if (change.after_note >= static_cast<int>(shape.body.size())) ending.changes.push_back(change);
    }
    return ending;
  }

  const Key& key_;
  const Vamp& vamp_;
  const EndingContext& context_;
};

std::string way(const EndingOption& option) {
  const Ending& ending = option.ending;
  const int held = ending.slot - ending.start_slot - option.body.back().unit;
  switch (ending.kind) {
    case EndingKind::fill:
      return option.fill.empty() ? "the phrase ends right before the landing"
                                 : counted(option.fill.size(), "fill note") + " along the layout";
    case EndingKind::late: return "the idea starts at slot " + std::to_string(ending.start_slot) + " instead";
    case EndingKind::trim: return "the last group is trimmed to meet slot " + std::to_string(ending.slot);
    case EndingKind::hold: return "the last note is held for " + counted(static_cast<std::size_t>(held), "unit");
  }
  return {};
}

std::string on_chord(const EndingOption& option) {
  const Ending& ending = option.ending;
  if (!ending.chord) return "";
  const std::string symbol = ending.chord->symbol();
  switch (ending.harmony.role) {
    case HarmonicRole::chord_tone: {
      const Degree* tone =
          ending.chord->tone_at(static_cast<int>(floor_mod(option.landing.midi - ending.chord->root.semitones(), 12)));
      return ", the " + (tone != nullptr ? chord_tone_word(*tone) : ending.harmony.degree) + " of " + symbol + ",";
    }
    case HarmonicRole::tension: return ", a tension on " + symbol + ",";
    case HarmonicRole::avoid: return ", an avoid note on " + symbol + ",";
    case HarmonicRole::outside: return ", outside the key over " + symbol + ",";
  }
  return "";
}

}  // namespace

std::vector<LickNote> EndingOption::notes() const {
  std::vector<LickNote> all = body;
  all.insert(all.end(), fill.begin(), fill.end());
  all.push_back(landing);
  return all;
}

std::string reason(const EndingOption& option, const Meter& meter, int notes_per_beat) {
  const Beats beat(Rational(option.ending.slot, notes_per_beat));
  return way(option) + "; " + option.landing.pitch.pitch_class.name() + on_chord(option) + " on beat " +
         std::to_string(beat_in_bar(meter, beat).value.floor() + 1) + " of bar " + std::to_string(bar_of(meter, beat)) +
         ", " + counted(static_cast<std::size_t>(option.ending.steps), "step") +
         (option.ending.same_direction ? " on in the same direction" : " back") + ", " +
         (option.strokes.back() == Stroke::down ? "a downstroke" : "an upstroke");
}

std::vector<EndingOption> rank_endings(const std::vector<EndingShape>& shapes, const Key& key, const Vamp& vamp,
                                       const EndingContext& context) {
  const EndingRanker ranker(key, vamp, context);
  std::vector<EndingOption> options;
  for (const EndingShape& shape : shapes) options.push_back(ranker.rank(shape));
  return options;
}

}  // namespace fretloom
