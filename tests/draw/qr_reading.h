#pragma once
// Reads a QR code by the standard (ISO/IEC 18004:2015, tables from memory; the Reed-Solomon check and the format's own
// code words hold them): versions 1 to 10, level M, byte mode. Shares nothing with the library that writes them.

#include <functional>
#include <optional>
#include <string>

namespace fretloom::draw {

/// The text of a code with `side` modules; `dark(row, column)`. Nothing, and the reason in `why`, where a function
/// pattern, the format, a block's check or the mode is not as the standard has it.
std::optional<std::string> read_qr(int side, const std::function<bool(int, int)>& dark, std::string& why);

}  // namespace fretloom::draw
