#include "sheet/loom_drawing.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <optional>

#include "base/arithmetic.h"

namespace fretloom::sheet {

namespace {

// Measures in pixels of the design, thirteen to the em of a digit.
constexpr double k_lane = 36;
constexpr double k_paper_lane = 30;  // a handout holds more, and nobody drags its knots
constexpr double k_idle_lane = 10;   // of a string that is never touched
constexpr double k_highest_step = 8;
constexpr double k_steps_height = 28;  // of a lane, for all its ordinals
constexpr double k_least_unit = 25;
constexpr double k_most_unit = 40;
constexpr double k_half_knot = 9.5;
constexpr double k_flat = 9;         // from a knot's middle to its flat end
constexpr double k_shoulder = 4;     // to where its point begins
constexpr double k_point = 12;       // to its tip
constexpr double k_digit_off = 1.7;  // from a knot's middle toward its flat end
constexpr double k_outline = 1.8;
constexpr double k_circle = 9;
constexpr double k_circle_line = 1.1;
constexpr double k_thread = 2.4;
constexpr double k_dot = 2.8;
constexpr double k_tail = 3.4;  // of a held note, solid or dotted as its thread
constexpr double k_ring = 15;
constexpr double k_ring_line = 2;
constexpr double k_gate = 3.8;
constexpr double k_cross = 5;
constexpr double k_band_radius = 4;
constexpr double k_band_over = 2;  // bands reach beyond the lanes
constexpr double k_beat_line = 0.9;
constexpr double k_bar_line = 1.3;
constexpr double k_text_gap = 5;
constexpr double k_rest_scale = 0.85;
constexpr double k_accent_scale = 0.8;

}  // namespace

LoomSize loom_size(const IdeaSheet& idea, const SheetOptions& options) {
  LoomSize size;
  size.digit = std::max(size.digit, smallest_text(options));
  size.pixel = size.digit / 13;
  size.least_unit = k_least_unit * size.pixel;
  size.most_unit = k_most_unit * size.pixel;
  double widest = 0;
  for (const SpelledPitch& open : idea.instrument.neck.tuning.open) {
    widest =
        std::max(widest, options.metrics.width(with_signs(open.pitch_class.name()), TextStyle::regular, size.digit));
  }
  size.names = widest + 8 * size.pixel;
  return size;
}

PolygonShape knot_outline(Point p, Stroke stroke, double pixel, double line) {
  const double way = stroke == Stroke::down ? 1 : -1;
  const double inset = line / 2;
  const double half = k_half_knot * pixel - inset;
  const double flat = way * (k_flat * pixel - inset);
  // Slanted sides are moved by as much across as the upright ones.
  const double run = k_half_knot * pixel;
  const double rise = (k_point - k_shoulder) * pixel;
  const double tip_inset = inset * hypotenuse(run, rise) / run;
  const double shoulder = way * (k_point * pixel - tip_inset - half * rise / run);
  const double tip = way * (k_point * pixel - tip_inset);
  return {{{{p.x - half, p.y - flat},
            {p.x + half, p.y - flat},
            {p.x + half, p.y + shoulder},
            {p.x, p.y + tip},
            {p.x - half, p.y + shoulder}}},
          line};
}

int loom_units(const LoomSize& size, double width) {
  return std::max(1, static_cast<int>(std::floor((width - size.names) / size.least_unit + 1e-9)));
}

namespace {

/// What all rows share.
struct Frame {
  const Loom& loom;
  const IdeaSheet& idea;
  int passage;
  double width;
  const SheetOptions& options;
  const MusicFont& font;
  LoomSize size;
  Rational written_unit;  ///< value of a unit as it is written, of a whole note
  double unit = 3;        ///< width of one
  double lane_height = k_lane;

