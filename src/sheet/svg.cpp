#include "sheet/svg.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "base/base64.h"
#include "base/text.h"
#include "sheet/bow.h"
#include "sheet/number.h"
#include "sheet/options.h"

namespace fretloom::sheet {

namespace {

/// "#4d4d4d".
std::string grey_of(Tone tone) {
  constexpr std::string_view k_digits = "0123456789abcdef";
  const auto level = static_cast<unsigned>(std::lround(row_of(tone).grey * 255));
  std::string out = "#";
  for (int i = 0; i < 3; ++i) out += {k_digits[level / 16U], k_digits[level % 16U]};
  return out;
}

class SvgWriter {
 public:
  SvgWriter(const Scene& scene, const MusicFont& font, const SvgOptions& options)
      : scene_(scene), font_(font), options_(options) {}

  std::string write() {
    const std::size_t first = options_.page < 0 ? 0 : static_cast<std::size_t>(options_.page);
    const std::size_t end = options_.page < 0 ? scene_.pages.size() : std::min(first + 1, scene_.pages.size());
    double width = 0;
    double height = 0;
    for (std::size_t p = first; p < end; ++p) {
      width = std::max(width, scene_.pages[p].width);
      height += scene_.pages[p].height;
    }
    std::string body;
    body.swap(out_);
    double y = 0;
    for (std::size_t p = first; p < end; ++p) {
      write_page(p, y);
      y += scene_.pages[p].height;
    }
    body.swap(out_);
    write_head(width, height);
    write_defs();
    out_ += body;
    out_ += "</g>\n</svg>\n";
    return std::move(out_);
  }

 private:
  void number(double value) { append_fixed(out_, value); }
  void attribute(std::string_view name, double value) {
    out_ += ' ';
    out_ += name;
    out_ += "=\"";
    number(value);
    out_ += '"';
  }
  void point(Point p) {
    number(p.x);
    out_ += ' ';
    number(p.y);
  }

  void write_head(double width, double height) {
    const bool screen = scene_.medium == Medium::screen;
    const double size = scene_.staff_space.value / (screen ? k_pixel.value : 1);
    const std::string_view unit = screen ? "" : "mm";  // a bare number is pixels
    out_ += "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"";
    number(width * size);
    out_ += unit;
    out_ += "\" height=\"";
    number(height * size);
    out_ += unit;
    out_ += "\" viewBox=\"0 0 ";
    point({width, height});
    out_ += "\" role=\"group\" aria-labelledby=\"" + options_.id_prefix + "title " + options_.id_prefix +
            "desc\">\n<title id=\"" + options_.id_prefix + "title\">";
    out_ += markup_text(scene_.title);
    out_ += "</title>\n<desc id=\"" + options_.id_prefix + "desc\">";
    out_ += markup_text(scene_.description);
    out_ += "</desc>\n";
  }

  void write_defs() {
    out_ += "<defs>\n";
    for (std::size_t i = 0; i < used_.size(); ++i) {
      if (!used_[i]) continue;
      const auto symbol = static_cast<Symbol>(i);
      out_ += "<path id=\"" + options_.id_prefix + std::string(row_of(symbol).name) + "\" d=\"";
      write_outline(font_.glyph(symbol));
      out_ += "\"/>\n";
    }
    out_ += "</defs>\n<g fill=\"currentColor\" font-family=\"'" + std::string(k_text_font) + "', serif\">\n";
  }

  void write_outline(const GlyphOutline& glyph) {
    const auto flip = [](Point p) { return Point{p.x, -p.y}; };
    for (const OutlineStep& step : glyph.steps) {
      switch (step.kind) {
        case OutlineStep::Kind::move:
          out_ += 'M';
          point(flip(step.a));
          break;
        case OutlineStep::Kind::line:
          out_ += 'L';
          point(flip(step.a));
          break;
        case OutlineStep::Kind::curve:
          out_ += 'C';
          point(flip(step.a));
          out_ += ' ';
          point(flip(step.b));
          out_ += ' ';
          point(flip(step.c));
          break;
        case OutlineStep::Kind::close: out_ += 'Z'; break;
      }
    }
  }

