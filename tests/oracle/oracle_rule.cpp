// Part 3: reading cells and sequences.
#include <cctype>

#include "oracle/oracle.h"
#include "oracle/small.h"

namespace oracle {

// ---- 3. Rules --------------------------------------------------------------------------------------------

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }

// Reads a whole number without sign or leading zero at `at`; -1 when there is none.
// READING: a leading zero ("03") and numbers above 999 are refused; DESIGN gives no limit.
int number(const std::string& text, std::size_t& at) {
  const std::size_t begin = at;
  int value = 0;
  while (at < text.size() && digit(text[at]) && at - begin < 3) value = 10 * value + (text[at++] - '0');
  if (at == begin || (at < text.size() && digit(text[at]))) return -1;
  if (at - begin > 1 && text[begin] == '0') return -1;
  return value;
}

// "Tokens: `[attack]ordinal[alteration][!][xN]`. Attack `h` `p` `s`. Alteration `#` `b` a semitone. `!` accent. `x2`
// lasts two units. `r` rest."
// READING: `rx2` is a rest of two units ("`x2` lasts two units" of any token); a rest takes no attack, alteration or
// accent. `x1` is allowed, `x0` is not. One alteration only (`##` is not "a semitone").
std::string read_sounding(const std::string& typed, bool sequence, Token& out) {
  const std::string text = plain(typed);
  std::size_t at = 0;
  if (text[0] == 'r') {
    out.what = Token::What::rest;
    at = 1;
  } else {
    if (text[0] == 'h' || text[0] == 'p' || text[0] == 's') out.attack = text[at++];
    const bool negative = sequence && at < text.size() && text[at] == '-';
    if (negative) ++at;
    out.ordinal = number(text, at);
    if (out.ordinal < 0) return "no ordinal in " + typed;
    if (negative && out.ordinal == 0) return "-0 in " + typed;
    if (negative) out.ordinal = -out.ordinal;
    if (!sequence && out.ordinal < 1) return "an ordinal starts at 1";
    if (at < text.size() && text[at] == '#')
      out.alteration = 1, ++at;
    else if (at < text.size() && text[at] == 'b')
      out.alteration = -1, ++at;
    if (at < text.size() && text[at] == '!') out.accent = true, ++at;
  }
  if (at < text.size() && text[at] == 'x') {
    ++at;
    out.units = number(text, at);
    if (out.units < 1) return "no length after x in " + typed;
  }
  return at == text.size() ? "" : "cannot read " + typed;
}

// "`+` next thinner string, `-` next thicker, `++` skips one; any number of equal moves in a row."
// READING: `+ +` with a space is the same as `++`; tokens are set apart by white space, so `1+2` is no token.
std::string read_move(const std::string& text, Token& out) {
  out.what = Token::What::move;
  for (const char c : text) {
    if (c != text[0]) return "unequal moves in a row";
    out.move += c == '+' ? 1 : -1;
  }
  return "";
}

std::string check_neighbours(const std::vector<Token>& tokens) {
  // "A cell starts and ends with a note or rest, never a move."
  if (tokens.empty()) return "an empty rule";
  if (tokens.front().what == Token::What::move || tokens.back().what == Token::What::move) return "a move at an end";
  bool sounds = false;
  for (std::size_t i = 0; i < tokens.size(); ++i) {
    const Token& token = tokens[i];
    sounds = sounds || token.what == Token::What::note;
    if (i > 0 && token.move * tokens[i - 1].move < 0) return "unequal moves in a row";
    // "from the note directly before on the same string, ...; else an error. A rest breaks a slur and a cell never
    // starts with one."
    if (token.attack != 0 && (i == 0 || tokens[i - 1].what != Token::What::note)) return "a slur from no note";
  }
  // READING: DESIGN does not say that a rule must sound; a rule of rests only is refused here.
  return sounds ? "" : "a rule without a note";
}

Rule parse(const std::string& text, bool sequence) {
  Rule rule;
  std::size_t at = 0;
  while (rule.error.empty()) {
    while (at < text.size() && std::isspace(static_cast<unsigned char>(text[at]))) ++at;
    if (at == text.size()) break;
    std::size_t end = at;
    while (end < text.size() && !std::isspace(static_cast<unsigned char>(text[end]))) ++end;
    const std::string word = text.substr(at, end - at);
    Token token;
    token.text_at = at;
    const bool move = word.find_first_not_of("+-") == std::string::npos;
    if (move && sequence)
      rule.error = "a sequence has no moves";
    else
      rule.error = move ? read_move(word, token) : read_sounding(word, sequence, token);
    rule.tokens.push_back(token);
    at = end;
  }
  if (rule.error.empty()) rule.error = check_neighbours(rule.tokens);
  if (!rule.error.empty()) rule.tokens.clear();
  return rule;
}

}  // namespace

Rule parse_cell(const std::string& text) { return parse(text, false); }

// READING: a sequence's tokens follow the cell's notation without moves (slurs, alterations, accents, lengths, rests);
// or only bare numbers. Taken: the first, as "a slur whose two notes lie on different strings" is said of sequences.
Rule parse_sequence(const std::string& text) { return parse(text, true); }

}  // namespace oracle