  [[nodiscard]] double px(double pixels) const { return pixels * size.pixel; }
  [[nodiscard]] double text_width(const std::string& text, TextStyle style) const {
    return options.metrics.width(text, style, size.digit);
  }
  /// How far above the middle of its lane a knot stands.
  [[nodiscard]] double height_of(const LoomKnot& knot) const {
    const LoomLane& lane = loom.lanes[static_cast<std::size_t>(knot.string - 1)];
    const double steps = lane.high - lane.low;
    const double step = steps > 0 ? std::min(k_highest_step, k_steps_height / steps) : 0;
    return px(lane_height / k_lane * step * (knot.place - (lane.low + lane.high) / 2));
  }
};

Frame make_frame(const Loom& loom, const IdeaSheet& idea, const Score& score, int passage, double width,
                 const SheetOptions& options, const MusicFont& font) {
  Frame frame{loom,
              idea,
              passage,
              width,
              options,
              font,
              loom_size(idea, options),
              written_value(idea.meter, score.notes_per_beat),
              3,
              options.paper.is_screen() ? k_lane : k_paper_lane};
  double longest = 1;
  for (const LoomRow& row : loom.rows) longest = std::max(longest, (row.to - row.from).to_double());
  frame.unit = std::min(frame.size.most_unit, (width - frame.size.names) / longest);
  return frame;
}

class RowDrawer {
 public:
  RowDrawer(const Frame& frame, const LoomRow& row) : f_(frame), row_(row) {
    left_ = f_.size.names;
    right_ = left_ + (row.to - row.from).to_double() * f_.unit;
    for (const LoomLane& lane : f_.loom.lanes) {
      touched_.push_back(touches(lane.string));
      const double height = px(touched_.back() ? f_.lane_height : k_idle_lane);
      lane_y_.push_back(bottom_ + height / 2);
      bottom_ += height;
    }
  }

  LoomRowDrawing draw() {
    draw_bands();
    draw_lanes();
    draw_threads();
    draw_rests();
    draw_knots();
    draw_beats();
    draw_gates();
    draw_chords();
    draw_band_names();
    draw_gate_words();
    return finished();
  }

 private:
  [[nodiscard]] double px(double pixels) const { return f_.px(pixels); }
  [[nodiscard]] double x_of(const Rational& slot) const {
    return left_ + ((slot - row_.from).to_double() + 0.5) * f_.unit;
  }
  /// The edge before a slot.
  [[nodiscard]] double edge_of(const Rational& slot) const { return x_of(slot) - f_.unit / 2; }
  /// A knot stands on the string in this row, or its tail, or the thread leaves for it.
  [[nodiscard]] bool touches(int string) const {
    return std::any_of(f_.loom.knots.begin(), f_.loom.knots.end(), [&](const LoomKnot& knot) {
      return knot.string == string && knot.slot <= row_.to && knot.slot + knot.units >= row_.from;
    });
  }
  [[nodiscard]] double y_of(const LoomKnot& knot) const {
    return lane_y_[static_cast<std::size_t>(knot.string - 1)] - f_.height_of(knot);
  }
  [[nodiscard]] bool has(const Rational& slot) const { return slot >= row_.from && slot < row_.to; }
  [[nodiscard]] Point at(std::size_t knot) const { return {x_of(f_.loom.knots[knot].slot), y_of(f_.loom.knots[knot])}; }

  void add(Mark mark, const Shape& shape, Tone tone, NoteRef note = {}) {
    items_.push_back({mark, note, -1, shape, tone});
  }
  /// Under everything that is added, also later.
  void add_ground(Mark mark, const Shape& shape, Tone tone) { out_.items.push_back({mark, {}, -1, shape, tone}); }
  void stands(const Box& box) { taken_.push_back(box); }
  TextShape text(Point place, const std::string& words, TextStyle style, Anchor anchor) const {
    return {place, words, style, f_.size.digit, anchor, f_.text_width(words, style)};
  }
  void add_text(Mark mark, const TextShape& shape, Tone tone, NoteRef note = {}) {
    add(mark, shape, tone, note);
    stands(box_of(shape, f_.font));
  }

  void draw_bands() {
    bool tinted = false;
    for (const LoomBand& band : f_.loom.bands) {
      tinted = band.kind == BandKind::rule || (band.kind != BandKind::ending && !tinted);
      const Rational from = std::max(band.from, row_.from);
      const Rational to = std::min(band.to, row_.to);
      if (from >= to || (!tinted && band.kind != BandKind::ending)) continue;
      const Tone tone = band.kind == BandKind::rule     ? Tone::rule_band
                        : band.kind == BandKind::again  ? Tone::again_band
                        : band.kind == BandKind::ending ? Tone::ending_band
                                                        : Tone::back_band;
      add_ground(
          Mark::band,
          BoxShape{{edge_of(from), -px(k_band_over), edge_of(to), bottom_ + px(k_band_over)}, px(k_band_radius), 0},
          tone);
    }
  }

