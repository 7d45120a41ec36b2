#include "sheet/staff.h"

#include <algorithm>
#include <map>

#include "theory/scale.h"

namespace fretloom::sheet {

namespace {

constexpr int k_octave = 7;
constexpr int k_treble_middle = 34;  // B4
constexpr int k_bass_middle = 22;    // D3
constexpr int k_highest_plain = 12;  // four ledger lines above the staff
constexpr int k_lowest_joined = 7;   // so that an octave lower stays near the staff

/// A bar's events from one beat group: what an ottava starts and ends with.
struct Unit {
  std::size_t bar = 0;
  std::size_t first = 0;
  std::size_t last = 0;
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
      if (beat != beat_before) units.push_back({b, i, i, 1000, -1000, 0});
      beat_before = beat;
      Unit& unit = units.back();
      unit.last = i;
      if (event.is_rest()) continue;
      unit.lowest = std::min(unit.lowest, notes.bars[b][i].position);
      unit.highest = std::max(unit.highest, notes.bars[b][i].position);
    }
  }
  return units;
}

/// Units beside one under the line join it while their notes, `octaves` - 1 lower, stay in the upper half.
void spread(std::vector<Unit>& units, int octaves, bool forward) {
  const auto n = units.size();
  const int lowest = k_lowest_joined + (octaves - 1) * k_octave;
  for (std::size_t k = 1; k < n; ++k) {
    const std::size_t here = forward ? k : n - 1 - k;
    const std::size_t before = forward ? here - 1 : here + 1;
    if (units[before].octaves == octaves && units[here].octaves == octaves - 1 && units[here].lowest >= lowest &&
        units[here].highest > -1000)
      units[here].octaves = octaves;
  }
}

void set_ottava(const Meter& meter, const Rhythm& rhythm, StaffNotes& notes) {
  auto units = units_of(meter, rhythm, notes);
  for (const int octaves : {1, 2}) {
    for (Unit& unit : units) {
      if (unit.octaves == octaves - 1 && unit.highest - (octaves - 1) * k_octave > k_highest_plain)
        unit.octaves = octaves;
    }
    spread(units, octaves, true);
    spread(units, octaves, false);
  }
  for (const Unit& unit : units) {
    for (std::size_t i = unit.first; i <= unit.last; ++i) {
      if (rhythm.bars[unit.bar].events[i].is_rest()) continue;
      notes.bars[unit.bar][i].octaves = unit.octaves;
      notes.bars[unit.bar][i].position -= unit.octaves * k_octave;
    }
  }
}

/// What a reader believes while going through the bars.
class Accidentals {
 public:
  explicit Accidentals(int fifths) : fifths_(fifths) {}

  void next_bar() {
    before_ = std::move(now_);
    now_.clear();
  }

  void place(const SpelledPitch& pitch, bool tied, StaffNote& note) {
    const int letter = pitch.pitch_class.letter;
    const int alter = pitch.pitch_class.alter;
    const int line = pitch.diatonic();
    const int signature = signature_alter(fifths_, letter);
    const auto known = now_.find(line);
    const int believed = known != now_.end() ? known->second : signature;
    if (tied) {
      tied_ = {line, alter};  // sounds on without a sign; its line falls back to the signature after it
      return;
    }
    if (alter != believed) {
      note.accidental = alter;
    } else if (known == now_.end() && (altered_elsewhere(now_, letter, line, alter) || altered_before(letter, alter) ||
                                       (tied_.first == line && tied_.second != alter))) {
      note.accidental = alter;
      note.courtesy = true;
    }
    if (note.accidental) now_[line] = alter;
    if (tied_.first == line) tied_.first = k_none;
  }

 private:
  static constexpr int k_none = -1000;

  static bool altered_elsewhere(const std::map<int, int>& lines, int letter, int line, int alter) {
    return std::any_of(lines.begin(), lines.end(), [&](const auto& entry) {
      return entry.first != line && entry.first % k_octave == letter && entry.second != alter;
    });
  }
  [[nodiscard]] bool altered_before(int letter, int alter) const {
    return std::any_of(before_.begin(), before_.end(),
                       [&](const auto& entry) { return entry.first % k_octave == letter && entry.second != alter; });
  }

  int fifths_;
  std::map<int, int> now_;
  std::map<int, int> before_;
  std::pair<int, int> tied_{k_none, 0};
};

}  // namespace

int staff_position(Clef clef, const SpelledPitch& sounding) {
  return sounding.diatonic() + k_octave - (clef == Clef::bass ? k_bass_middle : k_treble_middle);
}

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
  const Clef clef = idea.instrument.clef();
  Accidentals accidentals(key_signature(idea.key));
  for (const RhythmBar& bar : rhythm.bars) {
    accidentals.next_bar();
    std::vector<StaffNote> placed(bar.events.size());
    for (std::size_t i = 0; i < bar.events.size(); ++i) {
      const RhythmEvent& event = bar.events[i];
      if (event.is_rest()) continue;
      const SpelledPitch& pitch = score.notes[static_cast<std::size_t>(event.note)].pitch;
      placed[i].position = staff_position(clef, pitch);
      accidentals.place(pitch, event.tie_in, placed[i]);
    }
    notes.bars.push_back(std::move(placed));
  }
  set_ottava(idea.meter, rhythm, notes);
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
      if (note.octaves > 0) out += note.octaves == 1 ? " 8va" : " 15ma";
      out += "\n";
    }
  }
  return out;
}

}  // namespace fretloom::sheet
