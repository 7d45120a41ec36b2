#include "sheet/living_svg.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <utility>

#include "base/arithmetic.h"
#include "base/text.h"
#include "sheet/bow.h"
#include "sheet/options.h"
#include "sheet/path_pen.h"

namespace fretloom::sheet {

namespace {

enum class Paint : std::uint8_t { fill, even_odd, outline, dashes, dots, bow, digits, word };

/// What items must share to be one element. Lengths in hundredths of a pixel.
struct Brush {
  Paint paint = Paint::fill;
  Tone tone = Tone::ink;
  std::int64_t width = 0;  ///< of a line; size of text
  TextStyle style = TextStyle::regular;
  /// Which way contours turn: one path fills shapes that overlap only if all of them turn the same way.
  bool clockwise = true;
  bool fret = false;  ///< of a note, which a page may hide

  friend bool operator==(const Brush&, const Brush&) = default;
};

/// Twice the area inside a contour, positive the way of the clock (y down).
double area_of(const std::vector<Point>& contour) {
  double sum = 0;
  for (std::size_t i = 0; i < contour.size(); ++i) {
    const Point a = contour[i];
    const Point b = contour[(i + 1) % contour.size()];
    sum += a.x * b.y - b.x * a.y;
  }
  return sum;
}

/// A number or one letter: its characters can stand each for itself.
bool has_places(const std::string& text) {
  return text.size() == 1 ||
         (!text.empty() && std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; }));
}

/// Threads and tails of different tones meet under a knot, so that it does not matter which of them is painted first.
bool is_thread(Mark mark) { return mark == Mark::thread || mark == Mark::tail; }

/// Where an item of an element lies.
struct Laid {
  Box box;
  bool thread = false;
  bool fret = false;
};

/// One element while items are added to it.
struct Element {
  Brush brush;
  PathPen pen;
  std::string xs, ys, text;      ///< of digits: where each stands
  std::int64_t text_length = 0;  ///< of a word, as laid out
  std::vector<Laid> laid;
  Box box;
};

class RowWriter {
 public:
  RowWriter(double scale, const MusicFont& font) : scale_(scale), font_(font) {}

  /// `top` and `bottom`: of the row, staff spaces.
  std::string write(const std::vector<const SceneItem*>& items, double width, double top, double bottom) {
    top_ = top;
    elements_.clear();
    for (const SceneItem* item : items) add(*item);
    const std::string w = hundredths(on_grid({width * scale_, 0}).x);
    const std::string h = hundredths(on_grid({(bottom - top) * scale_, 0}).x);
    std::string out = "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"living\" width=\"" + w + "\" height=\"" + h +
                      "\" viewBox=\"0 0 " + w + ' ' + h + "\" fill=\"currentColor\" aria-hidden=\"true\">";
    for (const Element& element : elements_) write(out, element);
    return out + "</svg>";
  }

 private:
  static std::string hundredths(std::int64_t value) {
    std::string out;
    append_hundredths(out, value);
    return out;
  }
  [[nodiscard]] GridPoint grid(Point p) const { return on_grid({p.x * scale_, (p.y - top_) * scale_}); }
  [[nodiscard]] std::int64_t length(double value) const { return on_grid({value * scale_, 0}).x; }

  static bool is_clockwise(const GlyphOutline& glyph) {
    std::vector<Point> contour;
    double area = 0;
    for (const OutlineStep& step : glyph.steps) {
      if (step.kind == OutlineStep::Kind::close) {
        area += area_of(contour);
        contour.clear();
      } else {
        const Point end = step.kind == OutlineStep::Kind::curve ? step.c : step.a;
        contour.push_back({end.x, -end.y});
      }
    }
    return area > 0;
  }

