#include "sheet/headings.h"

#include <algorithm>

#include "base/text.h"
#include "sheet/number.h"

namespace fretloom::sheet {

std::string notes_a_beat(const Score& score) {
  return counted(static_cast<std::size_t>(std::max(0, score.notes_per_beat)), "note") + " a beat";
}

BeatSign beat_sign(const Meter& meter) {
  const Rational value = meter.beat_value();
  const bool dotted = meter.is_compound();
  const Rational plain = dotted ? value * Rational(2, 3) : value;
  if (plain == Rational(1, 2)) return {Symbol::beat_half, dotted};
  if (plain == Rational(1, 4)) return {Symbol::beat_quarter, dotted};
  return {plain == Rational(1, 8) ? Symbol::beat_8 : Symbol::beat_16, dotted};
}

std::string tempo_text(const IdeaSheet& idea) {
  const std::string slow = fixed(idea.slow_bpm.to_double());
  return "= " + slow + (idea.goal_bpm == idea.slow_bpm ? "" : " to " + fixed(idea.goal_bpm.to_double()));
}

}  // namespace fretloom::sheet
