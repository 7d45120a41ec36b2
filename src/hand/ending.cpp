#include "hand/ending.h"

#include <algorithm>
#include <tuple>
#include <utility>

#include "base/text.h"

namespace fretloom {

namespace {

/// A landing candidate as the picking hand and the chord see it. Smaller is better.
struct Landing {
  const LandingCandidate* candidate = nullptr;
  Stroke stroke = Stroke::down;
  bool free = true;  ///< no string change, or a free one
  int rest = k_no_rest;

  using Order = std::tuple<bool, bool, bool, int, bool, int, double, bool, int, int>;
  [[nodiscard]] Order order(bool idea_is_blocked) const {
    const LandingCandidate& c = *candidate;
    const bool no_tone = rest == k_no_rest;
    return {!c.near_row,  idea_is_blocked && no_tone, !free,       rest,          !c.same_direction, c.steps,
            c.move.value, stroke != Stroke::down,     c.note.fret, -c.note.string};
  }
};

/// An option with its place among the others. Smaller is better.
struct Ranked {
  EndingOption option;
  using Order = std::tuple<bool, int, bool, bool, bool, bool, bool, int, EndingKind>;
  Order order;
};

class EndingRanker {
 public:
  EndingRanker(const Key& key, const Vamp& vamp, const EndingContext& context)
      : key_(key), vamp_(vamp), context_(context) {}

  [[nodiscard]] std::optional<Ranked> rank(const EndingShape& shape) const {
    const VampChord* sounding = chord_at(vamp_, context_.meter, Beats(Rational(shape.slot, context_.notes_per_beat)));
    const Chord* chord = sounding != nullptr ? &sounding->chord : nullptr;
    const std::optional<Landing> landing = best_landing(shape, chord);
    if (!landing) return std::nullopt;
    Ranked ranked{{{}, shape.body, shape.fill, landing->candidate->note, {}}, {}};
    EndingOption& option = ranked.option;
    const std::vector<LickNote> notes = option.notes();
    option.strokes = assign_strokes(notes, context_.picking, context_.first_stroke);
    option.ending = facts(shape, *landing->candidate, chord);
    for (const Change& change : changes(notes, option.strokes, context_.clear)) {
      if (change.after_note >= static_cast<int>(shape.body.size())) option.ending.changes.push_back(change);
    }
    ranked.order = order(shape, *landing, option);
    return ranked;
  }

 private:
  [[nodiscard]] std::optional<Landing> best_landing(const EndingShape& shape, const Chord* chord) const {
    std::vector<LickNote> before = shape.body;
    before.insert(before.end(), shape.fill.begin(), shape.fill.end());
    std::optional<Stroke> last;
    for (const auto& stroke : assign_strokes(before, context_.picking, context_.first_stroke))
      last = stroke ? stroke : last;
    std::vector<Landing> landings;
    for (const LandingCandidate& candidate : shape.landings) {
      if (candidate.only_root && (chord == nullptr || rest_rank(*chord, candidate.note.midi) != 0)) continue;
      landings.push_back(judge(candidate, before.back(), last, chord));
    }
    std::erase_if(landings, [&, all = landings](const Landing& landing) { return is_needless(landing, all); });
    const auto best = std::min_element(landings.begin(), landings.end(), [&](const Landing& a, const Landing& b) {
      return a.order(context_.blocked > 0) < b.order(context_.blocked > 0);
    });
    return best == landings.end() ? std::nullopt : std::optional(*best);
  }

  /// `last` is the last stroke up to `before`, the note before the landing.
  [[nodiscard]] Landing judge(const LandingCandidate& candidate, const LickNote& before, std::optional<Stroke> last,
                              const Chord* chord) const {
    const LickNote& note = candidate.note;
    Landing landing{&candidate, next_stroke(&before, last, note, context_.picking, context_.first_stroke), true,
                    chord != nullptr ? rest_rank(*chord, note.midi) : k_no_rest};
    if (note.string != before.string && last) {
      landing.free = is_clear_after(context_.clear, *last) ||
                     change_type(before.string, note.string, *last, landing.stroke) == ChangeType::sweep;
    }
    return landing;
  }

  /// Outside the layout although a place inside it has the same pitch and is free.
  static bool is_needless(const Landing& landing, const std::vector<Landing>& all) {
    return !landing.candidate->in_layout && std::any_of(all.begin(), all.end(), [&](const Landing& other) {
      return other.candidate->in_layout && other.free && other.candidate->note.midi == landing.candidate->note.midi;
    });
  }

  [[nodiscard]] Ending facts(const EndingShape& shape, const LandingCandidate& landing, const Chord* chord) const {
    Ending ending;
    ending.kind = shape.kind;
    ending.start_slot = shape.start_slot;
    ending.slot = shape.slot;
    ending.units_changed = shape.units_changed;
    ending.fill = static_cast<int>(shape.fill.size());
    ending.steps = landing.steps;
    ending.same_direction = landing.same_direction;
    if (chord != nullptr) {
      ending.chord = *chord;
      ending.harmony = harmony(key_, *chord, landing.note.pitch);
    }
    return ending;
  }