  void write_page(std::size_t index, double y) {
    const ScenePage& page = scene_.pages[index];
    out_ += "<g class=\"page\" id=\"" + options_.id_prefix + "page-" + std::to_string(index + 1) + "\"";
    if (y > 0) {
      out_ += " transform=\"translate(0 ";
      number(y);
      out_ += ")\"";
    }
    out_ += ">\n";
    std::vector<std::size_t> noted;
    const SceneItem* open = nullptr;
    for (std::size_t i = 0; i < page.items.size(); ++i) {
      const SceneItem& item = page.items[i];
      if (item.note.note >= 0) {
        noted.push_back(i);
        continue;
      }
      if (open == nullptr || !share_group(*open, item)) {
        if (open != nullptr) out_ += "</g>\n";
        open_group(item);
        open = &item;
      }
      write_shape(item, item.place.has_value());
    }
    if (open != nullptr) out_ += "</g>\n";
    write_notes(page, noted);
    out_ += "</g>\n";
  }

  /// A group is a place of the neck, or items of one mark and tone.
  static bool share_group(const SceneItem& a, const SceneItem& b) {
    if (a.place || b.place) return a.place == b.place;
    return a.mark == b.mark && a.tone == b.tone;
  }
  void open_group(const SceneItem& item) {
    out_ += "<g";
    if (item.place) {
      out_ += " data-string=\"" + std::to_string(item.place->string) + "\" data-fret=\"" +
              std::to_string(item.place->fret) + '"';
    } else {
      write_class(item);
    }
    out_ += '>';
  }

  void write_notes(const ScenePage& page, std::vector<std::size_t>& noted) {
    std::stable_sort(noted.begin(), noted.end(),
                     [&](std::size_t a, std::size_t b) { return page.items[a].note < page.items[b].note; });
    NoteRef open;
    for (const std::size_t i : noted) {
      const SceneItem& item = page.items[i];
      if (item.note != open) {
        if (open.note >= 0) out_ += "</g>\n";
        open = item.note;
        write_note_head(open);
      }
      write_shape(item, true);
    }
    if (open.note >= 0) out_ += "</g>\n";
  }

  void write_note_head(NoteRef note) {
    // A note may stand on several pages, in its loom and in its music; only its first group may have the id.
    const bool first = written_.insert(note).second;
    out_ += "<g class=\"note\"";
    if (first) out_ += " id=\"" + options_.id_prefix + note_id(scene_, note) + "\"";
    const auto& notes = scene_.passages[static_cast<std::size_t>(note.passage)].notes;
    if (options_.note_labels && static_cast<std::size_t>(note.note) < notes.size()) {
      out_ += " role=\"img\" aria-label=\"";
      out_ += markup_text(notes[static_cast<std::size_t>(note.note)].said);
      out_ += '"';
    }
    out_ += ">";
  }

  void open_tag(std::string_view tag, const SceneItem& item, bool with_class) {
    out_ += '<';
    out_ += tag;
    if (with_class) write_class(item);
  }

  /// Mark and tone. All paints are currentColor, so the tone's grey stands as `color`, an attribute that any rule of a
  /// page's own style overrides.
  void write_class(const SceneItem& item) {
    out_ += " class=\"";
    out_ += name(item.mark);
    if (item.tone != Tone::ink) {
      out_ += ' ';
      out_ += name(item.tone);
      out_ += "\" color=\"";
      out_ += grey_of(item.tone);
    }
    out_ += '"';
  }

  void write_shape(const SceneItem& item, bool with_class) {
    std::visit([&](const auto& shape) { write(item, shape, with_class); }, item.shape);
  }

  void write(const SceneItem& item, const GlyphShape& s, bool with_class) {
    used_[static_cast<std::size_t>(s.symbol)] = true;
    open_tag("use", item, with_class);
    out_ += " href=\"#" + options_.id_prefix;
    out_ += row_of(s.symbol).name;
    out_ += '"';
    if (s.scale == 1) {
      attribute("x", s.at.x);
      attribute("y", s.at.y);
    } else {
      out_ += " transform=\"translate(";
      point(s.at);
      out_ += ")scale(";
      number(s.scale);
      out_ += ")\"";
    }
    out_ += "/>";
  }

  void write(const SceneItem& item, const LineShape& s, bool with_class) {
    open_tag("path", item, with_class);
    out_ += " d=\"M";
    point(s.from);
    if (s.from.y == s.to.y) {
      out_ += 'H';
      number(s.to.x);
    } else if (s.from.x == s.to.x) {
      out_ += 'V';
      number(s.to.y);
    } else {
      out_ += 'L';
      point(s.to);
    }
    out_ += "\" stroke=\"currentColor\"";
    attribute("stroke-width", s.width);
    if (s.dashed) out_ += " stroke-dasharray=\"0.7 0.5\"";
    out_ += "/>";
  }

