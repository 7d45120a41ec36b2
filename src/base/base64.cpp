#include "base/base64.h"

namespace fretloom {

std::string base64(std::string_view bytes) {
  constexpr std::string_view k_digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string out;
  out.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    unsigned value = 0;
    for (std::size_t k = 0; k < 3; ++k)
      value = (value << 8U) | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
    for (std::size_t k = 0; k < 4; ++k) out += i + k <= bytes.size() ? k_digits[(value >> (18U - 6U * k)) & 63U] : '=';
  }
  return out;
}

}  // namespace fretloom
