#include "engine/embedded_font.h"

#include <cassert>
#include <iterator>

#include "sheet/outline_bytes.h"

namespace fretloom::engine {

namespace {

constexpr unsigned char k_bytes[] = {
#include "engine/music_font_bytes.inc"
};

}  // namespace

sheet::MusicFont embedded_font() {
  auto font = sheet::unpack_outlines({reinterpret_cast<const char*>(k_bytes), std::size(k_bytes)});
  assert(font);  // the build packed them
  return std::move(font).value();
}

}  // namespace fretloom::engine
