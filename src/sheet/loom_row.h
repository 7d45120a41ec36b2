#pragma once
// What the passes over one row of a loom share. Private to the room: loom_drawing.cpp runs the passes in order.

#include <algorithm>
#include <optional>
#include <string>
#include <vector>

#include "sheet/loom_drawing.h"

namespace fretloom::sheet {

/// Measures of the drawing, in pixels of the design: thirteen to the em of a digit.
namespace loom_pixels {
inline constexpr double k_lane = 36;
inline constexpr double k_paper_lane = 30;  // a handout holds more, and nobody drags its knots
inline constexpr double k_idle_lane = 10;   // of a string that is never touched
inline constexpr double k_highest_step = 8;
inline constexpr double k_steps_height = 28;  // of a lane, for all its ordinals
inline constexpr double k_least_unit = 25;
inline constexpr double k_most_unit = 40;
inline constexpr double k_half_knot = 9.5;
inline constexpr double k_flat = 9;         // from a knot's middle to its flat end
inline constexpr double k_shoulder = 4;     // to where its point begins
inline constexpr double k_tip = 12;         // to its tip
inline constexpr double k_digit_off = 1.7;  // from a knot's middle toward its flat end
inline constexpr double k_outline = 1.8;
inline constexpr double k_circle = 9;
inline constexpr double k_circle_line = 1.1;
inline constexpr double k_thread = 2.4;
inline constexpr double k_dot = 2.8;
inline constexpr double k_tail = 3.4;  // of a held note, solid or dotted as its thread
inline constexpr double k_ring = 15;
inline constexpr double k_ring_line = 2;
inline constexpr double k_gate = 3.8;
inline constexpr double k_cross = 5;
inline constexpr double k_band_radius = 4;
inline constexpr double k_band_over = 2;  // bands reach beyond the lanes
inline constexpr double k_beat_line = 0.9;
inline constexpr double k_bar_line = 1.3;
inline constexpr double k_text_gap = 5;
inline constexpr double k_rest_scale = 0.85;
inline constexpr double k_accent_scale = 0.8;
}  // namespace loom_pixels

/// What all rows share.
struct LoomFrame {
  const Loom& loom;
  const IdeaSheet& idea;
  int passage;
  double width;
  const SheetOptions& options;
  const MusicFont& font;
  LoomSize size;
  Rational written_unit;  ///< value of a unit as it is written, of a whole note
  double unit = 3;        ///< width of one
  double lane_height = loom_pixels::k_lane;

  [[nodiscard]] double px(double pixels) const { return pixels * size.pixel; }
  [[nodiscard]] double text_width(const std::string& text, TextStyle style) const {
    return options.metrics.width(text, style, size.digit);
  }
  /// Between two neighbouring ordinals of a lane.
  [[nodiscard]] double step_of(const LoomLane& lane) const {
    const double steps = std::max(1.0, lane.high - lane.low);
    return px(lane_height / loom_pixels::k_lane *
              std::min(loom_pixels::k_highest_step, loom_pixels::k_steps_height / steps));
  }
  /// How far above the middle of its lane a knot stands.
  [[nodiscard]] double height_of(const LoomKnot& knot) const {
    const LoomLane& lane = loom.lanes[static_cast<std::size_t>(knot.string - 1)];
    return height_of(lane, knot.place);
  }
  [[nodiscard]] double height_of(const LoomLane& lane, double place) const {
    return step_of(lane) * (place - (lane.low + lane.high) / 2);
  }
};

/// One row while it is drawn.
struct LoomRowState {
  const LoomFrame& f;
  const LoomRow& row;
  double left = 0;                ///< of the first unit
  double right = 0;               ///< of the last
  std::vector<bool> touched;      ///< lane by lane, in this row: the others shrink
  std::vector<double> lane_y;     ///< middle of each lane
  double bottom = 0;              ///< of the last one
  std::vector<SceneItem> ground;  ///< what lies under all else
  std::vector<SceneItem> items;
  std::vector<Box> accents;
  std::vector<Box> taken;  ///< what words must not run into

  LoomRowState(const LoomFrame& frame, const LoomRow& r);

  [[nodiscard]] double px(double pixels) const { return f.px(pixels); }
  [[nodiscard]] double x_of(const Rational& slot) const {
    return left + ((slot - row.from).to_double() + 0.5) * f.unit;
  }
  /// The edge before a slot.
  [[nodiscard]] double edge_of(const Rational& slot) const { return x_of(slot) - f.unit / 2; }
  /// A knot stands on the string in this row, or its tail, or the thread leaves for it.
  [[nodiscard]] bool touches(int string) const {
    return std::any_of(f.loom.knots.begin(), f.loom.knots.end(), [&](const LoomKnot& knot) {
      return knot.string == string && knot.slot <= row.to && knot.slot + knot.units >= row.from;
    });
  }
  [[nodiscard]] double y_of(const LoomKnot& knot) const {
    return lane_y[static_cast<std::size_t>(knot.string - 1)] - f.height_of(knot);
  }
  [[nodiscard]] bool has(const Rational& slot) const { return slot >= row.from && slot < row.to; }
  [[nodiscard]] Point at(std::size_t knot) const { return {x_of(f.loom.knots[knot].slot), y_of(f.loom.knots[knot])}; }

  void add(Mark mark, const Shape& shape, Tone tone, NoteRef note = {}) {
    items.push_back({mark, note, -1, shape, tone});
  }
  /// Under everything that is added, also later.
  void add_ground(Mark mark, const Shape& shape, Tone tone) { ground.push_back({mark, {}, -1, shape, tone}); }
  void stands(const Box& box) { taken.push_back(box); }
  TextShape text(Point place, const std::string& words, TextStyle style, Anchor anchor) const {
    return {place, words, style, f.size.digit, anchor, f.text_width(words, style)};
  }
  void add_text(Mark mark, const TextShape& shape, Tone tone, NoteRef note = {}) {
    add(mark, shape, tone, note);
    stands(box_of(shape, f.font));
  }
  /// Where a note stops sounding: the middle of its knot, or of its last unit and a little more where it is held.
  [[nodiscard]] double sounds_to(const LoomKnot& knot) const {
    if (knot.units <= Rational(1)) return x_of(knot.slot);
    return edge_of(knot.slot + knot.units) - px(3);
  }
  /// Where a gate stands: halfway along the thread, at the row's end where the thread goes on in the next row, and
  /// before the note where a rest lies between. Nothing if that is in another row.
  [[nodiscard]] std::optional<Point> place_of(const LoomGate& gate) const {
    const LoomKnot& knot = f.loom.knots[gate.after - 1];
    const LoomKnot& next = f.loom.knots[gate.after];
    const double y = (y_of(knot) + y_of(next)) / 2;
    if (next.slot == row.to) return Point{right, y};
    if (!has(next.slot) || next.slot == row.from) return std::nullopt;
    if (f.loom.threads[gate.after - 1] == ThreadKind::none) return Point{edge_of(next.slot), y};
    return Point{(sounds_to(knot) + x_of(next.slot)) / 2, y};
  }
};

/// Bands and strings.
void draw_loom_ground(LoomRowState& s);
/// Thread, tails, rests, knots and gates.
void draw_loom_thread(LoomRowState& s);
/// Lines of beats and bars, chords, names of bands, and the word beside a blocked gate.
void draw_loom_words(LoomRowState& s);

}  // namespace fretloom::sheet
