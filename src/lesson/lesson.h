#pragma once
// The lesson file, format 1, as values.

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "hand/strokes.h"
#include "lick/ending.h"
#include "score/vamp.h"

namespace fretloom {

constexpr int k_format = 1;
/// A lesson file above this size is refused unread.
constexpr std::size_t k_max_lesson_bytes = 1U << 20U;
constexpr int k_max_ideas = 256;

/// Where a value stands in the file. `end` is behind its last character. `text_offset` is the column
/// distance from `begin` to the first character of a plain one-line string (1), or 0 where positions
/// inside the value cannot be told.
struct SourceSpan {
  Place begin;
  Place end;
  std::uint32_t text_offset = 0;
};

/// Key paths ("layout.from", "idea[2].cell", ideas from 1) to the place of their values; a table's
/// path holds its header's place.
using SourceIndex = std::map<std::string, SourceSpan>;

/// The musical keys, which an idea may override.
struct Settings {
  Key key{PitchClass{}, "ionian", {Degree{1, 0}}};
  Tuning tuning;
  int frets = 24;             ///< 1 to k_max_frets
  double scale_length = 648;  ///< mm, 200 to 1400
  int capo = 0;               ///< 0 to frets - 1
  Meter meter;
  Rational slow_bpm{60};  ///< k_slowest_bpm to k_fastest_bpm
  Rational goal_bpm{120};
  Clear clear_after = Clear::upstroke;
  double reach = 110;  ///< mm, 20 to 400
  LayoutRule layout;
  bool notes_given = false;  ///< layout.notes stands in the file
  std::string chords;        ///< empty = the mode's own
  std::string rhythm = "sixteenths";
  Rational swing{1};             ///< long to short, 1 to 4
  std::set<std::string> broken;  ///< keys whose value is in error

  std::optional<Ground> ground;  ///< neck and layout; nothing where no layout can be made
  Vamp vamp;

  [[nodiscard]] Neck neck() const { return {tuning, frets, Millimetres(scale_length), capo}; }
};

/// What the lesson asks of an idea's ending.
struct EndingWish {
  bool wanted = true;
  std::optional<Degree> degree;  ///< nothing = ranked by the chord
  EndingOn on = EndingOn::strong;
};

/// A finger for one note: 0 = open string, 1 = index to 4 = little finger. No repeat = in all.
struct FingerPin {
  std::optional<int> repeat;
  int note = 1;
  int finger = 1;
};

struct Idea {
  std::string name;
  std::string note;
  Lick lick;
  Rational start_beat;
  std::vector<int> notes_per_beat{4, 6};  ///< each 1 to k_max_notes_per_beat
  Picking picking = Picking::alternate;
  Stroke first_stroke = Stroke::down;
  EndingWish ending;
  std::vector<FingerPin> fingers;
  Settings settings;
  bool sound = true;  ///< false: in error, left out
};

struct Lesson {
  int format = k_format;
  std::string title;       ///< empty where the file has none
  bool has_title = false;  ///< a text stands there, be it an empty one
  std::string author;
  std::string intro;
  std::vector<std::string> links;
  std::string licence;
  std::string logo;
  Settings settings;
  std::vector<Idea> ideas;
  SourceIndex source;

  /// A newer format may be looked at but not edited.
  [[nodiscard]] bool is_read_only() const { return format > k_format; }
};

}  // namespace fretloom
