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

  [[nodiscard]] Ending rank(const EndingShape& shape) const {
    const Rational beat(shape.slot, context_.notes_per_beat);
    const Beats length(Rational(static_cast<std::int64_t>(vamp_.bars) * context_.meter.beats_per_bar()));
    const ScoreChord* chord = chord_at(vamp_.chords, length, Beats(beat));
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
    const LandingCandidate* found = &shape.landings.front();
    for (const LandingCandidate& candidate : shape.landings) {
      if (order(candidate) < order(*found)) found = &candidate;
    }
    const LandingCandidate& best = *found;
    Ending ending{shape.kind, shape.start_slot, shape.slot, shape.body, shape.fill, best.note, {}, {}, {}, {}};
    const std::vector<LickNote> notes = ending.notes();
    ending.strokes = assign_strokes(notes, context_.picking, context_.first_stroke);
    ending.changes = changes(notes, ending.strokes, context_.clear);
    if (chord != nullptr) ending.harmony = harmony(key_, chord->chord, best.note.pitch);
    ending.reason = reason(ending, best, chord, beat);
    return ending;
  }

 private:
  [[nodiscard]] static std::string way(const Ending& ending) {
    const int gap = ending.slot - ending.start_slot - ending.body.back().unit - ending.body.back().units;
    switch (ending.kind) {
      case EndingKind::fill:
        return ending.fill.empty() ? "the phrase ends right before the landing"
                                   : counted(ending.fill.size(), "fill note") + " along the layout";
      case EndingKind::late: return "the idea starts at slot " + std::to_string(ending.start_slot) + " instead";
      case EndingKind::trim: return "the last group is trimmed to meet slot " + std::to_string(ending.slot);
      case EndingKind::hold:
        return "the last note is held for " + counted(static_cast<std::size_t>(ending.body.back().units + gap), "unit");
    }
    return {};
  }

  [[nodiscard]] static std::string on_chord(const Ending& ending, const ScoreChord* chord) {
    if (chord == nullptr) return "";
    const std::string symbol = chord->chord.symbol();
    switch (ending.harmony.role) {
      case HarmonicRole::chord_tone: {
        const Degree* tone =
            chord->chord.tone_at(static_cast<int>(floor_mod(ending.landing.midi - chord->chord.root.semitones(), 12)));
        return ", the " + (tone != nullptr ? chord_tone_word(*tone) : ending.harmony.degree) + " of " + symbol + ",";
      }
      case HarmonicRole::tension: return ", a tension on " + symbol + ",";
      case HarmonicRole::avoid: return ", an avoid note on " + symbol + ",";
      case HarmonicRole::outside: return ", outside the key over " + symbol + ",";
    }
    return "";
  }

  [[nodiscard]] std::string reason(const Ending& ending, const LandingCandidate& best, const ScoreChord* chord,
                                   const Rational& beat) const {
    const Beats in_bar = beat_in_bar(context_.meter, Beats(beat));
    return way(ending) + "; " + ending.landing.pitch.pitch_class.name() + on_chord(ending, chord) + " on beat " +
           std::to_string(in_bar.value.floor() + 1) + " of bar " + std::to_string(bar_of(context_.meter, Beats(beat))) +
           ", " + counted(static_cast<std::size_t>(best.steps), "step") +
           (best.same_direction ? " on in the same direction" : " back") + ", " +
           (ending.strokes.back() == Stroke::down ? "a downstroke" : "an upstroke");
  }

  const Key& key_;
  const Vamp& vamp_;
  const EndingContext& context_;
};

}  // namespace

std::vector<LickNote> Ending::notes() const {
  std::vector<LickNote> all = body;
  all.insert(all.end(), fill.begin(), fill.end());
  all.push_back(landing);
  return all;
}

std::vector<Change> Ending::blocked() const {
  std::vector<Change> found;
  std::copy_if(changes.begin(), changes.end(), std::back_inserter(found),
               [&](const Change& c) { return !c.free && c.after_note >= static_cast<int>(body.size()); });
  return found;
}

std::vector<Ending> rank_endings(const std::vector<EndingShape>& shapes, const Key& key, const Vamp& vamp,
                                 const EndingContext& context) {
  const EndingRanker ranker(key, vamp, context);
  std::vector<Ending> endings;
  for (const EndingShape& shape : shapes) endings.push_back(ranker.rank(shape));
  return endings;
}

}  // namespace fretloom
