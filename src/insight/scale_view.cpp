#include "insight/scale_view.h"

namespace fretloom {

ScaleView::ScaleView(const HeardPhrase& phrase, const ScaleChoice& scale)
    : phrase_(&phrase), line_(scale.set), bits_(scale.bits) {
  for (const HeardNote& note : phrase.notes) {
    const bool outside = !line_.has(note.midi);
    numbers_.push_back(line_.at_or_above(note.midi) - (outside ? 1 : 0));
    outside_.push_back(outside ? 1 : 0);
    if (outside) ++count_outside_;
  }
}

}  // namespace fretloom