  /// The element that an item is added to: one with its brush, under which nothing of another tone would come to lie
  /// that was painted over it.
  Element& element_for(const Brush& brush, const Laid& item) {
    Element* found = nullptr;
    for (auto it = elements_.rbegin(); it != elements_.rend() && found == nullptr; ++it) {
      if (it->brush == brush) found = &*it;
      if (it->brush.tone != brush.tone && overlaps(*it, item)) break;
    }
    if (found == nullptr || brush.paint == Paint::word || brush.paint == Paint::even_odd)
      found = &elements_.emplace_back(Element{brush, {}, {}, {}, {}, 0, {}, {}});
    found->laid.push_back(item);
    found->box.add(item.box);
    return *found;
  }
  static bool overlaps(const Element& element, const Laid& item) {
    return element.box.overlaps(item.box) && std::any_of(element.laid.begin(), element.laid.end(), [&](const Laid& l) {
             return l.box.overlaps(item.box) && !(l.thread && item.thread);
           });
  }

  void add(const SceneItem& item) {
    const Laid laid{box_of(item.shape, font_), is_thread(item.mark),
                    item.mark == Mark::knot_fret || item.mark == Mark::fret};
    std::visit([&](const auto& shape) { add(item.tone, laid, shape); }, item.shape);
  }
  PathPen& path(Paint paint, Tone tone, const Laid& item, double width = 0) {
    return element_for({paint, tone, length(width), {}, true, false}, item).pen;
  }

  void polygon(PathPen& pen, std::vector<Point> contour, bool any_turn) const {
    if (!any_turn && area_of(contour) < 0) std::reverse(contour.begin(), contour.end());
    for (std::size_t i = 0; i < contour.size(); ++i) {
      const GridPoint p = grid(contour[i]);
      if (i == 0) {
        pen.move(p);
      } else {
        pen.line(p);
      }
    }
    pen.close();
  }

  /// A glyph's steps from its reference point on, written once for each size.
  struct Drawn {
    GridPoint first;   ///< where its first contour begins
    std::string rest;  ///< all behind the first move
    GridPoint last;    ///< where its last contour begins
    bool clockwise = true;
  };
  const Drawn& drawn(Symbol symbol, double scale) {
    const auto [at, is_new] = drawn_.try_emplace({symbol, scale});
    if (!is_new) return at->second;
    PathPen pen;
    std::size_t first_length = 0;
    GridPoint begin;
    const auto on = [&](Point p) { return on_grid({p.x * scale * scale_, -p.y * scale * scale_}); };
    for (const OutlineStep& step : font_.glyph(symbol).steps) {
      switch (step.kind) {
        case OutlineStep::Kind::move:
          begin = on(step.a);
          pen.move(begin);
          if (first_length == 0) {
            first_length = pen.data().size();
            at->second.first = begin;
          }
          break;
        case OutlineStep::Kind::line: pen.line(on(step.a)); break;
        case OutlineStep::Kind::curve: pen.curve(on(step.a), on(step.b), on(step.c)); break;
        case OutlineStep::Kind::close: pen.close(); break;
      }
    }
    at->second.rest = pen.data().substr(first_length);
    at->second.last = begin;
    at->second.clockwise = is_clockwise(font_.glyph(symbol));
    return at->second;
  }

  void add(Tone tone, const Laid& item, const GlyphShape& s) {
    const Drawn& glyph = drawn(s.symbol, s.scale);
    if (glyph.rest.empty()) return;
    const GridPoint at = grid(s.at);
    PathPen& pen = element_for({Paint::fill, tone, 0, {}, glyph.clockwise, false}, item).pen;
    pen.move(at + glyph.first);
    pen.append(glyph.rest, at + glyph.last);
  }

  void add(Tone tone, const Laid& item, const LineShape& s) {
    if (s.dashed) {
      PathPen& pen = path(Paint::dashes, tone, item, s.width);
      pen.move(grid(s.from));
      pen.line(grid(s.to));
      return;
    }
    const double dx = s.to.x - s.from.x;
    const double dy = s.to.y - s.from.y;
    const double length = hypotenuse(dx, dy);
    if (length <= 0) return;
    const Point across{-dy / length * s.width / 2, dx / length * s.width / 2};
    polygon(path(Paint::fill, tone, item),
            {{s.from.x + across.x, s.from.y + across.y},
             {s.to.x + across.x, s.to.y + across.y},
             {s.to.x - across.x, s.to.y - across.y},
             {s.from.x - across.x, s.from.y - across.y}},
            false);
  }

