#pragma once
// Numbers and names as a person says them, for lines that are read aloud.

#include <string>
#include <string_view>

#include "theory/scale.h"

namespace fretloom {

/// Whether a text is read on paper ("the 5th of Em7", "13") or said aloud ("the fifth of the chord", "thirteen").
/// What is said aloud has no digit and no chord symbol.
enum class Manner { written, spoken };

/// "zero", "twelve", "twenty-one", "one hundred and five"; "minus two" below zero. Beyond 999,999 figures.
[[nodiscard]] std::string spoken_number(int number);
/// "first", "twelfth", "twenty-first". Precondition: number >= 1.
[[nodiscard]] std::string spoken_ordinal(int number);
/// "F sharp", "B flat", "C double sharp".
[[nodiscard]] std::string spoken_note(const PitchClass& note);
/// A chord tone by its name against the root: "the flat 7th" of "b7", aloud "the flat seventh"; "the root" of "1".
[[nodiscard]] std::string tone_words(std::string_view name, Manner manner);
/// "E dorian", "B flat mixolydian flat six".
[[nodiscard]] std::string spoken_key(const Key& key);
/// Our own text with every number in it as words, those with a decimal point too ("ninety-two point five"); "b3" and
/// "#4" become "flat three" and "sharp four".
[[nodiscard]] std::string aloud(std::string_view text);

/// number_word on paper ("twelve", "13"), spoken_number aloud.
[[nodiscard]] std::string number_in(Manner manner, int number);
/// "one note", "13 notes", aloud "thirteen notes".
[[nodiscard]] std::string counted_in(Manner manner, int number, std::string_view noun);

}  // namespace fretloom
