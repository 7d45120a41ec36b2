#include "sheet/scene.h"

#include <algorithm>
#include <cmath>

#include "base/arithmetic.h"
#include "sheet/bow.h"
#include "sheet/number.h"

namespace fretloom::sheet {

namespace {

template <class... F>
struct Visitor : F... {
  using F::operator()...;
};
template <class... F>
Visitor(F...) -> Visitor<F...>;

Box box_of_text(const TextShape& text) {
  const double left = text.anchor == Anchor::start    ? text.at.x
                      : text.anchor == Anchor::middle ? text.at.x - text.width / 2
                                                      : text.at.x - text.width;
  return {left, text.at.y - k_ascent * text.size, left + text.width, text.at.y + k_descent * text.size};
}

// A cubic with controls level with each other reaches three quarters of their height.
Box box_of_bow(const BowShape& bow) {
  Box box;
  for (int i = 0; i <= 16; ++i) box.add(point_of(bow, i / 16.0));
  return {box.left, box.top - bow.middle / 2, box.right, box.bottom + bow.middle / 2};
}

// Half the line's width beyond the corners; the miter of a sharp corner reaches farther than that.
Box box_of_polygon(const PolygonShape& s) {
  Box box;
  for (const auto& contour : s.contours) {
    for (const Point p : contour) box.add(p);
  }
  return box.empty() ? box : box.grown(s.line / 2);
}

Point moved(Point p, double scale, Point by) { return {p.x * scale + by.x, p.y * scale + by.y}; }

std::string at(Point p) { return fixed(p.x) + "," + fixed(p.y); }

std::string shape_text(const Shape& shape) {
  return std::visit(
      Visitor{
          [](const GlyphShape& s) {
            return std::string(row_of(s.symbol).name) + " " + at(s.at) + (s.scale != 1 ? " x" + fixed(s.scale) : "");
          },
          [](const LineShape& s) {
            return "line " + at(s.from) + " " + at(s.to) + " w" + fixed(s.width) + (s.dashed ? " dashed" : "");
          },
          [](const QuadShape& s) {
            return "quad " + at(s.corners[0]) + " " + at(s.corners[1]) + " " + at(s.corners[2]) + " " +
                   at(s.corners[3]);
          },
          [](const BowShape& s) {
            return "bow " + at(s.from) + " " + at(s.control_1) + " " + at(s.control_2) + " " + at(s.to);
          },
          [](const TextShape& s) { return "text " + at(s.at) + " s" + fixed(s.size) + " \"" + s.text + "\""; },
          [](const RingShape& s) { return "ring " + at(s.centre) + " r" + fixed(s.radius) + " w" + fixed(s.line); },
          [](const ImageShape& s) {
            return "image " + at({s.box.left, s.box.top}) + " " + at({s.box.right, s.box.bottom});
          },
          [](const DotsShape& s) { return "dots " + at(s.from) + " " + at(s.to) + " w" + fixed(s.width); },
          [](const PolygonShape& s) {
            std::string out = "polygon";
            for (std::size_t i = 0; i < s.contours.size(); ++i) {
              if (i > 0) out += " and";
              for (const Point p : s.contours[i]) out += ' ' + at(p);
            }
            return out + " w" + fixed(s.line);
          },
          [](const BoxShape& s) {
            return "box " + at({s.box.left, s.box.top}) + " " + at({s.box.right, s.box.bottom}) + " r" +
                   fixed(s.radius) + " w" + fixed(s.line);
          },
      },
      shape);
}

}  // namespace

std::string_view name(Mark mark) {
  constexpr std::string_view k_names[] = {
      "staff-line",    "tab-line",       "bar-line",  "repeat-sign", "clef",          "tab-clef",  "tuning",
      "key-signature", "time-signature", "notehead",  "accidental",  "dot",           "ledger",    "stem",
      "flag",          "beam",           "rest",      "tie",         "slur",          "slide",     "accent",
      "tuplet",        "ottava",         "stroke",    "chord",       "bar-number",    "finger",    "fret",
      "tab-slur",      "tab-slide",      "ordinal",   "ending",      "technique",     "blocked",   "counting",
      "title",         "author",         "heading",   "prose",       "footer",        "neck",      "logo",
      "lane",          "lane-name",      "beat-line", "bar-edge",    "loom-chord",    "loom-rest", "band",
      "band-name",     "thread",         "tail",      "gate",        "gate-word",     "knot",      "knot-fret",
      "knot-accent",   "landing",        "inlay",     "place",       "place-ordinal", "path",      "vamp",
      "sign",          "ladder",         "code",      "running-head"};
  static_assert(std::size(k_names) == static_cast<std::size_t>(Mark::count_));
  return k_names[static_cast<std::size_t>(mark)];
}

Box box_of(const Shape& shape, const MusicFont& font) {
  return std::visit(Visitor{
                        [&](const GlyphShape& s) {
                          const Box& b = font.box(s.symbol);
                          if (b.empty()) return Box{};
                          return Box{s.at.x + b.left * s.scale, s.at.y + b.top * s.scale, s.at.x + b.right * s.scale,
                                     s.at.y + b.bottom * s.scale};
                        },
                        [](const LineShape& s) {
                          Box b;
                          b.add(s.from);
                          b.add(s.to);
                          const double half = s.width / 2;
                          // A level line has its thickness across only, an upright one along x only.
                          const bool level = s.from.y == s.to.y;
                          const bool upright = s.from.x == s.to.x;
                          return Box{b.left - (level ? 0 : half), b.top - (upright ? 0 : half),
                                     b.right + (level ? 0 : half), b.bottom + (upright ? 0 : half)};
                        },
                        [](const QuadShape& s) {
                          Box b;
                          for (const Point p : s.corners) b.add(p);
                          return b;
                        },
                        [](const BowShape& s) { return box_of_bow(s); },
                        [](const TextShape& s) { return box_of_text(s); },
                        [](const RingShape& s) {
                          const double r = s.radius + s.line / 2;
                          return Box{s.centre.x - r, s.centre.y - r, s.centre.x + r, s.centre.y + r};
                        },
                        [](const ImageShape& s) { return s.box; },
                        [](const DotsShape& s) {
                          Box b;
                          b.add(s.from);
                          b.add(s.to);
                          return b.grown(s.width / 2);
                        },
                        [](const PolygonShape& s) { return box_of_polygon(s); },
                        [](const BoxShape& s) { return s.box; },
                    },
                    shape);
}

Shape transformed(const Shape& shape, double k, Point by) {
  return std::visit(Visitor{
                        [&](const GlyphShape& s) -> Shape {
                          return GlyphShape{moved(s.at, k, by), s.symbol, s.scale * k};
                        },
                        [&](const LineShape& s) -> Shape {
                          return LineShape{moved(s.from, k, by), moved(s.to, k, by), s.width * k, s.dashed};
                        },
                        [&](const QuadShape& s) -> Shape {
                          QuadShape out = s;
                          for (Point& p : out.corners) p = moved(p, k, by);
                          return out;
                        },
                        [&](const BowShape& s) -> Shape {
                          return BowShape{moved(s.from, k, by),
                                          moved(s.control_1, k, by),
                                          moved(s.control_2, k, by),
                                          moved(s.to, k, by),
                                          s.middle * k,
                                          s.end * k};
                        },
                        [&](const TextShape& s) -> Shape {
                          return TextShape{moved(s.at, k, by), s.text, s.style, s.size * k, s.anchor, s.width * k};
                        },
                        [&](const RingShape& s) -> Shape {
                          return RingShape{moved(s.centre, k, by), s.radius * k, s.line * k};
                        },
                        [&](const ImageShape& s) -> Shape {
                          const Point a = moved({s.box.left, s.box.top}, k, by);
                          const Point b = moved({s.box.right, s.box.bottom}, k, by);
                          return ImageShape{Box{a.x, a.y, b.x, b.y}};
                        },
                        [&](const DotsShape& s) -> Shape {
                          return DotsShape{moved(s.from, k, by), moved(s.to, k, by), s.width * k};
                        },
                        [&](const PolygonShape& s) -> Shape {
                          PolygonShape out = s;
                          for (auto& contour : out.contours) {
                            for (Point& p : contour) p = moved(p, k, by);
                          }
                          out.line *= k;
                          return out;
                        },
                        [&](const BoxShape& s) -> Shape {
                          const Point a = moved({s.box.left, s.box.top}, k, by);
                          const Point b = moved({s.box.right, s.box.bottom}, k, by);
                          return BoxShape{Box{a.x, a.y, b.x, b.y}, s.radius * k, s.line * k};
                        },
                    },
                    shape);
}

SceneItem transformed(const SceneItem& item, double scale, Point by) {
  return {item.mark, item.note, item.bar, transformed(item.shape, scale, by), item.tone, item.place};
}

double DotsShape::step() const {
  const double length = hypotenuse(to.x - from.x, to.y - from.y);
  const double wanted = 2.2 * width;
  return length / std::max(1.0, std::round(length / wanted));
}

std::string note_id(const Scene& scene, NoteRef note) {
  if (note.passage < 0 || note.note < 0) return "";
  return scene.passages[static_cast<std::size_t>(note.passage)].id + "n" + std::to_string(note.note + 1);
}

std::vector<NotePlace> note_places(const Scene& scene) {
  std::vector<NotePlace> places;
  for (std::size_t page = 0; page < scene.pages.size(); ++page) {
    for (const SceneItem& item : scene.pages[page].items) {
      if (item.mark != Mark::fret) continue;
      const Point at = std::get<TextShape>(item.shape).at;
      for (std::size_t i = 0; i < scene.systems.size(); ++i) {
        const SceneSystem& system = scene.systems[i];
        if (system.page != static_cast<int>(page) || at.y < system.box.top || at.y > system.box.bottom) continue;
        places.push_back({item.note, static_cast<int>(page), static_cast<int>(i), at.x});
      }
    }
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const NotePlace& a, const NotePlace& b) { return a.note < b.note; });
  const auto same = [](const NotePlace& a, const NotePlace& b) { return a.note == b.note; };
  places.erase(std::unique(places.begin(), places.end(), same), places.end());
  return places;
}

