#pragma once
// The three texts that go out with a lesson, each from its template: built in, or the teacher's own (template_for).
//
// All are plain UTF-8, end in one line break and are the same for the same input. Names and prose of the lesson are put
// on one line first (see plain_line), so that a title can neither break a line nor start a header. `sentences` are the
// handout's. `enclosed` lists what goes with the lesson: "the handout to print (handout.pdf)"; empty ones are dropped.
// A fact that is missing is left out with its line or its {if ...}; missing_facts lists it.

#include <string>
#include <vector>

#include "score/handout.h"
#include "score/sentences.h"
#include "words/text_template.h"

namespace fretloom {

/// The text of a kind.
[[nodiscard]] std::string lesson_text(TemplateKind kind, const Handout& handout, const LessonSentences& sentences,
                                      const std::vector<std::string>& enclosed, const TextTemplate& text);

/// For a letter: no line wider than 72 columns but the first, which is the subject, and single words (addresses) that
/// are.
[[nodiscard]] std::string email_text(const Handout& handout, const LessonSentences& sentences,
                                     const std::vector<std::string>& enclosed = {},
                                     const TextTemplate& text = default_template(TemplateKind::email));
/// For the page where the lesson is published: one paragraph a line, since pages wrap by themselves.
[[nodiscard]] std::string description_text(const Handout& handout, const LessonSentences& sentences,
                                           const std::vector<std::string>& enclosed = {},
                                           const TextTemplate& text = default_template(TemplateKind::description));
/// To speak from, no line wider than 80 columns. Placeholders give what can be said aloud: no digit, no chord symbol
/// (but for those that are lists to show, as {frets}).
[[nodiscard]] std::string script_text(const Handout& handout, const LessonSentences& sentences,
                                      const std::vector<std::string>& enclosed = {},
                                      const TextTemplate& text = default_template(TemplateKind::script));

}  // namespace fretloom
