#pragma once
// What one handle holds: a text and what was computed from it.

#include <optional>
#include <string>

#include "lesson/compile.h"
#include "score/sentences.h"
#include "sheet/music_font.h"

namespace fretloom::engine {

class Session {
 public:
  explicit Session(std::string text);

  /// Another text; all is computed anew.
  void replace(std::string text);

  [[nodiscard]] const std::string& text() const { return text_; }
  [[nodiscard]] const CompiledLesson& lesson() const { return lesson_; }
  [[nodiscard]] const sheet::MusicFont& font() const { return font_; }
  /// Made when it is first asked for.
  [[nodiscard]] const Handout& handout();
  [[nodiscard]] const LessonSentences& sentences();

 private:
  sheet::MusicFont font_;
  std::string text_;
  CompiledLesson lesson_;
  std::optional<Handout> handout_;
  std::optional<LessonSentences> sentences_;
};

}  // namespace fretloom::engine