  void draw_lanes() {
    const double last = std::max(5.0, static_cast<double>(f_.loom.lanes.size()) - 1);
    for (std::size_t i = 0; i < f_.loom.lanes.size(); ++i) {
      const LoomLane& lane = f_.loom.lanes[i];
      const double y = lane_y_[i];
      const double thickness = touched_[i] ? 0.8 + 1.4 * static_cast<double>(i) / last : 0.7;
      add_ground(Mark::lane, LineShape{{left_, y}, {right_, y}, px(thickness)}, Tone::string);
      if (!touched_[i]) continue;
      const SpelledPitch& open = f_.idea.instrument.neck.tuning.open[f_.idea.instrument.neck.index(lane.string)];
      const Point name{left_ - px(8), y + f_.size.digit * k_cap_height / 2};
      add_text(Mark::lane_name, text(name, with_signs(open.pitch_class.name()), TextStyle::regular, Anchor::end),
               Tone::soft_ink);
    }
  }

  void draw_beats() {
    for (const LoomBeat& beat : f_.loom.beats) {
      if (!has(beat.slot) || beat.bar || !beat.chord.empty()) continue;  // those are drawn up to their chords
      add_time_line(Mark::beat_line, x_of(beat.slot), -px(k_band_over), px(k_beat_line), Tone::line);
    }
  }
  /// Down to below the lanes, open where an accent stands.
  void add_time_line(Mark mark, double x, double top, double width, Tone tone) {
    std::vector<Box> accents;
    for (const Box& box : accents_) {
      if (box.left < x && box.right > x) accents.push_back(box.grown(px(1.5)));
    }
    std::sort(accents.begin(), accents.end(), [](const Box& a, const Box& b) { return a.top < b.top; });
    for (const Box& box : accents) {
      if (box.top > top) add_ground(mark, LineShape{{x, top}, {x, box.top}, width}, tone);
      top = std::max(top, box.bottom);
    }
    add_ground(mark, LineShape{{x, top}, {x, bottom_ + px(k_band_over)}, width}, tone);
  }

  /// Where a note stops sounding: the middle of its knot, or of its last unit and a little more where it is held.
  [[nodiscard]] double sounds_to(const LoomKnot& knot) const {
    if (knot.units <= Rational(1)) return x_of(knot.slot);
    return edge_of(knot.slot + knot.units) - px(3);
  }

  void draw_threads() {
    for (std::size_t i = 0; i < f_.loom.knots.size(); ++i) {
      draw_tail(i);
      if (f_.loom.threads[i] == ThreadKind::none) continue;
      const bool here = has(f_.loom.knots[i].slot) || has(f_.loom.knots[i].slot + f_.loom.knots[i].units);
      if (here || has(f_.loom.knots[i + 1].slot)) draw_thread(i);
    }
  }

  void draw_tail(std::size_t i) {
    const LoomKnot& knot = f_.loom.knots[i];
    if (knot.units <= Rational(1)) return;
    const double from = std::max(x_of(knot.slot), left_);
    const double to = std::min(sounds_to(knot), right_);
    if (knot.slot >= row_.to || to <= from) return;
    const double y = y_of(knot);
    const NoteRef note{f_.passage, static_cast<int>(i)};
    const double width = px(knot.kind == KnotKind::slurred ? k_circle_line : k_tail);
    stands({from, y - width / 2, to, y + width / 2});
    if (knot.kind == KnotKind::up) {
      add(Mark::tail, DotsShape{{from, y}, {to, y}, width}, Tone::upstroke, note);
    } else {
      add(Mark::tail, LineShape{{from, y}, {to, y}, width}, knot.kind == KnotKind::down ? Tone::downstroke : Tone::ink,
          note);
    }
  }

