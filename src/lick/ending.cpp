#include "lick/ending.h"

#include <algorithm>
#include <utility>

namespace fretloom {

namespace {

/// The layout that the phrase ends on.
class LastLayout {
 public:
  LastLayout(const Ground& ground, const Lick& lick, int repeats) : ground_(ground) {
    if (lick.rule.kind == RuleKind::cell && lick.back == Back::none) steps_ = (repeats - 1) * lick.carry.steps;
    const Neck& neck = ground.neck;
    for (int string = neck.strings(); string >= 1; --string) {
      for (int o = 1; o <= row(string).count; ++o) {
        const LickNote note = place_note(ground, string, o, 0, steps_);
        if (neck.has_fret(note.fret)) line_.push_back(note);
      }
    }
    // Unisons once: the thicker string was entered first and the sort is stable.
    std::stable_sort(line_.begin(), line_.end(), [](const LickNote& a, const LickNote& b) { return a.midi < b.midi; });
    line_.erase(
        std::unique(line_.begin(), line_.end(), [](const LickNote& a, const LickNote& b) { return a.midi == b.midi; }),
        line_.end());
  }

  /// The next note by pitch, unisons once; nullptr where the layout ends. Points into this.
  [[nodiscard]] const LickNote* next(int midi, bool upward) const {
    if (upward) {
      const auto above = std::find_if(line_.begin(), line_.end(), [&](const LickNote& n) { return n.midi > midi; });
      return above == line_.end() ? nullptr : &*above;
    }
    const auto below = std::find_if(line_.rbegin(), line_.rend(), [&](const LickNote& n) { return n.midi < midi; });
    return below == line_.rend() ? nullptr : &*below;
  }

  /// The ordinal on this string, which may lie outside 1 to n; 0 for no scale note.
  [[nodiscard]] int ordinal(int string, int midi) const {
    if (!ground_.key.contains(midi)) return 0;
    return ground_.key.step_at_or_above(midi) - row(string).first - steps_ + 1;
  }
  [[nodiscard]] bool has(int string, int midi) const {
    const int o = ground_.key.contains(midi) ? ordinal(string, midi) : 0;
    return o >= 1 && o <= row(string).count;
  }
  /// At most `reach` frets outside the string's row.
  [[nodiscard]] bool is_near(int string, int fret, int reach) const {
    if (row(string).count == 0) return false;
    return fret >= row_fret(string, 1) - reach && fret <= row_fret(string, row(string).count) + reach;
  }

 private:
  [[nodiscard]] const StringRun& row(int string) const { return ground_.layout.strings[ground_.neck.index(string)]; }
  [[nodiscard]] int row_fret(int string, int ordinal) const {
    return fret_of(ground_.key, ground_.neck, ground_.layout, string, ordinal, steps_);
  }

  const Ground& ground_;
  int steps_ = 0;  ///< above the base layout
  std::vector<LickNote> line_;
};

/// The notes that a line may land on.
class Landings {
 public:
  /// `upward`: the line moves up at its end.
  Landings(const Ground& ground, const LastLayout& layout, const LickNote& last, bool upward)
      : ground_(ground), layout_(layout), last_(last), upward_(upward) {}

  /// The scale notes one and two steps away, and the last note again as a root.
  [[nodiscard]] std::vector<LandingCandidate> by_step() const {
    const Key& key = ground_.key;
    const int above = key.step_at_or_above(last_.midi + 1);
    const int below = key.step_at_or_above(last_.midi) - 1;
    std::vector<LandingCandidate> found;
    add(found, {last_.pitch, last_.degree}, true);
    for (int i = 0; i < 2; ++i) {
      for (const int step : {above + i, below - i}) add(found, {key.pitch(step), key.degree(step)});
    }
    return found;
  }

