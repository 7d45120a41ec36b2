#include "base/text.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdint>

#include "base/decimal.h"

namespace fretloom {

namespace {

bool is_space(char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; }

char lower_char(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

/// Length of the well-formed sequence at `i`, or 0. Ranges as in Unicode 15, table 3-7.
std::size_t sequence_length(std::string_view s, std::size_t i, std::uint32_t& code_point) {
  const auto byte = [&](std::size_t k) -> std::uint32_t {
    return k < s.size() ? static_cast<unsigned char>(s[k]) : 0U;
  };
  const auto tail = [&](std::size_t k) { return (byte(k) & 0xC0U) == 0x80U; };
  const std::uint32_t a = byte(i);
  const std::uint32_t b = byte(i + 1);
  if (a < 0x80) {
    code_point = a;
    return 1;
  }
  if (a >= 0xC2 && a <= 0xDF && tail(i + 1)) {
    code_point = ((a & 0x1FU) << 6U) | (b & 0x3FU);
    return 2;
  }
  if (a >= 0xE0 && a <= 0xEF && tail(i + 1) && tail(i + 2)) {
    if ((a == 0xE0 && b < 0xA0) || (a == 0xED && b > 0x9F)) return 0;
    code_point = ((a & 0x0FU) << 12U) | ((b & 0x3FU) << 6U) | (byte(i + 2) & 0x3FU);
    return 3;
  }
  if (a >= 0xF0 && a <= 0xF4 && tail(i + 1) && tail(i + 2) && tail(i + 3)) {
    if ((a == 0xF0 && b < 0x90) || (a == 0xF4 && b > 0x8F)) return 0;
    code_point = ((a & 0x07U) << 18U) | ((b & 0x3FU) << 12U) | ((byte(i + 2) & 0x3FU) << 6U) | (byte(i + 3) & 0x3FU);
    return 4;
  }
  return 0;
}

/// White space and what breaks a line or is never printed: C0, DEL, C1, line and paragraph separator, and
/// the byte order mark.
bool is_blank(std::int64_t c) {
  return (c >= 0 && c <= 0x20) || (c >= 0x7F && c <= 0x9F) || c == 0x2028 || c == 0x2029 || c == 0xFEFF;
}

/// Embeddings, overrides and isolates with their ends, and the three marks (Unicode Standard Annex 9).
bool is_bidi_control(std::int64_t c) {
  return (c >= 0x202A && c <= 0x202E) || (c >= 0x2066 && c <= 0x2069) || c == 0x200E || c == 0x200F || c == 0x061C;
}

/// Calls f(code point or -1, bytes) for each code point or invalid byte.
template <class F>
void each_code_point(std::string_view text, F f) {
  for (std::size_t i = 0; i < text.size();) {
    std::uint32_t code_point = 0;
    const std::size_t n = sequence_length(text, i, code_point);
    if (n == 0) {
      f(std::int64_t{-1}, text.substr(i, 1));
      ++i;
    } else {
      f(static_cast<std::int64_t>(code_point), text.substr(i, n));
      i += n;
    }
  }
}

}  // namespace

std::string_view trim(std::string_view text) {
  while (!text.empty() && is_space(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_space(text.back())) text.remove_suffix(1);
  return text;
}

std::string lower(std::string_view text) {
  std::string out(text);
  std::transform(out.begin(), out.end(), out.begin(), lower_char);
  return out;
}

std::vector<std::string_view> split(std::string_view text, char separator) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t at = text.find(separator);
    parts.push_back(text.substr(0, at));
    if (at == std::string_view::npos) return parts;
    text.remove_prefix(at + 1);
  }
}

std::string join(std::span<const std::string> parts, std::string_view separator) {
  std::string out;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) out += separator;
    out += parts[i];
  }
  return out;
}

std::string either(std::span<const std::string_view> words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i) {
    text += i == 0 ? "" : i + 1 < words.size() ? ", " : " or ";
    text += words[i];
  }
  return text;
}

