#include "sheet/music_font.h"

#include <array>

namespace fretloom::sheet {

namespace {

using enum Symbol;

// Families as the text font stores them: most symbols that sit on a staff stand two spaces high,
// clefs on their own line, metronome notes 0.6 high; ottava signs are drawn large.
constexpr double k_ottava = 3.54 / 7.30;

constexpr std::array<SymbolRow, static_cast<std::size_t>(count_)> k_rows = {{
    {treble_8vb, "gClef8vb", 0xE052, 1, 1, 0},
    {treble, "gClef", 0xE050, 1, 1, 0},
    {bass, "fClef", 0xE062, 3, 1, 0},
    {bass_8vb, "fClef8vb", 0xE064, 3, 1, 0},
    {tab_clef, "tabClef", 0, 0, 1, 0},
    {head_whole, "noteheadWhole", 0xE0A2, 2, 1, 0},
    {head_half, "noteheadHalf", 0xE0A3, 2, 1, 0},
    {head_black, "noteheadBlack", 0xE0A4, 2, 1, 0},
    {dot, "augmentationDot", 0xE1E7, 2, 1, 0},
    {flag_8_up, "flag8thUp", 0xE240, 2, 1, 0},
    {flag_8_down, "flag8thDown", 0xE241, 2, 1, 0},
    {flag_16_up, "flag16thUp", 0xE242, 2, 1, 0},
    {flag_16_down, "flag16thDown", 0xE243, 2, 1, 0},
    {flag_32_up, "flag32ndUp", 0xE244, 2, 1, 0},
    {flag_32_down, "flag32ndDown", 0xE245, 2, 1, 0},
    {flag_64_up, "flag64thUp", 0xE246, 2, 1, 0},
    {flag_64_down, "flag64thDown", 0xE247, 2, 1, 0},
    {flag_128_up, "flag128thUp", 0xE248, 2, 1, 0},
    {flag_128_down, "flag128thDown", 0xE249, 2, 1, 0},
    {rest_whole, "restWhole", 0xE4E3, 2, 1, 0},
    {rest_half, "restHalf", 0xE4E4, 2, 1, 0},
    {rest_quarter, "restQuarter", 0xE4E5, 2, 1, 0},
    {rest_8, "rest8th", 0xE4E6, 2, 1, 0},
    {rest_16, "rest16th", 0xE4E7, 2, 1, 0},
    {rest_32, "rest32nd", 0xE4E8, 2, 1, 0},
    {rest_64, "rest64th", 0xE4E9, 2, 1, 0},
    {rest_128, "rest128th", 0xE4EA, 2, 1, 0},
    {flat, "accidentalFlat", 0xE260, 2, 1, 0},
    {natural, "accidentalNatural", 0xE261, 2, 1, 0},
    {sharp, "accidentalSharp", 0xE262, 2, 1, 0},
    {double_sharp, "accidentalDoubleSharp", 0xE263, 2, 1, 0},
    {double_flat, "accidentalDoubleFlat", 0xE264, 2, 1, 0},
    {triple_sharp, "accidentalTripleSharp", 0xE265, 2, 1, 0},
    {triple_flat, "accidentalTripleFlat", 0xE266, 2, 1, 0},
    {paren_left, "accidentalParensLeft", 0xE26A, 2, 1, 0},
    {paren_right, "accidentalParensRight", 0xE26B, 2, 1, 0},
    {down_stroke, "stringsDownBow", 0xE610, 0, 1, 0},
    {up_stroke, "stringsUpBow", 0xE612, 0, 1, 0},
    {accent_above, "articAccentAbove", 0xE4A0, 2, 1, 0},
    {accent_below, "articAccentBelow", 0xE4A1, 2, 1, 0},
    {repeat_dot, "repeatDot", 0xE044, 0, 1, 0},
    {ottava, "ottavaAlta", 0xE511, 0, k_ottava, 0},
    {two_octaves, "quindicesimaAlta", 0xE515, 0, k_ottava, 0},
    {ottava_below, "ottavaBassaVb", 0xE51C, 0, k_ottava, 0},
    {two_octaves_below, "quindicesimaBassaMb", 0xE51D, 0, k_ottava, 0},
    {beat_half, "metNoteHalfUp", 0xECA3, 0.6, 1, 0},
    {beat_quarter, "metNoteQuarterUp", 0xECA5, 0.6, 1, 0},
    {beat_8, "metNote8thUp", 0xECA7, 0.6, 1, 0},
    {beat_16, "metNote16thUp", 0xECA9, 0.6, 1, 0},
    {beat_dot, "metAugmentationDot", 0xECB7, 0.6, 1, 0},
    {time_0, "time0", 0, 0, 1, 0},
    {time_1, "time1", 0, 0, 1, 0},
    {time_2, "time2", 0, 0, 1, 0},
    {time_3, "time3", 0, 0, 1, 0},
    {time_4, "time4", 0, 0, 1, 0},
    {time_5, "time5", 0, 0, 1, 0},
    {time_6, "time6", 0, 0, 1, 0},
    {time_7, "time7", 0, 0, 1, 0},
    {time_8, "time8", 0, 0, 1, 0},
    {time_9, "time9", 0, 0, 1, 0},
    {time_plus, "timePlus", 0, 0, 1, 0},
    {tuplet_0, "tuplet0", 0, 0, 1, 0},
    {tuplet_1, "tuplet1", 0, 0, 1, 0},
    {tuplet_2, "tuplet2", 0, 0, 1, 0},
    {tuplet_3, "tuplet3", 0, 0, 1, 0},
    {tuplet_4, "tuplet4", 0, 0, 1, 0},
    {tuplet_5, "tuplet5", 0, 0, 1, 0},
    {tuplet_6, "tuplet6", 0, 0, 1, 0},
    {tuplet_7, "tuplet7", 0, 0, 1, 0},
    {tuplet_8, "tuplet8", 0, 0, 1, 0},
    {tuplet_9, "tuplet9", 0, 0, 1, 0},
    {tuplet_colon, "colon", 0, 0, 1, 0},
    {finger_0, "finger0", 0, 0, 1, 0},
    {finger_1, "finger1", 0, 0, 1, 0},
    {finger_2, "finger2", 0, 0, 1, 0},
    {finger_3, "finger3", 0, 0, 1, 0},
    {finger_4, "finger4", 0, 0, 1, 0},
}};

}  // namespace

std::span<const SymbolRow> symbol_rows() { return k_rows; }

const SymbolRow& row_of(Symbol symbol) { return k_rows[static_cast<std::size_t>(symbol)]; }

std::vector<std::string> MusicFont::missing() const {
  std::vector<std::string> names;
  for (const SymbolRow& row : k_rows) {
    if (!has(row.symbol)) names.emplace_back(row.name);
  }
  return names;
}

}  // namespace fretloom::sheet
