#include "draw/png.h"

#include <cmath>

#include "draw/cairo_handles.h"
#include "draw/painter.h"

namespace fretloom::draw {

namespace {

constexpr double k_most_pixels = 2e8;

}  // namespace

Result<Rendered> write_png(const sheet::Scene& scene, const sheet::MusicFont& font, int page_index, double dpi,
                           int pixel_width) {
  if (page_index < 0 || page_index >= static_cast<int>(scene.pages.size())) {
    return Error{
        ErrorKind::range, 0,
        "there is no page " + std::to_string(page_index + 1) + "; the sheet has " + std::to_string(scene.pages.size()),
        "1"};
  }
  const sheet::ScenePage& page = scene.pages[static_cast<std::size_t>(page_index)];
  const double unit = pixel_width > 0 ? pixel_width / page.width : scene.staff_space.value / 25.4 * dpi;
  const double width = std::ceil(page.width * unit - 1e-6);
  const double height = std::ceil(page.height * unit - 1e-6);
  if (!(dpi >= k_least_dpi && dpi <= k_most_dpi) && pixel_width <= 0)
    return Error{ErrorKind::range, 0, "the resolution must be 36 to 1200 dots an inch", "150"};
  if (!(width * height <= k_most_pixels) || width > 32000 || height > 32000) {
    return Error{ErrorKind::range, 0, "the image would have more than 200 million pixels or a side above 32000",
                 "a lower resolution"};
  }
  Rendered out;
  const Surface surface(
      cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(width), static_cast<int>(height)));
  const Context cr(cairo_create(surface.get()));
  cairo_set_source_rgb(cr.get(), 1, 1, 1);
  cairo_paint(cr.get());
  cairo_scale(cr.get(), unit, unit);
  {
    Painter painter(cr.get(), font, scene.logo_png);
    painter.paint(page);
    out.findings = painter.take_findings();
  }
  if (const auto status = cairo_status(cr.get()); status != CAIRO_STATUS_SUCCESS) return cairo_error(status);
  const auto status = cairo_surface_write_to_png_stream(surface.get(), append_bytes, &out.bytes);
  if (status != CAIRO_STATUS_SUCCESS) return cairo_error(status);
  return out;
}

}  // namespace fretloom::draw
