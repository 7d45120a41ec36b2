#include "lick/ending.h"

#include <algorithm>
#include <utility>

namespace fretloom {

namespace {

/// The layout as one ascending line, unisons once (the thickest string that has the note on the neck),
/// then past the outer strings along them: the thinnest upward, the thickest downward, to the end of the
/// neck. Layout notes off the neck stay in: the neck ends there.
std::vector<LickNote> layout_line(const Ground& ground, int steps) {
  const Neck& neck = ground.neck;
  std::vector<LickNote> line;
  for (int string = neck.strings(); string >= 1; --string) {
    const int count = ground.layout.strings[neck.index(string)].count;
    for (int o = 1; o <= count; ++o) line.push_back(place_note(ground, string, o, 0, steps));
  }
  std::stable_sort(line.begin(), line.end(), [&](const LickNote& a, const LickNote& b) {
    return std::pair(a.midi, !neck.has_fret(a.fret)) < std::pair(b.midi, !neck.has_fret(b.fret));
  });
  line.erase(
      std::unique(line.begin(), line.end(), [](const LickNote& a, const LickNote& b) { return a.midi == b.midi; }),
      line.end());
  const auto on_string = [&](int string, int step) {
    return place_note(ground, string, step - ground.layout.strings[neck.index(string)].first - steps + 1, 0, steps);
  };
  std::vector<LickNote> below;
  int step = ground.key.step_at_or_above(line.front().midi);
  for (LickNote note = on_string(neck.strings(), --step); neck.has_fret(note.fret);
       note = on_string(neck.strings(), --step)) {
    below.push_back(note);
  }
  step = ground.key.step_at_or_above(line.back().midi);
  for (LickNote note = on_string(1, ++step); neck.has_fret(note.fret); note = on_string(1, ++step))
    line.push_back(note);
  line.insert(line.begin(), below.rbegin(), below.rend());
  return line;
}

/// True if the idea goes toward higher notes at its end: the carry's way, turned by a return.
bool ends_upward(const Lick& lick) {
  const bool up = lick.carry.strings != 0 ? lick.carry.strings > 0 : lick.carry.steps >= 0;
  return lick.back == Back::none ? up : !up;
}

class EndingProposer {
 public:
  EndingProposer(const Ground& ground, const Lick& lick, const Phrase& phrase, const EndingRequest& request)
      : ground_(ground), lick_(lick), phrase_(phrase), request_(request), upward_(ends_upward(lick)) {
    first_slot_ = static_cast<int>((request.start_beat * Rational(request.notes_per_beat)).floor());
    // The last repetition played: R - 1 on the way out, the way out's first after a return.
    const bool moved = lick.rule.kind == RuleKind::cell && lick.back == Back::none;
    last_steps_ = moved ? (phrase.repeats - 1) * lick.carry.steps : 0;
    line_ = layout_line(ground, last_steps_);
  }

  std::vector<EndingShape> propose() {
    const int end = first_slot_ + phrase_.units;
    const int slot = landing_slot_from(end);
    std::vector<EndingShape> shapes;
    const auto keep = [&](std::optional<EndingShape> shape) {
      if (shape && !shape->landings.empty()) shapes.push_back(*std::move(shape));
    };
    keep(fill(slot));
    if (slot == end) return shapes;
    keep(late(slot));
    keep(trim(end));
    keep(hold(slot));
    return shapes;
  }

 private:
  [[nodiscard]] bool is_landing_slot(int slot) const {
    const int k = request_.notes_per_beat;
    if (floor_mod(slot, k) != 0) return false;
    const auto beat = floor_mod(floor_div(slot, k), request_.meter.beats_per_bar());
    if (request_.on == EndingOn::beat) return true;
    if (request_.on == EndingOn::bar) return beat == 0;
    const std::vector<int> strong = request_.meter.strong_beats();
    return std::find(strong.begin(), strong.end(), static_cast<int>(beat)) != strong.end();
  }
  [[nodiscard]] int landing_slot_from(int slot) const {
    while (!is_landing_slot(slot)) ++slot;
    return slot;
  }

  [[nodiscard]] EndingShape shape(EndingKind kind, int start_slot, int slot) const {
    return {kind, start_slot, slot, phrase_.notes, {}, {}};
  }

  std::optional<EndingShape> fill(int slot) {
    EndingShape ending = shape(EndingKind::fill, first_slot_, slot);
    bool upward = upward_;
    LickNote last = ending.body.back();
    for (int unit = phrase_.units; unit < slot - first_slot_; ++unit) {
      const LickNote* next = next_on_line(last.midi, upward);
      if (next == nullptr) {
        upward = !upward;
        next = next_on_line(last.midi, upward);
      }
      if (next == nullptr) return std::nullopt;
      last = *next;
      last.unit = unit;
      last.units = 1;
      last.repeat = ending.body.back().repeat;
      ending.fill.push_back(last);
    }
    land(ending, last, upward);
    return ending;
  }

  std::optional<EndingShape> late(int slot) {
    EndingShape ending = shape(EndingKind::late, slot - phrase_.units, slot);
    land(ending, ending.body.back(), upward_);
    return ending;
  }

