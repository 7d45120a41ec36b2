#include "draw/painter.h"

#include <algorithm>
#include <cmath>

#include "sheet/bow.h"
#include "sheet/text_metrics.h"

namespace fretloom::draw {

using namespace sheet;  // every shape of a Scene is drawn here

namespace {

struct Source {
  const std::string* bytes;
  std::size_t at;
};
cairo_status_t read_bytes(void* source, unsigned char* data, unsigned int length) {
  auto& s = *static_cast<Source*>(source);
  if (s.at + length > s.bytes->size()) return CAIRO_STATUS_READ_ERROR;
  s.bytes->copy(reinterpret_cast<char*>(data), length, s.at);
  s.at += length;
  return CAIRO_STATUS_SUCCESS;
}

const cairo_user_data_key_t k_font_key{};

void trace(cairo_t* cr, const GlyphOutline& glyph) {
  for (const OutlineStep& step : glyph.steps) {
    switch (step.kind) {
      case OutlineStep::Kind::move: cairo_move_to(cr, step.a.x, -step.a.y); break;
      case OutlineStep::Kind::line: cairo_line_to(cr, step.a.x, -step.a.y); break;
      case OutlineStep::Kind::curve:
        cairo_curve_to(cr, step.a.x, -step.a.y, step.b.x, -step.b.y, step.c.x, -step.c.y);
        break;
      case OutlineStep::Kind::close: cairo_close_path(cr); break;
    }
  }
}

/// Staff spaces in the em of the embedded music font: no symbol reaches farther than one em from its origin.
constexpr double k_em = 8;

cairo_status_t init_symbols(cairo_scaled_font_t*, cairo_t*, cairo_font_extents_t* extents) {
  extents->ascent = 1;
  extents->descent = 1;
  extents->height = 2;
  extents->max_x_advance = 1;
  return CAIRO_STATUS_SUCCESS;
}

/// Draws glyph `index` (a Symbol, plus one) of the music font.
cairo_status_t render_symbol(cairo_scaled_font_t* scaled, unsigned long index, cairo_t* cr,
                             cairo_text_extents_t* extents) {
  const auto* font = static_cast<const MusicFont*>(
      cairo_font_face_get_user_data(cairo_scaled_font_get_font_face(scaled), &k_font_key));
  if (font == nullptr || index == 0 || index > static_cast<unsigned long>(Symbol::count_))
    return CAIRO_STATUS_USER_FONT_ERROR;
  const GlyphOutline& glyph = font->glyph(static_cast<Symbol>(index - 1));
  cairo_scale(cr, 1 / k_em, 1 / k_em);
  trace(cr, glyph);
  cairo_fill(cr);
  extents->x_bearing = glyph.box.left / k_em;
  extents->y_bearing = glyph.box.top / k_em;
  extents->width = glyph.box.width() / k_em;
  extents->height = glyph.box.height() / k_em;
  extents->x_advance = glyph.advance / k_em;
  return CAIRO_STATUS_SUCCESS;
}

FontFace make_music_face(const MusicFont& font) {
  FontFace face(cairo_user_font_face_create());
  cairo_user_font_face_set_init_func(face.get(), init_symbols);
  cairo_user_font_face_set_render_glyph_func(face.get(), render_symbol);
  cairo_font_face_set_user_data(face.get(), &k_font_key, const_cast<MusicFont*>(&font), nullptr);
  return face;
}

constexpr std::string_view k_text_font_package = "fonts-sil-gentiumplus";  ///< Debian's name
constexpr double k_unit = 10;  ///< how much larger than drawn a text is laid out

}  // namespace

Painter::Painter(cairo_t* cr, const MusicFont& font, const std::string& logo_png)
    : cr_(cr), music_(make_music_face(font)), logo_(logo_png) {
  cairo_font_options_t* options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  text_.reset(pango_cairo_create_context(cr));
  pango_cairo_context_set_font_options(text_.get(), options);
  pango_cairo_context_set_resolution(text_.get(), 72);
  cairo_set_font_options(cr, options);
  cairo_font_options_destroy(options);
  pango_context_set_language(text_.get(), pango_language_from_string("en"));
  check_text_font();
}

void Painter::paint(const ScenePage& page) {
  double grey = -1;
  for (const SceneItem& item : page.items) {
    if (const double wanted = row_of(item.tone).grey; wanted != grey) {
      cairo_set_source_rgb(cr_, wanted, wanted, wanted);
      grey = wanted;
    }
    std::visit([&](const auto& shape) { draw(shape); }, item.shape);
  }
}

void Painter::check_text_font() {
  PangoFontDescription* wanted = pango_font_description_from_string(std::string(k_text_font).c_str());
  PangoFont* loaded = pango_context_load_font(text_.get(), wanted);
  std::string family;
  if (loaded != nullptr) {
    PangoFontDescription* found = pango_font_describe(loaded);
    if (const char* text = pango_font_description_get_family(found)) family = text;
    pango_font_description_free(found);
    g_object_unref(loaded);
  }
  pango_font_description_free(wanted);
  if (family == k_text_font) return;
  findings_.add({Level::warning,
                 "sheet-text-font-missing",
                 {},
                 {},
                 "the text font " + std::string(k_text_font) + " is not installed; " +
                     (family.empty() ? "none" : family) + " stands in",
                 "install " + std::string(k_text_font_package)});
}

void Painter::draw(const GlyphShape& s) {
  cairo_set_font_face(cr_, music_.get());
  cairo_set_font_size(cr_, s.scale * k_em);
  cairo_glyph_t glyph{static_cast<unsigned long>(s.symbol) + 1, s.at.x, s.at.y};
  // A blank stands for the symbol in extracted text, so that words and frets read cleanly.
  const cairo_text_cluster_t cluster{1, 1};
  cairo_show_text_glyphs(cr_, " ", 1, &glyph, 1, &cluster, 1, static_cast<cairo_text_cluster_flags_t>(0));
}

void Painter::draw(const LineShape& s) {
  cairo_set_line_width(cr_, s.width);
  if (s.dashed) {
    const double dashes[] = {0.7, 0.5};
    cairo_set_dash(cr_, dashes, 2, 0);
  }
  cairo_move_to(cr_, s.from.x, s.from.y);
  cairo_line_to(cr_, s.to.x, s.to.y);
  cairo_stroke(cr_);
  if (s.dashed) cairo_set_dash(cr_, nullptr, 0, 0);
}

void Painter::draw(const QuadShape& s) {
  cairo_move_to(cr_, s.corners[0].x, s.corners[0].y);
  for (std::size_t i = 1; i < 4; ++i) cairo_line_to(cr_, s.corners[i].x, s.corners[i].y);
  cairo_close_path(cr_);
  cairo_fill(cr_);
}

void Painter::draw(const BowShape& s) {
  const BowEdges e = edges_of(s);
  cairo_move_to(cr_, s.from.x, s.from.y);
  cairo_curve_to(cr_, e.outer_1.x, e.outer_1.y, e.outer_2.x, e.outer_2.y, s.to.x, s.to.y);
  cairo_curve_to(cr_, e.inner_2.x, e.inner_2.y, e.inner_1.x, e.inner_1.y, s.from.x, s.from.y);
  cairo_close_path(cr_);
  cairo_set_line_width(cr_, s.end);
  cairo_set_line_join(cr_, CAIRO_LINE_JOIN_ROUND);
  cairo_fill_preserve(cr_);
  cairo_stroke(cr_);
  cairo_set_line_join(cr_, CAIRO_LINE_JOIN_MITER);
}

const Painter::Shaped& Painter::shaped(const TextShape& s) {
  const auto key = std::make_tuple(s.text, static_cast<int>(s.style), s.size);
  const auto found = texts_.find(key);
  if (found != texts_.end()) return found->second;
  if (texts_.size() > 4000) texts_.clear();
  PangoFontDescription* description = pango_font_description_from_string(std::string(k_text_font).c_str());
  pango_font_description_set_absolute_size(description, std::round(s.size * k_unit * PANGO_SCALE));
  if (s.style == TextStyle::bold) pango_font_description_set_weight(description, PANGO_WEIGHT_BOLD);
  if (s.style == TextStyle::italic) pango_font_description_set_style(description, PANGO_STYLE_ITALIC);
  Shaped shape;
  shape.layout.reset(pango_layout_new(text_.get()));
  pango_layout_set_font_description(shape.layout.get(), description);
  pango_font_description_free(description);
  pango_layout_set_single_paragraph_mode(shape.layout.get(), TRUE);
  pango_layout_set_text(shape.layout.get(), s.text.c_str(), static_cast<int>(s.text.size()));
  PangoRectangle logical;
  pango_layout_get_extents(shape.layout.get(), nullptr, &logical);
  shape.width = logical.width / (PANGO_SCALE * k_unit);
  return texts_.emplace(key, std::move(shape)).first->second;
}

void Painter::draw(const TextShape& s) {
  const Shaped& shape = shaped(s);
  // A stand-in font may be wider than the layout knows: squeezed, it keeps its place.
  const double squeeze = s.width > 0 && shape.width > s.width * 1.01 ? s.width / shape.width : 1;
  const double width = shape.width * squeeze;
  const double x = s.anchor == Anchor::start    ? s.at.x
                   : s.anchor == Anchor::middle ? s.at.x - width / 2
                                                : s.at.x - width;
  cairo_save(cr_);
  cairo_translate(cr_, x, s.at.y);
  // Pango counts in 1/1024 units; text is laid out large and drawn small, so that it loses nothing.
  cairo_scale(cr_, squeeze / k_unit, 1 / k_unit);
  cairo_move_to(cr_, 0, 0);
  pango_cairo_show_layout_line(cr_, pango_layout_get_line_readonly(shape.layout.get(), 0));
  cairo_restore(cr_);
  cairo_new_path(cr_);
}

void Painter::draw(const RingShape& s) {
  cairo_new_path(cr_);
  cairo_arc(cr_, s.centre.x, s.centre.y, s.radius, 0, 2 * std::acos(-1.0));
  fill_or_stroke(s.line);
}

void Painter::draw(const ImageShape& s) {
  Source source{&logo_, 0};
  const Surface image(cairo_image_surface_create_from_png_stream(read_bytes, &source));
  if (cairo_surface_status(image.get()) != CAIRO_STATUS_SUCCESS) {
    findings_.add({Level::warning,
                   "sheet-logo-unreadable",
                   {0, "logo"},
                   {},
                   "the logo's PNG data cannot be read; it is left out",
                   "another PNG file"});
    return;
  }
  cairo_save(cr_);  // the source, too
  cairo_translate(cr_, s.box.left, s.box.top);
  cairo_scale(cr_, s.box.width() / cairo_image_surface_get_width(image.get()),
              s.box.height() / cairo_image_surface_get_height(image.get()));
  cairo_set_source_surface(cr_, image.get(), 0, 0);
  cairo_paint(cr_);
  cairo_restore(cr_);
}

void Painter::draw(const DotsShape& s) {
  const double dashes[] = {0, s.step()};
  cairo_set_dash(cr_, dashes, 2, 0);
  cairo_set_line_cap(cr_, CAIRO_LINE_CAP_ROUND);
  draw(LineShape{s.from, s.to, s.width});
  cairo_set_line_cap(cr_, CAIRO_LINE_CAP_BUTT);
  cairo_set_dash(cr_, nullptr, 0, 0);
}

void Painter::draw(const PolygonShape& s) {
  cairo_new_path(cr_);
  for (const auto& contour : s.contours) {
    for (std::size_t i = 0; i < contour.size(); ++i)
      i == 0 ? cairo_move_to(cr_, contour[i].x, contour[i].y) : cairo_line_to(cr_, contour[i].x, contour[i].y);
    cairo_close_path(cr_);
  }
  cairo_set_fill_rule(cr_, CAIRO_FILL_RULE_EVEN_ODD);
  fill_or_stroke(s.line);
  cairo_set_fill_rule(cr_, CAIRO_FILL_RULE_WINDING);
}

void Painter::draw(const BoxShape& s) {
  const Box box = s.box.grown(-s.line / 2);
  const double r = std::min({std::max(0.0, s.radius - s.line / 2), box.width() / 2, box.height() / 2});
  const double quarter = std::acos(0.0);
  cairo_new_path(cr_);
  cairo_arc(cr_, box.right - r, box.top + r, r, -quarter, 0);
  cairo_arc(cr_, box.right - r, box.bottom - r, r, 0, quarter);
  cairo_arc(cr_, box.left + r, box.bottom - r, r, quarter, 2 * quarter);
  cairo_arc(cr_, box.left + r, box.top + r, r, 2 * quarter, 3 * quarter);
  cairo_close_path(cr_);
  fill_or_stroke(s.line);
}

/// An outline where there is a line width.
void Painter::fill_or_stroke(double line) {
  if (line <= 0) return cairo_fill(cr_);
  cairo_set_line_width(cr_, line);
  cairo_stroke(cr_);
}

}  // namespace fretloom::draw
