#pragma once
// What the passes over one system share. Private to the room: system.cpp runs the passes in order.

#include <vector>

#include "sheet/beam.h"
#include "sheet/skyline.h"
#include "sheet/system.h"

namespace fretloom::sheet {

/// One written value where it stands.
struct PlacedEvent {
  const RhythmEvent* event = nullptr;
  const StaffNote* staff = nullptr;
  const ScoreNote* note = nullptr;  ///< nothing for a rest
  const Score* score = nullptr;
  NoteRef ref;
  int bar = 0;        ///< index within the passage
  int local_bar = 0;  ///< index within the system
  double x = 0;       ///< middle of head or rest
  double y = 2;       ///< middle of the head
  StemDirection stem = StemDirection::up;
  bool has_stem = false;
  double stem_x = 0;
  double stem_end = 0;
};

struct PlacedBar {
  const MeasuredBar* measured = nullptr;
  const PassageScore* score = nullptr;
  const RhythmBar* rhythm = nullptr;
  double left = 0;      ///< right edge of the bar line before
  double right = 0;     ///< right edge of its own
  int first_event = 0;  ///< where the bar's event 0 stands, or would stand where it lies on an earlier line

  /// Index into SystemState::events of an event of the bar.
  [[nodiscard]] std::size_t at(int event) const { return static_cast<std::size_t>(first_event + event); }
  /// True if the event is on this line.
  [[nodiscard]] bool holds(int event) const { return event >= measured->first && event < measured->end(); }
};

struct SystemState {
  const SystemInput& input;
  const MusicFont& font;
  const SheetOptions& options;
  SystemDrawing drawing;
  std::vector<PlacedBar> bars;
  std::vector<PlacedEvent> events;
  Skyline above{Side::above, 0};
  Skyline below{Side::below, 4};
  double tab_top = 0;     ///< y of the first tab line
  double letter_row = 0;  ///< baseline of the letters H, P and sl. above the tab
  int strings = 6;

  SystemState(const SystemInput& i, const MusicFont& f, const SheetOptions& o) : input(i), font(f), options(o) {}

  /// Adds an item and, if asked, what it covers to both skylines.
  void draw(Mark mark, const Shape& shape, NoteRef ref = {}, int bar = -1, bool covers = true) {
    if (covers) {
      const Box box = box_of(shape, font);
      above.add(box);
      below.add(box);
    }
    drawing.items.push_back({mark, ref, bar, shape});
  }
  void draw(Mark mark, const Shape& shape, const PlacedEvent& event, bool covers = true) {
    draw(mark, shape, event.ref, event.bar, covers);
  }
  [[nodiscard]] TextShape text(Point at, std::string words, TextStyle style, double size, Anchor anchor) const {
    const double width = options.metrics.width(words, style, size);
    return {at, std::move(words), style, size, anchor, width};
  }
  [[nodiscard]] const PlacedEvent* event_after(std::size_t i) const {
    return i + 1 < events.size() ? &events[i + 1] : nullptr;
  }
  [[nodiscard]] double tab_bottom() const { return tab_top + (strings - 1) * Engraving::tab_spacing; }
  [[nodiscard]] double tab_y(const PlacedEvent& e) const {
    return tab_top + (e.note->string - 1) * Engraving::tab_spacing;
  }
};

inline constexpr double k_letter_size = 1.6;  ///< em of H, P and sl.
inline constexpr double k_tab_bow = 1.95;     ///< from a tab line up to the feet of letters over a bow on it

/// Heads, dots, accidentals, ledger lines and rests.
void draw_heads(SystemState& s);
/// After this every note shorter than a whole has its stem, flag or beams.
void draw_stems(SystemState& s);
void draw_ties(SystemState& s);
void draw_slurs(SystemState& s);
void draw_tuplets(SystemState& s);
void draw_accents(SystemState& s);
void draw_ottava(SystemState& s);
void draw_strokes(SystemState& s);
/// A cross over a short stroke between the two notes of every blocked change.
void draw_blocked(SystemState& s);
void draw_chords(SystemState& s);
/// In a row of ideas: name, feel and tempo above the first bar of each.
void draw_row_heads(SystemState& s);
/// In a row of ideas: key and meter of the next line, behind the bar line of this one, where they change.
void draw_courtesy(SystemState& s);
void draw_bar_number(SystemState& s);
/// Sets tab_top and the letters' row from what hangs below the notation, and draws the fingers between.
void draw_fingers(SystemState& s);
void draw_tab(SystemState& s);
void draw_below_tab(SystemState& s);

[[nodiscard]] double signature_width(int fifths);
[[nodiscard]] double time_width(const Meter& meter, const MusicFont& font);
void draw_time(SystemState& s, double x, const Meter& meter);
/// The signs of a key signature's places, sharps, flats or the naturals that take it back; where they end.
double draw_key(SystemState& s, double x, Clef clef, int fifths, Symbol symbol);
/// Number of a passage's bar, which is printed where it opens a line: an idea's own alone; in a row, bars are counted
/// through. Pick-ups have none: 0.
[[nodiscard]] std::int64_t bar_number(const PassagePlan& plan, int bar);

/// The note that the line's last note slides into, where it stands on the next line; nothing otherwise.
[[nodiscard]] const ScoreNote* slides_off(const SystemState& s);
/// A run of slurred notes: indices of its first and last events; -1 where it lies on another line.
struct SlurRun {
  int first = -1;
  int last = -1;
};
[[nodiscard]] std::vector<SlurRun> slur_runs(const SystemState& s);
/// The cross of a blocked change, as the loom's gate has it.
void draw_cross(SystemState& s, Mark mark, Point centre, double half, int bar);
/// A bow between two points that bends to one side; `height` of its middle.
[[nodiscard]] BowShape make_bow(Point from, Point to, double height, Side side);

}  // namespace fretloom::sheet
