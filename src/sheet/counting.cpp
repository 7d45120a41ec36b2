#include "sheet/counting.h"

#include <array>
#include <string_view>

namespace fretloom::sheet {

namespace {

/// Syllables behind the beat's number.
struct CountRow {
  int notes;
  bool compound;
  std::array<std::string_view, 7> syllables;
};

constexpr CountRow k_rows[] = {
    {2, false, {"&"}},
    {2, true, {"&"}},
    {3, false, {"trip", "let"}},
    {3, true, {"&", "a"}},
    {4, false, {"e", "&", "a"}},
    {4, true, {"e", "&", "a"}},
    {6, false, {"trip", "let", "&", "trip", "let"}},
    {6, true, {"ta", "&", "ta", "a", "ta"}},
    {8, false, {"ta", "e", "ta", "&", "ta", "a", "ta"}},
};

}  // namespace

std::string counting_syllable(const Meter& meter, int notes_per_beat, const Beats& onset) {
  const Beats place = beat_in_bar(meter, onset);
  const std::int64_t beat = place.value.floor();
  const Rational unit = (place.value - Rational(beat)) * Rational(notes_per_beat);
  if (!unit.is_whole()) return "";
  const auto index = unit.floor();
  if (index == 0) return std::to_string(beat + 1);
  for (const CountRow& row : k_rows) {
    if (row.notes == notes_per_beat && row.compound == meter.is_compound())
      return std::string(row.syllables[static_cast<std::size_t>(index) - 1]);
  }
  return std::to_string(index + 1);
}

}  // namespace fretloom::sheet