  void draw_thread(std::size_t i) {
    const LoomKnot& knot = f_.loom.knots[i];
    const LoomKnot& next = f_.loom.knots[i + 1];
    Point from{sounds_to(knot), y_of(knot)};
    Point to{x_of(next.slot), y_of(next)};
    // Between two rows the thread is cut at their edges, halfway.
    const double middle = (from.y + to.y) / 2;
    if (from.x < left_) from = {left_, middle};
    if (to.x > right_) to = {right_, middle};
    if (from.x > to.x) return;
    switch (f_.loom.threads[i]) {
      case ThreadKind::solid: add(Mark::thread, LineShape{from, to, px(k_thread)}, Tone::downstroke); break;
      case ThreadKind::dotted: add(Mark::thread, DotsShape{from, to, px(k_dot)}, Tone::upstroke); break;
      case ThreadKind::arc: add(Mark::thread, arc(from, to, knot.kind), Tone::ink); break;
      case ThreadKind::none: break;
    }
    stand_along(from, to);
  }

  /// From the top of one knot to that of the next.
  [[nodiscard]] BowShape arc(Point from, Point to, KnotKind kind) const {
    const Point a{from.x + px(2), from.y - px(kind == KnotKind::up ? k_point : k_flat + 1.5)};
    const Point b{to.x - px(2), to.y - px(k_circle + 1.5)};
    const double rise = px(6);
    return {a,
            {a.x + (b.x - a.x) * 0.25, a.y + (b.y - a.y) * 0.25 - rise},
            {a.x + (b.x - a.x) * 0.75, a.y + (b.y - a.y) * 0.75 - rise},
            b,
            px(1.4),
            px(0.9)};
  }

  void stand_along(Point from, Point to) {
    constexpr int k_parts = 4;
    for (int p = 0; p < k_parts; ++p) {
      const auto along = [&](double t) { return Point{from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t}; };
      Box box;
      box.add(along(p / double{k_parts}));
      box.add(along((p + 1) / double{k_parts}));
      stands(box.grown(px(k_thread / 2)));
    }
  }

  void draw_rests() {
    for (const LoomRest& rest : f_.loom.rests) {
      if (rest.slot + rest.units <= row_.from || rest.slot >= row_.to) continue;
      draw_rest(rest);
    }
  }

  /// Signs of written values that fill the gap, longest first, on the string that was played last.
  void draw_rest(const LoomRest& rest) {
    const auto& knots = f_.loom.knots;
    const auto after = std::find_if(knots.begin(), knots.end(), [&](const LoomKnot& k) { return k.slot > rest.slot; });
    const LoomKnot& beside = after == knots.begin() ? *after : *(after - 1);
    const double y = lane_y_[static_cast<std::size_t>(beside.string - 1)];
    constexpr Symbol k_signs[] = {Symbol::rest_whole, Symbol::rest_half, Symbol::rest_quarter, Symbol::rest_8,
                                  Symbol::rest_16,    Symbol::rest_32,   Symbol::rest_64,      Symbol::rest_128};
    Rational at = rest.slot;
    Rational left = rest.units;
    Rational value(1);  // of a whole note
    const Rational unit = f_.written_unit;
    for (const Symbol sign : k_signs) {
      for (; left * unit >= value; left -= value / unit) {
        draw_rest_sign(sign, at + value / unit / Rational(2) - Rational(1, 2), y);
        at += value / unit;
      }
      value = value / Rational(2);
    }
  }
  void draw_rest_sign(Symbol sign, const Rational& slot, double y) {
    const double x = x_of(slot);
    if (x < left_ || x > right_) return;
    const Box& box = f_.font.box(sign);
    const double scale = px(k_rest_scale * 8.5);
    const GlyphShape shape{
        {x - (box.left + box.right) / 2 * scale, y - (box.top + box.bottom) / 2 * scale}, sign, scale};
    add(Mark::loom_rest, shape, Tone::ink);
    stands(box_of(shape, f_.font));
  }

  void draw_knots() {
    for (std::size_t i = 0; i < f_.loom.knots.size(); ++i) {
      if (has(f_.loom.knots[i].slot)) draw_knot(i);
    }
  }

