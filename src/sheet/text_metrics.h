#pragma once
// Widths of text, so that layout knows where words end without opening a font.

#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace fretloom::sheet {

enum class TextStyle { regular, bold, italic };

inline constexpr std::string_view k_text_font = "Gentium Plus";  ///< SIL OFL 1.1; what text is set in

/// Advance widths of a text font in thousandths of its size, without kerning. The default table is
/// measured from Gentium Plus 6.101 (SIL OFL 1.1), so are dashes, quotes and the commoner signs; a letter with an
/// accent is as wide as without. Anything else counts as 0.7 (two bytes in UTF-8) or one full size.
struct TextMetrics {
  std::array<std::array<int, 95>, 3> ascii;  ///< style, then code point 32 to 126

  TextMetrics();
  /// Width of UTF-8 text at a size, in the unit of `size`.
  [[nodiscard]] double width(std::string_view text, TextStyle style, double size) const;
};

inline constexpr double k_cap_height = 0.615;  ///< of the size, Gentium Plus; digits 0.611
inline constexpr double k_descent = 0.24;      ///< below the baseline, letters g j p q y
inline constexpr double k_ascent = 0.75;       ///< above the baseline, letters b d h

/// Breaks prose at spaces so that no line is wider than `width`; newlines in the text break too. A
/// longer word is cut where the line ends, after a slash, hyphen or stop if one stands in the line's second half.
[[nodiscard]] std::vector<std::string> break_lines(const TextMetrics& metrics, std::string_view text, TextStyle style,
                                                   double size, double width);

/// The text cut to `width`, an ellipsis at its end if anything is missing.
[[nodiscard]] std::string shorten(const TextMetrics& metrics, const std::string& text, TextStyle style, double size,
                                  double width);

/// "Bb" as "B♭", "F#m7b5" as "F♯m7♭5": the ASCII accidentals of chord symbols, note and degree names as signs.
[[nodiscard]] std::string with_signs(std::string_view text);

}  // namespace fretloom::sheet
