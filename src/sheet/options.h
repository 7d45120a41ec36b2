#pragma once
// What a caller chooses about a sheet.

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "sheet/text_metrics.h"

namespace fretloom::sheet {

/// A sheet of paper. `strip`: one endless line per feel, no prose; width and height follow the music. `screen`: one
/// page of this width, as high as what stands on it, measured in pixels by those who write it.
struct Paper {
  Millimetres width{210};
  Millimetres height{297};
  Millimetres margin{15};
  bool strip = false;
  bool screen = false;

  friend bool operator==(const Paper&, const Paper&) = default;
};

inline constexpr Paper k_a4{Millimetres(210), Millimetres(297), Millimetres(14), false};          // ISO 216
inline constexpr Paper k_letter{Millimetres(215.9), Millimetres(279.4), Millimetres(14), false};  // 8.5 x 11 in
inline constexpr Paper k_strip{Millimetres(0), Millimetres(0), Millimetres(3), true};

/// A pixel as web pages count it: 96 to the inch, whatever the screen (CSS Values and Units 4, section 6.2).
inline constexpr Millimetres k_pixel{25.4 / 96};
[[nodiscard]] constexpr Millimetres pixels(double count) { return Millimetres(k_pixel.value * count); }

/// A screen `width` pixels wide.
[[nodiscard]] constexpr Paper screen_paper(double width) {
  return {pixels(width), Millimetres(0), pixels(15), false, true};
}

/// Reads "a4", "letter" or "strip", case ignored. Error: the three names as repair.
[[nodiscard]] Result<Paper> parse_paper(std::string_view name);

inline constexpr Millimetres k_staff_space{1.6};            ///< staff 6.4 mm high (common practice for parts: 6 to 7.5)
inline constexpr Millimetres k_large_print_space{2.25};     ///< staff 9 mm
inline constexpr Millimetres k_screen_space = pixels(8.5);  ///< prose of 17 pixels

/// Hand that frets: a left-handed neck diagram is mirrored, its nut on the right.
enum class Hand { right, left };
/// automatic: an idea without an ending that fills whole bars and whole turns of its vamp, so that it can be
/// played round and round, is set between repeat signs.
enum class RepeatSigns { automatic, never };

/// An image for the head of the page: PNG bytes and its size in pixels.
struct Logo {
  std::string png;
  int width = 0;
  int height = 0;
};

/// A logo's file; a larger one would weigh on every page.
constexpr std::size_t k_max_logo_bytes = std::size_t{8} << 20U;

/// Checks the PNG signature and reads the size (PNG 2nd edition, section 5 and 11.2.2). `where` names
/// the file in the error. Errors: limit = above k_max_logo_bytes; syntax = no PNG, or a side of 0 or above 20000
/// pixels.
[[nodiscard]] Result<Logo> make_logo(std::string bytes, const std::string& where);

/// One idea at one feel: indices into Handout::ideas and IdeaSheet::feels.
struct FeelIndex {
  int idea = 0;
  int feel = 0;
};

struct SheetOptions {
  Paper paper = k_a4;
  Millimetres staff_space = k_staff_space;  ///< 0.5 to 6
  Hand hand = Hand::right;
  RepeatSigns repeats = RepeatSigns::automatic;
  bool strokes = true;
  bool fingers = true;
  bool ordinals = false;        ///< the string's note numbers under the tab
  bool neck = true;             ///< neck diagrams
  bool prose = true;            ///< all text but what belongs to the music
  bool etude = true;            ///< all ideas in a row at the end (where there are two or more)
  std::vector<FeelIndex> only;  ///< these feels alone; empty = all. Never an etude then.
  std::optional<Logo> logo;
  TextMetrics metrics;  ///< widths of the text font; the default fits Gentium Plus
};

}  // namespace fretloom::sheet