  [[nodiscard]] Ranked::Order order(const EndingShape& shape, const Landing& landing,
                                    const EndingOption& option) const {
    const LickNote& note = option.landing;
    const bool fill_ends_there =
        !option.fill.empty() && option.fill.back().string == note.string && option.fill.back().fret == note.fret;
    return {context_.wish && shape.kind != *context_.wish,
            option.ending.blocked(),
            landing.rest == k_no_rest,
            !landing.candidate->near_row,
            shape.long_fill,
            shape.kind == EndingKind::trim,
            fill_ends_there,
            shape.units_changed,
            shape.kind};
  }

  const Key& key_;
  const Vamp& vamp_;
  const EndingContext& context_;
};

/// "1 beat", "3 beats", "2 1/2 beats", "3/4 of a beat", "half a beat". Precondition: above 0.
std::string beats_text(const Rational& beats) {
  const std::int64_t whole = beats.floor();
  const Rational rest = beats - Rational(whole);
  if (rest == Rational(0)) return counted(static_cast<std::size_t>(whole), "beat");
  if (whole > 0) return std::to_string(whole) + " " + rest.to_string() + " beats";
  return rest == Rational(1, 2) ? "half a beat" : rest.to_string() + " of a beat";
}

std::string way(const EndingOption& option, int notes_per_beat) {
  const Ending& ending = option.ending;
  const std::string changed =
      ending.units_changed > 0 ? beats_text(Rational(ending.units_changed, notes_per_beat)) : "";
  switch (ending.kind) {
    case EndingKind::fill:
      return option.fill.empty() ? "no more notes are needed"
                                 : counted(option.fill.size(), "more note") + " along the layout";
    case EndingKind::hold:
      return "the last note is held for " + beats_text(Rational(option.body.back().units, notes_per_beat));
    case EndingKind::late: return "the whole idea starts " + changed + " later";
    case EndingKind::trim: return "the last time through is cut short by " + changed;
  }
  return {};
}

/// ", the 5th of Em7," with the commas that set it off from the note's name.
std::string on_chord(const EndingOption& option) {
  const Ending& ending = option.ending;
  if (!ending.chord) return "";
  const std::string symbol = ending.chord->symbol();
  switch (ending.harmony.role) {
    case HarmonicRole::chord_tone: {
      const auto above = floor_mod(option.landing.midi - ending.chord->root.semitones(), 12);
      const Degree* tone = ending.chord->tone_at(static_cast<int>(above));
      return ", the " + (tone != nullptr ? chord_tone_word(*tone) : "bass note") + " of " + symbol + ",";
    }
    case HarmonicRole::tension: return ", a tension on " + symbol + ",";
    case HarmonicRole::avoid: return ", an avoid note on " + symbol + ",";
    case HarmonicRole::outside: return ", outside the key over " + symbol + ",";
  }
  return "";
}

std::string steps_text(const Ending& ending) {
  if (ending.steps == 0) return "the same note again";
  return counted(static_cast<std::size_t>(ending.steps), "step") +
         (ending.same_direction ? " on in the same direction" : " back");
}

}  // namespace

std::vector<LickNote> EndingOption::notes() const {
  std::vector<LickNote> all = body;
  all.insert(all.end(), fill.begin(), fill.end());
  all.push_back(landing);
  return all;
}

std::vector<EndingOption> rank_endings(const std::vector<EndingShape>& shapes, const Key& key, const Vamp& vamp,
                                       const EndingContext& context) {
  const EndingRanker ranker(key, vamp, context);
  std::vector<Ranked> ranked;
  for (const EndingShape& shape : shapes) {
    if (auto option = ranker.rank(shape)) ranked.push_back(*std::move(option));
  }
  std::stable_sort(ranked.begin(), ranked.end(), [](const Ranked& a, const Ranked& b) { return a.order < b.order; });
  std::vector<EndingOption> options;
  for (Ranked& one : ranked) options.push_back(std::move(one.option));
  return options;
}

bool has_kind(const std::vector<EndingOption>& options, EndingKind kind) {
  return std::any_of(options.begin(), options.end(), [&](const EndingOption& o) { return o.ending.kind == kind; });
}

std::string reason(const EndingOption& option, const Meter& meter, int notes_per_beat) {
  const Beats beat(Rational(option.ending.slot, notes_per_beat));
  return way(option, notes_per_beat) + "; " + option.landing.pitch.pitch_class.name() + on_chord(option) + " on beat " +
         std::to_string(beat_in_bar(meter, beat).value.floor() + 1) + " of bar " + std::to_string(bar_of(meter, beat)) +
         ", " + steps_text(option.ending) + ", " +
         (option.strokes.back() == Stroke::down ? "a downstroke" : "an upstroke");
}

}  // namespace fretloom
