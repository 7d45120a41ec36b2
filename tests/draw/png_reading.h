#pragma once
// Pixels of a PNG, through Cairo's own reader.

#include <cairo.h>

#include <functional>
#include <memory>
#include <string>

namespace fretloom::draw {

/// The red level of a PNG's pixel by place.
inline std::function<int(int, int)> greys_of(const std::string& png) {
  struct Source {
    const std::string* bytes;
    std::size_t at = 0;
  } source{&png};
  const auto read = [](void* from, unsigned char* to, unsigned int length) {
    auto& s = *static_cast<Source*>(from);
    if (s.at + length > s.bytes->size()) return CAIRO_STATUS_READ_ERROR;
    s.bytes->copy(reinterpret_cast<char*>(to), length, s.at);
    s.at += length;
    return CAIRO_STATUS_SUCCESS;
  };
  const std::shared_ptr<cairo_surface_t> image(cairo_image_surface_create_from_png_stream(read, &source),
                                               cairo_surface_destroy);
  return [image](int x, int y) {
    const unsigned char* data = cairo_image_surface_get_data(image.get());
    return static_cast<int>(data[y * cairo_image_surface_get_stride(image.get()) + 4 * x + 2]);
  };
}

}  // namespace fretloom::draw
