#pragma once
// What a caller chooses about a sheet.

#include <array>
#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "sheet/text_metrics.h"

namespace fretloom::sheet {

/// sheet: pages of paper. strip: one endless line per feel, no prose; width and height follow the music. screen: one
/// endless page of a given width, music and prose reflowed to it; lengths are CSS pixels.
enum class PaperKind { sheet, strip, screen };

struct Paper {
  Millimetres width{210};
  Millimetres height{297};  ///< of a sheet
  Millimetres margin{15};
  PaperKind kind = PaperKind::sheet;

  [[nodiscard]] bool is_strip() const { return kind == PaperKind::strip; }
  [[nodiscard]] bool is_screen() const { return kind == PaperKind::screen; }
  friend bool operator==(const Paper&, const Paper&) = default;
};

inline constexpr Paper k_a4{Millimetres(210), Millimetres(297), Millimetres(14), PaperKind::sheet};  // ISO 216
inline constexpr Paper k_letter{Millimetres(215.9), Millimetres(279.4), Millimetres(14),
                                PaperKind::sheet};  // 8.5 x 11 in
inline constexpr Paper k_strip{Millimetres(0), Millimetres(0), Millimetres(3), PaperKind::strip};

/// A pixel as web pages count it: 96 to the inch, whatever the screen (CSS Values and Units 4, section 6.2).
inline constexpr Millimetres k_pixel{25.4 / 96};
[[nodiscard]] constexpr Millimetres pixels(double count) { return Millimetres(k_pixel.value * count); }
inline constexpr int k_narrowest_screen = 240;  ///< pixels
inline constexpr int k_widest_screen = 4096;
inline constexpr int k_usual_screen = 768;
/// A screen k_narrowest_screen to k_widest_screen pixels wide; its margin is a thirtieth of that, 12 to 32.
[[nodiscard]] constexpr Paper screen_paper(double width) {
  const double margin = width / 30;
  return {pixels(width), Millimetres(0), pixels(margin < 12 ? 12 : margin > 32 ? 32 : margin), PaperKind::screen};
}

/// Reads "a4", "letter", "strip" or "screen" (of the usual width), case ignored. Error: the four names, a4 as repair.
[[nodiscard]] Result<Paper> parse_paper(std::string_view name);

/// How large staves and words are.
struct PrintSize {
  Millimetres staff_space;
  Millimetres text;  ///< em of the prose; all other words keep their proportion to it
};
inline constexpr Millimetres k_staff_space{1.6};         ///< staff 6.4 mm high (common practice for parts: 6 to 7.5)
inline constexpr Millimetres k_large_print_space{2.25};  ///< staff 9 mm
inline constexpr double k_print_point = 25.4 / 72;       ///< mm
inline constexpr PrintSize k_usual_print{k_staff_space, Millimetres(10 * k_print_point)};
inline constexpr PrintSize k_large_print{k_large_print_space, Millimetres(16 * k_print_point)};
inline constexpr double k_fret_size = 1.95;  ///< em of the tab's digits, staff spaces
/// For screens, by the size of the tab's digits in pixels: 13 at least, so that they can be read; 17 pixels of prose,
/// and never less than the digits.
inline constexpr double k_least_digits = 13;
[[nodiscard]] PrintSize screen_print(double digits = k_least_digits);

/// What lanes of a loom have room for knots. touched: those that have some in the row, the others are thin lines. all:
/// every one, where hands lay and move notes.
enum class LoomLanes { touched, all };
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

/// A QR code: where it leads, and its modules row by row, without the white around it. Made by draw/link_code.h.
struct LinkCode {
  std::string link;
  int side = 0;  ///< modules
  std::vector<bool> dark;
};

/// One idea at one feel: indices into Handout::ideas and IdeaSheet::feels.
struct FeelIndex {
  int idea = 0;
  int feel = 0;
};

/// flowing: one idea behind the other. cover: title, intro, vamp, neck, signs and ladder on the first page, then each
/// idea on pages of its own.
enum class PageLayout { flowing, cover };

struct SheetOptions {
  Paper paper = k_a4;
  Millimetres staff_space = k_usual_print.staff_space;  ///< 0.5 to 6
  Millimetres text_size = k_usual_print.text;           ///< em of the prose, 1 to 20
  PageLayout layout = PageLayout::flowing;
  Hand hand = Hand::right;
  RepeatSigns repeats = RepeatSigns::automatic;
  bool strokes = true;
  bool fingers = true;
  bool ordinals = false;  ///< the string's note numbers under the tab
  bool counting = false;  ///< syllables to count with
  bool neck = true;       ///< neck diagrams
  bool loom = true;       ///< the drawing of strings and thread above an idea's music
  LoomLanes lanes = LoomLanes::touched;
  bool prose = true;            ///< all text but what belongs to the music and its headings
  bool vamp = true;             ///< the vamp as a lead-sheet line
  bool signs = true;            ///< the key to the signs
  bool row = true;              ///< all ideas in a row at the end (where there are two or more)
  bool ladder = true;           ///< the tempos to tick
  bool code = true;             ///< the QR code, where link_code has one
  std::vector<FeelIndex> only;  ///< these feels alone; empty = all. Music alone then: no vamp, signs, row or ladder.
  std::optional<Logo> logo;
  std::optional<LinkCode> link_code;  ///< of the lesson's first link
  TextMetrics metrics;                ///< widths of the text font; the default fits Gentium Plus

  /// The usual print on paper; on a screen, digits that can be read.
  void set_paper(const Paper& chosen);
  void set_print(const PrintSize& size);
};

/// A part of the sheet that a caller turns on or off by its word: "--no-fingers", "--ordinals".
struct SheetSwitch {
  std::string_view word;
  bool SheetOptions::*part;
  std::string_view what;

  [[nodiscard]] bool is_usual() const { return SheetOptions{}.*part; }
  /// "--no-fingers" for a part that is usually there, "--ordinals" for one that is not.
  [[nodiscard]] std::string flag() const { return (is_usual() ? "--no-" : "--") + std::string(word); }
};
inline constexpr std::array k_sheet_switches = {
    SheetSwitch{"strokes", &SheetOptions::strokes, "stroke signs above the music"},
    SheetSwitch{"fingers", &SheetOptions::fingers, "fingers between notes and tab"},
    SheetSwitch{"ordinals", &SheetOptions::ordinals, "string notes under the tab"},
    SheetSwitch{"counting", &SheetOptions::counting, "syllables to count with"},
    SheetSwitch{"neck", &SheetOptions::neck, "neck diagrams"},
    SheetSwitch{"loom", &SheetOptions::loom, "the rule as a thread on its strings"},
    SheetSwitch{"prose", &SheetOptions::prose, "sentences, intro and notes"},
    SheetSwitch{"vamp", &SheetOptions::vamp, "the vamp as a lead-sheet line"},
    SheetSwitch{"signs", &SheetOptions::signs, "the key to the signs"},
    SheetSwitch{"row", &SheetOptions::row, "all ideas in a row at the end"},
    SheetSwitch{"ladder", &SheetOptions::ladder, "the tempos to tick"},
    SheetSwitch{"code", &SheetOptions::code, "the QR code of the first link"},
};

/// Em of the smallest text that a reader needs, in staff spaces: 7 pt on paper, 13 pixels on a screen, whatever the
/// staff's size.
[[nodiscard]] double smallest_text(const SheetOptions& options);

}  // namespace fretloom::sheet
