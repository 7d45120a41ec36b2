#include "sheet/staff.h"

#include <algorithm>
#include <cstdlib>
#include <map>

#include "theory/scale.h"

namespace fretloom::sheet {

namespace {

constexpr int k_octave = 7;
constexpr int k_joined = 7;  // so that a neighbour that joins an ottava, an octave nearer, stays near the staff

/// A beat's events, or those of several beats that ties join: what an ottava starts and ends with.
struct Unit {
  std::vector<std::pair<std::size_t, std::size_t>> events;  ///< bar, event; no rests
  int lowest = 1000;
  int highest = -1000;
  int octaves = 0;
};

std::vector<Unit> units_of(const Meter& meter, const Rhythm& rhythm, const StaffNotes& notes) {
  std::vector<Unit> units;
  for (std::size_t b = 0; b < rhythm.bars.size(); ++b) {
    std::int64_t beat_before = -1;
    for (std::size_t i = 0; i < rhythm.bars[b].events.size(); ++i) {
      const RhythmEvent& event = rhythm.bars[b].events[i];
      const std::int64_t beat = beat_in_bar(meter, event.onset).value.floor();
      if (units.empty() || (beat != beat_before && !event.tie_in)) units.emplace_back();
      beat_before = beat;
      if (event.is_rest()) continue;
      Unit& unit = units.back();
      unit.events.emplace_back(b, i);
      unit.lowest = std::min(unit.lowest, notes.bars[b][i].position);
      unit.highest = std::max(unit.highest, notes.bars[b][i].position);
    }
  }
  return units;
}

/// How far out a unit reaches above (side 1) or below (side -1) the middle line, and its note nearest to the other
/// side.
int outermost(const Unit& unit, int side) { return side > 0 ? unit.highest : -unit.lowest; }
int innermost(const Unit& unit, int side) { return side > 0 ? unit.lowest : -unit.highest; }

/// Units beside one under the line join it while their notes, an octave less, stay in the staff's outer half.
void spread(std::vector<Unit>& units, int octaves, int side, bool forward) {
  const auto n = units.size();
  for (std::size_t k = 1; k < n; ++k) {
    Unit& here = units[forward ? k : n - 1 - k];
    const Unit& before = units[forward ? k - 1 : n - k];
    if (before.octaves == side * octaves && here.octaves == side * (octaves - 1) && !here.events.empty() &&
        innermost(here, side) >= k_joined + (octaves - 1) * k_octave)
      here.octaves = side * octaves;
  }
}

void set_ottava(const Meter& meter, const Rhythm& rhythm, StaffNotes& notes) {
  auto units = units_of(meter, rhythm, notes);
  for (const int side : {1, -1}) {
    for (const int octaves : {1, 2}) {
      for (Unit& unit : units) {
        if (unit.octaves == side * (octaves - 1) &&
            outermost(unit, side) - (octaves - 1) * k_octave > outermost_place(octaves))
          unit.octaves = side * octaves;
      }
      spread(units, octaves, side, true);
      spread(units, octaves, side, false);
    }
  }
  for (const Unit& unit : units) {
    for (const auto& [bar, event] : unit.events) {
      notes.bars[bar][event].octaves = unit.octaves;
      notes.bars[bar][event].position -= unit.octaves * k_octave;
    }
  }
}

/// What a reader believes while going through the bars. A line is a diatonic place as it is printed.
class Accidentals {
 public:
  explicit Accidentals(int fifths) : fifths_(fifths) {}

  void next_bar() {
    before_ = std::move(now_);
    now_.clear();
  }

  /// `note` stands under its ottava already.
  void place(const SpelledPitch& pitch, bool tied, StaffNote& note) {
    const int letter = pitch.pitch_class.letter;
    const int alter = pitch.pitch_class.alter;
    const int line = pitch.diatonic() - k_octave * note.octaves;
    const auto known = now_.find(line);
    const int believed = known != now_.end() ? known->second.alter : signature_alter(fifths_, letter);
    if (tied) {
      tied_ = {line, alter};  // sounds on without a sign; its line falls back to the signature after it
      return;
    }
    if (alter != believed) {
      note.accidental = alter;
    } else if (known == now_.end() ? recalls(letter, line, alter) : known->second.octaves != note.octaves) {
      note.accidental = alter;
      note.courtesy = true;
    }
    if (note.accidental) now_[line] = {alter, note.octaves};
    if (tied_.first == line) tied_.first = k_none;
  }

