#include "lick/sequence_line.h"

#include <algorithm>

namespace fretloom {

namespace {

int midi_at(const Ground& ground, int string, int ordinal) {
  return ground.key.midi(ground.layout.strings[ground.neck.index(string)].first + ordinal - 1);
}

}  // namespace

SequenceLine::SequenceLine(const Ground& ground, const Lick& lick) {
  for (int string = ground.neck.strings(); string >= 1; --string) {
    for (int o = 1; o <= ground.layout.strings[ground.neck.index(string)].count; ++o)
      line_.push_back({midi_at(ground, string, o), string, o});
  }
  // Unisons once: the thicker string was entered first and the sort is stable.
  std::stable_sort(line_.begin(), line_.end(), [](const LinePlace& a, const LinePlace& b) { return a.midi < b.midi; });
  line_.erase(
      std::unique(line_.begin(), line_.end(), [](const LinePlace& a, const LinePlace& b) { return a.midi == b.midi; }),
      line_.end());
  const int start = midi_at(ground, lick.start_string, lick.start_ordinal);
  start_ = static_cast<int>(
      std::find_if(line_.begin(), line_.end(), [&](const LinePlace& n) { return n.midi == start; }) - line_.begin());
}

const LinePlace* SequenceLine::at(int step) const {
  const int index = start_ + step - 1;
  return index < 0 || index >= static_cast<int>(line_.size()) ? nullptr : &line_[static_cast<std::size_t>(index)];
}

std::optional<int> SequenceLine::step_of(const Ground& ground, int string, int ordinal) const {
  const int midi = midi_at(ground, string, ordinal);
  const auto found = std::find_if(line_.begin(), line_.end(), [&](const LinePlace& n) { return n.midi == midi; });
  if (found == line_.end()) return std::nullopt;
  return static_cast<int>(found - line_.begin()) - start_ + 1;
}

}  // namespace fretloom