  /// Cuts the last repetition at the last landing slot inside it.
  std::optional<EndingShape> trim(int end) {
    int slot = end - 1;
    const int repetition_start = end - lick_.rule.units();
    while (slot > repetition_start && !is_landing_slot(slot)) --slot;
    if (slot <= repetition_start) return std::nullopt;
    EndingShape ending = shape(EndingKind::trim, first_slot_, slot);
    const int units = slot - first_slot_;
    std::erase_if(ending.body, [&](const LickNote& n) { return n.unit >= units; });
    if (ending.body.empty()) return std::nullopt;
    ending.body.back().units = std::min(ending.body.back().units, units - ending.body.back().unit);
    land(ending, ending.body.back(), upward_);
    return ending;
  }

  std::optional<EndingShape> hold(int slot) {
    EndingShape ending = shape(EndingKind::hold, first_slot_, slot);
    ending.body.back().units = slot - first_slot_ - ending.body.back().unit;
    land(ending, ending.body.back(), upward_);
    return ending;
  }

  /// The next note of the line, or nothing where the neck ends.
  [[nodiscard]] const LickNote* next_on_line(int midi, bool upward) const {
    const LickNote* found = nullptr;
    for (const LickNote& note : line_) {
      if (upward ? note.midi > midi : note.midi < midi) found = &note;
      if (upward && found != nullptr) break;
    }
    return found != nullptr && ground_.neck.has_fret(found->fret) ? found : nullptr;
  }

  // --- Landing -----------------------------------------------------------------------------------

  void land(EndingShape& ending, const LickNote& last, bool upward) const {
    const Key& key = ground_.key;
    const int above = key.step_at_or_above(last.midi);
    const int below = above - 1;
    const int first_above = key.contains(last.midi) ? above + 1 : above;
    if (request_.degree) return land_on_degree(ending, last, *request_.degree, upward);
    for (int steps = 1; steps <= 2; ++steps) {
      land_on_step(ending, last, first_above + steps - 1, steps, upward);
      land_on_step(ending, last, below - steps + 1, steps, !upward);
    }
  }

  void land_on_step(EndingShape& ending, const LickNote& last, int step, int steps, bool same_direction) const {
    for (int string = 1; string <= ground_.neck.strings(); ++string) {
      const int first = ground_.layout.strings[ground_.neck.index(string)].first + last_steps_;
      add_landing(ending, last, place_note(ground_, string, step - first + 1, 0, last_steps_), steps, same_direction);
    }
  }

  /// The wanted degree within two scale steps, else the nearest on either side; in the key or not.
  void land_on_degree(EndingShape& ending, const LickNote& last, const Degree& degree, bool upward) const {
    const Key& key = ground_.key;
    const int wanted = key.midi(0) + degree.semitones();
    const int up = last.midi + static_cast<int>(floor_mod(wanted - last.midi - 1, 12)) + 1;
    const int down = last.midi - static_cast<int>(floor_mod(last.midi - wanted - 1, 12)) - 1;
    // A degree outside the key counts as one step onto it.
    const auto steps = [&](int midi) {
      return key.step_at_or_above(std::max(midi, last.midi)) - key.step_at_or_above(std::min(midi, last.midi) + 1) + 1;
    };
    EndingShape near = ending;
    EndingShape far = ending;
    for (const int midi : {up, down}) {
      EndingShape& into = steps(midi) <= 2 ? near : far;
      for (int string = 1; string <= ground_.neck.strings(); ++string) {
        add_landing(into, last, degree_note(degree, string, midi), steps(midi), (midi > last.midi) == upward);
      }
    }
    ending.landings = near.landings.empty() ? far.landings : near.landings;
  }

  [[nodiscard]] LickNote degree_note(const Degree& degree, int string, int midi) const {
    const Key& key = ground_.key;
    const bool in_key = key.contains(midi) && key.degree(key.step_at_or_above(midi)) == degree;
    const int first = ground_.layout.strings[ground_.neck.index(string)].first + last_steps_;
    if (in_key) return place_note(ground_, string, key.step_at_or_above(midi) - first + 1, 0, last_steps_);
    LickNote note;
    note.string = string;
    note.fret = midi - ground_.neck.open_midi(string);
    note.ordinal = 0;
    note.midi = midi;
    note.degree = degree;
    note.pitch = {note.degree.above(key.tonic()), 0};
    note.pitch.octave = static_cast<int>(floor_div(midi - note.pitch.midi(), 12));
    return note;
  }

  void add_landing(EndingShape& ending, const LickNote& last, LickNote note, int steps, bool same_direction) const {
    if (!ground_.neck.has_fret(note.fret)) return;
    note.unit = ending.slot - ending.start_slot;
    note.units = request_.notes_per_beat;
    note.repeat = last.repeat;
    const Millimetres move = ground_.neck.span(std::min(last.fret, note.fret), std::max(last.fret, note.fret));
    ending.landings.push_back({note, steps, same_direction, move});
  }

  const Ground& ground_;
  const Lick& lick_;
  const Phrase& phrase_;
  const EndingRequest& request_;
  int first_slot_ = 0;
  bool upward_;
  int last_steps_ = 0;
  std::vector<LickNote> line_;
};

}  // namespace

std::vector<EndingShape> propose_endings(const Ground& ground, const Lick& lick, const Phrase& phrase,
                                         const EndingRequest& request) {
  return EndingProposer(ground, lick, phrase, request).propose();
}

}  // namespace fretloom
