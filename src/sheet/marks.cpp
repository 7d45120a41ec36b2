// Everything that stands in rows around the notation: tuplets, accents, ottava, strokes, chord
// symbols, bar numbers, fingers.

#include <algorithm>
#include <cstdlib>

#include "sheet/chord_setting.h"
#include "sheet/system_state.h"

namespace fretloom::sheet {

namespace {

constexpr double k_tuplet_scale = 0.72;
constexpr double k_stroke_scale = 0.9;
constexpr double k_finger_scale = 1.05;
constexpr double k_number_size = 1.7;
constexpr double k_ottava_scale = 0.72;
constexpr double k_least_ottava_line = 0.3;
constexpr double k_row_gap = 0.55;
constexpr double k_cross = 0.42;           // half a blocked change's cross
constexpr double k_crossing_inset = 0.15;  // of its stroke from the middles of the two notes
constexpr double k_under_tuplet = 0.3;     // more white, so that its number is no finger
constexpr double k_over_tab = 1.35;
constexpr double k_lowest_letters = 0.45;
constexpr double k_over_letters = 0.7;  // white between the fingers and the letters of the tab
constexpr double k_over_ottava = 0.9;   // the heavy 8 would touch the feet of a downstroke above it

bool is_struck(const PlacedEvent& e) { return e.note != nullptr && !e.event->tie_in; }

struct Reach {
  const SystemState& s;
  Side side;

