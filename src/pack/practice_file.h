#pragma once
// The student's page and what lies beside it, as scripts/build_student.mjs made them.

#include <span>

#include "files/embedded.h"

namespace fretloom {

/// "practice.html" first, "practice.webmanifest" and "practice-worker.js": templates for with_lesson().
[[nodiscard]] std::span<const EmbeddedFile> practice_files();

}  // namespace fretloom