  void add(Tone tone, const Laid& item, const QuadShape& s) {
    polygon(path(Paint::fill, tone, item), {s.corners.begin(), s.corners.end()}, false);
  }

  void add(Tone tone, const Laid& item, const BowShape& s) {
    const BowEdges edges = edges_of(s);
    PathPen& pen = path(Paint::bow, tone, item, s.end);
    pen.move(grid(s.from));
    pen.curve(grid(edges.outer_1), grid(edges.outer_2), grid(s.to));
    pen.curve(grid(edges.inner_2), grid(edges.inner_1), grid(s.from));
    pen.close();
  }

  void add(Tone tone, const Laid& item, const RingShape& s) {
    PathPen& pen = path(s.line > 0 ? Paint::outline : Paint::fill, tone, item, s.line);
    const std::int64_t r = length(s.radius);
    const GridPoint centre = grid(s.centre);
    const GridPoint left{centre.x - r, centre.y};
    const GridPoint right{centre.x + r, centre.y};
    pen.move(left);
    pen.arc({r, r}, true, right);
    pen.arc({r, r}, true, left);
    pen.close();
  }

  /// A line without length under a round pen is a dot.
  void add(Tone tone, const Laid& item, const DotsShape& s) {
    PathPen& pen = path(Paint::dots, tone, item, s.width);
    const double whole = hypotenuse(s.to.x - s.from.x, s.to.y - s.from.y);
    const auto steps = whole > 0 ? std::max(1L, std::lround(whole / s.step())) : 0L;
    for (long i = 0; i <= steps; ++i) {
      const double t = steps > 0 ? static_cast<double>(i) / static_cast<double>(steps) : 0;
      const GridPoint p = grid({s.from.x + (s.to.x - s.from.x) * t, s.from.y + (s.to.y - s.from.y) * t});
      pen.move(p);
      pen.line(p);
    }
  }

  void add(Tone tone, const Laid& item, const PolygonShape& s) {
    const bool many = s.contours.size() > 1;
    PathPen& pen = path(s.line > 0 ? Paint::outline : many ? Paint::even_odd : Paint::fill, tone, item, s.line);
    for (const auto& contour : s.contours) polygon(pen, contour, many);
  }

  void add(Tone tone, const Laid& item, const BoxShape& s) {
    const Box b = s.box.grown(-s.line / 2);
    PathPen& pen = path(s.line > 0 ? Paint::outline : Paint::fill, tone, item, s.line);
    if (s.radius <= 0) {
      polygon(pen, {{b.left, b.top}, {b.right, b.top}, {b.right, b.bottom}, {b.left, b.bottom}}, false);
      return;
    }
    rounded_box(pen, grid({b.left, b.top}), grid({b.right, b.bottom}),
                length(std::min({s.radius, b.width() / 2, b.height() / 2})));
  }
  /// From corner to corner the way of the clock.
  void rounded_box(PathPen& pen, GridPoint a, GridPoint b, std::int64_t r) const {
    const std::pair<GridPoint, GridPoint> corners[] = {{{a.x, a.y + r}, {a.x + r, a.y}},
                                                       {{b.x - r, a.y}, {b.x, a.y + r}},
                                                       {{b.x, b.y - r}, {b.x - r, b.y}},
                                                       {{a.x + r, b.y}, {a.x, b.y - r}}};
    pen.move(corners[0].first);
    for (const auto& [from, to] : corners) {
      if (from != corners[0].first) pen.line(from);
      pen.arc({r, r}, true, to);
    }
    pen.close();
  }

  void add(Tone, const Laid&, const ImageShape&) {}  // a logo stands on paper only

