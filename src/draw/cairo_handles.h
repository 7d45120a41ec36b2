#pragma once
// Cairo's objects as values that free themselves, and its way of writing and failing as the house's.

#include <cairo.h>

#include <memory>
#include <string>

#include "base/result.h"

namespace fretloom::draw {

template <class T, void (*Free)(T*)>
struct Freer {
  void operator()(T* p) const { Free(p); }
};
using Surface = std::unique_ptr<cairo_surface_t, Freer<cairo_surface_t, cairo_surface_destroy>>;
using Context = std::unique_ptr<cairo_t, Freer<cairo_t, cairo_destroy>>;
using FontFace = std::unique_ptr<cairo_font_face_t, Freer<cairo_font_face_t, cairo_font_face_destroy>>;

/// A cairo_write_func_t whose target is a std::string.
inline cairo_status_t append_bytes(void* target, const unsigned char* data, unsigned int length) {
  static_cast<std::string*>(target)->append(reinterpret_cast<const char*>(data), length);
  return CAIRO_STATUS_SUCCESS;
}

inline Error cairo_error(cairo_status_t status) {
  return {ErrorKind::io, 0, std::string("drawing failed: ") + cairo_status_to_string(status), ""};
}

}  // namespace fretloom::draw
