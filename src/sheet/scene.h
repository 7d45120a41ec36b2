#pragma once
// A finished drawing: placed symbols, lines and words, page by page. What every writer reads.
// Unit: staff spaces, y down, origin at the page's top left corner.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "base/units.h"
#include "sheet/geometry.h"
#include "sheet/music_font.h"
#include "sheet/text_metrics.h"
#include "sheet/tone.h"

namespace fretloom::sheet {

/// What an item is: the class of an SVG element, the word of a text dump.
enum class Mark : std::uint8_t {
  staff_line,
  tab_line,
  bar_line,
  repeat_sign,
  clef,
  tab_clef,
  tuning,
  key_signature,
  time_signature,
  notehead,
  accidental,
  dot,
  ledger,
  stem,
  flag,
  beam,
  rest,
  tie,
  slur,
  slide,
  accent,
  tuplet,
  ottava,
  stroke,
  chord,
  bar_number,
  finger,
  fret,
  tab_slur,
  tab_slide,
  ordinal,
  ending,
  technique,
  blocked,
  counting,
  title,
  author,
  heading,
  prose,
  footer,
  neck,
  logo,
  lane,
  lane_name,
  beat_line,
  bar_edge,
  loom_chord,
  loom_rest,
  band,
  band_name,
  thread,
  tail,
  gate,
  gate_word,
  knot,
  knot_fret,
  knot_accent,
  landing,
  inlay,
  place,
  place_ordinal,
  path,
  vamp,
  sign,
  ladder,
  code,
  running_head,
  count_
};
/// "notehead", "bar-line".
[[nodiscard]] std::string_view name(Mark mark);

/// Which note an item belongs to: indices into Scene::passages and Passage::notes; none = -1.
struct NoteRef {
  int passage = -1;
  int note = -1;

  friend bool operator==(const NoteRef&, const NoteRef&) = default;
  friend auto operator<=>(const NoteRef&, const NoteRef&) = default;
};

struct GlyphShape {
  Point at;
  Symbol symbol = Symbol::head_black;
  double scale = 1;
};
struct LineShape {
  Point from;
  Point to;
  double width = 0.1;
  bool dashed = false;
};
/// A filled four-sided shape: beams, heavy lines.
struct QuadShape {
  std::array<Point, 4> corners;
};
/// A bow, thick in the middle, along a cubic curve.
struct BowShape {
  Point from, control_1, control_2, to;
  double middle = 0.22;  ///< thickness
  double end = 0.1;
};
enum class Anchor : std::uint8_t { start, middle, end };
struct TextShape {
  Point at;  ///< on the baseline, at the anchor
  std::string text;
  TextStyle style = TextStyle::regular;
  double size = 2;  ///< em, staff spaces
  Anchor anchor = Anchor::start;
  double width = 0;  ///< as laid out
};
/// A ring, or a disc where `line` is 0.
struct RingShape {
  Point centre;
  double radius = 1;
  double line = 0.15;
};
/// Round dots, `width` across, from one point to the other in even steps.
struct DotsShape {
  Point from;
  Point to;
  double width = 0.2;

  /// From a dot's middle to the next: about 2.2 widths, so that the last dot stands on `to`.
  [[nodiscard]] double step() const;
};
/// A closed shape with straight sides, mitred corners: filled, or drawn as an outline where `line` is above 0. Several
/// contours are filled by the even-odd rule.
struct PolygonShape {
  std::vector<std::vector<Point>> contours;
  double line = 0;
};
/// A rectangle, its corners rounded by `radius`: filled, or an outline inside the box where `line` is above 0.
struct BoxShape {
  Box box;
  double radius = 0;
  double line = 0;
};
/// The logo.
struct ImageShape {
  Box box;
};
using Shape = std::variant<GlyphShape, LineShape, QuadShape, BowShape, TextShape, RingShape, ImageShape, DotsShape,
                           PolygonShape, BoxShape>;

/// A place on the neck that an item shows; fret from the capo.
struct FretPlace {
  int string = 1;
  int fret = 0;

  friend bool operator==(const FretPlace&, const FretPlace&) = default;
};

struct SceneItem {
  Mark mark = Mark::prose;
  NoteRef note;
  int bar = -1;  ///< index of its bar within the passage, -1 outside music
  Shape shape;
  Tone tone = Tone::ink;
  std::optional<FretPlace> place = {};
};

[[nodiscard]] Box box_of(const Shape& shape, const MusicFont& font);
/// The shape enlarged about the origin, then moved.
[[nodiscard]] Shape transformed(const Shape& shape, double scale, Point by);
[[nodiscard]] SceneItem transformed(const SceneItem& item, double scale, Point by);

/// A note of a passage, for ids, for words and for a cursor that follows the sound.
struct PassageNote {
  int idea = 1;      ///< its number in the lesson
  int feel = 0;      ///< from 0
  int note = 0;      ///< index into that Score's notes
  Beats onset;       ///< in that Score
  std::string said;  ///< "bar 1 beat 2: E3, string 6 fret 12, downstroke"
};
/// Notes engraved together: one idea at one feel ("i1f2") or the etude ("etude").
struct Passage {
  std::string id;
  std::vector<PassageNote> notes;
};

/// One line of music and where it stands.
struct SceneSystem {
  int page = 0;
  int passage = 0;
  int first_bar = 0;
  int last_bar = 0;  ///< inclusive
  Box box;
  double left = 0;  ///< of the staff lines
  double right = 0;
  double scale = 1;  ///< below 1 where a bar was too dense for the line
};

struct ScenePage {
  double width = 0;
  double height = 0;
  std::vector<SceneItem> items;
};

struct Bookmark {
  std::string title;
  int page = 0;  ///< from 0
  double y = 0;
};

enum class Medium : std::uint8_t { paper, screen };

struct Scene {
  Medium medium = Medium::paper;
  Millimetres staff_space{1.6};  ///< what one unit measures on paper; on a screen 96 pixels make 25.4 mm
  std::string title;
  std::string author;
  std::string description;  ///< the page in words, for readers who do not see it
  std::string logo_png;     ///< bytes; empty = none
  std::vector<ScenePage> pages;
  std::vector<Passage> passages;
  std::vector<SceneSystem> systems;
  std::vector<Bookmark> bookmarks;
};

/// "i1f1n3": the id of a note's group in SVG; empty for none.
[[nodiscard]] std::string note_id(const Scene& scene, NoteRef note);

/// Where a note's digit stands, for a cursor that follows the sound and for a click that finds a note.
struct NotePlace {
  NoteRef note;
  int page = 0;
  int system = 0;  ///< index into Scene::systems
  double x = 0;    ///< middle of the digit
};
/// One place a note, in the order of passages and notes; a note tied over a line break has its first.
[[nodiscard]] std::vector<NotePlace> note_places(const Scene& scene);

/// A note's knot in a loom, for a ring that follows the sound and for a tap that finds a note.
struct KnotPlace {
  NoteRef note;
  int page = 0;
  Box box;
};
/// One place a knot, in the order of passages and notes.
[[nodiscard]] std::vector<KnotPlace> knot_places(const Scene& scene, const MusicFont& font);

/// One line an item, coordinates with three decimals, for tests and people.
[[nodiscard]] std::string to_text(const Scene& scene);

}  // namespace fretloom::sheet
