#pragma once
// What an item is to the eye: its colour on a screen, its grey on paper. One row a tone.

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

namespace fretloom::sheet {

enum class Tone : std::uint8_t {
  ink,
  soft_ink,     ///< words that stand back
  line,         ///< beats and frets under a drawing
  string,       ///< strings under a drawing
  paper,        ///< what lies on ink: a digit in a filled knot, the ground of an open one
  rule_band,    ///< behind the rule's own notes
  again_band,   ///< behind every other repetition of the way out
  back_band,    ///< behind every other repetition of the way back
  ending_band,  ///< behind the ending
  downstroke,
  upstroke,
  good,
  good_text,
  blocked,
  count_
};

struct ToneRow {
  Tone tone;
  std::string_view name;   ///< the class of an SVG element
  double grey;             ///< on paper: 0 black to 1 white
  std::string_view light;  ///< colour on a light screen, "#RRGGBB"
  std::string_view dark;
};

// The strokes and the blocked sign are black on paper: their shapes tell them apart.
inline constexpr std::array<ToneRow, static_cast<std::size_t>(Tone::count_)> k_tones{{
    {Tone::ink, "ink", 0, "#221D18", "#ECE4D6"},
    {Tone::soft_ink, "soft-ink", 0.3, "#6A6055", "#A79B8B"},
    {Tone::line, "line", 0.72, "#D8CEBE", "#3A342C"},
    {Tone::string, "string", 0.55, "#8F8678", "#7A7062"},
    {Tone::paper, "paper", 1, "#FBF7EF", "#191612"},
    {Tone::rule_band, "rule-band", 0.87, "#F2E6CB", "#352C18"},
    {Tone::again_band, "again-band", 0.95, "#F7F1E4", "#201C17"},
    {Tone::back_band, "back-band", 0.91, "#E8EBEE", "#1C222A"},
    {Tone::ending_band, "ending-band", 0.92, "#E6EEDD", "#232B1A"},
    {Tone::downstroke, "downstroke", 0, "#23499A", "#9DB8FF"},
    {Tone::upstroke, "upstroke", 0, "#A8431A", "#FFAA7A"},
    {Tone::good, "good", 0.3, "#5E7F2E", "#A9CB72"},
    {Tone::good_text, "good-text", 0.3, "#4F6C26", "#A9CB72"},
    {Tone::blocked, "blocked", 0, "#A4123F", "#FF7A9C"},
}};

[[nodiscard]] constexpr const ToneRow& row_of(Tone tone) { return k_tones[static_cast<std::size_t>(tone)]; }
[[nodiscard]] constexpr std::string_view name(Tone tone) { return row_of(tone).name; }

}  // namespace fretloom::sheet