  void add(Tone tone, const Laid& item, const TextShape& s) {
    const bool digits = has_places(s.text);
    Element& element =
        element_for({digits ? Paint::digits : Paint::word, tone, length(s.size), s.style, true, item.fret}, item);
    const double shift = s.anchor == Anchor::start ? 0 : s.anchor == Anchor::middle ? s.width / 2 : s.width;
    const std::size_t places = digits ? s.text.size() : 1;
    for (std::size_t i = 0; i < places; ++i) {
      const double along = s.width * static_cast<double>(i) / static_cast<double>(s.text.size());
      const GridPoint p = grid({s.at.x - shift + along, s.at.y});
      if (!element.xs.empty()) element.xs += ' ';
      if (!element.ys.empty()) element.ys += ' ';
      append_hundredths(element.xs, p.x);
      append_hundredths(element.ys, p.y);
    }
    element.text += s.text;
    if (!digits && s.text.size() > 1) element.text_length = length(s.width);
  }

  void write(std::string& out, const Element& element) const {
    const Brush& brush = element.brush;
    const bool is_text = brush.paint == Paint::digits || brush.paint == Paint::word;
    out += is_text ? "<text class=\"tone-" : "<path class=\"tone-";
    out += name(brush.tone);
    out += brush.fret ? " fret\"" : "\"";
    if (is_text) {
      write_text(out, element);
    } else {
      write_paint(out, brush);
      out += " d=\"" + element.pen.data() + "\"/>";
    }
  }

  void write_paint(std::string& out, const Brush& brush) const {
    const std::string width = " stroke=\"currentColor\" stroke-width=\"" + hundredths(brush.width) + '"';
    switch (brush.paint) {
      case Paint::even_odd: out += " fill-rule=\"evenodd\""; break;
      case Paint::outline: out += " fill=\"none\"" + width; break;
      case Paint::dots: out += " fill=\"none\" stroke-linecap=\"round\"" + width; break;
      case Paint::bow: out += " stroke-linejoin=\"round\"" + width; break;
      case Paint::dashes:
        out += " fill=\"none\" stroke-dasharray=\"" + hundredths(length(0.7)) + ' ' + hundredths(length(0.5)) + '"' +
               width;
        break;
      default: break;
    }
  }

  void write_text(std::string& out, const Element& element) const {
    out += " font-size=\"" + hundredths(element.brush.width) + '"';
    if (element.brush.style == TextStyle::bold) out += " font-weight=\"bold\"";
    if (element.brush.style == TextStyle::italic) out += " font-style=\"italic\"";
    out += " x=\"" + element.xs + "\" y=\"" + element.ys + '"';
    if (element.text_length > 0)
      out += " textLength=\"" + hundredths(element.text_length) + "\" lengthAdjust=\"spacingAndGlyphs\"";
    out += '>' + markup_text(element.text) + "</text>";
  }

  const double scale_;
  const MusicFont& font_;
  double top_ = 0;
  std::vector<Element> elements_;
  std::map<std::pair<Symbol, double>, Drawn> drawn_;
};

}  // namespace

std::vector<std::string> write_living_rows(const ScenePage& page, const std::vector<Box>& rows, Millimetres staff_space,
                                           const MusicFont& font) {
  const std::size_t count = std::max<std::size_t>(1, rows.size());
  std::vector<double> borders{0};
  for (std::size_t i = 0; i + 1 < count; ++i) borders.push_back((rows[i].bottom + rows[i + 1].top) / 2);
  borders.push_back(page.height);
  std::vector<std::vector<const SceneItem*>> items(count);
  for (const SceneItem& item : page.items) {
    const Box box = box_of(item.shape, font);
    const double middle = (box.top + box.bottom) / 2;
    std::size_t row = 0;
    while (row + 1 < count && middle > borders[row + 1]) ++row;
    items[row].push_back(&item);
  }
  RowWriter writer(staff_space.value / k_pixel.value, font);
  std::vector<std::string> out;
  for (std::size_t i = 0; i < count; ++i) out.push_back(writer.write(items[i], page.width, borders[i], borders[i + 1]));
  return out;
}

}  // namespace fretloom::sheet
