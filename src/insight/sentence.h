#pragma once
// An answer in words, made of its facts last.

#include <string>
#include <string_view>
#include <vector>

#include "insight/explain.h"

namespace fretloom {

/// One plain sentence: the rule, where it lies, how it is carried, how many notes follow it and which do not.
[[nodiscard]] std::string sentence_of(const Answer& answer);

/// What speaks for this key, layout and rule, and what to mind: one sentence each.
[[nodiscard]] std::vector<std::string> reasons_of(const Answer& answer);

/// "note 14 is fret 7 on string 3, where fret 5 was expected".
[[nodiscard]] std::string misfit_words(const Misfit& misfit);

/// Why there is no answer, in a sentence.
[[nodiscard]] std::string_view sentence_of(NoAnswer why);

}  // namespace fretloom
