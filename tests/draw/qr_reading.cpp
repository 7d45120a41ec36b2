#include "draw/qr_reading.h"

#include <array>
#include <cstdint>
#include <vector>

namespace fretloom::draw {

namespace {

using Modules = std::function<bool(int, int)>;

/// Level M: blocks with one data length and then blocks with one byte more, check bytes of each.
struct Blocks {
  int short_blocks;
  int data;
  int long_blocks;
  int check;
};
constexpr std::array<Blocks, 10> k_level_m = {{{1, 16, 0, 10},
                                               {1, 28, 0, 16},
                                               {1, 44, 0, 26},
                                               {2, 32, 0, 18},
                                               {2, 43, 0, 24},
                                               {4, 27, 0, 16},
                                               {4, 31, 0, 18},
                                               {2, 38, 2, 22},
                                               {3, 36, 2, 22},
                                               {4, 43, 1, 26}}};

/// Rows and columns of alignment patterns.
std::vector<int> alignments(int version) {
  if (version == 1) return {};
  if (version < 7) return {6, 10 + 4 * version};
  return {6, 8 + 2 * version, 10 + 4 * version};
}

bool is_function(int side, int row, int column) {
  const int version = (side - 17) / 4;
  if (row == 6 || column == 6) return true;
  if (row < 9 && (column < 9 || column >= side - 8)) return true;
  if (row >= side - 8 && column < 9) return true;
  if (version >= 7 && ((row < 6 && column >= side - 11) || (column < 6 && row >= side - 11))) return true;
  for (const int r : alignments(version)) {
    for (const int c : alignments(version)) {
      const bool finder = (r == 6 && c == 6) || (r == 6 && c == side - 7) || (c == 6 && r == side - 7);
      if (!finder && row >= r - 2 && row <= r + 2 && column >= c - 2 && column <= c + 2) return true;
    }
  }
  return false;
}

bool finders_stand(int side, const Modules& dark) {
  for (int row = 0; row < 7; ++row) {
    for (int column = 0; column < 7; ++column) {
      const bool edge = row == 0 || row == 6 || column == 0 || column == 6;
      const bool core = row > 1 && row < 5 && column > 1 && column < 5;
      for (const auto& [r, c] : {std::pair{row, column}, {row, side - 7 + column}, {side - 7 + row, column}}) {
        if (dark(r, c) != (edge || core)) return false;
      }
    }
  }
  for (int i = 8; i < side - 8; ++i) {
    if (dark(6, i) != (i % 2 == 0) || dark(i, 6) != (i % 2 == 0)) return false;
  }
  return true;
}

/// The 15 bits of the format, unmasked: level in bits 14 and 13, mask in 12 to 10. -1 if its check does not divide.
int format_of(const Modules& dark) {
  int bits = 0;
  for (int i = 0; i < 15; ++i) {
    const bool set = i < 6    ? dark(i, 8)
                     : i == 6 ? dark(7, 8)
                     : i == 7 ? dark(8, 8)
                     : i == 8 ? dark(8, 7)
                              : dark(8, 14 - i);
    if (set) bits |= 1 << i;
  }
  bits ^= 0x5412;
  int rest = bits;
  for (int i = 14; i >= 10; --i) {
    if ((rest >> i) & 1) rest ^= 0x537 << (i - 10);
  }
  return rest == 0 ? bits : -1;
}

bool is_masked(int mask, int i, int j) {
  switch (mask) {
    case 0: return (i + j) % 2 == 0;
    case 1: return i % 2 == 0;
    case 2: return j % 3 == 0;
    case 3: return (i + j) % 3 == 0;
    case 4: return (i / 2 + j / 3) % 2 == 0;
    case 5: return i * j % 2 + i * j % 3 == 0;
    case 6: return (i * j % 2 + i * j % 3) % 2 == 0;
    default: return ((i + j) % 2 + i * j % 3) % 2 == 0;
  }
}

std::vector<std::uint8_t> code_words(int side, int mask, const Modules& dark) {
  std::vector<std::uint8_t> words;
  int bits = 0;
  int count = 0;
  bool up = true;
  for (int right = side - 1; right > 0; right -= 2) {
    if (right == 6) right = 5;
    for (int step = 0; step < side; ++step) {
      const int row = up ? side - 1 - step : step;
      for (const int column : {right, right - 1}) {
        if (is_function(side, row, column)) continue;
        bits = (bits * 2 + (dark(row, column) != is_masked(mask, row, column) ? 1 : 0)) & 0xff;
        if (++count % 8 == 0) words.push_back(static_cast<std::uint8_t>(bits));
      }
    }
    up = !up;
  }
  return words;
}

/// Product in GF(256) by x^8 + x^4 + x^3 + x^2 + 1.
int times(int a, int b) {
  int product = 0;
  for (; b > 0; b >>= 1) {
    if (b & 1) product ^= a;
    a <<= 1;
    if (a & 0x100) a ^= 0x11d;
  }
  return product;
}

/// A block without errors is 0 at the first `check` powers of 2.
bool block_stands(const std::vector<std::uint8_t>& block, int check) {
  int root = 1;
  for (int i = 0; i < check; ++i, root = times(root, 2)) {
    int value = 0;
    for (const std::uint8_t word : block) value = times(value, root) ^ word;
    if (value != 0) return false;
  }
  return true;
}

std::optional<std::vector<std::uint8_t>> data_of(const std::vector<std::uint8_t>& words, const Blocks& m) {
  const int count = m.short_blocks + m.long_blocks;
  std::vector<std::vector<std::uint8_t>> blocks(static_cast<std::size_t>(count));
  std::size_t at = 0;
  for (int i = 0; i <= m.data; ++i) {
    for (int b = i < m.data ? 0 : m.short_blocks; b < count && at < words.size(); ++b)
      blocks[static_cast<std::size_t>(b)].push_back(words[at++]);
  }
  std::vector<std::uint8_t> data;
  for (const auto& block : blocks) data.insert(data.end(), block.begin(), block.end());
  for (int i = 0; i < m.check; ++i) {
    for (auto& block : blocks) {
      if (at >= words.size()) return std::nullopt;
      block.push_back(words[at++]);
    }
  }
  for (const auto& block : blocks) {
    if (!block_stands(block, m.check)) return std::nullopt;
  }
  return data;
}

}  // namespace

std::optional<std::string> read_qr(int side, const Modules& dark, std::string& why) {
  const int version = (side - 17) / 4;
  const auto fail = [&](const char* reason) -> std::optional<std::string> {
    why = reason;
    return std::nullopt;
  };
  if (side != 17 + 4 * version || version < 1 || version > 10) return fail("side");
  if (!finders_stand(side, dark)) return fail("finder or timing pattern");
  const int format = format_of(dark);
  if (format < 0) return fail("format");
  if (format >> 13 != 0) return fail("level is not M");
  const auto data =
      data_of(code_words(side, (format >> 10) & 7, dark), k_level_m[static_cast<std::size_t>(version - 1)]);
  if (!data) return fail("a block's check");
  std::size_t at = 0;
  const auto take = [&](int count) {
    int value = 0;
    for (; count > 0; --count, ++at) value = value * 2 + (((*data)[at / 8] >> (7 - at % 8)) & 1);
    return value;
  };
  if (take(4) != 4) return fail("mode");
  std::string text;
  for (int length = take(version < 10 ? 8 : 16); length > 0; --length) text += static_cast<char>(take(8));
  return text;
}

}  // namespace fretloom::draw
