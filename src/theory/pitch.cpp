#include "theory/pitch.h"

#include <array>

#include "base/arithmetic.h"
#include "base/rational.h"
#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::array<int, 7> k_letter_semitones = {0, 2, 4, 5, 7, 9, 11};
constexpr std::string_view k_letters = "CDEFGAB";

/// Reads accidentals from the front of `text`; at most two, of one kind.
std::optional<int> take_accidentals(std::string_view& text) {
  int alter = 0;
  while (!text.empty() && (text.front() == '#' || text.front() == 'b')) {
    const int step = text.front() == '#' ? 1 : -1;
    if (alter * step < 0) return std::nullopt;
    alter += step;
    text.remove_prefix(1);
  }
  if (std::abs(alter) > 2) return std::nullopt;
  return alter;
}

/// Reads letter and accidentals from the front of `text`.
std::optional<PitchClass> take_pitch_class(std::string_view& text) {
  if (text.empty()) return std::nullopt;
  const char first = text.front();
  const std::size_t letter =
      k_letters.find(first >= 'a' && first <= 'z' ? static_cast<char>(first - 'a' + 'A') : first);
  if (letter == std::string_view::npos) return std::nullopt;
  text.remove_prefix(1);
  const std::optional<int> alter = take_accidentals(text);
  if (!alter) return std::nullopt;
  return PitchClass{static_cast<int>(letter), *alter};
}

}  // namespace

std::string accidentals(int alter) {
  return alter >= 0 ? std::string(static_cast<std::size_t>(alter), '#')
                    : std::string(static_cast<std::size_t>(-alter), 'b');
}

int PitchClass::semitones() const { return k_letter_semitones[static_cast<std::size_t>(letter)] + alter; }

std::string PitchClass::name() const { return k_letters[static_cast<std::size_t>(letter)] + accidentals(alter); }

Hertz frequency(int midi) { return Hertz(440.0 * exp2_of((midi - 69) / 12.0)); }

std::string english_note(std::string_view text) {
  std::string note = plain_accidentals(trim(text));
  if (note.empty()) return {};
  const std::string low = lower(note);
  if (low == "es" || low == "as") return low == "es" ? "Eb" : "Ab";
  if (low.front() == 'h') note.front() = 'B';
  // Fis, Des and Heses: sharps and flats are syllables.
  std::string_view rest = std::string_view(low).substr(1);
  std::string signs;
  while (rest.starts_with("is") || rest.starts_with("es")) {
    signs += rest.front() == 'i' ? '#' : 'b';
    rest.remove_prefix(2);
  }
  const std::string octave = std::string(signs.empty() ? std::string_view(note).substr(1) : rest);
  const std::string name = static_cast<char>(note.front() >= 'a' ? note.front() - 'a' + 'A' : note.front()) + signs;
  std::string mended = name + octave;
  return parse_pitch_class(mended).ok() || parse_pitch(mended).ok() ? mended : std::string();
}

Result<PitchClass> parse_pitch_class(std::string_view text) {
  const std::string plain = plain_accidentals(trim(text));
  std::string_view rest = plain;
  const std::optional<PitchClass> found = take_pitch_class(rest);
  if (!found || !rest.empty()) {
    return Error{ErrorKind::syntax, 0,
                 "\"" + std::string(text) + "\" is not a note name; write a letter from A to G, with # or b behind it",
                 ""};
  }
  return *found;
}

Result<SpelledPitch> parse_pitch(std::string_view text) {
  const std::string plain = plain_accidentals(trim(text));
  std::string_view rest = plain;
  const std::optional<PitchClass> found = take_pitch_class(rest);
  const std::optional<int> octave = parse_int(rest);
  if (!found || !octave || *octave < -1 || *octave > 9) {
    return Error{
        ErrorKind::syntax, 0,
        "\"" + std::string(text) +
            "\" is not a pitch; write a letter from A to G, # or b where you need it, and an octave from -1 to 9",
        ""};
  }
  return SpelledPitch{*found, *octave};
}

SpelledPitch spell_sharp(int midi) {
  constexpr std::array<PitchClass, 12> k_names = {
      {{0, 0}, {0, 1}, {1, 0}, {1, 1}, {2, 0}, {3, 0}, {3, 1}, {4, 0}, {4, 1}, {5, 0}, {5, 1}, {6, 0}}};
  return {k_names[static_cast<std::size_t>(floor_mod(midi, 12))], static_cast<int>(floor_div(midi, 12)) - 1};
}

int Degree::semitones() const {
  const int step = number - 1;
  return k_letter_semitones[static_cast<std::size_t>(step % 7)] + 12 * (step / 7) + alter;
}

std::string Degree::name() const { return accidentals(alter) + std::to_string(number); }

PitchClass Degree::above(PitchClass root) const {
  const int steps = root.letter + number - 1;
  PitchClass note{steps % 7, 0};
  const int wanted = root.semitones() + semitones();
  note.alter = wanted - (k_letter_semitones[static_cast<std::size_t>(note.letter)] + 12 * (steps / 7));
  return note;
}

std::optional<Degree> parse_degree(std::string_view text) {
  const std::string plain = plain_accidentals(trim(text));
  std::string_view rest = plain;
  const std::optional<int> alter = take_accidentals(rest);
  if (!alter || rest.empty() || rest.front() < '1' || rest.front() > '9') return std::nullopt;
  const std::optional<int> number = parse_int(rest);
  if (!number || *number > 13) return std::nullopt;
  return Degree{*number, *alter};
}

}  // namespace fretloom