 private:
  /// A sign as it was printed: what it alters to, and under which ottava.
  struct Sign {
    int alter = 0;
    int octaves = 0;
  };
  using Lines = std::map<int, Sign>;
  static constexpr int k_none = -1000;

  [[nodiscard]] bool recalls(int letter, int line, int alter) const {
    return altered(now_, letter, alter) || altered(before_, letter, alter) ||
           (tied_.first == line && tied_.second != alter);
  }
  static bool altered(const Lines& lines, int letter, int alter) {
    return std::any_of(lines.begin(), lines.end(), [&](const auto& entry) {
      return entry.first % k_octave == letter && entry.second.alter != alter;
    });
  }

  int fifths_;
  Lines now_;
  Lines before_;
  std::pair<int, int> tied_{k_none, 0};
};

}  // namespace

std::vector<int> signature_positions(Clef clef, int fifths) {
  constexpr int k_sharps[] = {4, 1, 5, 2, -1, 3, 0};
  constexpr int k_flats[] = {0, 3, -1, 2, -2, 1, -3};
  std::vector<int> positions;
  const int count = std::min(7, std::abs(fifths));
  for (int i = 0; i < count; ++i) {
    positions.push_back((fifths > 0 ? k_sharps[i] : k_flats[i]) - (clef == Clef::bass ? 2 : 0));
  }
  return positions;
}

StaffNotes place_on_staff(const IdeaSheet& idea, const Score& score, const Rhythm& rhythm) {
  StaffNotes notes;
  const Clef clef = clef_of(idea);
  const auto pitch_of = [&](const RhythmEvent& event) -> const SpelledPitch& {
    return score.notes[static_cast<std::size_t>(event.note)].pitch;
  };
  for (const RhythmBar& bar : rhythm.bars) {
    std::vector<StaffNote>& placed = notes.bars.emplace_back(bar.events.size());
    for (std::size_t i = 0; i < bar.events.size(); ++i) {
      if (!bar.events[i].is_rest()) placed[i].position = staff_position(clef, pitch_of(bar.events[i]));
    }
  }
  set_ottava(idea.meter, rhythm, notes);
  Accidentals accidentals(key_signature(idea.key));
  for (std::size_t b = 0; b < rhythm.bars.size(); ++b) {
    accidentals.next_bar();
    for (std::size_t i = 0; i < rhythm.bars[b].events.size(); ++i) {
      const RhythmEvent& event = rhythm.bars[b].events[i];
      if (!event.is_rest()) accidentals.place(pitch_of(event), event.tie_in, notes.bars[b][i]);
    }
  }
  return notes;
}

std::string to_text(const StaffNotes& notes, const Rhythm& rhythm) {
  std::string out;
  for (std::size_t b = 0; b < notes.bars.size(); ++b) {
    out += "bar " + std::to_string(rhythm.bars[b].number) + "\n";
    for (std::size_t i = 0; i < notes.bars[b].size(); ++i) {
      if (rhythm.bars[b].events[i].is_rest()) continue;
      const StaffNote& note = notes.bars[b][i];
      out += "  n" + std::to_string(rhythm.bars[b].events[i].note) + " at " + std::to_string(note.position);
      if (note.accidental)
        out += std::string(note.courtesy ? " courtesy " : " sign ") +
               (*note.accidental == 0 ? "natural" : accidentals(*note.accidental));
      if (note.octaves != 0)
        out += std::string(std::abs(note.octaves) == 1 ? " 8v" : " 15m") + (note.octaves > 0 ? "a" : "b");
      out += "\n";
    }
  }
  return out;
}

}  // namespace fretloom::sheet
