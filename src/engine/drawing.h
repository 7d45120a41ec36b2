#pragma once
// From a request to a drawing, and from a drawing to a reply. Lengths in requests and replies are pixels of a web page,
// 96 to the inch.

#include <string>
#include <vector>

#include "engine/answer.h"
#include "lesson/everywhere.h"
#include "sheet/loom_drawing.h"
#include "sheet/neck.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::engine {

using sheet::Hand;

constexpr double k_small_neck_width = 320;
constexpr double k_most_digits = 40;

/// "hand": "right" (the default) or "left".
[[nodiscard]] Hand request_hand(Request& request);

/// One page for a screen. `rows` part it from top to bottom, in staff spaces: lines of music, rows of a loom.
struct Drawing {
  sheet::Scene scene;
  std::vector<sheet::Box> rows;
  // What hand_places.h reads, empty in other drawings.
  sheet::Loom loom = {};
  std::vector<sheet::LoomRowMeasures> loom_rows = {};  ///< each from its row's corner
  std::vector<sheet::FretPlaces> frets = {};           ///< of a neck's rows, across the page
};

/// Pixels in a staff space.
[[nodiscard]] double pixels_of(const sheet::Scene& scene);
/// Three decimals are finer than any screen.
[[nodiscard]] double rounded_pixels(double pixels);

/// A feel as a loom.
[[nodiscard]] Drawing draw_loom(const ChosenFeel& feel, const sheet::SheetOptions& options,
                                const sheet::MusicFont& font);
/// The strings of an idea's lesson, to begin a rule on; the feel's own notes are left out.
[[nodiscard]] Drawing draw_blank_loom(const IdeaSheet& idea, const Score& score, const sheet::SheetOptions& options,
                                      const sheet::MusicFont& font);
/// The neck of an idea; the stroke of every note of its path from the score.
[[nodiscard]] Drawing draw_neck(const IdeaSheet& idea, const Score& score, const sheet::SheetOptions& options,
                                const sheet::MusicFont& font);

/// "rich": one SVG, a group a note, for a file (the default); "living": one SVG a row, of few elements, for a page that
/// is drawn anew at every keystroke.
enum class DrawingStyle { boxes, rich, living };
[[nodiscard]] DrawingStyle request_style(Request& request);

/// The drawing and what stands where: {svg, width, height, rows, notes, places}; in place of "svg" "living" where that
/// is asked for, neither where only boxes are. `prefix` goes before every id of the SVG.
[[nodiscard]] Json drawing_json(const Drawing& drawing, const std::string& prefix, const sheet::MusicFont& font,
                                DrawingStyle style);

/// A screen so many pixels wide; `digits` is the size of digits in pixels.
[[nodiscard]] sheet::SheetOptions screen_options(double width, double digits);

/// The idea moved along the neck, as a living SVG. Precondition: it is playable there.
[[nodiscard]] std::string small_neck(const Idea& idea, const Placement& placement, const sheet::SheetOptions& options,
                                     const sheet::MusicFont& font);

/// {key, from, home, playable, reason, repeats, blocked, reach_mm}: as in `notes --everywhere --json`.
[[nodiscard]] Json placement_json(const Placement& placement);

}  // namespace fretloom::engine