  void write(const SceneItem& item, const QuadShape& s, bool with_class) {
    open_tag("path", item, with_class);
    out_ += " d=\"M";
    for (std::size_t i = 0; i < 4; ++i) {
      if (i > 0) out_ += 'L';
      point(s.corners[i]);
    }
    out_ += "Z\"/>";
  }

  void write(const SceneItem& item, const BowShape& s, bool with_class) {
    const BowEdges edges = edges_of(s);
    open_tag("path", item, with_class);
    out_ += " d=\"M";
    point(s.from);
    out_ += 'C';
    for (const Point p : {edges.outer_1, edges.outer_2, s.to}) {
      point(p);
      out_ += ' ';
    }
    out_ += 'C';
    for (const Point p : {edges.inner_2, edges.inner_1, s.from}) {
      point(p);
      out_ += ' ';
    }
    out_ += "Z\" stroke=\"currentColor\" stroke-linejoin=\"round\"";
    attribute("stroke-width", s.end);
    out_ += "/>";
  }

  void write(const SceneItem& item, const TextShape& s, bool with_class) {
    open_tag("text", item, with_class);
    attribute("x", s.at.x);
    attribute("y", s.at.y);
    attribute("font-size", s.size);
    if (s.style == TextStyle::bold) out_ += " font-weight=\"bold\"";
    if (s.style == TextStyle::italic) out_ += " font-style=\"italic\"";
    if (s.anchor == Anchor::middle) out_ += " text-anchor=\"middle\"";
    if (s.anchor == Anchor::end) out_ += " text-anchor=\"end\"";
    if (s.text.size() > 1 && s.width > 0) {
      attribute("textLength", s.width);
      out_ += " lengthAdjust=\"spacingAndGlyphs\"";
    }
    out_ += '>';
    out_ += markup_text(s.text);
    out_ += "</text>";
  }

  void write(const SceneItem& item, const RingShape& s, bool with_class) {
    open_tag("circle", item, with_class);
    attribute("cx", s.centre.x);
    attribute("cy", s.centre.y);
    attribute("r", s.radius);
    paint(s.line);
    out_ += "/>";
  }

  void paint(double line) {
    if (line <= 0) return;
    out_ += " fill=\"none\" stroke=\"currentColor\"";
    attribute("stroke-width", line);
  }

  void write(const SceneItem& item, const DotsShape& s, bool with_class) {
    open_tag("path", item, with_class);
    out_ += " d=\"M";
    point(s.from);
    out_ += 'L';
    point(s.to);
    out_ += "\" stroke=\"currentColor\" stroke-linecap=\"round\" stroke-dasharray=\"0 ";
    number(s.step());
    out_ += '"';
    attribute("stroke-width", s.width);
    out_ += "/>";
  }

  void write(const SceneItem& item, const PolygonShape& s, bool with_class) {
    open_tag("path", item, with_class);
    out_ += " d=\"";
    for (const auto& contour : s.contours) {
      for (std::size_t i = 0; i < contour.size(); ++i) {
        out_ += i == 0 ? 'M' : 'L';
        point(contour[i]);
      }
      out_ += 'Z';
    }
    out_ += '"';
    if (s.contours.size() > 1) out_ += " fill-rule=\"evenodd\"";
    paint(s.line);
    out_ += "/>";
  }

  void write(const SceneItem& item, const BoxShape& s, bool with_class) {
    const Box box = s.box.grown(-s.line / 2);
    open_tag("rect", item, with_class);
    attribute("x", box.left);
    attribute("y", box.top);
    attribute("width", box.width());
    attribute("height", box.height());
    if (s.radius > 0) attribute("rx", std::max(0.0, s.radius - s.line / 2));
    paint(s.line);
    out_ += "/>";
  }

  void write(const SceneItem& item, const ImageShape& s, bool with_class) {
    if (scene_.logo_png.empty()) return;
    open_tag("image", item, with_class);
    attribute("x", s.box.left);
    attribute("y", s.box.top);
    attribute("width", s.box.width());
    attribute("height", s.box.height());
    out_ += " href=\"data:image/png;base64," + base64(scene_.logo_png) + "\"/>";
  }

  const Scene& scene_;
  const MusicFont& font_;
  const SvgOptions& options_;
  std::string out_;
  std::array<bool, static_cast<std::size_t>(Symbol::count_)> used_{};
  std::set<NoteRef> written_;
};

}  // namespace

std::string write_svg(const Scene& scene, const MusicFont& font, const SvgOptions& options) {
  return SvgWriter(scene, font, options).write();
}

}  // namespace fretloom::sheet