  /// How far out (in the direction of `side`) something stands between two xs.
  [[nodiscard]] double at(double left, double right) const {
    return side == Side::above ? s.above.reach(left, right) : s.below.reach(left, right);
  }
  [[nodiscard]] double outward(double y, double by) const { return side == Side::above ? y - by : y + by; }
};

std::string tuplet_text(const TupletGroup& tuplet, const Meter& meter) {
  return meter.is_compound() ? tuplet.ratio.name() : std::to_string(tuplet.ratio.actual);
}

Symbol tuplet_symbol(char c) {
  return c == ':' ? Symbol::tuplet_colon : static_cast<Symbol>(static_cast<int>(Symbol::tuplet_0) + (c - '0'));
}

double tuplet_width(const SystemState& s, const std::string& text) {
  double width = 0;
  for (const char c : text) width += (s.font.box(tuplet_symbol(c)).width() + 0.1) * k_tuplet_scale;
  return width;
}

void draw_tuplet_text(SystemState& s, const std::string& text, double middle, double baseline, int bar) {
  double x = middle - tuplet_width(s, text) / 2;
  for (const char c : text) {
    const Box& box = s.font.box(tuplet_symbol(c));
    s.draw(Mark::tuplet, GlyphShape{{x - box.left * k_tuplet_scale, baseline}, tuplet_symbol(c), k_tuplet_scale}, {},
           bar);
    x += (box.width() + 0.1) * k_tuplet_scale;
  }
}

/// Stem side of most of the tuplet's notes.
Side tuplet_side(const SystemState& s, int first, int last) {
  int up = 0;
  for (int i = first; i <= last; ++i) {
    const PlacedEvent& e = s.events[static_cast<std::size_t>(i)];
    if (e.note != nullptr) up += e.stem == StemDirection::up ? 1 : -1;
  }
  return up >= 0 ? Side::above : Side::below;
}

void draw_tuplet(SystemState& s, const PlacedBar& bar, const TupletGroup& tuplet) {
  const int first = bar.first_event + tuplet.first;
  const int last = bar.first_event + tuplet.last;
  const PlacedEvent& a = s.events[static_cast<std::size_t>(first)];
  const PlacedEvent& b = s.events[static_cast<std::size_t>(last)];
  const Side side = tuplet_side(s, first, last);
  const Reach reach{s, side};
  const std::string text = tuplet_text(tuplet, bar.score->at.idea->meter);
  const double height = 1.5 * k_tuplet_scale;
  const double half = tuplet_width(s, text) / 2;
  const double left = a.has_stem && a.stem == StemDirection::down ? a.x - 0.6 : a.x - 0.55;
  const double right = b.x + 0.6;
  if (!tuplet.bracket) {
    const double middle = (a.stem_x + b.stem_x) / 2;
    const double y = reach.outward(reach.at(middle - half - 0.2, middle + half + 0.2), 0.35);
    draw_tuplet_text(s, text, middle, side == Side::above ? y : y + height, a.bar);
    return;
  }
  const double middle = (left + right) / 2;
  const double y = reach.outward(reach.at(left, right), 0.4 + height / 2);
  const double hook = side == Side::above ? 0.55 : -0.55;
  const double gap = half + 0.25;
  const auto line = [&](Point p, Point q) {
    s.draw(Mark::tuplet, LineShape{p, q, Engraving::bracket, false}, {}, a.bar);
  };
  line({left, y + hook}, {left, y});
  line({left - Engraving::bracket / 2, y}, {middle - gap, y});
  line({middle + gap, y}, {right + Engraving::bracket / 2, y});
  line({right, y}, {right, y + hook});
  draw_tuplet_text(s, text, middle, y + height / 2, a.bar);
}

/// Outermost edge of everything of one kind on one side of the system; `none` where there is nothing. Rows of
/// different kinds must not share a height: a tuplet's number among fingers would read as a finger.
double edge_of(const SystemState& s, Mark mark, Side side, double none) {
  double edge = none;
  for (const SceneItem& item : s.drawing.items) {
    if (item.mark != mark) continue;
    const Box box = box_of(item.shape, s.font);
    edge = side == Side::above ? std::min(edge, box.top) : std::max(edge, box.bottom);
  }
  return edge;
}

/// The ottava's run of events from `first`; its last index.
std::size_t ottava_end(const SystemState& s, std::size_t first) {
  std::size_t last = first;
  for (std::size_t i = first; i < s.events.size(); ++i) {
    if (s.events[i].note == nullptr) continue;
    if (s.events[i].score != s.events[first].score) break;  // each idea of the etude says its own
    if (s.events[i].staff->octaves != s.events[first].staff->octaves) break;
    last = i;
  }
  return last;
}

Symbol ottava_symbol(int octaves) {
  if (octaves > 0) return octaves == 1 ? Symbol::ottava : Symbol::two_octaves;
  return octaves == -1 ? Symbol::ottava_below : Symbol::two_octaves_below;
}

/// Where the note begins that stands after an event without its ottava.
double left_of_next(const SystemState& s, std::size_t last) {
  for (std::size_t i = last + 1; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (e.note != nullptr) return e.x - 0.59 - accidental_width(*e.staff, s.font) - 0.15;
  }
  return 1e9;
}

/// The sign and its dashed line, above the notes that it prints lower or below those that it prints higher.
void draw_ottava_line(SystemState& s, std::size_t first, std::size_t last) {
  const PlacedEvent& a = s.events[first];
  const PlacedEvent& b = s.events[last];
  const Reach reach{s, a.staff->octaves > 0 ? Side::above : Side::below};
  const bool above = reach.side == Side::above;
  const Symbol symbol = ottava_symbol(a.staff->octaves);
  const Box& box = s.font.box(symbol);
  const double left = a.x - 0.6;
  const double text_right = left + box.width() * k_ottava_scale;
  // Over a note alone the line would reach into the next one: there the sign stands by itself.
  const double limit = left_of_next(s, last);
  const bool lined = text_right + k_least_ottava_line <= limit;
  const double right = lined ? std::min(std::max(b.x + 0.8, text_right + k_least_ottava_line), limit) : text_right;
  const double edge = reach.outward(reach.at(left, right + 0.3), k_row_gap);
  const double y = above ? edge - box.bottom * k_ottava_scale : edge - box.top * k_ottava_scale;
  s.draw(Mark::ottava, GlyphShape{{left - box.left * k_ottava_scale, y}, symbol, k_ottava_scale}, {}, a.bar);
  const double line = above ? y - 0.95 : y;
  const double hook = above ? line + 0.8 : line - 0.8;
  if (!lined) return;
  s.draw(Mark::ottava, LineShape{{text_right + 0.25, line}, {right, line}, Engraving::bracket, true}, {}, a.bar);
  s.draw(Mark::ottava, LineShape{{right, line}, {right, hook}, Engraving::bracket, false}, {}, b.bar);
}

}  // namespace

void draw_tuplets(SystemState& s) {
  for (const PlacedBar& bar : s.bars) {
    for (const TupletGroup& tuplet : bar.rhythm->tuplets) {
      if (bar.holds(tuplet.first)) draw_tuplet(s, bar, tuplet);
    }
  }
}

void draw_accents(SystemState& s) {
  for (const PlacedEvent& e : s.events) {
    if (!is_struck(e) || !e.note->accent) continue;
    const bool below = e.stem == StemDirection::up && e.event->log > 0;
    const Symbol symbol = below ? Symbol::accent_below : Symbol::accent_above;
    const Box& box = s.font.box(symbol);
    const double half = box.width() / 2;
    const double y = below ? std::max(4.0, s.below.reach(e.x - half, e.x + half)) + 0.35
                           : std::min(0.0, s.above.reach(e.x - half, e.x + half)) - 0.35;
    s.draw(Mark::accent, GlyphShape{{e.x - half - box.left, y}, symbol, 1}, e);
  }
}

void draw_ottava(SystemState& s) {
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    if (s.events[i].note == nullptr || s.events[i].staff->octaves == 0) continue;
    const std::size_t last = ottava_end(s, i);
    draw_ottava_line(s, i, last);
    i = last;
  }
}

