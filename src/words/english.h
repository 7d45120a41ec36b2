#pragma once
// Small pieces of English that all sentences share.

#include <string>
#include <string_view>
#include <vector>

#include "base/rational.h"
#include "score/stroke.h"

namespace fretloom {

/// "no", "one" to "twelve", figures beyond. Precondition: number >= 0.
[[nodiscard]] std::string number_word(int number);
/// "one note", "two notes", "13 notes"; the plural takes an s.
[[nodiscard]] std::string counted_word(int number, std::string_view noun);
/// "once", "twice", "three times".
[[nodiscard]] std::string times_word(int number);
/// "first" to "twelfth", "13th".
[[nodiscard]] std::string ordinal_word(int number);
/// "1st", "2nd", "3rd", "11th".
[[nodiscard]] std::string ordinal_figure(int number);
/// "3, 4 and 6".
[[nodiscard]] std::string listed(const std::vector<std::string>& items);
/// "Two of five" of "two of five": an ASCII letter at the start becomes a capital.
[[nodiscard]] std::string capital(std::string text);
/// "a downstroke", "an upstroke".
[[nodiscard]] std::string a_stroke(Stroke stroke);
/// A length of time in beats, at least 0: "one beat", "half a beat", "one and a half beats", "2/3 of a beat",
/// "2 and 1/3 beats".
[[nodiscard]] std::string beats_words(const Rational& beats);
/// "60", "92.5".
[[nodiscard]] std::string tempo_text(const Rational& bpm);
/// A lesson's name or prose on one line (see one_line). Text with right-to-left letters is closed in U+2068 and
/// U+2069 (Unicode Standard Annex 9, isolates), so that numbers behind it stay where they are.
[[nodiscard]] std::string plain_line(std::string_view text);
/// Each on one line; empty ones are dropped.
[[nodiscard]] std::vector<std::string> plain_lines(const std::vector<std::string>& texts);

}  // namespace fretloom