  void draw_knot(std::size_t i) {
    const LoomKnot& knot = f_.loom.knots[i];
    const Point p = at(i);
    const NoteRef note{f_.passage, static_cast<int>(i)};
    const std::string fret = std::to_string(knot.fret);
    const double cap = f_.size.digit * k_cap_height / 2;
    if (knot.role == Role::landing) {
      const RingShape ring{p, px(k_ring), px(k_ring_line)};
      add(Mark::landing, ring, Tone::good, note);
      stands(box_of(ring, f_.font));
    }
    double top = p.y - px(k_flat);
    if (knot.kind == KnotKind::down) {
      add(Mark::knot, knot_outline(p, Stroke::down, f_.size.pixel), Tone::downstroke, note);
      add(Mark::knot_fret, text({p.x, p.y - px(k_digit_off) + cap}, fret, TextStyle::bold, Anchor::middle), Tone::paper,
          note);
    } else if (knot.kind == KnotKind::up) {
      top = p.y - px(k_point);
      add(Mark::knot, knot_outline(p, Stroke::up, f_.size.pixel), Tone::paper, note);
      add(Mark::knot, knot_outline(p, Stroke::up, f_.size.pixel, px(k_outline)), Tone::upstroke, note);
      add(Mark::knot_fret, text({p.x, p.y + px(k_digit_off) + cap}, fret, TextStyle::bold, Anchor::middle),
          Tone::upstroke, note);
    } else {
      add(Mark::knot, RingShape{p, px(k_circle), 0}, Tone::paper, note);
      add(Mark::knot, RingShape{p, px(k_circle - k_circle_line / 2), px(k_circle_line)}, Tone::ink, note);
      add(Mark::knot_fret, text({p.x, p.y + cap}, fret, TextStyle::regular, Anchor::middle), Tone::ink, note);
    }
    stands({p.x - px(k_half_knot), p.y - px(k_point), p.x + px(k_half_knot), p.y + px(k_point)});
    if (knot.accent) draw_accent({p.x, top - px(2)}, note);
  }

  void draw_accent(Point foot, NoteRef note) {
    const Box& box = f_.font.box(Symbol::accent_above);
    const double scale = px(k_accent_scale * 8.5);
    const GlyphShape shape{
        {foot.x - (box.left + box.right) / 2 * scale, foot.y - box.bottom * scale}, Symbol::accent_above, scale};
    add(Mark::knot_accent, shape, Tone::ink, note);
    accents_.push_back(box_of(shape, f_.font));
    stands(accents_.back());
  }

  /// Where a gate stands: halfway along the thread, at the row's end where the thread goes on in the next row, and
  /// before the note where a rest lies between. Nothing if that is in another row.
  [[nodiscard]] std::optional<Point> place_of(const LoomGate& gate) const {
    const LoomKnot& knot = f_.loom.knots[gate.after - 1];
    const LoomKnot& next = f_.loom.knots[gate.after];
    const double y = (y_of(knot) + y_of(next)) / 2;
    if (next.slot == row_.to) return Point{right_, y};
    if (!has(next.slot) || next.slot == row_.from) return std::nullopt;
    if (f_.loom.threads[gate.after - 1] == ThreadKind::none) return Point{edge_of(next.slot), y};
    return Point{(sounds_to(knot) + x_of(next.slot)) / 2, y};
  }

  void draw_gates() {
    for (const LoomGate& gate : f_.loom.gates) {
      const auto place = place_of(gate);
      if (!place) continue;
      gate.free ? draw_ring(*place) : draw_cross(*place);
    }
  }
  void draw_ring(Point p) {
    add(Mark::gate, RingShape{p, px(k_gate), 0}, Tone::paper);
    add(Mark::gate, RingShape{p, px(k_gate - 0.75), px(1.5)}, Tone::ink);
    stands(Box{p.x, p.y, p.x, p.y}.grown(px(k_gate)));
  }
  void draw_cross(Point p) {
    const double r = px(k_cross);
    add(Mark::gate, LineShape{{p.x - r, p.y - r}, {p.x + r, p.y + r}, px(2.6)}, Tone::blocked);
    add(Mark::gate, LineShape{{p.x - r, p.y + r}, {p.x + r, p.y - r}, px(2.6)}, Tone::blocked);
    stands(Box{p.x, p.y, p.x, p.y}.grown(r + px(1)));
  }