void draw_strokes(SystemState& s) {
  if (!s.options.strokes) return;
  double y = std::min(-1.0, edge_of(s, Mark::tuplet, Side::above, 0) - k_row_gap);
  y = std::min(y, edge_of(s, Mark::ottava, Side::above, 0) - k_over_ottava);
  bool any = false;
  for (const PlacedEvent& e : s.events) {
    if (!is_struck(e) || !e.note->stroke) continue;
    any = true;
    y = std::min(y, s.above.reach(e.x - 0.65, e.x + 0.65) - k_row_gap);
  }
  if (!any) return;
  for (const PlacedEvent& e : s.events) {
    if (!is_struck(e) || !e.note->stroke) continue;
    const Symbol symbol = *e.note->stroke == Stroke::down ? Symbol::down_stroke : Symbol::up_stroke;
    const Box& box = s.font.box(symbol);
    s.draw(Mark::stroke, GlyphShape{{e.x - (box.left + box.right) / 2 * k_stroke_scale, y}, symbol, k_stroke_scale}, e);
  }
}

void draw_cross(SystemState& s, Mark mark, Point centre, double half, int bar) {
  for (const double side : {-1.0, 1.0}) {
    s.draw(mark,
           LineShape{{centre.x - half, centre.y - side * half}, {centre.x + half, centre.y + side * half}, 0.2, false},
           {}, bar);
  }
}

void draw_blocked(SystemState& s) {
  std::vector<std::pair<std::size_t, double>> crossings;  // event, x of the note after it
  double y = edge_of(s, Mark::stroke, Side::above, -1);
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (e.note == nullptr || e.event->tie_out) continue;
    const PassageScore& score = *s.bars[static_cast<std::size_t>(e.local_bar)].score;
    if (!score.blocked[static_cast<std::size_t>(e.event->note)]) continue;
    std::size_t next = i + 1;
    while (next < s.events.size() && s.events[next].note == nullptr) ++next;
    // Over a line's end the stroke stops short of where the next line goes on.
    const double to = next < s.events.size() ? s.events[next].x : s.bars.back().right - s.bars.back().measured->tail;
    crossings.emplace_back(i, to);
    y = std::min(y, s.above.reach(e.x, to));
  }
  y -= k_row_gap + k_cross;
  for (const auto& [i, to] : crossings) {
    const PlacedEvent& e = s.events[i];
    const double from = e.x + k_crossing_inset;
    const double end = to - k_crossing_inset;
    s.draw(Mark::blocked, LineShape{{from, y}, {end, y}, Engraving::bracket, false}, {}, e.bar);
    draw_cross(s, Mark::blocked, {(from + end) / 2, y}, k_cross, e.bar);
  }
}

namespace {

struct PlacedChord {
  double x;
  ChordSetting setting;
  int bar;
};

/// x of a beat of the bar: its column, or between columns in proportion to time.
double x_of_beat(const SystemState& s, const PlacedBar& bar, const Beats& beat) {
  double before_x = bar.left + bar.measured->lead;
  Rational before = s.events[bar.at(bar.measured->first)].event->onset.value;
  for (int i = bar.measured->first; i < bar.measured->end(); ++i) {
    const PlacedEvent& e = s.events[bar.at(i)];
    const Rational end = e.event->onset.value + e.event->duration.value;
    const double x = e.event->full_bar ? bar.left + bar.measured->lead : e.x;
    if (e.event->onset == beat) return x;
    before_x = x;
    before = e.event->onset.value;
    if (beat.value < end) {
      const double next = bar.holds(i + 1) ? s.events[bar.at(i + 1)].x : bar.right - bar.measured->tail;
      return before_x + (next - before_x) * ((beat.value - before) / (end - before)).to_double();
    }
  }
  return before_x;
}

/// The chords that begin on a line's part of a bar; first of them the one that sounds already where a line begins
/// inside a bar.
std::vector<std::pair<Beats, const VampChord*>> chords_of(const SystemState& s, const PlacedBar& bar) {
  const IdeaSheet& idea = *bar.score->at.idea;
  const RhythmEvent& first = *s.events[bar.at(bar.measured->first)].event;
  const RhythmEvent& last = *s.events[bar.at(bar.measured->end() - 1)].event;
  const Rational end = last.onset.value + last.duration.value;
  std::vector<std::pair<Beats, const VampChord*>> chords;
  if (&bar == &s.bars.front() && !bar.measured->begins_bar() && bar.rhythm->number > 0) {
    if (const VampChord* chord = chord_at(idea, first.onset)) chords.emplace_back(first.onset, chord);
  }
  for (const auto& [onset, chord] : chords_in(idea.vamp, idea.meter, *bar.rhythm)) {
    if (onset.value >= first.onset.value && onset.value < end) chords.emplace_back(onset, chord);
  }
  return chords;
}

std::vector<PlacedChord> placed_chords(const SystemState& s) {
  std::vector<PlacedChord> placed;
  std::string before;  ///< the chord that sounds already
  for (const PlacedBar& bar : s.bars) {
    if (bar.measured->bar == 0 && bar.measured->begins_bar()) before.clear();  // an idea says its chords for itself
    for (const auto& [onset, chord] : chords_of(s, bar)) {
      const std::string symbol = chord->chord.symbol();
      if (symbol == before) continue;
      before = symbol;
      placed.push_back({x_of_beat(s, bar, onset) - 0.59, set_chord(chord->chord, k_chord_size, s.options.metrics),
                        bar.measured->index});
    }
  }
  return placed;
}

}  // namespace

