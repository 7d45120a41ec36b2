#include "sheet/text_metrics.h"

#include "base/text.h"

namespace fretloom::sheet {

namespace {

constexpr std::array<int, 95> k_regular = {
    220, 272, 425, 469, 469, 690, 667, 250, 317, 317, 447, 410, 229, 337, 229, 469, 469, 469, 469,
    469, 469, 469, 469, 469, 469, 469, 229, 229, 439, 439, 439, 433, 807, 595, 550, 536, 593, 496,
    478, 583, 654, 298, 305, 578, 476, 806, 649, 600, 523, 600, 561, 476, 551, 654, 650, 850, 615,
    594, 523, 308, 469, 308, 492, 392, 319, 459, 508, 437, 520, 462, 311, 488, 552, 271, 259, 488,
    271, 803, 552, 503, 530, 515, 396, 386, 344, 530, 493, 706, 503, 493, 424, 336, 244, 336, 488};
constexpr std::array<int, 95> k_bold = {220, 309, 469, 506, 506, 728, 693, 272, 332, 332, 443, 421, 270, 355, 270, 476,
                                        506, 506, 506, 506, 506, 506, 506, 506, 506, 506, 270, 270, 454, 454, 454, 455,
                                        877, 628, 601, 558, 637, 525, 507, 602, 683, 327, 334, 619, 509, 847, 664, 622,
                                        567, 622, 605, 513, 580, 668, 665, 850, 630, 613, 545, 337, 469, 308, 492, 396,
                                        319, 500, 537, 456, 561, 484, 340, 517, 581, 300, 288, 548, 300, 844, 581, 525,
                                        559, 548, 444, 419, 370, 563, 508, 717, 521, 508, 463, 350, 244, 350, 488};
constexpr std::array<int, 95> k_italic = {
    200, 200, 386, 402, 402, 642, 581, 200, 295, 295, 354, 376, 200, 313, 200, 400, 402, 402, 402,
    402, 402, 402, 402, 402, 402, 402, 200, 200, 410, 410, 410, 397, 778, 560, 495, 486, 546, 462,
    435, 524, 603, 280, 282, 538, 448, 738, 605, 545, 471, 554, 526, 439, 521, 599, 593, 767, 572,
    559, 499, 300, 400, 300, 458, 363, 296, 450, 467, 388, 473, 393, 273, 445, 494, 246, 245, 439,
    235, 721, 494, 422, 471, 448, 355, 347, 307, 499, 446, 630, 440, 452, 379, 313, 256, 313, 480};

struct Sign {
  std::string_view text;
  int width;
};
// The widest of the three styles.
constexpr Sign k_signs[] = {{"\u266f", 427}, {"\u266d", 390}, {"\u266e", 683}, {"\u00b7", 204},
                            {"\u2013", 483}, {"\u2019", 259}, {"\u2018", 259}, {"\u00d7", 410},
                            {"\u2192", 964}, {"\u00a9", 730}, {"\u2026", 800}, {"\u2002", 500}};

// Length in bytes of the code point that starts here; broken bytes count one.
std::size_t code_length(std::string_view text, std::size_t at) {
  const auto lead = static_cast<unsigned char>(text[at]);
  std::size_t length = lead < 0xC0 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
  if (at + length > text.size()) length = text.size() - at;
  return length;
}

int sign_width(std::string_view sign) {
  for (const Sign& known : k_signs) {
    if (known.text == sign) return known.width;
  }
  const auto lead = static_cast<unsigned char>(sign[0]);
  return lead >= 0xC0 && lead < 0xD0 ? 700 : 1000;  // Latin with accents, Greek, Cyrillic; the rest is wide
}

bool is_degree_or_note(char c) { return (c >= 'A' && c <= 'G') || (c >= '0' && c <= '9') || c == '#'; }

}  // namespace

TextMetrics::TextMetrics() : ascii{k_regular, k_bold, k_italic} {}

double TextMetrics::width(std::string_view text, TextStyle style, double size) const {
  int units = 0;
  const auto& table = ascii[static_cast<std::size_t>(style)];
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t length = code_length(text, at);
    const auto c = static_cast<unsigned char>(text[at]);
    if (length == 1 && c >= 32 && c < 127) {
      units += table[c - 32U];
    } else if (length > 1) {
      units += sign_width(text.substr(at, length));
    }
    at += length;
  }
  return units * size / 1000.0;
}

namespace {

// Cuts a word that is wider than a whole line; leaves its last part in `word`.
void cut_long_word(const TextMetrics& metrics, std::string_view& word, TextStyle style, double size, double width,
                   std::vector<std::string>& lines) {
  while (metrics.width(word, style, size) > width) {
    std::size_t end = code_length(word, 0);
    while (end < word.size() && metrics.width(word.substr(0, end + code_length(word, end)), style, size) <= width) {
      end += code_length(word, end);
    }
    if (end >= word.size()) return;
    lines.emplace_back(word.substr(0, end));
    word.remove_prefix(end);
  }
}

}  // namespace

std::vector<std::string> break_lines(const TextMetrics& metrics, std::string_view text, TextStyle style, double size,
                                     double width) {
  std::vector<std::string> lines;
  for (const std::string_view paragraph : split(text, '\n')) {
    std::string line;
    for (const Word& word : words(paragraph)) {
      const std::string longer = line.empty() ? std::string(word.text) : line + " " + std::string(word.text);
      if (metrics.width(longer, style, size) <= width) {
        line = longer;
        continue;
      }
      if (!line.empty()) lines.push_back(line);
      std::string_view rest = word.text;
      cut_long_word(metrics, rest, style, size, width, lines);
      line = std::string(rest);
    }
    if (!line.empty()) lines.push_back(line);
  }
  return lines;
}

std::string shorten(const TextMetrics& metrics, const std::string& text, TextStyle style, double size, double width) {
  if (metrics.width(text, style, size) <= width) return text;
  std::string kept;
  for (std::size_t at = 0; at < text.size(); at += code_length(text, at)) {
    const std::string longer = text.substr(0, at + code_length(text, at));
    if (metrics.width(longer + "\u2026", style, size) > width) break;
    kept = longer;
  }
  return kept + "\u2026";
}

std::string with_signs(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    const bool before_number = i + 1 < text.size() && text[i + 1] >= '0' && text[i + 1] <= '9';
    const bool run_of_flats = i + 1 < text.size() && text[i + 1] == 'b';
    if (c == '#') {
      out += "\u266f";
    } else if (c == 'b' &&
               (before_number || run_of_flats || (i > 0 && (is_degree_or_note(text[i - 1]) || text[i - 1] == 'b')))) {
      out += "\u266d";
    } else {
      out += c;
    }
  }
  return out;
}

}  // namespace fretloom::sheet
