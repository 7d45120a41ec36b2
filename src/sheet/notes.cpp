// Heads, accidentals, ledger lines, rests, stems, flags and beams.

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "sheet/system_state.h"

namespace fretloom::sheet {

namespace {

constexpr double k_stem_attach = 0.168;  // SMuFL anchors stemUpSE and stemDownNW of the black head
constexpr double k_beamlet = 1.1;
constexpr double k_ledger_off = 0.12;  // white between a ledger line and the accidental before its head

double head_half(const PlacedEvent& e, const MusicFont& font) { return font.box(symbol_of(*e.event)).width() / 2; }

void draw_accidental(SystemState& s, const PlacedEvent& e) {
  if (!e.staff->accidental) return;
  const Symbol sign = accidental_symbol(*e.staff->accidental);
  double x = e.x - head_half(e, s.font) - accidental_width(*e.staff, s.font);
  if (e.staff->courtesy) {
    s.draw(Mark::accidental, GlyphShape{{x, e.y}, Symbol::paren_left, 1}, e);
    x += s.font.box(Symbol::paren_left).width() + 0.05;
  }
  s.draw(Mark::accidental, GlyphShape{{x - s.font.box(sign).left, e.y}, sign, 1}, e);
  x += s.font.box(sign).width() + 0.05;
  if (e.staff->courtesy) s.draw(Mark::accidental, GlyphShape{{x, e.y}, Symbol::paren_right, 1}, e);
}

/// An accidental stands nearer to its head than a ledger line reaches: the line gives way to it (common practice).
void draw_ledgers(SystemState& s, const PlacedEvent& e) {
  const int p = e.staff->position;
  const double half = head_half(e, s.font);
  Box sign;  // empty without an accidental
  if (e.staff->accidental) sign = s.font.box(accidental_symbol(*e.staff->accidental));
  if (e.staff->courtesy) sign.add(s.font.box(Symbol::paren_left));
  for (int line = 6; line <= std::abs(p); line += 2) {
    const double y = 2 - (p > 0 ? line : -line) / 2.0;
    const bool meets = !sign.empty() && y > e.y + sign.top - k_ledger_off && y < e.y + sign.bottom + k_ledger_off;
    const double left = half + (meets ? k_accidental_gap - k_ledger_off : Engraving::ledger_extension);
    s.draw(Mark::ledger,
           LineShape{{e.x - left, y}, {e.x + half + Engraving::ledger_extension, y}, Engraving::ledger, false}, e);
  }
}

void draw_dots(SystemState& s, const PlacedEvent& e, double y) {
  const double x = e.x + head_half(e, s.font) + 0.35;
  for (int i = 0; i < e.event->dots; ++i) s.draw(Mark::dot, GlyphShape{{x, y}, Symbol::dot, 1}, e);
}

/// A rest under a beam steps out of its way by whole spaces.
double rest_y(const SystemState& s, std::size_t index) {
  const PlacedEvent& e = s.events[index];
  const double y = e.event->log == 0 ? 1 : 2;
  if (e.event->full_bar) return 1;
  const PlacedBar& bar = s.bars[static_cast<std::size_t>(e.local_bar)];
  const int local = static_cast<int>(index) - bar.first_event;
  for (const BeamGroup& beam : bar.rhythm->beams) {
    if (beam.events.front() > local || beam.events.back() < local) continue;
    const PlacedEvent& first = s.events[bar.at(beam.events.front())];
    const PlacedEvent& last = s.events[bar.at(beam.events.back())];
    const double along = (e.x - first.stem_x) / (last.stem_x - first.stem_x);
    const double outer = first.stem_end + along * (last.stem_end - first.stem_end);
    const double thick = 0.75 * (std::max(first.event->log, last.event->log) - 2) + 0.35;
    const Box& box = s.font.box(symbol_of(*e.event));
    if (first.stem == StemDirection::up) return y + std::max(0.0, std::ceil(outer + thick - (y + box.top)));
    return y - std::max(0.0, std::ceil((y + box.bottom) - (outer - thick)));
  }
  return y;
}

void set_stem(SystemState& s, PlacedEvent& e, StemDirection direction, double end) {
  const double half = head_half(e, s.font);
  e.has_stem = true;
  e.stem = direction;
  e.stem_x = direction == StemDirection::up ? e.x + half - Engraving::stem / 2 : e.x - half + Engraving::stem / 2;
  e.stem_end = end;
}

void set_single_stem(SystemState& s, PlacedEvent& e) {
  const StemDirection direction = stem_direction({e.staff->position});
  const int flags = std::max(0, e.event->log - 2);
  const double length = ideal_stem(e.staff->position, flags, direction);
  set_stem(s, e, direction, e.y + (direction == StemDirection::up ? -length : length));
}

/// How far the event's accidental reaches toward its stem's end.
double sign_reach(const SystemState& s, const PlacedEvent& e) {
  if (!e.staff->accidental) return 0;
  Box box = s.font.box(accidental_symbol(*e.staff->accidental));
  if (e.staff->courtesy) box.add(s.font.box(Symbol::paren_left));
  return e.stem == StemDirection::up ? -box.top : box.bottom;
}

void set_beam(SystemState& s, const PlacedBar& bar, const BeamGroup& beam) {
  std::vector<int> positions;
  for (const int i : beam.events) positions.push_back(s.events[bar.at(i)].staff->position);
  const StemDirection direction = stem_direction(positions);
  std::vector<BeamStem> stems;
  for (const int i : beam.events) {
    PlacedEvent& e = s.events[bar.at(i)];
    set_stem(s, e, direction, 0);
    stems.push_back({e.stem_x, e.staff->position, e.event->log - 2, sign_reach(s, e),
                     e.x - head_half(e, s.font) - accidental_width(*e.staff, s.font)});
  }
  const BeamLine line = place_beam(stems, direction);
  for (const int i : beam.events) {
    PlacedEvent& e = s.events[bar.at(i)];
    e.stem_end = 2 + line.at(e.stem_x, stems.front().x, stems.back().x);
  }
}

struct BeamDrawer {
  SystemState& s;
  const PlacedBar& bar;
  const BeamGroup& beam;

