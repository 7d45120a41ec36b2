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
  std::array<int, 3> widths;  ///< style by style
};
// The natural sign is not in Gentium; its row is that of the font which stands in.
constexpr Sign k_signs[] = {
    {"\u266f", {427, 427, 427}}, {"\u266d", {390, 390, 390}}, {"\u266e", {683, 683, 683}}, {"\u00b7", {146, 205, 200}},
    {"\u2013", {469, 483, 402}}, {"\u2014", {766, 803, 737}}, {"\u2010", {337, 358, 313}}, {"\u2011", {337, 355, 313}},
    {"\u2018", {229, 259, 200}}, {"\u2019", {229, 259, 200}}, {"\u201a", {229, 259, 227}}, {"\u201c", {436, 494, 407}},
    {"\u201d", {436, 495, 407}}, {"\u201e", {449, 498, 407}}, {"\u00ab", {485, 515, 431}}, {"\u00bb", {485, 515, 431}},
    {"\u2039", {305, 316, 271}}, {"\u203a", {305, 316, 271}}, {"\u00a0", {220, 220, 200}}, {"\u2002", {469, 469, 402}},
    {"\u2009", {146, 146, 146}}, {"\u2026", {669, 819, 601}}, {"\u2192", {964, 964, 964}}, {"\u2212", {410, 421, 376}},
    {"\u00d7", {410, 410, 376}}, {"\u00a1", {272, 309, 200}}, {"\u00bf", {433, 455, 397}}, {"\u00a7", {469, 500, 422}},
    {"\u00a9", {713, 730, 664}}, {"\u00b0", {358, 358, 307}}, {"\u20ac", {469, 506, 402}}, {"\u00bc", {586, 623, 542}},
    {"\u00bd", {586, 623, 542}}, {"\u00be", {586, 623, 542}}, {"\u00c6", {779, 808, 715}}, {"\u00e6", {692, 733, 647}},
    {"\u00d8", {600, 622, 545}}, {"\u00f8", {503, 525, 422}}, {"\u0152", {798, 843, 727}}, {"\u0153", {793, 806, 671}},
    {"\u00df", {565, 629, 488}}, {"\u00de", {523, 567, 471}}, {"\u00fe", {530, 559, 471}}, {"\u00f0", {498, 511, 432}},
    {"\u0131", {271, 300, 246}}, {"\u0142", {281, 317, 254}}, {"\u010f", {626, 699, 590}}, {"\u013e", {367, 430, 360}}};

// The letter under the accent of U+00C0 to U+017E, whose width the accent does not change; '.' where there is none,
// or where k_signs knows better.
constexpr std::string_view k_bases =
    "AAAAAA.CEEEEIIIIDNOOOOO..UUUUY..aaaaaa.ceeeeiiii.nooooo..uuuuy.y"
    "AaAaAaCcCcCcCcD.DdEeEeEeEeEeGgGgGgGgHhHhIiIiIiIiI...JjKk.LlLlL.L"
    ".L.NnNnNn...OoOoOo..RrRrRrSsSsSsSsTtTtTtUuUuUuUuUuUuWwYyYZzZzZz";

// Length in bytes of the code point that starts here; broken bytes count one.
std::size_t code_length(std::string_view text, std::size_t at) {
  const auto lead = static_cast<unsigned char>(text[at]);
  std::size_t length = lead < 0xC0 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
  if (at + length > text.size()) length = text.size() - at;
  return length;
}

int sign_width(std::string_view sign, TextStyle style) {
  for (const Sign& known : k_signs) {
    if (known.text == sign) return known.widths[static_cast<std::size_t>(style)];
  }
  const auto lead = static_cast<unsigned char>(sign[0]);
  if (lead == 0xCC || lead == 0xCD) return 0;       // accents that stand over the letter before, U+0300 to U+036F
  return lead >= 0xC0 && lead < 0xD0 ? 700 : 1000;  // Latin, Greek, Cyrillic; the rest is wide
}

/// The ASCII letter that a two-byte code point is with an accent, or 0.
unsigned char base_letter(std::string_view sign) {
  if (sign.size() != 2) return 0;
  const std::size_t code =
      (static_cast<unsigned char>(sign[0]) & 0x1FU) * 64U + (static_cast<unsigned char>(sign[1]) & 0x3FU);
  if (code < 0xC0 || code - 0xC0 >= k_bases.size() || k_bases[code - 0xC0] == '.') return 0;
  return static_cast<unsigned char>(k_bases[code - 0xC0]);
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
      const std::string_view sign = text.substr(at, length);
      const unsigned char base = base_letter(sign);
      units += base != 0 ? table[base - 32U] : sign_width(sign, style);
    }
    at += length;
  }
  return units * size / 1000.0;
}

namespace {

/// The last place in the first `end` bytes of a word after which it may be cut without harm (an address after its
/// slash), if that leaves no line half empty; else `end`.
std::size_t cut_place(std::string_view word, std::size_t end) {
  const std::size_t sign = word.substr(0, end).find_last_of("/-?&=_.,");
  return sign != std::string_view::npos && sign >= end / 2 ? sign + 1 : end;
}

// Cuts a word that is wider than a whole line; leaves its last part in `word`.
void cut_long_word(const TextMetrics& metrics, std::string_view& word, TextStyle style, double size, double width,
                   std::vector<std::string>& lines) {
  while (metrics.width(word, style, size) > width) {
    std::size_t end = code_length(word, 0);
    while (end < word.size() && metrics.width(word.substr(0, end + code_length(word, end)), style, size) <= width) {
      end += code_length(word, end);
    }
    if (end >= word.size()) return;
    end = cut_place(word, end);
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