  /// The degree within two steps, else the nearest above and below.
  [[nodiscard]] std::vector<LandingCandidate> on_degree(const Degree& degree) const {
    const int wanted = ground_.key.midi(0) + degree.semitones();
    const int down = last_.midi - 1 - static_cast<int>(floor_mod(last_.midi - 1 - wanted, 12));
    std::vector<LandingCandidate> near;
    std::vector<LandingCandidate> far;
    for (const int midi : {down, down + 12, down + 24}) {
      // An octave above the next one below is the last note itself or the next one above.
      if (midi > last_.midi + 12) continue;
      const Tone tone = spelled(degree, midi);
      add(steps_to(midi) <= 2 ? near : far, tone);
    }
    return near.empty() ? far : near;
  }

 private:
  struct Tone {
    SpelledPitch pitch;
    Degree degree;
  };

  [[nodiscard]] Tone spelled(const Degree& degree, int midi) const {
    Tone tone{{degree.above(ground_.key.tonic()), 0}, degree};
    tone.pitch.octave = static_cast<int>(floor_div(midi - tone.pitch.midi(), 12));
    return tone;
  }

  /// Scale steps from the last note.
  [[nodiscard]] int steps_to(int midi) const {
    if (midi == last_.midi) return 0;
    const Key& key = ground_.key;
    const auto [low, high] = std::minmax(midi, last_.midi);
    return key.step_at_or_above(high) - key.step_at_or_above(low + 1) + 1;
  }

  /// Every place on the neck that has this note.
  void add(std::vector<LandingCandidate>& into, const Tone& tone, bool only_root = false) const {
    const Neck& neck = ground_.neck;
    LandingCandidate candidate;
    LickNote& note = candidate.note;
    note.midi = tone.pitch.midi();
    note.pitch = tone.pitch;
    note.degree = tone.degree;
    note.repeat = last_.repeat;
    candidate.steps = steps_to(note.midi);
    candidate.same_direction = note.midi != last_.midi && (note.midi > last_.midi) == upward_;
    candidate.only_root = only_root;
    for (int string = neck.strings(); string >= 1; --string) {
      note.string = string;
      note.fret = note.midi - neck.open_midi(string);
      if (!neck.has_fret(note.fret)) continue;
      note.ordinal = layout_.ordinal(string, note.midi);
      candidate.move = neck.span(std::min(last_.fret, note.fret), std::max(last_.fret, note.fret));
      candidate.in_layout = layout_.has(string, note.midi);
      candidate.near_row = layout_.is_near(string, note.fret, k_landing_reach);
      into.push_back(candidate);
    }
  }

  const Ground& ground_;
  const LastLayout& layout_;
  const LickNote& last_;
  bool upward_;
};

/// True if the idea goes toward higher notes at its end: the carry's way, turned by a return.
bool ends_upward(const Lick& lick) {
  const bool up = lick.carry.strings != 0 ? lick.carry.strings > 0 : lick.carry.steps >= 0;
  return lick.back == Back::none ? up : !up;
}

class EndingProposer {
 public:
  EndingProposer(const Ground& ground, const Lick& lick, const Phrase& phrase, const EndingRequest& request)
      : ground_(ground),
        lick_(lick),
        phrase_(phrase),
        request_(request),
        layout_(ground, lick, phrase.repeats),
        first_slot_(static_cast<int>((request.start_beat * Rational(request.notes_per_beat)).floor())),
        end_(first_slot_ + phrase.units) {}

  std::vector<EndingShape> propose() {
    const int slot = next_slot(request_.on.value_or(EndingOn::strong));
    propose_at(slot);
    const int beat = next_slot(EndingOn::beat);
    if (!request_.on && slot - end_ > request_.notes_per_beat && beat != slot) propose_at(beat);
    if (slot > end_) keep(trim());
    return std::move(shapes_);
  }

 private:
  [[nodiscard]] bool is_landing_slot(int slot, EndingOn on) const {
    const int k = request_.notes_per_beat;
    if (slot < 0 || slot % k != 0) return false;
    const int beat = slot / k % request_.meter.beats_per_bar();
    if (on == EndingOn::beat) return true;
    if (on == EndingOn::bar) return beat == 0;
    const std::vector<int> strong = request_.meter.strong_beats();
    return std::find(strong.begin(), strong.end(), beat) != strong.end();
  }
  [[nodiscard]] int next_slot(EndingOn on) const {
    int slot = end_;
    while (!is_landing_slot(slot, on)) ++slot;
    return slot;
  }

