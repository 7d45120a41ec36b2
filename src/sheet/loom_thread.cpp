#include <algorithm>

#include "base/arithmetic.h"
#include "sheet/loom_row.h"

namespace fretloom::sheet {

using namespace loom_pixels;

namespace {

class ThreadDrawer {
 public:
  explicit ThreadDrawer(LoomRowState& s) : s_(s) {}

  void draw() {
    draw_threads();
    draw_rests();
    draw_knots();
    draw_gates();
  }

 private:
  void draw_threads() {
    for (std::size_t i = 0; i < s_.f.loom.knots.size(); ++i) {
      draw_tail(i);
      if (s_.f.loom.threads[i] == ThreadKind::none) continue;
      const bool here = s_.has(s_.f.loom.knots[i].slot) || s_.has(s_.f.loom.knots[i].slot + s_.f.loom.knots[i].units);
      if (here || s_.has(s_.f.loom.knots[i + 1].slot)) draw_thread(i);
    }
  }

  void draw_tail(std::size_t i) {
    const LoomKnot& knot = s_.f.loom.knots[i];
    if (knot.units <= Rational(1)) return;
    const double from = std::max(s_.x_of(knot.slot), s_.left);
    const double to = std::min(s_.sounds_to(knot), s_.right);
    if (knot.slot >= s_.row.to || to <= from) return;
    const double y = s_.y_of(knot);
    const NoteRef note{s_.f.passage, static_cast<int>(i)};
    const double width = s_.px(knot.kind == KnotKind::slurred ? k_circle_line : k_tail);
    s_.stands({from, y - width / 2, to, y + width / 2});
    if (knot.kind == KnotKind::up) {
      s_.add(Mark::tail, DotsShape{{from, y}, {to, y}, width}, Tone::upstroke, note);
    } else {
      s_.add(Mark::tail, LineShape{{from, y}, {to, y}, width},
             knot.kind == KnotKind::down ? Tone::downstroke : Tone::ink, note);
    }
  }

  void draw_thread(std::size_t i) {
    const LoomKnot& knot = s_.f.loom.knots[i];
    const LoomKnot& next = s_.f.loom.knots[i + 1];
    Point from{s_.sounds_to(knot), s_.y_of(knot)};
    Point to{s_.x_of(next.slot), s_.y_of(next)};
    // Between two rows the thread is cut at their edges, halfway.
    const double middle = (from.y + to.y) / 2;
    if (from.x < s_.left) from = {s_.left, middle};
    if (to.x > s_.right) to = {s_.right, middle};
    if (from.x > to.x) return;
    switch (s_.f.loom.threads[i]) {
      case ThreadKind::solid: s_.add(Mark::thread, LineShape{from, to, s_.px(k_thread)}, Tone::downstroke); break;
      case ThreadKind::dotted: s_.add(Mark::thread, DotsShape{from, to, s_.px(k_dot)}, Tone::upstroke); break;
      case ThreadKind::arc: s_.add(Mark::thread, arc(from, to, knot.kind), Tone::ink); break;
      case ThreadKind::none: break;
    }
    stand_along(from, to);
  }

  /// From the top of one knot to that of the next.
  [[nodiscard]] BowShape arc(Point from, Point to, KnotKind kind) const {
    const Point a{from.x + s_.px(2), from.y - s_.px(kind == KnotKind::up ? k_tip : k_flat + 1.5)};
    const Point b{to.x - s_.px(2), to.y - s_.px(k_circle + 1.5)};
    const double rise = s_.px(6);
    return {a,
            {a.x + (b.x - a.x) * 0.25, a.y + (b.y - a.y) * 0.25 - rise},
            {a.x + (b.x - a.x) * 0.75, a.y + (b.y - a.y) * 0.75 - rise},
            b,
            s_.px(1.4),
            s_.px(0.9)};
  }

  void stand_along(Point from, Point to) {
    constexpr int k_parts = 4;
    for (int p = 0; p < k_parts; ++p) {
      const auto along = [&](double t) { return Point{from.x + (to.x - from.x) * t, from.y + (to.y - from.y) * t}; };
      Box box;
      box.add(along(p / double{k_parts}));
      box.add(along((p + 1) / double{k_parts}));
      s_.stands(box.grown(s_.px(k_thread / 2)));
    }
  }

  void draw_rests() {
    for (const LoomRest& rest : s_.f.loom.rests) {
      if (rest.slot + rest.units <= s_.row.from || rest.slot >= s_.row.to) continue;
      draw_rest(rest);
    }
  }

