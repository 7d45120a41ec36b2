#pragma once
// The QR code of a lesson's link (ISO/IEC 18004; libqrencode).

#include <optional>
#include <string>
#include <vector>

#include "sheet/options.h"

namespace fretloom::draw {

/// Bytes that a code of version 10 holds at level M; a longer link would need smaller modules or a larger corner of the
/// page, and is printed in words alone.
constexpr std::size_t k_longest_coded_link = 213;

/// The code of the first link that begins with http:// or https://, at level M (15% of it may be lost). Nothing where
/// there is none, or it is longer than k_longest_coded_link.
[[nodiscard]] std::optional<sheet::LinkCode> link_code(const std::vector<std::string>& links);

}  // namespace fretloom::draw
