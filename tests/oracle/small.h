// What the oracle's files share among themselves; tests include oracle.h only.
#pragma once

#include <optional>
#include <string>
#include <utility>

#include "oracle/oracle.h"

namespace oracle {

inline int mod(int a, int b) { return ((a % b) + b) % b; }

inline int floor_div(int a, int b) { return (a - mod(a, b)) / b; }

// The slot of a beat, if it is whole.
std::optional<int> slot_of(Fraction beat, int notes_per_beat);

inline int string_count(const Neck& neck) { return static_cast<int>(neck.open.size()); }

// The place of a string in a thick-to-thin list.
inline std::size_t thick_index(const Neck& neck, int string) {
  return neck.open.size() - static_cast<std::size_t>(string);
}

// "`#`, `b` and their signs are accepted everywhere".
inline std::string plain(std::string text) {
  if (text.find('\xE2') == std::string::npos) return text;
  for (const auto& [sign, letter] : {std::pair<std::string, std::string>{"\xE2\x99\xAF", "#"}, {"\xE2\x99\xAD", "b"}}) {
    for (std::size_t at = text.find(sign); at != std::string::npos; at = text.find(sign)) {
      text.replace(at, sign.size(), letter);
    }
  }
  return text;
}

}  // namespace oracle
