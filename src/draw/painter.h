#pragma once
// Draws the pages of one Scene on a Cairo context. Inside this room only: its header needs Cairo and Pango.

#include <pango/pangocairo.h>

#include <map>
#include <memory>
#include <string>
#include <tuple>

#include "base/diagnostics.h"
#include "draw/cairo_handles.h"
#include "sheet/music_font.h"
#include "sheet/scene.h"

namespace fretloom::draw {

/// Each item in its tone's grey on whatever stands there, in staff spaces: the caller scales the context. Context, font
/// and logo outlive the painter. Findings: those of Rendered.
class Painter {
 public:
  Painter(cairo_t* cr, const sheet::MusicFont& font, const std::string& logo_png);

  void paint(const sheet::ScenePage& page);
  [[nodiscard]] Diagnostics take_findings() { return std::move(findings_); }

 private:
  static void unref(PangoLayout* layout) { g_object_unref(layout); }
  static void unref_context(PangoContext* context) { g_object_unref(context); }
  using TextContext = std::unique_ptr<PangoContext, Freer<PangoContext, unref_context>>;

  /// A text laid out once, and its width in staff spaces.
  struct Shaped {
    std::unique_ptr<PangoLayout, Freer<PangoLayout, unref>> layout;
    double width = 0;
  };

  void check_text_font();
  const Shaped& shaped(const sheet::TextShape& s);
  void draw(const sheet::GlyphShape& s);
  void draw(const sheet::LineShape& s);
  void draw(const sheet::QuadShape& s);
  void draw(const sheet::BowShape& s);
  void draw(const sheet::TextShape& s);
  void draw(const sheet::RingShape& s);
  void draw(const sheet::ImageShape& s);
  void draw(const sheet::DotsShape& s);
  void draw(const sheet::PolygonShape& s);
  void draw(const sheet::BoxShape& s);
  void fill_or_stroke(double line);

  cairo_t* cr_;
  FontFace music_;
  const std::string& logo_;
  TextContext text_;
  std::map<std::tuple<std::string, int, double>, Shaped> texts_;
  Diagnostics findings_;
};

}  // namespace fretloom::draw