void draw_chords(SystemState& s) {
  const auto chords = placed_chords(s);
  double y = std::min(-1.4, edge_of(s, Mark::stroke, Side::above, 0) - 0.75);
  y = std::min(y, edge_of(s, Mark::blocked, Side::above, 0) - 0.75);
  for (const PlacedChord& chord : chords)
    y = std::min(y, s.above.reach(chord.x - 0.3, chord.x + chord.setting.width + 0.3) - 0.75);
  for (const PlacedChord& chord : chords) {
    for (const TextShape& piece : chord.setting.pieces)
      s.draw(Mark::chord, transformed(piece, 1, {chord.x, y}), {}, chord.bar);
  }
}

void draw_bar_number(SystemState& s) {
  const PlacedBar& bar = s.bars.front();
  const std::int64_t number = bar_number(*s.input.plan, bar.measured->index);
  if (number <= 1 || !bar.measured->begins_bar()) return;
  const std::string text = std::to_string(number);
  const double width = s.options.metrics.width(text, TextStyle::italic, k_number_size);
  const double left = s.drawing.left;
  const double y = s.above.reach(left, left + width + 0.2) - 0.4;
  s.draw(Mark::bar_number, s.text({left, y}, text, TextStyle::italic, k_number_size, Anchor::start));
}

void draw_fingers(SystemState& s) {
  double y =
      std::max(edge_of(s, Mark::tuplet, Side::below, 4) + k_under_tuplet, edge_of(s, Mark::ottava, Side::below, 4));
  bool any = false;
  for (const PlacedEvent& e : s.events) {
    if (!s.options.fingers || !is_struck(e) || !e.note->finger) continue;
    any = true;
    y = std::max(y, s.below.reach(e.x - 0.6, e.x + 0.6));
  }
  if (any) {
    y += k_row_gap + k_finger_scale;
    for (const PlacedEvent& e : s.events) {
      if (!is_struck(e) || !e.note->finger) continue;
      const auto symbol = static_cast<Symbol>(static_cast<int>(Symbol::finger_0) + std::clamp(*e.note->finger, 0, 4));
      const Box& box = s.font.box(symbol);
      s.draw(Mark::finger, GlyphShape{{e.x - (box.left + box.right) / 2 * k_finger_scale, y}, symbol, k_finger_scale},
             e);
    }
  }
  const double lowest = s.below.reach(-10, s.bars.back().right + 10);
  // The feet of the letters H, P and sl. above the tab's first line, clear of the bows below them.
  double feet = -k_lowest_letters;
  const auto runs = slur_runs(s);
  for (const SlurRun& run : runs) {
    const int last = run.last >= 0 ? run.last : static_cast<int>(s.events.size()) - 1;
    for (int i = std::max(run.first, 0); i <= last; ++i) {
      const ScoreNote* note = s.events[static_cast<std::size_t>(i)].note;
      if (note != nullptr) feet = std::min(feet, (note->string - 1) * Engraving::tab_spacing - k_tab_bow);
    }
  }
  const double over_tab = runs.empty() ? k_over_tab : k_over_letters + k_letter_size * k_cap_height - feet;
  s.tab_top = std::max(4 + 3.0, lowest + over_tab);
  s.letter_row = s.tab_top + feet;
}

}  // namespace fretloom::sheet
