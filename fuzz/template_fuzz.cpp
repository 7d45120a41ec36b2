// The reader of text templates: whatever comes is read and filled in, as text that goes out.

#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "base/text.h"
#include "words/lesson_texts.h"
#include "words/sentences_of.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  using namespace fretloom;
  static const CompiledLesson lesson = compile_lesson("title = \"T\"\nkey = \"E\"\n[[idea]]\ncell = \"1 h2 + 3\"\n");
  static const Handout handout = make_handout(lesson);
  static const LessonSentences sentences = sentences_of(lesson, handout);
  const TemplateReading reading = read_template({reinterpret_cast<const char*>(data), size});
  const std::string text = email_text(handout, sentences, {"the handout"}, reading.text);
  if (utf8_prefix(text) != text.size() || !text.ends_with('\n')) std::abort();
  return 0;
}