  [[nodiscard]] const PlacedEvent& at(std::size_t i) const { return s.events[bar.at(beam.events[i])]; }
  [[nodiscard]] int level(std::size_t i) const { return at(i).event->log - 2; }

  /// Outer edge of the primary beam at x, on the line through its end stems.
  [[nodiscard]] double outer(double x) const {
    const PlacedEvent& a = at(0);
    const PlacedEvent& b = at(beam.events.size() - 1);
    return a.stem_end + (b.stem_end - a.stem_end) * (x - a.stem_x) / (b.stem_x - a.stem_x);
  }

  void piece(double left, double right, int lvl, const PlacedEvent& owner) const {
    const double side = owner.stem == StemDirection::up ? 1 : -1;
    const double offset = side * (lvl - 1) * (Engraving::beam + Engraving::beam_gap);
    const double thick = side * Engraving::beam;
    const double a = outer(left) + offset;
    const double b = outer(right) + offset;
    s.draw(Mark::beam, QuadShape{{{{left, a}, {right, b}, {right, b + thick}, {left, a + thick}}}}, {}, owner.bar);
  }

  /// Which side a lone short beam points to: its nearer neighbour in the beat.
  [[nodiscard]] bool points_left(std::size_t i) const {
    if (i == 0) return false;
    if (i + 1 == beam.events.size()) return true;
    if (beam.joined[i - 1] != beam.joined[i]) return beam.joined[i - 1] > beam.joined[i];
    const RhythmEvent& e = *at(i).event;
    const Rational place = (e.onset.value - bar.rhythm->origin.value) / (e.duration.value * Rational(2));
    return !place.is_whole();
  }

