#include "hand/strokes.h"

#include <algorithm>
#include <cstdlib>

namespace fretloom {

namespace {

/// The stroke that goes the way of travel: down toward thinner (lower-numbered) strings.
Stroke with_travel(int from, int to) { return to < from ? Stroke::down : Stroke::up; }

}  // namespace

Stroke next_stroke(const LickNote* before, std::optional<Stroke> last, const LickNote& note, Picking picking,
                   Stroke first) {
  if (picking == Picking::grid) return note.unit % 2 == 0 ? first : other(first);
  if (picking == Picking::economy && before != nullptr && std::abs(note.string - before->string) == 1) {
    return with_travel(before->string, note.string);
  }
  return last ? other(*last) : first;
}

Strokes assign_strokes(const std::vector<LickNote>& notes, Picking picking, Stroke first) {
  Strokes strokes(notes.size());
  std::optional<Stroke> last;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (notes[i].attack != Attack::pick) continue;
    strokes[i] = last = next_stroke(i > 0 ? &notes[i - 1] : nullptr, last, notes[i], picking, first);
  }
  return strokes;
}

std::vector<Visit> visits(const std::vector<LickNote>& notes) {
  std::vector<Visit> found;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (found.empty() || found.back().string != notes[i].string) found.push_back({notes[i].string, i, 0, 0});
    ++found.back().notes;
    found.back().picked += notes[i].attack == Attack::pick ? 1 : 0;
  }
  return found;
}

ChangeType change_type(int from, int to, Stroke last, Stroke first) {
  if (last == first) {
    return std::abs(from - to) == 1 && last == with_travel(from, to) ? ChangeType::sweep : ChangeType::reset;
  }
  const Stroke thicker = from > to ? last : first;
  return thicker == Stroke::down ? ChangeType::outside : ChangeType::inside;
}

std::vector<Change> changes(const std::vector<LickNote>& notes, const Strokes& strokes, Clear clear) {
  std::vector<Change> found;
  Stroke last = Stroke::down;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    // The first note of a visit is always picked: no slur crosses strings.
    const Stroke stroke = strokes[i].value_or(last);
    if (i > 0 && notes[i].string != notes[i - 1].string) {
      Change change{
          static_cast<int>(i), notes[i - 1].string, notes[i].string, last, stroke, ChangeType::outside, false};
      change.type = change_type(change.from, change.to, change.last, change.first);
      change.free = change.type == ChangeType::sweep || is_clear_after(clear, change.last);
      found.push_back(change);
    }
    last = stroke;
  }
  return found;
}

}  // namespace fretloom
