#pragma once

#include <string>

#include "base/result.h"

namespace fretloom::studio {

/// With a capital letter in front and a full stop at the end.
[[nodiscard]] inline std::string as_sentence(std::string text) {
  if (text.empty()) return text;
  if (text.front() >= 'a' && text.front() <= 'z') text.front() = static_cast<char>(text.front() - 'a' + 'A');
  if (text.back() != '.') text += '.';
  return text;
}

/// What went wrong, and what can be done about it.
[[nodiscard]] inline std::string as_sentence(const Error& error) {
  return as_sentence(error.what + (error.repair.empty() ? "" : "; " + error.repair));
}

}  // namespace fretloom::studio
