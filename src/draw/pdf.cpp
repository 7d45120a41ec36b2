#include "draw/pdf.h"

#include <cairo-pdf.h>

#include <cmath>

#include "draw/cairo_handles.h"
#include "draw/painter.h"

namespace fretloom::draw {

namespace {

constexpr double k_points_per_mm = 72.0 / 25.4;

void set_metadata(cairo_surface_t* surface, const sheet::Scene& scene, const PdfOptions& options) {
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, scene.title.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, scene.author.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, scene.description.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Fretloom");
  if (!options.keywords.empty())
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_KEYWORDS, options.keywords.c_str());
  // Cairo would write the clock's time otherwise.
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, options.creation_date.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_MOD_DATE, options.creation_date.c_str());
}

void add_bookmarks(cairo_surface_t* surface, const sheet::Scene& scene, double unit) {
  for (const sheet::Bookmark& mark : scene.bookmarks) {
    const std::string target =
        "page=" + std::to_string(mark.page + 1) + " pos=[0 " + std::to_string(std::llround(mark.y * unit)) + "]";
    cairo_pdf_surface_add_outline(surface, CAIRO_PDF_OUTLINE_ROOT, mark.title.c_str(), target.c_str(),
                                  static_cast<cairo_pdf_outline_flags_t>(0));
  }
}

}  // namespace

Result<Rendered> write_pdf(const sheet::Scene& scene, const sheet::MusicFont& font, const PdfOptions& options) {
  if (scene.pages.empty()) return Error{ErrorKind::range, 0, "the scene has no page", ""};
  Rendered out;
  const double unit = scene.staff_space.value * k_points_per_mm;
  const Surface surface(cairo_pdf_surface_create_for_stream(append_bytes, &out.bytes, scene.pages[0].width * unit,
                                                            scene.pages[0].height * unit));
  set_metadata(surface.get(), scene, options);
  const Context cr(cairo_create(surface.get()));
  {
    Painter painter(cr.get(), font, scene.logo_png);
    for (const sheet::ScenePage& page : scene.pages) {
      cairo_pdf_surface_set_size(surface.get(), page.width * unit, page.height * unit);
      cairo_save(cr.get());
      cairo_scale(cr.get(), unit, unit);
      painter.paint(page);
      cairo_restore(cr.get());
      cairo_show_page(cr.get());
    }
    out.findings = painter.take_findings();
  }
  add_bookmarks(surface.get(), scene, unit);
  if (const auto status = cairo_status(cr.get()); status != CAIRO_STATUS_SUCCESS) return cairo_error(status);
  cairo_surface_finish(surface.get());
  if (const auto status = cairo_surface_status(surface.get()); status != CAIRO_STATUS_SUCCESS)
    return cairo_error(status);
  return out;
}

}  // namespace fretloom::draw