  void draw_level(int lvl) const {
    const std::size_t n = beam.events.size();
    for (std::size_t i = 0; i < n;) {
      if (level(i) < lvl) {
        ++i;
        continue;
      }
      std::size_t j = i;
      while (j + 1 < n && beam.joined[j] >= lvl) ++j;
      const double half = Engraving::stem / 2;
      if (j > i) {
        piece(at(i).stem_x - half, at(j).stem_x + half, lvl, at(i));
      } else if (points_left(i)) {
        const double room = (at(i).stem_x - at(i - 1).stem_x) * 0.5;
        piece(at(i).stem_x - std::min(k_beamlet, room), at(i).stem_x + half, lvl, at(i));
      } else {
        const double room = (at(i + 1).stem_x - at(i).stem_x) * 0.5;
        piece(at(i).stem_x - half, at(i).stem_x + std::min(k_beamlet, room), lvl, at(i));
      }
      i = j + 1;
    }
  }

  void draw() const {
    int most = 0;
    for (std::size_t i = 0; i < beam.events.size(); ++i) most = std::max(most, level(i));
    for (int lvl = 1; lvl <= most; ++lvl) draw_level(lvl);
  }
};

void draw_flag(SystemState& s, const PlacedEvent& e) {
  if (e.event->log < 3 || e.event->beam >= 0) return;
  const int step = 2 * (e.event->log - 3) + (e.stem == StemDirection::up ? 0 : 1);
  const auto symbol = static_cast<Symbol>(static_cast<int>(Symbol::flag_8_up) + step);
  s.draw(Mark::flag, GlyphShape{{e.stem_x - Engraving::stem / 2, e.stem_end}, symbol, 1}, e);
}

}  // namespace

void draw_heads(SystemState& s) {
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    const Symbol symbol = symbol_of(*e.event);
    const Box& box = s.font.box(symbol);
    const double middle = (box.left + box.right) / 2;
    if (e.event->is_rest()) {
      const double y = rest_y(s, i);
      s.draw(Mark::rest, GlyphShape{{e.x - middle, y}, symbol, 1}, e);
      draw_dots(s, e, y - 0.5);
      continue;
    }
    draw_ledgers(s, e);
    draw_accidental(s, e);
    s.draw(Mark::notehead, GlyphShape{{e.x - middle, e.y}, symbol, 1}, e);
    draw_dots(s, e, e.staff->position % 2 == 0 ? e.y - 0.5 : e.y);
  }
}

void draw_stems(SystemState& s) {
  for (PlacedEvent& e : s.events) {
    e.stem = e.event->is_rest() ? StemDirection::up : stem_direction({e.staff->position});
    if (!e.event->is_rest() && e.event->log > 0 && e.event->beam < 0) set_single_stem(s, e);
  }
  for (const PlacedBar& bar : s.bars) {
    for (const BeamGroup& beam : bar.rhythm->beams) {
      if (bar.holds(beam.events.front())) set_beam(s, bar, beam);
    }
  }
  for (const PlacedEvent& e : s.events) {
    if (!e.has_stem) continue;
    const double from = e.y + (e.stem == StemDirection::up ? -k_stem_attach : k_stem_attach);
    // A stem ends in the middle of its beam, so that no corner shows past a slanting edge.
    const double inset = e.event->beam >= 0 ? (e.stem == StemDirection::up ? 0.1 : -0.1) : 0;
    s.draw(Mark::stem, LineShape{{e.stem_x, from}, {e.stem_x, e.stem_end + inset}, Engraving::stem, false}, e);
    draw_flag(s, e);
  }
  for (const PlacedBar& bar : s.bars) {
    for (const BeamGroup& beam : bar.rhythm->beams) {
      if (bar.holds(beam.events.front())) BeamDrawer{s, bar, beam}.draw();
    }
  }
}

}  // namespace fretloom::sheet
