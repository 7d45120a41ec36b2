#pragma once
// A QR code with its link in words.

#include "sheet/block.h"
#include "sheet/options.h"

namespace fretloom::sheet {

enum class CodeSide { left, right };

/// The code at one side of `width`, its link beside it on the other, at text_scale 1. A module measures at least 0.42
/// mm on paper, and four modules around it stay white (ISO/IEC 18004, section 9: quiet zone 4X).
[[nodiscard]] Block code_drawing(const LinkCode& code, CodeSide side, double width, const SheetOptions& options);

inline constexpr Millimetres k_least_module{0.42};
inline constexpr int k_quiet_zone = 4;  ///< modules

}  // namespace fretloom::sheet