std::vector<KnotPlace> knot_places(const Scene& scene, const MusicFont& font) {
  std::vector<KnotPlace> places;
  for (std::size_t page = 0; page < scene.pages.size(); ++page) {
    for (const SceneItem& item : scene.pages[page].items) {
      if (item.mark != Mark::knot) continue;
      const Box box = box_of(item.shape, font);
      if (!places.empty() && places.back().note == item.note) {
        places.back().box.add(box);  // ground and outline
      } else {
        places.push_back({item.note, static_cast<int>(page), box});
      }
    }
  }
  std::stable_sort(places.begin(), places.end(),
                   [](const KnotPlace& a, const KnotPlace& b) { return a.note < b.note; });
  return places;
}

std::string to_text(const Scene& scene) {
  std::string out;
  for (std::size_t page = 0; page < scene.pages.size(); ++page) {
    out += "page " + std::to_string(page + 1) + " " + fixed(scene.pages[page].width) + " x " +
           fixed(scene.pages[page].height) + "\n";
    for (const SceneItem& item : scene.pages[page].items) {
      out += std::string(name(item.mark)) + " " + shape_text(item.shape);
      if (item.tone != Tone::ink) out += " " + std::string(name(item.tone));
      if (item.place) out += " at " + std::to_string(item.place->string) + ":" + std::to_string(item.place->fret);
      if (item.bar >= 0) out += " b" + std::to_string(item.bar);
      if (const std::string id = note_id(scene, item.note); !id.empty()) out += " " + id;
      out += "\n";
    }
  }
  return out;
}

}  // namespace fretloom::sheet
