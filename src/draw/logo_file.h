#pragma once

#include <filesystem>

#include "base/result.h"
#include "sheet/options.h"

namespace fretloom::draw {

/// A PNG file for the head of the handout. Errors: io = cannot be read; those of sheet::make_logo.
[[nodiscard]] Result<sheet::Logo> load_logo(const std::filesystem::path& path);

}  // namespace fretloom::draw