  void propose_at(int slot) {
    keep(fill(slot));
    if (slot == end_) return;
    keep(hold(slot));
    keep(late(slot));
  }

  void keep(std::optional<EndingShape> shape) {
    if (shape && !shape->landings.empty()) shapes_.push_back(*std::move(shape));
  }

  [[nodiscard]] EndingShape shape(EndingKind kind, int start_slot, int slot) const {
    EndingShape ending;
    ending.kind = kind;
    ending.start_slot = start_slot;
    ending.slot = slot;
    ending.units_changed = slot > end_ ? slot - end_ : end_ - slot;
    ending.body = phrase_.notes;
    return ending;
  }

  /// Steps along the layout to the slot, and back where it ends.
  [[nodiscard]] std::optional<EndingShape> fill(int slot) const {
    EndingShape ending = shape(EndingKind::fill, first_slot_, slot);
    bool upward = ends_upward(lick_);
    int midi = ending.body.back().midi;
    for (int unit = phrase_.units; unit < slot - first_slot_; ++unit) {
      if (layout_.next(midi, upward) == nullptr) upward = !upward;
      const LickNote* next = layout_.next(midi, upward);
      if (next == nullptr) return std::nullopt;
      LickNote& note = ending.fill.emplace_back(*next);
      note.unit = unit;
      note.repeat = ending.body.back().repeat;
      midi = note.midi;
    }
    const auto notes = static_cast<int>(ending.fill.size());
    ending.long_fill = notes > std::max(lick_.rule.group(), request_.notes_per_beat);
    return landed(std::move(ending), upward);
  }

  /// The last note sounds to the slot, over final rests too.
  [[nodiscard]] EndingShape hold(int slot) const {
    EndingShape ending = shape(EndingKind::hold, first_slot_, slot);
    ending.body.back().units = slot - first_slot_ - ending.body.back().unit;
    return landed(std::move(ending), ends_upward(lick_));
  }

  [[nodiscard]] EndingShape late(int slot) const {
    return landed(shape(EndingKind::late, slot - phrase_.units, slot), ends_upward(lick_));
  }

  /// Cuts the last repetition at the last landing slot inside it, if at least half of its notes stay.
  [[nodiscard]] std::optional<EndingShape> trim() const {
    const int last_repetition = end_ - lick_.rule.units();
    int slot = end_ - 1;
    while (slot > last_repetition && !is_landing_slot(slot, request_.on.value_or(EndingOn::strong))) --slot;
    if (slot <= last_repetition) return std::nullopt;
    EndingShape ending = shape(EndingKind::trim, first_slot_, slot);
    const int units = slot - first_slot_;
    const auto dropped =
        static_cast<int>(std::erase_if(ending.body, [&](const LickNote& n) { return n.unit >= units; }));
    if (2 * dropped > lick_.rule.group()) return std::nullopt;
    LickNote& last = ending.body.back();
    last.units = std::min(last.units, units - last.unit);
    return landed(std::move(ending), ends_upward(lick_));
  }

  [[nodiscard]] EndingShape landed(EndingShape ending, bool upward) const {
    const LickNote& last = ending.fill.empty() ? ending.body.back() : ending.fill.back();
    const Landings landings(ground_, layout_, last, upward);
    ending.landings = request_.degree ? landings.on_degree(*request_.degree) : landings.by_step();
    for (LandingCandidate& candidate : ending.landings) {
      candidate.note.unit = ending.slot - ending.start_slot;
      candidate.note.units = request_.notes_per_beat;
    }
    return ending;
  }

  const Ground& ground_;
  const Lick& lick_;
  const Phrase& phrase_;
  const EndingRequest& request_;
  LastLayout layout_;
  int first_slot_;
  int end_;  ///< the slot after the phrase's last unit
  std::vector<EndingShape> shapes_;
};

}  // namespace

std::vector<EndingShape> propose_endings(const Ground& ground, const Lick& lick, const Phrase& phrase,
                                         const EndingRequest& request) {
  return EndingProposer(ground, lick, phrase, request).propose();
}

}  // namespace fretloom
