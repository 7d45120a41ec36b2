#pragma once
// The student's page, as scripts/build_student.mjs made it.

#include <span>

#include "files/embedded.h"

namespace fretloom {

/// "practice.html", which practice_page() puts a lesson into.
[[nodiscard]] std::span<const EmbeddedFile> practice_files();

}  // namespace fretloom