  // --- Words ---

  struct ChordName {
    double line;  ///< x of its beat
    std::string text;
    double x = 0;
    double right = 0;
    int level = 0;  ///< 0 stands lowest
  };

  /// Names stand beside their beats' lines. One that reaches over the next line goes higher than that one's name, so
  /// that no line runs through a name.
  [[nodiscard]] std::vector<ChordName> chord_names() const {
    std::vector<ChordName> names;
    for (const LoomBeat& beat : f_.loom.beats) {
      if (has(beat.slot) && !beat.chord.empty()) names.push_back({x_of(beat.slot), with_signs(beat.chord)});
    }
    const bool opens = !names.empty() && names.front().line <= x_of(row_.from);
    if (!opens && !row_.chord.empty()) names.insert(names.begin(), {left_, with_signs(row_.chord)});
    for (std::size_t i = names.size(); i-- > 0;) {
      ChordName& name = names[i];
      const double width = f_.text_width(name.text, TextStyle::bold);
      name.x = std::max(0.0, std::min(name.line + px(k_text_gap), f_.width - width));
      name.right = name.x + width;
      for (std::size_t later = i + 1; later < names.size(); ++later) {
        if (name.right + px(k_text_gap) > std::min(names[later].line, names[later].x))
          name.level = std::max(name.level, names[later].level + 1);
      }
    }
    return names;
  }

  void draw_chords() {
    const std::vector<ChordName> names = chord_names();
    double base = -px(k_band_over);
    for (const ChordName& name : names) base = std::min(base, reach_above(name.x, name.right));
    base -= px(k_text_gap - 1);
    for (const LoomBeat& beat : f_.loom.beats) {
      if (has(beat.slot) && (beat.bar || !beat.chord.empty())) draw_bar_edge(beat, names, base);
    }
    for (const ChordName& name : names) {
      const Point place{name.x, base - name.level * f_.size.digit};
      add_text(Mark::loom_chord, text(place, name.text, TextStyle::bold, Anchor::start), Tone::ink);
    }
  }
  /// Up to the top of the beat's chord, or a little over the lanes. A name that had to move over its line stands on it.
  void draw_bar_edge(const LoomBeat& beat, const std::vector<ChordName>& names, double base) {
    const double x = x_of(beat.slot);
    double top = -px(k_band_over + 2);
    for (const ChordName& name : names) {
      if (beat.chord.empty() || name.line != x) continue;
      const double foot = base - name.level * f_.size.digit;
      top = name.x > x ? foot - k_cap_height * f_.size.digit : foot + px(1);
    }
    add_time_line(Mark::bar_edge, x, top, px(beat.bar ? k_bar_line : k_beat_line),
                  beat.bar ? Tone::soft_ink : Tone::line);
  }

  [[nodiscard]] double reach_above(double left, double right) const {
    double top = 1e9;
    for (const Box& box : taken_) {
      if (box.left < right && box.right > left) top = std::min(top, box.top);
    }
    return top;
  }
  [[nodiscard]] double reach_below() const {
    double bottom = bottom_ + px(k_band_over);
    for (const Box& box : taken_) bottom = std::max(bottom, box.bottom);
    return bottom;
  }

  /// "the rule"; "again, 5 : 12", "back, 1 : 15" with the string and fret of the first note; "lands".
  [[nodiscard]] std::string words_of(const LoomBand& band) const {
    if (band.kind == BandKind::rule) return "the rule";
    if (band.kind == BandKind::ending) return "lands";
    return (band.kind == BandKind::again ? "again, " : "back, ") + place_text(band);
  }
  [[nodiscard]] std::string place_text(const LoomBand& band) const {
    const LoomKnot& knot = f_.loom.knots[band.first];
    return std::to_string(knot.string) + "\u2009:\u2009" + std::to_string(knot.fret);
  }

