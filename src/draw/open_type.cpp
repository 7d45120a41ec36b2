#include "draw/open_type.h"

#include <ft2build.h>
#include FT_FREETYPE_H
#include FT_OUTLINE_H
#include FT_BBOX_H

#include <algorithm>
#include <memory>

#include "base/text.h"
#include "sheet/outline_bytes.h"
#include "sheet/own_glyphs.h"

namespace fretloom::draw {

namespace {

using sheet::GlyphOutline;
using sheet::OutlineStep;
using sheet::Point;

constexpr std::string_view k_music_font_hint = "npm install @fontsource/bravura-text@5.3.0";

using Library = std::unique_ptr<FT_LibraryRec_, decltype(&FT_Done_FreeType)>;
using Face = std::unique_ptr<FT_FaceRec_, decltype(&FT_Done_Face)>;

/// Collects FreeType's callbacks into steps. Quadratic curves are raised to cubics.
struct Collector {
  std::vector<OutlineStep> steps;
  double scale = 1;
  double drop = 0;
  double shift = 0;
  Point at;

  [[nodiscard]] Point place(const FT_Vector* v) const {
    return on_grid(static_cast<double>(v->x) * scale + shift, static_cast<double>(v->y) * scale - drop);
  }
  [[nodiscard]] static Point on_grid(double x, double y) {
    return {sheet::on_outline_grid(x), sheet::on_outline_grid(y)};
  }
  void close() {
    if (!steps.empty()) steps.push_back({OutlineStep::Kind::close, {}, {}, {}});
  }
};

int on_move(const FT_Vector* to, void* user) {
  auto& c = *static_cast<Collector*>(user);
  c.close();
  c.at = c.place(to);
  c.steps.push_back({OutlineStep::Kind::move, c.at, {}, {}});
  return 0;
}

int on_line(const FT_Vector* to, void* user) {
  auto& c = *static_cast<Collector*>(user);
  c.at = c.place(to);
  c.steps.push_back({OutlineStep::Kind::line, c.at, {}, {}});
  return 0;
}

int on_conic(const FT_Vector* control, const FT_Vector* to, void* user) {
  auto& c = *static_cast<Collector*>(user);
  const Point q = c.place(control);
  const Point end = c.place(to);
  const Point a = Collector::on_grid(c.at.x + 2.0 / 3.0 * (q.x - c.at.x), c.at.y + 2.0 / 3.0 * (q.y - c.at.y));
  const Point b = Collector::on_grid(end.x + 2.0 / 3.0 * (q.x - end.x), end.y + 2.0 / 3.0 * (q.y - end.y));
  c.steps.push_back({OutlineStep::Kind::curve, a, b, end});
  c.at = end;
  return 0;
}

int on_cubic(const FT_Vector* a, const FT_Vector* b, const FT_Vector* to, void* user) {
  auto& c = *static_cast<Collector*>(user);
  c.at = c.place(to);
  c.steps.push_back({OutlineStep::Kind::curve, c.place(a), c.place(b), c.at});
  return 0;
}

GlyphOutline read_glyph(FT_Face face, const sheet::SymbolRow& row) {
  GlyphOutline glyph;
  const FT_UInt index = FT_Get_Char_Index(face, row.code);
  if (index == 0 || FT_Load_Glyph(face, index, FT_LOAD_NO_SCALE) != 0) return glyph;
  FT_Outline& outline = face->glyph->outline;
  Collector collector;
  collector.scale = row.scale * 5.0 / static_cast<double>(face->units_per_EM);  // 0.8 em is four spaces
  collector.drop = row.drop;
  collector.shift = row.shift;
  const FT_Outline_Funcs funcs{on_move, on_line, on_conic, on_cubic, 0, 0};
  if (FT_Outline_Decompose(&outline, &funcs, &collector) != 0) return glyph;
  collector.close();
  FT_BBox box;
  if (FT_Outline_Get_BBox(&outline, &box) != 0) return glyph;
  glyph.steps = std::move(collector.steps);
  const FT_Vector low{box.xMin, box.yMin};
  const FT_Vector high{box.xMax, box.yMax};
  const Point sw = collector.place(&low);
  const Point ne = collector.place(&high);
  glyph.box = {sw.x, 0.0 - ne.y, ne.x, 0.0 - sw.y};  // no side is -0
  const double advance = static_cast<double>(face->glyph->advance.x) * collector.scale;
  glyph.advance = sheet::on_outline_grid(advance > 0 ? advance : ne.x + std::max(0.0, sw.x));
  return glyph;
}

}  // namespace

Result<sheet::MusicFont> read_open_type(const std::string& path) {
  FT_Library raw_library = nullptr;
  if (FT_Init_FreeType(&raw_library) != 0) return Error{ErrorKind::io, 0, "FreeType does not start", ""};
  const Library library(raw_library, FT_Done_FreeType);
  FT_Face raw_face = nullptr;
  if (FT_New_Face(library.get(), path.c_str(), 0, &raw_face) != 0) {
    return Error{ErrorKind::io, 0, "no music font at " + path, std::string(k_music_font_hint)};
  }
  const Face face(raw_face, FT_Done_Face);
  sheet::MusicFont font;
  for (const sheet::SymbolRow& row : sheet::symbol_rows())
    font.set(row.symbol, row.code == 0 ? sheet::own_glyph(row.symbol) : read_glyph(face.get(), row));
  if (const auto missing = font.missing(); !missing.empty()) {
    return Error{ErrorKind::range, 0, "the music font at " + path + " lacks " + join(missing, ", "),
                 std::string(k_music_font_hint)};
  }
  return font;
}

}  // namespace fretloom::draw
