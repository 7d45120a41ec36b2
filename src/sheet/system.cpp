#include "sheet/system.h"

#include <algorithm>

#include "sheet/system_state.h"
#include "theory/scale.h"

namespace fretloom::sheet {

namespace {

constexpr double k_clef_left = 0.7;
constexpr double k_after_clef = 0.7;
constexpr double k_after_signature = 0.7;
constexpr double k_digit_gap = 0.22;  // between the figures of a time signature
constexpr double k_flat_step = 0.92;
constexpr double k_sharp_step = 1.02;
constexpr double k_tab_clef_share = 0.86;  // of the tab's height
constexpr double k_tuning_size = 1.6;

double tuning_width(const PassageScore& score, const SheetOptions& options) {
  double widest = 0;
  for (const SpelledPitch& open : score.at.idea->instrument.neck.tuning.open) {
    widest =
        std::max(widest, options.metrics.width(with_signs(open.pitch_class.name()), TextStyle::regular, k_tuning_size));
  }
  return widest + 0.7;
}

std::string digits_of(const Meter& meter) {
  std::string text;
  for (const int group : meter.groups) {
    if (!text.empty()) text += '+';
    text += std::to_string(group);
  }
  return text;
}

Symbol time_symbol(char c) {
  return c == '+' ? Symbol::time_plus : static_cast<Symbol>(static_cast<int>(Symbol::time_0) + (c - '0'));
}

double digits_width(const std::string& digits, const MusicFont& font) {
  double width = 0;
  for (const char c : digits) width += font.box(time_symbol(c)).width() + k_digit_gap;
  return width - k_digit_gap;
}

}  // namespace

double time_width(const Meter& meter, const MusicFont& font) {
  return std::max(digits_width(digits_of(meter), font), digits_width(std::to_string(meter.denominator), font));
}

double signature_width(int fifths) { return std::min(7, std::abs(fifths)) * (fifths > 0 ? k_sharp_step : k_flat_step); }

namespace {

Symbol clef_symbol(Clef clef) { return clef == Clef::bass ? Symbol::bass : Symbol::treble_8vb; }

void draw_digits(SystemState& s, const std::string& digits, double middle, double y) {
  double x = middle - digits_width(digits, s.font) / 2;
  for (const char c : digits) {
    const Symbol symbol = time_symbol(c);
    const Box& box = s.font.box(symbol);
    const double level = c == '+' ? y - (box.top + box.bottom) / 2 : y;
    s.draw(Mark::time_signature, GlyphShape{{x - box.left, level}, symbol, 1});
    x += box.width() + k_digit_gap;
  }
}

}  // namespace

void draw_time(SystemState& s, double x, const Meter& meter) {
  const double middle = x + time_width(meter, s.font) / 2;
  draw_digits(s, digits_of(meter), middle, 1);
  draw_digits(s, std::to_string(meter.denominator), middle, 3);
}

double draw_key(SystemState& s, double x, Clef clef, int fifths, Symbol symbol) {
  for (const int position : signature_positions(clef, fifths)) {
    s.draw(Mark::key_signature, GlyphShape{{x, 2 - position / 2.0}, symbol, 1});
    x += fifths > 0 ? k_sharp_step : k_flat_step;
  }
  return x;
}

namespace {

void draw_prefix(SystemState& s) {
  const PassageScore& score = *s.bars.front().score;
  const Meter& meter = score.at.idea->meter;
  double x = s.drawing.left + k_clef_left;
  const Clef clef = score.clef;
  const Symbol symbol = clef_symbol(clef);
  s.draw(Mark::clef, GlyphShape{{x, clef == Clef::bass ? 1.0 : 3.0}, symbol, 1});
  x += s.font.box(symbol).right + k_after_clef;
  const int fifths = score.fifths;
  x = draw_key(s, x, clef, fifths, fifths > 0 ? Symbol::sharp : Symbol::flat);
  if (fifths != 0) x += k_after_signature - 0.1;
  if (!s.input.opens_section) return;
  draw_time(s, x, meter);
}

/// Lays the bars and their columns along the line.
void place_columns(SystemState& s) {
  const SystemInput& in = s.input;
  double x = prefix_width(in.plan->scores[static_cast<std::size_t>(in.bars.front()->score)], in.opens_section, s.font,
                          s.options);
  for (std::size_t b = 0; b < in.bars.size(); ++b) {
    const MeasuredBar& measured = *in.bars[b];
    PlacedBar bar;
    bar.measured = &measured;
    bar.score = &in.plan->scores[static_cast<std::size_t>(measured.score)];
    bar.rhythm = &bar.score->rhythm.bars[static_cast<std::size_t>(measured.bar)];
    bar.left = x;
    bar.first_event = static_cast<int>(s.events.size()) - measured.first;
    x += measured.lead;
    const auto& staff = bar.score->notes.bars[static_cast<std::size_t>(measured.bar)];
    for (std::size_t i = static_cast<std::size_t>(measured.first); i < static_cast<std::size_t>(measured.end()); ++i) {
      PlacedEvent e;
      e.event = &bar.rhythm->events[i];
      e.staff = &staff[i];
      e.score = bar.score->at.score;
      e.bar = measured.index;
      e.local_bar = static_cast<int>(b);
      e.x = x;
      if (!e.event->is_rest()) {
        e.note = &e.score->notes[static_cast<std::size_t>(e.event->note)];
        e.ref = {in.passage, bar.score->first_note + e.event->note};
        e.y = 2 - e.staff->position / 2.0;
      }
      s.events.push_back(e);
      s.drawing.columns.push_back(x);
      const Gap& gap = measured.gaps[i - static_cast<std::size_t>(measured.first)];
      x += std::max(gap.rod, in.force * gap.spring);
    }
    x += measured.tail;
    bar.right = x;
    s.drawing.bar_edges.push_back(x);
    if (bar.rhythm->events.size() == 1 && bar.rhythm->events[0].full_bar) {
      s.events.back().x =
          (bar.left + (measured.repeat_start ? k_before_repeat + k_repeat_width : 0) + bar.right - measured.tail) / 2;
    }
    s.bars.push_back(bar);
  }
}

struct Staff {
  double top;
  double bottom;
  int lines;
  double spacing;
};

void thin_line(SystemState& s, double x, const Staff& staff, int bar) {
  s.draw(Mark::bar_line, LineShape{{x, staff.top}, {x, staff.bottom}, Engraving::bar_line, false}, {}, bar, false);
}

void heavy_line(SystemState& s, double left, const Staff& staff, int bar) {
  const double right = left + Engraving::heavy_bar_line;
  s.draw(Mark::bar_line,
         QuadShape{{{{left, staff.top}, {right, staff.top}, {right, staff.bottom}, {left, staff.bottom}}}}, {}, bar,
         false);
}

void repeat_dots(SystemState& s, double x, const Staff& staff, int bar) {
  const double middle = (staff.top + staff.bottom) / 2;
  const double apart = staff.lines % 2 == 1 ? staff.spacing / 2 : staff.spacing;
  for (const double y : {middle - apart, middle + apart}) {
    s.draw(Mark::repeat_sign, GlyphShape{{x, y}, Symbol::repeat_dot, 1}, {}, bar, false);
  }
}

void draw_bar_lines(SystemState& s, const Staff& staff) {
  for (const PlacedBar& bar : s.bars) {
    const int index = bar.measured->index;
    if (bar.measured->repeat_start) {
      const double left = bar.left + k_before_repeat;
      heavy_line(s, left + 0.1, staff, index);
      thin_line(s, left + 0.1 + Engraving::heavy_bar_line + 0.3, staff, index);
      repeat_dots(s, left + 1.15, staff, index);
    }
    if (!bar.measured->ends_bar) continue;
    if (bar.measured->repeat_end) {
      repeat_dots(s, bar.right - 1.45, staff, index);
      thin_line(s, bar.right - Engraving::heavy_bar_line - 0.3, staff, index);
      heavy_line(s, bar.right - Engraving::heavy_bar_line, staff, index);
    } else if (bar.measured->closing) {
      thin_line(s, bar.right - Engraving::heavy_bar_line - 0.32, staff, index);
      heavy_line(s, bar.right - Engraving::heavy_bar_line, staff, index);
    } else {
      const double right = bar.right - bar.measured->courtesy - Engraving::bar_line / 2;
      thin_line(s, right, staff, index);
      if (bar.measured->joins) thin_line(s, right - Engraving::bar_line_gap, staff, index);
    }
  }
}

void draw_staff_lines(SystemState& s) {
  for (int i = 0; i < 5; ++i) {
    s.draw(Mark::staff_line,
           LineShape{{s.drawing.left, double(i)}, {s.bars.back().right, double(i)}, Engraving::staff_line, false});
  }
}

void draw_tab_frame(SystemState& s) {
  const PassageScore& score = *s.bars.front().score;
  Staff staff{s.tab_top, s.tab_bottom(), s.strings, Engraving::tab_spacing};
  if (s.strings == 1) staff = {s.tab_top - 0.75, s.tab_top + 0.75, 1, Engraving::tab_spacing};
  draw_bar_lines(s, staff);
  s.draw(Mark::bar_line, LineShape{{s.drawing.left, 0}, {s.drawing.left, staff.bottom}, Engraving::bar_line, false}, {},
         -1, false);
  const double height = staff.bottom - staff.top;
  const Box& clef = s.font.box(Symbol::tab_clef);
  const double scale = std::clamp(k_tab_clef_share * height / clef.height(), 0.55, 2.0);
  const double middle = (staff.top + staff.bottom) / 2 - (clef.top + clef.bottom) / 2 * scale;
  s.draw(Mark::tab_clef, GlyphShape{{s.drawing.left + k_clef_left, middle}, Symbol::tab_clef, scale});
  if (!s.input.opens_section) return;
  const auto& open = score.at.idea->instrument.neck.tuning.open;
  for (std::size_t i = 0; i < open.size(); ++i) {
    const double y = s.tab_top + static_cast<double>(open.size() - 1 - i) * Engraving::tab_spacing;
    s.draw(Mark::tuning,
           s.text({s.drawing.left - 0.45, y + k_tuning_size * k_cap_height / 2}, with_signs(open[i].pitch_class.name()),
                  TextStyle::regular, k_tuning_size, Anchor::end));
  }
}

void measure_box(SystemState& s) {
  for (const SceneItem& item : s.drawing.items) s.drawing.box.add(box_of(item.shape, s.font));
}

}  // namespace

double prefix_width(const PassageScore& score, bool opens_section, const MusicFont& font, const SheetOptions& options) {
  double x = k_clef_left + font.box(clef_symbol(score.clef)).right + k_after_clef;
  if (opens_section) x += tuning_width(score, options);
  if (score.fifths != 0) x += signature_width(score.fifths) + k_after_signature - 0.1;
  if (opens_section) x += time_width(score.at.idea->meter, font) + 0.2;
  return x;
}

SystemDrawing engrave_system(const SystemInput& input, const MusicFont& font, const SheetOptions& options) {
  SystemState s(input, font, options);
  const PassageScore& score = input.plan->scores[static_cast<std::size_t>(input.bars.front()->score)];
  s.drawing.left = input.opens_section ? tuning_width(score, options) : 0;
  s.strings = score.at.idea->instrument.strings();
  place_columns(s);
  // Inside out: what belongs to the notes first, then rows that keep clear of all before them.
  draw_staff_lines(s);
  draw_prefix(s);
  draw_bar_lines(s, {0, 4, 5, 1});
  draw_courtesy(s);
  draw_stems(s);
  draw_heads(s);
  draw_ties(s);
  draw_slurs(s);
  draw_accents(s);
  draw_tuplets(s);
  draw_ottava(s);
  draw_strokes(s);
  draw_blocked(s);
  draw_chords(s);
  draw_row_heads(s);
  draw_bar_number(s);
  draw_fingers(s);
  draw_tab(s);
  draw_tab_frame(s);
  draw_below_tab(s);
  measure_box(s);
  return std::move(s.drawing);
}

}  // namespace fretloom::sheet