  void draw_band_names() {
    const double y = reach_below() + px(2) + f_.size.digit * k_ascent;
    double free_from = -1e9;
    for (const LoomBand& band : f_.loom.bands) {
      if (band.from >= row_.to || band.to <= row_.from) continue;
      const double from = edge_of(std::max(band.from, row_.from));
      const double to = edge_of(std::min(band.to, row_.to));
      const bool strong = band.kind == BandKind::rule || band.kind == BandKind::ending;
      const TextStyle style = strong ? TextStyle::bold : TextStyle::regular;
      std::string words = words_of(band);
      if (!strong && f_.text_width(words, style) > to - from) words = place_text(band);
      const double width = f_.text_width(words, style);
      // Over the middle of its band; a wider one starts where its band does.
      double x = width <= to - from ? (from + to - width) / 2 : from;
      x = std::max(0.0, std::min(x, f_.width - width));
      if (x < free_from) continue;
      free_from = x + width + px(k_text_gap);
      const Tone tone = band.kind == BandKind::rule     ? Tone::ink
                        : band.kind == BandKind::ending ? Tone::good_text
                                                        : Tone::soft_ink;
      add_text(Mark::band_name, text({x, y}, words, style, Anchor::start), tone);
    }
  }

  void draw_gate_words() {
    for (const LoomGate& gate : f_.loom.gates) {
      const auto place = place_of(gate);
      if (!gate.free && place) draw_gate_word(*place);
    }
  }

  /// "blocked" beside its cross, where nothing else stands: the nearest of the places around it. Where the knots leave
  /// no room, the cross speaks for itself.
  void draw_gate_word(Point cross) {
    const TextShape word = text({0, 0}, "blocked", TextStyle::italic, Anchor::start);
    const double cap = f_.size.digit * k_cap_height;
    double best = 1e9;
    std::optional<Point> found;
    for (const double side : {1.0, -1.0}) {
      for (int row = -6; row <= 6; ++row) {
        for (int step = 0; step < 6; ++step) {
          const double gap = px(k_cross + 3) + step * px(4);
          const Point p{side > 0 ? cross.x + gap : cross.x - gap - word.width, cross.y + cap / 2 + row * px(5)};
          const double distance = hypotenuse(gap, (row + (row < 0 ? 0.2 : 0)) * px(5)) + (side < 0 ? px(1) : 0);
          if (distance >= best || !is_free(p, word)) continue;
          best = distance;
          found = p;
        }
      }
    }
    if (!found) return;
    TextShape placed = word;
    placed.at = *found;
    add_text(Mark::gate_word, placed, Tone::blocked);
  }
  [[nodiscard]] bool is_free(Point p, TextShape word) const {
    word.at = p;
    const Box box = box_of(word, f_.font);
    if (box.left < left_ || box.right > f_.width || box.top < -px(k_band_over) || box.bottom > bottom_) return false;
    return std::none_of(taken_.begin(), taken_.end(), [&](const Box& other) { return other.overlaps(box); });
  }

  /// Moved so that nothing stands above 0.
  LoomRowDrawing finished() {
    std::move(items_.begin(), items_.end(), std::back_inserter(out_.items));
    Box box;
    for (const SceneItem& item : out_.items) box.add(box_of(item.shape, f_.font));
    for (SceneItem& item : out_.items) item = transformed(item, 1, {0, -box.top});
    out_.height = box.height();
    return std::move(out_);
  }

  const Frame& f_;
  const LoomRow& row_;
  double left_ = 0;
  double right_ = 0;
  std::vector<bool> touched_;   ///< lane by lane, in this row: the others shrink
  std::vector<double> lane_y_;  ///< middle of each lane
  double bottom_ = 0;           ///< of the last one
  LoomRowDrawing out_;          ///< the ground
  std::vector<SceneItem> items_;
  std::vector<Box> accents_;
  std::vector<Box> taken_;  ///< what words must not run into
};

}  // namespace

std::vector<LoomRowDrawing> draw_loom(const Loom& loom, const IdeaSheet& idea, const Score& score, int passage,
                                      double width, const SheetOptions& options, const MusicFont& font) {
  const Frame frame = make_frame(loom, idea, score, passage, width, options, font);
  std::vector<LoomRowDrawing> rows;
  for (const LoomRow& row : loom.rows) rows.push_back(RowDrawer(frame, row).draw());
  return rows;
}

}  // namespace fretloom::sheet
