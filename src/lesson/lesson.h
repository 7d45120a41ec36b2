#pragma once
// The lesson file, format 1, as values.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "lesson/settings.h"
#include "lick/ending.h"
#include "score/handout.h"

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

/// Every value's path to its place; a table's path holds its header's place. The list of ideas has the path
/// "idea" at the top, each idea's table an empty key under its number.
using SourceIndex = std::map<KeyPath, SourceSpan>;

/// What the lesson asks of an idea's ending.
struct EndingWish {
  bool wanted = true;
  std::optional<EndingKind> kind;  ///< nothing = ranked
  std::optional<Degree> degree;    ///< nothing = ranked by the chord
  std::optional<EndingOn> on;      ///< nothing = strong beats, and the next beat where that is far
};

/// A finger for one note: 0 = open string, 1 = index to 4 = little finger. No repeat = in all.
struct FingerPin {
  std::optional<int> repeat;
  int note = 1;
  int finger = 1;
  std::string key = "fingers";  ///< of the idea, where the finger stands: "fingers[2]", "fingers[2].finger"
};

/// An idea whose every key is sound.
struct Idea {
  int number = 1;  ///< in the file, from 1
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
};

struct Lesson {
  int format = k_format;
  Prose prose;             ///< as the file has it
  bool has_title = false;  ///< a text stands there, be it an empty one
  SettingsDraft settings;
  std::vector<Idea> ideas;              ///< those in error are left out
  std::vector<std::string> idea_names;  ///< of all ideas in the file, those in error too, in order; may be empty
  SourceIndex source;

  /// A newer format may be looked at but not edited.
  [[nodiscard]] bool is_read_only() const { return format > k_format; }
};

}  // namespace fretloom
