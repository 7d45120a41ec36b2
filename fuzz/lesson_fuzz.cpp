// The lesson reader: whatever comes is read, compiled, printed and edited without a crash.

#include <cstdint>
#include <string_view>

#include "lesson/edit.h"
#include "lesson/notes_json.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace fretloom;
  if (size > 1U << 14U) return 0;  // larger texts only repeat what small ones do
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const CompiledLesson compiled = compile_lesson(text);
  (void)notes_json(compiled);
  if (!compiled.is_readable()) return 0;
  (void)make_handout(compiled);
  (void)set_value(text, parse_key_path("tempo.goal"), "99");
  (void)set_value(text, parse_key_path("idea[1].cell"), "\"1 2\"");
  return 0;
}
