#pragma once
// Bytes as text: RFC 4648, section 4.

#include <string>
#include <string_view>

namespace fretloom {

/// Four digits for each three bytes, padded with "=".
[[nodiscard]] std::string base64(std::string_view bytes);

}  // namespace fretloom
