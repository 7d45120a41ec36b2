#include "engine/session.h"

#include "engine/embedded_font.h"
#include "words/sentences_of.h"

namespace fretloom::engine {

Session::Session(std::string text) : font_(embedded_font()) { replace(std::move(text)); }

void Session::replace(std::string text) {
  text_ = std::move(text);
  lesson_ = compile_lesson(text_);
  handout_.reset();
  sentences_.reset();
}

const Handout& Session::handout() {
  if (!handout_) handout_ = make_handout(lesson_);
  return *handout_;
}

const LessonSentences& Session::sentences() {
  if (!sentences_) sentences_ = sentences_of(lesson_, handout());
  return *sentences_;
}

}  // namespace fretloom::engine
