#include "sound/ogg_serial.h"

#include <array>

namespace fretloom {
namespace {

constexpr std::size_t k_header = 27;

/// RFC 3533: polynomial 0x04c11db7, start 0, no reflection, no final inversion.
constexpr std::array<std::uint32_t, 256> make_table() {
  std::array<std::uint32_t, 256> table{};
  for (std::uint32_t i = 0; i < 256; ++i) {
    std::uint32_t r = i << 24;
    for (int bit = 0; bit < 8; ++bit) r = (r & 0x80000000U) != 0 ? (r << 1) ^ 0x04C11DB7U : r << 1;
    table[i] = r;
  }
  return table;
}

std::uint32_t checksum(const char* bytes, std::size_t size) {
  static constexpr auto table = make_table();
  std::uint32_t crc = 0;
  for (std::size_t i = 0; i < size; ++i)
    crc = (crc << 8) ^ table[((crc >> 24) ^ static_cast<unsigned char>(bytes[i])) & 0xFF];
  return crc;
}

void put(std::string& bytes, std::size_t at, std::uint32_t value) {
  for (std::size_t k = 0; k < 4; ++k) bytes[at + k] = static_cast<char>(value >> (8 * k) & 0xFF);
}

}  // namespace

bool set_ogg_serial(std::string& bytes, std::uint32_t serial) {
  std::size_t at = 0;
  while (at < bytes.size()) {
    if (bytes.size() - at < k_header || bytes.compare(at, 4, "OggS") != 0) return false;
    const auto segments = static_cast<std::size_t>(static_cast<unsigned char>(bytes[at + 26]));
    if (bytes.size() - at < k_header + segments) return false;
    std::size_t size = k_header + segments;
    for (std::size_t k = 0; k < segments; ++k) size += static_cast<unsigned char>(bytes[at + k_header + k]);
    if (bytes.size() - at < size) return false;
    put(bytes, at + 14, serial);
    put(bytes, at + 22, 0);
    put(bytes, at + 22, checksum(bytes.data() + at, size));
    at += size;
  }
  return true;
}

}  // namespace fretloom
