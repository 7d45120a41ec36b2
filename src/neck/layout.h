#pragma once
// Which frets carry scale notes on each string.
//
// On every string a layout is a run of neighbouring scale notes, so it is held as the scale step of
// the first and a count (n). A cell's ordinal o is the run's o-th note; above n it goes on along the
// scale. Moving a layout k scale steps up adds k to every first step.

#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "neck/tuning.h"
#include "theory/scale.h"

namespace fretloom {

enum class LayoutKind { per_string, position, octaves };

/// "per-string", "position", "octaves".
[[nodiscard]] std::string_view name(LayoutKind kind);

/// Notes of a string, and frets of a position; at least 1.
constexpr int k_max_layout_size = 12;

/// What a lesson says of its layout.
struct LayoutRule {
  LayoutKind kind = LayoutKind::per_string;
  int notes = 3;                           ///< per string, 1 to k_max_layout_size
  std::pair<int, int> octave_notes{4, 3};  ///< thicker and thinner string of the block, 1 to k_max_layout_size
  int width = 5;                           ///< frets of a position, 1 to k_max_layout_size
  int from = 0;                            ///< lowest allowed fret (per-string and octaves: on the thickest string)

  friend bool operator==(const LayoutRule&, const LayoutRule&) = default;
};

/// A string's run of scale notes.
struct StringRun {
  int first = 0;  ///< scale step of ordinal 1
  int count = 0;  ///< n; 0 only in a position that no scale note of the string falls into

  friend bool operator==(const StringRun&, const StringRun&) = default;
};

/// Thickest string first.
struct Layout {
  std::vector<StringRun> strings;

  friend bool operator==(const Layout&, const Layout&) = default;
};

/// per-string: the thickest string starts at the first scale note at or above `from`; each string
/// takes the next n scale notes. position: all scale notes from fret `from` to from + width - 1.
/// octaves: the two thickest strings as in per-string, every further pair an octave above the pair
/// before. Error: per-string on a tuning that does not ascend (repair "position"). Frets are not
/// checked here: see off_neck().
[[nodiscard]] Result<Layout> make_layout(const Key& key, const Neck& neck, const LayoutRule& rule);

/// Fret of a string's ordinal (counted from 1, may exceed n or lie below 1) on the layout moved
/// `steps` scale steps up. May lie off the neck.
[[nodiscard]] int fret_of(const Key& key, const Neck& neck, const Layout& layout, int string, int ordinal,
                          int steps = 0);

/// The layout's frets, thickest string first.
[[nodiscard]] std::vector<std::vector<int>> layout_frets(const Key& key, const Neck& neck, const Layout& layout);

/// A layout note that the neck does not have.
struct OffNeck {
  int string = 1;
  int ordinal = 1;
  int fret = 0;
};

/// The first such note, thickest string and lowest ordinal first.
[[nodiscard]] std::optional<OffNeck> off_neck(const Key& key, const Neck& neck, const Layout& layout);

/// The `from` nearest to the rule's that puts the whole layout on the neck, of equals the lower.
[[nodiscard]] std::optional<int> nearest_legal_from(const Key& key, const Neck& neck, const LayoutRule& rule);

/// The rule with ever fewer notes, of everything else the same, largest first: one note a string less,
/// one fret of the position less, one note of the octaves' two strings less (the thinner's first).
[[nodiscard]] std::vector<LayoutRule> smaller_rules(const LayoutRule& rule);

/// The widest string of a layout: string number and distance from its lowest to its highest note.
struct Reach {
  int string = 1;
  Millimetres span;
};
[[nodiscard]] Reach widest(const Neck& neck, const std::vector<std::vector<int>>& frets);

/// "12 14 15 | 12 14 16", thickest string first.
[[nodiscard]] std::string frets_text(const std::vector<std::vector<int>>& frets);

}  // namespace fretloom
