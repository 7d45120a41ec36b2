#include "insight/scale_view.h"

#include <array>

namespace fretloom {

ScaleView::ScaleView(const HeardPhrase& phrase, const ScaleChoice& scale)
    : phrase_(&phrase), line_(scale.set), bits_(scale.bits) {
  std::array<std::array<std::uint16_t, ScaleLine::k_top + 1>, k_max_strings> known{};  // spots from 1
  for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
    const HeardNote& note = phrase.notes[i];
    const bool outside = !line_.has(note.midi);
    const ScaleSpot spot{line_.at_or_above(note.midi) - (outside ? 1 : 0), phrase.neck.index(note.string), outside};
    numbers_.push_back(spot.number);
    indexes_.push_back(static_cast<std::uint8_t>(spot.index));
    seen_.push_back(static_cast<std::uint8_t>((outside ? k_outside : 0) |
                                              (line_.has(note.midi + 11) ? 0 : k_not_raised) |
                                              (line_.has(note.midi + 1) ? 0 : k_not_lowered)));
    if (outside) outside_.push_back(i);
    std::uint16_t& row = known[spot.index][static_cast<std::size_t>(note.midi)];
    if (row == 0) {
      spots_.push_back(spot);
      row = static_cast<std::uint16_t>(spots_.size());
    }
    note_spots_.push_back(static_cast<std::uint16_t>(row - 1));
  }
}

}  // namespace fretloom
