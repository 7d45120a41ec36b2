#include "insight/heard.h"

#include <algorithm>
#include <cmath>
#include <string_view>

#include "score/limits.h"

namespace fretloom {

namespace {

constexpr int k_usual_frets = 24;

/// Whether the whole phrase lies on a tuning's strings.
bool holds(const Tuning& tuning, const GivenPhrase& given) {
  int low = tuning.open.front().midi();
  int high = low;
  for (const SpelledPitch& open : tuning.open) {
    low = std::min(low, open.midi());
    high = std::max(high, open.midi());
  }
  return std::all_of(given.notes.begin(), given.notes.end(), [&](const GivenNote& note) {
    if (note.at) return note.at->string >= 1 && note.at->string <= tuning.strings();
    return *note.midi >= low + given.capo && *note.midi <= high + k_usual_frets;
  });
}

std::optional<Tuning> tuning_for(const GivenPhrase& given, const std::optional<Tuning>& otherwise) {
  if (given.tuning) return given.tuning;
  if (otherwise) return otherwise;
  std::vector<std::string_view> names = {"standard", "seven-string", "eight-string", "bass", "five-string bass"};
  if (given.is_bass) std::rotate(names.begin(), names.begin() + 3, names.end());
  for (const std::string_view name : names) {
    const auto tuning = parse_tuning(name);
    if (tuning && holds(*tuning, given)) return *tuning;
  }
  return std::nullopt;
}

/// The least number of units a beat on which every note begins, and ends too where that is asked for, or nothing.
std::optional<int> grid_of(const std::vector<GivenNote>& notes, bool with_ends) {
  for (int k = 1; k <= k_max_notes_per_beat; ++k) {
    const auto falls = [k](const Rational& beats) {
      const double units = beats.to_double() * k;
      return std::abs(units - std::round(units)) <= k_grid_tolerance;
    };
    const bool all_fall = std::all_of(notes.begin(), notes.end(), [&](const GivenNote& note) {
      return falls(note.time->onset) && (!with_ends || falls(note.time->duration));
    });
    if (all_fall) return k;
  }
  return std::nullopt;
}

/// Notes written with rests between them; a player's short touch falls on no grid, or every note has it.
std::optional<int> grid_of(const std::vector<GivenNote>& notes) {
  const bool some_held = std::any_of(notes.begin() + 1, notes.end(), [&](const GivenNote& note) {
    const GivenTime& before = *(&note - 1)->time;
    return before.onset + before.duration == note.time->onset;
  });
  const auto fine = some_held ? grid_of(notes, true) : std::nullopt;
  return fine ? fine : grid_of(notes, false);
}

void put_on_grid(const std::vector<GivenNote>& given, int k, HeardPhrase& phrase) {
  const auto unit_of = [&](const Rational& beats) { return static_cast<int>((beats * Rational(k)).round_half_up()); };
  const int first = unit_of(given.front().time->onset);
  phrase.notes_per_beat = k;
  constexpr int k_farthest_start = 64;  // as a lesson's start.beat
  if (std::abs(first) <= k_farthest_start * k) phrase.start_beat = Rational(first, k);
  for (std::size_t i = 0; i < given.size(); ++i) {
    HeardNote& note = phrase.notes[i];
    note.unit = unit_of(given[i].time->onset) - first;
    // A short touch still fills its unit.
    const double length = given[i].time->duration.to_double() * k;
    note.units = std::max(1, static_cast<int>(std::ceil(length - k_grid_tolerance)));
  }
  for (std::size_t i = 0; i + 1 < given.size(); ++i) {
    const int gap = phrase.notes[i + 1].unit - phrase.notes[i].unit;
    phrase.notes[i].units = std::min(phrase.notes[i].units, std::max(gap, 1));
  }
}

/// Two notes on one unit, or one longer than a rule can say: then the time tells nothing.
bool is_usable(const HeardPhrase& phrase) {
  for (std::size_t i = 0; i + 1 < phrase.notes.size(); ++i) {
    const int gap = phrase.notes[i + 1].unit - phrase.notes[i].unit;
    if (gap < 1 || gap > 64) return false;
  }
  return true;
}

}  // namespace

Result<HeardPhrase> hear(const GivenPhrase& given, const std::optional<Tuning>& otherwise) {
  const auto tuning = tuning_for(given, otherwise);
  const auto is_far = [](const SpelledPitch& open) { return open.midi() < 12 || open.midi() > 96; };
  if (tuning && std::any_of(tuning->open.begin(), tuning->open.end(), is_far))
    return Error{ErrorKind::range, 0, "an open string is lower than C0 or higher than C7", ""};
  if (!tuning) {
    return Error{ErrorKind::range, 0,
                 given.is_placed() ? "no usual tuning has a string with this number; name the tuning"
                                   : "some notes lie below or above every usual tuning; name the tuning",
                 ""};
  }
  HeardPhrase phrase;
  phrase.places = given.is_placed() ? Places::given : Places::unknown;
  int highest = k_usual_frets - given.capo;
  for (const GivenNote& note : given.notes) {
    if (note.at) highest = std::max(highest, note.at->fret);
  }
  phrase.neck = {*tuning, highest + given.capo, Millimetres(648), given.capo};
  if (phrase.neck.frets > k_max_frets)
    return Error{ErrorKind::range, 0, "fret " + std::to_string(highest) + " is higher than any neck has", ""};
  for (const GivenNote& note : given.notes) {
    HeardNote heard;
    heard.attack = note.attack;
    heard.accent = note.accent;
    heard.unit = static_cast<int>(phrase.notes.size());
    if (note.at) {
      if (!phrase.neck.has_string(note.at->string) || note.at->fret < 0)
        return Error{ErrorKind::range, 0,
                     "there is no string " + std::to_string(note.at->string) + " on an instrument with " +
                         std::to_string(tuning->strings()) + " strings",
                     ""};
      heard.string = note.at->string;
      heard.fret = note.at->fret;
      heard.midi = phrase.neck.open_midi(heard.string) + heard.fret;
    } else {
      heard.midi = *note.midi;
    }
    phrase.notes.push_back(heard);
  }
  if (!given.is_timed()) return phrase;
  if (const auto k = grid_of(given.notes)) {
    HeardPhrase timed = phrase;
    put_on_grid(given.notes, *k, timed);
    if (is_usable(timed)) return timed;
  }
  return phrase;
}

}  // namespace fretloom
