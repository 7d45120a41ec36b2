#include "insight/scale_view.h"

namespace fretloom {

ScaleView::ScaleView(const HeardPhrase& phrase, const ScaleChoice& scale)
    : phrase_(&phrase), line_(scale.set), bits_(scale.bits) {
  for (const HeardNote& note : phrase.notes) {
    const bool outside = !line_.has(note.midi);
    numbers_.push_back(line_.at_or_above(note.midi) - (outside ? 1 : 0));
    indexes_.push_back(static_cast<std::uint8_t>(phrase.neck.index(note.string)));
    outside_.push_back(outside ? 1 : 0);
    raised_.push_back(line_.has(note.midi + 11) ? 1 : 0);
    lowered_.push_back(line_.has(note.midi + 1) ? 1 : 0);
    if (outside) ++count_outside_;
  }
}

}  // namespace fretloom