  /// Signs of written values that fill the gap, longest first, on the string that was played last.
  void draw_rest(const LoomRest& rest) {
    const auto& knots = s_.f.loom.knots;
    const auto after = std::find_if(knots.begin(), knots.end(), [&](const LoomKnot& k) { return k.slot > rest.slot; });
    const LoomKnot& beside = after == knots.begin() ? *after : *(after - 1);
    const double y = s_.lane_y[static_cast<std::size_t>(beside.string - 1)];
    constexpr Symbol k_signs[] = {Symbol::rest_whole, Symbol::rest_half, Symbol::rest_quarter, Symbol::rest_8,
                                  Symbol::rest_16,    Symbol::rest_32,   Symbol::rest_64,      Symbol::rest_128};
    Rational at = rest.slot;
    Rational left = rest.units;
    Rational value(1);  // of a whole note
    const Rational unit = s_.f.written_unit;
    for (const Symbol sign : k_signs) {
      for (; left * unit >= value; left -= value / unit) {
        draw_rest_sign(sign, at + value / unit / Rational(2) - Rational(1, 2), y);
        at += value / unit;
      }
      value = value / Rational(2);
    }
  }
  void draw_rest_sign(Symbol sign, const Rational& slot, double y) {
    const double x = s_.x_of(slot);
    if (x < s_.left || x > s_.right) return;
    const Box& box = s_.f.font.box(sign);
    const double scale = s_.px(k_rest_scale * 8.5);
    const GlyphShape shape{
        {x - (box.left + box.right) / 2 * scale, y - (box.top + box.bottom) / 2 * scale}, sign, scale};
    s_.add(Mark::loom_rest, shape, Tone::ink);
    s_.stands(box_of(shape, s_.f.font));
  }

  void draw_knots() {
    for (std::size_t i = 0; i < s_.f.loom.knots.size(); ++i) {
      if (s_.has(s_.f.loom.knots[i].slot)) draw_knot(i);
    }
  }

  void draw_knot(std::size_t i) {
    const LoomKnot& knot = s_.f.loom.knots[i];
    const Point p = s_.at(i);
    const NoteRef note{s_.f.passage, static_cast<int>(i)};
    const std::string fret = std::to_string(knot.fret);
    const double cap = s_.f.size.digit * k_cap_height / 2;
    if (knot.role == Role::landing) {
      const RingShape ring{p, s_.px(k_ring), s_.px(k_ring_line)};
      s_.add(Mark::landing, ring, Tone::good, note);
      s_.stands(box_of(ring, s_.f.font));
    }
    double top = p.y - s_.px(k_flat);
    if (knot.kind == KnotKind::down) {
      s_.add(Mark::knot, knot_outline(p, Stroke::down, s_.f.size.pixel), Tone::downstroke, note);
      s_.add(Mark::knot_fret, s_.text({p.x, p.y - s_.px(k_digit_off) + cap}, fret, TextStyle::bold, Anchor::middle),
             Tone::paper, note);
    } else if (knot.kind == KnotKind::up) {
      top = p.y - s_.px(k_tip);
      s_.add(Mark::knot, knot_outline(p, Stroke::up, s_.f.size.pixel), Tone::paper, note);
      s_.add(Mark::knot, knot_outline(p, Stroke::up, s_.f.size.pixel, s_.px(k_outline)), Tone::upstroke, note);
      s_.add(Mark::knot_fret, s_.text({p.x, p.y + s_.px(k_digit_off) + cap}, fret, TextStyle::bold, Anchor::middle),
             Tone::upstroke, note);
    } else {
      s_.add(Mark::knot, RingShape{p, s_.px(k_circle), 0}, Tone::paper, note);
      s_.add(Mark::knot, RingShape{p, s_.px(k_circle - k_circle_line / 2), s_.px(k_circle_line)}, Tone::ink, note);
      s_.add(Mark::knot_fret, s_.text({p.x, p.y + cap}, fret, TextStyle::regular, Anchor::middle), Tone::ink, note);
    }
    s_.stands({p.x - s_.px(k_half_knot), p.y - s_.px(k_tip), p.x + s_.px(k_half_knot), p.y + s_.px(k_tip)});
    if (knot.accent) draw_accent({p.x, top - s_.px(2)}, note);
  }

  void draw_accent(Point foot, NoteRef note) {
    const Box& box = s_.f.font.box(Symbol::accent_above);
    const double scale = s_.px(k_accent_scale * 8.5);
    const GlyphShape shape{
        {foot.x - (box.left + box.right) / 2 * scale, foot.y - box.bottom * scale}, Symbol::accent_above, scale};
    s_.add(Mark::knot_accent, shape, Tone::ink, note);
    s_.accents.push_back(box_of(shape, s_.f.font));
    s_.stands(s_.accents.back());
  }

  void draw_gates() {
    for (const LoomGate& gate : s_.f.loom.gates) {
      const auto place = s_.place_of(gate);
      if (!place) continue;
      gate.free ? draw_ring(*place) : draw_cross(*place);
    }
  }
  void draw_ring(Point p) {
    s_.add(Mark::gate, RingShape{p, s_.px(k_gate), 0}, Tone::paper);
    s_.add(Mark::gate, RingShape{p, s_.px(k_gate - 0.75), s_.px(1.5)}, Tone::ink);
    s_.stands(Box{p.x, p.y, p.x, p.y}.grown(s_.px(k_gate)));
  }
  void draw_cross(Point p) {
    const double r = s_.px(k_cross);
    s_.add(Mark::gate, LineShape{{p.x - r, p.y - r}, {p.x + r, p.y + r}, s_.px(2.6)}, Tone::blocked);
    s_.add(Mark::gate, LineShape{{p.x - r, p.y + r}, {p.x + r, p.y - r}, s_.px(2.6)}, Tone::blocked);
    s_.stands(Box{p.x, p.y, p.x, p.y}.grown(r + s_.px(1)));
  }

  LoomRowState& s_;
};

}  // namespace

void draw_loom_thread(LoomRowState& s) { ThreadDrawer(s).draw(); }

}  // namespace fretloom::sheet
