#include "pack/hash.h"

#include <openssl/evp.h>

#include <array>

#include "sound/ogg_serial.h"

namespace fretloom {

std::string sha256(std::string_view bytes) {
  std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
  unsigned int length = 0;
  EVP_Digest(bytes.data(), bytes.size(), digest.data(), &length, EVP_sha256(), nullptr);
  constexpr std::string_view k_digits = "0123456789abcdef";
  std::string text;
  text.reserve(k_sha256_digits);
  for (unsigned int i = 0; i < length; ++i) {
    text += k_digits[digest[i] >> 4U];
    text += k_digits[digest[i] & 0xFU];
  }
  return text;
}

std::string full_stamp(std::string_view lesson_hash) { return std::string(k_stamp_word) + std::string(lesson_hash); }

std::string blank_stamp() { return full_stamp(std::string(k_sha256_digits, '0')); }

std::size_t stamp(std::string& bytes, std::string_view lesson_hash) {
  const std::string blank = blank_stamp();
  const std::string full = full_stamp(lesson_hash);
  std::size_t count = 0;
  for (std::size_t at = bytes.find(blank); at != std::string::npos; at = bytes.find(blank, at + full.size())) {
    bytes.replace(at, full.size(), full);
    ++count;
  }
  if (bytes.starts_with("OggS")) set_ogg_serial(bytes, k_ogg_serial);
  return count;
}

}  // namespace fretloom
