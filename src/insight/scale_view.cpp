#include "insight/scale_view.h"

namespace fretloom {

ScaleView::ScaleView(const HeardPhrase& phrase, const ScaleChoice& scale)
    : phrase_(&phrase), line_(scale.set), bits_(scale.bits) {
  for (const HeardNote& note : phrase.notes) {
    const bool outside = !line_.has(note.midi);
    numbers_.push_back(line_.at_or_above(note.midi) - (outside ? 1 : 0));
    indexes_.push_back(static_cast<std::uint8_t>(phrase.neck.index(note.string)));
    seen_.push_back(static_cast<std::uint8_t>((outside ? k_outside : 0) |
                                              (line_.has(note.midi + 11) ? 0 : k_not_raised) |
                                              (line_.has(note.midi + 1) ? 0 : k_not_lowered)));
    if (outside) ++count_outside_;
  }
}

}  // namespace fretloom