std::vector<Word> words(std::string_view text) {
  std::vector<Word> out;
  for (std::size_t i = 0; i < text.size();) {
    if (is_space(text[i])) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < text.size() && !is_space(text[end])) ++end;
    out.push_back({text.substr(i, end - i), i});
    i = end;
  }
  return out;
}

std::optional<int> parse_int(std::string_view text) {
  int value = 0;
  const char* end = text.data() + text.size();
  const auto [stop, error] = std::from_chars(text.data(), end, value);
  if (error != std::errc{} || stop != end || text.empty()) return std::nullopt;
  return value;
}

std::string plain_accidentals(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  each_code_point(text, [&](std::int64_t code_point, std::string_view bytes) {
    switch (code_point) {
      case 0x266F: out += '#'; break;
      case 0x266D: out += 'b'; break;
      case 0x266E: break;
      case 0x1D12A: out += "##"; break;
      case 0x1D12B: out += "bb"; break;
      default: out += bytes;
    }
  });
  return out;
}

std::size_t count_code_points(std::string_view text) {
  std::size_t count = 0;
  each_code_point(text, [&](std::int64_t, std::string_view) { ++count; });
  return count;
}

std::size_t utf8_prefix(std::string_view text) {
  std::size_t at = 0;
  while (at < text.size()) {
    std::uint32_t code_point = 0;
    const std::size_t n = sequence_length(text, at, code_point);
    if (n == 0) break;
    at += n;
  }
  return at;
}

std::string xml_text(std::string_view text) {
  std::string clean;
  each_code_point(text, [&](std::int64_t c, std::string_view bytes) {
    const bool control = c < 0x20 && c != '\t' && c != '\n' && c != '\r';  // ill-formed bytes are -1
    clean += control || c == 0xFFFE || c == 0xFFFF ? "\uFFFD" : bytes;
  });
  return clean;
}

std::string one_line(std::string_view text) {
  std::string line;
  bool gap = false;
  each_code_point(text, [&](std::int64_t c, std::string_view bytes) {
    if (is_blank(c)) {
      gap = !line.empty();
    } else if (!is_bidi_control(c)) {
      if (gap) line += ' ';
      gap = false;
      line += xml_text(bytes);
    }
  });
  return line;
}

std::string plain_prose(std::string_view text) {
  std::vector<std::string> lines;
  for (const std::string_view line : split(text, '\n')) lines.push_back(one_line(line));
  return join(lines, "\n");
}

bool has_right_to_left(std::string_view text) {
  bool found = false;
  each_code_point(text, [&](std::int64_t c, std::string_view) {
    found = found || (c >= 0x0590 && c <= 0x08FF) || (c >= 0xFB1D && c <= 0xFDFF) || (c >= 0xFE70 && c <= 0xFEFE) ||
            (c >= 0x10800 && c <= 0x10FFF) || (c >= 0x1E800 && c <= 0x1EFFF);
  });
  return found;
}

std::string markup_text(std::string_view text) {
  std::string out;
  for (const char c : xml_text(text)) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += "&quot;"; break;
      default: out += c;
    }
  }
  return out;
}

std::string printable(std::string_view text) {
  constexpr std::string_view k_hex = "0123456789ABCDEF";
  std::string out;
  std::size_t good = utf8_prefix(text);
  for (std::size_t i = 0; i < text.size(); ++i) {
    const auto byte = static_cast<unsigned char>(text[i]);
    if (i < good && byte >= 32 && byte != 127) {
      out += text[i];
      continue;
    }
    out += {'\\', 'x', k_hex[byte >> 4U], k_hex[byte & 15U]};
    if (i >= good) good = i + 1 + utf8_prefix(text.substr(i + 1));
  }
  return out;
}

std::size_t display_width(std::string_view text) {
  std::size_t width = 0;
  each_code_point(text, [&](std::int64_t c, std::string_view) {
    const bool combining = (c >= 0x300 && c <= 0x36F) || (c >= 0x200B && c <= 0x200F) || (c >= 0xFE00 && c <= 0xFE0F);
    const bool wide = (c >= 0x1100 && c <= 0x115F) || (c >= 0x2E80 && c <= 0xA4CF) || (c >= 0xAC00 && c <= 0xD7A3) ||
                      (c >= 0xF900 && c <= 0xFAFF) || (c >= 0xFE30 && c <= 0xFE6F) || (c >= 0xFF00 && c <= 0xFF60) ||
                      (c >= 0x1F300 && c <= 0x1FAFF);
    width += combining ? 0U : wide ? 2U : 1U;
  });
  return width;
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
  // Row k holds the distances of a's first k characters to each prefix of b.
  std::vector<std::size_t> before(b.size() + 1);
  std::vector<std::size_t> above(b.size() + 1);
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) above[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t change = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = std::min({above[j] + 1, row[j - 1] + 1, change});
      if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1]) row[j] = std::min(row[j], before[j - 2] + 1);
    }
    std::swap(before, above);
    std::swap(above, row);
  }
  return above[b.size()];
}

std::string nearest(std::string_view text, std::span<const std::string_view> candidates) {
  if (text.size() > 64) return {};
  std::string_view best;
  std::size_t best_distance = text.size() / 3 + 2;
  const std::string wanted = lower(text);
  for (const std::string_view candidate : candidates) {
    const std::size_t distance = edit_distance(wanted, lower(candidate));
    if (distance < best_distance) {
      best_distance = distance;
      best = candidate;
    }
  }
  if (!best.empty() || wanted.size() < 2) return std::string(best);
  // A word cut short ("retro") or run on ("upstroke"): the candidate that shares most of it.
  std::size_t most_left = std::string_view::npos;
  for (const std::string_view candidate : candidates) {
    const std::string word = lower(candidate);
    if (word.size() < 2 || (!word.starts_with(wanted) && !wanted.starts_with(word))) continue;
    const std::size_t left = word.size() > wanted.size() ? word.size() - wanted.size() : wanted.size() - word.size();
    if (left < most_left) {
      most_left = left;
      best = candidate;
    }
  }
  return std::string(best);
}

std::vector<std::string> wrap(std::string_view text, std::size_t width) {
  std::vector<std::string> lines;
  for (const std::string_view paragraph : split(text, '\n')) {
    std::string line;
    for (const Word& word : words(paragraph)) {
      if (!line.empty() && display_width(line) + 1 + display_width(word.text) > width) {
        lines.push_back(line);
        line.clear();
      }
      if (!line.empty()) line += ' ';
      line += word.text;
    }
    lines.push_back(line);
  }
  return lines;
}

std::string number_text(double value) { return shortest_decimal(value); }

std::string counted(std::size_t count, std::string_view noun) {
  return std::to_string(count) + " " + std::string(noun) + (count == 1 ? "" : "s");
}

std::string byte_text(std::uintmax_t bytes) {
  struct SizeWord {
    unsigned shift;
    std::string_view name;
  };
  constexpr std::array<SizeWord, 3> k_words = {{{30, " GB"}, {20, " MB"}, {10, " kB"}}};
  for (const SizeWord& word : k_words) {
    const std::uintmax_t size = std::uintmax_t{1} << word.shift;
    if (bytes >= size && bytes % size == 0) return std::to_string(bytes / size) + std::string(word.name);
  }
  return counted(static_cast<std::size_t>(bytes), "byte");
}

std::string file_slug(std::string_view title, std::string_view fallback) {
  std::string out;
  for (const char c : lower(title)) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
    if (plain) {
      out += c;
    } else if (!out.empty() && out.back() != '-') {
      out += '-';
    }
    if (out.size() >= 48) break;
  }
  while (!out.empty() && out.back() == '-') out.pop_back();
  return out.empty() ? std::string(fallback) : out;
}

}  // namespace fretloom
