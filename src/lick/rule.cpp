#include "lick/rule.h"

#include <algorithm>
#include <optional>

#include "base/text.h"
#include "theory/pitch.h"

namespace fretloom {

namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

std::optional<Attack> attack_of(char c) {
  switch (c) {
    case 'h': return Attack::hammer;
    case 'p': return Attack::pull;
    case 's': return Attack::slide;
    default: return std::nullopt;
  }
}

char attack_letter(Attack attack) { return attack == Attack::hammer ? 'h' : attack == Attack::pull ? 'p' : 's'; }

/// Takes "x2" from the front; nothing there leaves `units` at 1. False if the number is bad.
bool take_units(std::string_view& rest, int& units) {
  if (rest.empty() || rest.front() != 'x') return true;
  const auto number = parse_int(rest.substr(1));
  if (!number || !is_digit(rest[1]) || *number < 1 || *number > k_max_units) return false;
  units = *number;
  rest = {};
  return true;
}

/// Reads one note or rest, or nothing if the word is none.
std::optional<RuleToken> read_token(RuleKind kind, std::string_view word) {
  const std::string plain = plain_accidentals(word);
  std::string_view rest = plain;
  RuleToken token;
  if (rest.empty()) return std::nullopt;
  if (rest.front() == 'r') {
    token.rest = true;
    rest.remove_prefix(1);
    return take_units(rest, token.units) && rest.empty() ? std::optional(token) : std::nullopt;
  }
  if (const auto attack = attack_of(rest.front())) {
    token.attack = *attack;
    rest.remove_prefix(1);
  }
  std::size_t digits = kind == RuleKind::sequence && !rest.empty() && rest.front() == '-' ? 1 : 0;
  while (digits < rest.size() && is_digit(rest[digits])) ++digits;
  const auto ordinal = parse_int(rest.substr(0, digits));
  if (!ordinal || std::abs(*ordinal) > 999 || (kind == RuleKind::cell && *ordinal < 1)) return std::nullopt;
  token.ordinal = *ordinal;
  rest.remove_prefix(digits);
  if (!rest.empty() && (rest.front() == '#' || rest.front() == 'b')) {
    token.alter = rest.front() == '#' ? 1 : -1;
    rest.remove_prefix(1);
  }
  if (!rest.empty() && rest.front() == '!') {
    token.accent = true;
    rest.remove_prefix(1);
  }
  return take_units(rest, token.units) && rest.empty() ? std::optional(token) : std::nullopt;
}

/// A string move: only plus signs or only minus signs. Strings to the thinner side, or nothing.
std::optional<int> read_move(std::string_view word) {
  if (word.find_first_not_of(word.front()) != std::string_view::npos) return std::nullopt;
  const int count = static_cast<int>(word.size());
  if (word.front() == '+') return count;
  if (word.front() == '-') return -count;
  return std::nullopt;
}

/// The nearest legal spelling of a word, or empty: lower case, ordinal at least 1, parts in order.
std::string mend_word(RuleKind kind, std::string_view word) {
  std::string low = lower(plain_accidentals(word));
  if (read_token(kind, low)) return low;
  std::string mended;
  for (const char c : low) {  // "1+2" is three tokens
    if (c == '+' && kind == RuleKind::cell && !mended.empty() && mended.back() != '+') mended += ' ';
    if (c != '+' && !mended.empty() && mended.back() == '+') mended += ' ';
    mended += c;
  }
  const auto all_good = [&](const std::string& text) {
    const auto found = words(text);
    return !found.empty() && std::all_of(found.begin(), found.end(), [&](const Word& w) {
      return read_token(kind, w.text) || (kind == RuleKind::cell && read_move(w.text));
    });
  };
  if (all_good(mended)) return mended;
  // Keep what can be kept: attack, number, alteration, accent, units.
  std::string attack;
  std::string digits;
  std::string alter;
  std::string accent;
  std::string units;
  bool after_x = false;
  for (const char c : low) {
    if (attack_of(c) && attack.empty() && digits.empty()) attack = c;
    if (c == 'x') after_x = true;
    if (is_digit(c)) (after_x ? units : digits) += c;
    if ((c == '#' || c == 'b') && alter.empty()) alter = c;
    if (c == '!') accent = c;
  }
  if (digits.empty() || parse_int(digits).value_or(0) == 0) digits = "1";
  if (const auto u = parse_int(units); !units.empty())
    units = "x" + std::to_string(std::clamp(u.value_or(1), 1, k_max_units));
  const std::string last = attack + digits + alter + accent + units;
  return read_token(kind, last) ? last : "1";
}

constexpr const char* k_cell_parts =
    "write string notes (1, h2, 3#, 2!, 1x2 up to 1x64), rests (r) and string moves (+, -) with spaces between them";
constexpr const char* k_sequence_parts =
    "write scale steps (1, h2, 3#, 2!, 1x2 up to 1x64) and rests (r) with spaces between them";

/// "1,2,3", "(1 2 3)", "1-2-3" and "1 2 3 |" with spaces alone between the notes.
std::string with_spaces(std::string_view text) {
  std::string spaced(text);
  const auto digit_at = [&](std::size_t i) { return i < text.size() && is_digit(text[i]); };
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool mark = std::string_view(",;|/.:()[]").find(text[i]) != std::string_view::npos;
    const bool hyphen = text[i] == '-' && i > 0 && digit_at(i - 1) && digit_at(i + 1);
    if (mark || hyphen) spaced[i] = ' ';
  }
  std::vector<std::string> parts;
  for (const Word& word : words(spaced)) parts.emplace_back(word.text);
  return join(parts, " ");
}

/// "132321" as "1 3 2 3 2 1": no string has so many notes.
std::string with_single_digits(std::string_view text) {
  std::vector<std::string> parts;
  for (const Word& word : words(text)) {
    const bool long_number = word.text.size() > 3 && std::all_of(word.text.begin(), word.text.end(), is_digit);
    if (!long_number) parts.emplace_back(word.text);
    for (std::size_t i = 0; long_number && i < word.text.size(); ++i) parts.emplace_back(1, word.text[i]);
  }
  return join(parts, " ");
}

/// "a b c" as "1 2 3": letters alone, in the order of the alphabet.
std::string with_numbers(std::string_view text) {
  std::vector<std::string> parts;
  const std::string low = lower(text);
  for (const Word& word : words(low)) {
    if (word.text.size() != 1 || word.text.front() < 'a' || word.text.front() > 'g') return {};
    parts.push_back(std::to_string(word.text.front() - 'a' + 1));
  }
  return join(parts, " ");
}

class RuleReader {
 public:
  RuleReader(RuleKind kind, std::string_view text) : text_(text), words_(words(text)) {
    rule_.kind = kind;
    rule_.text = std::string(text);
  }

  Result<Rule> read() {
    if (words_.empty())
      return fail(0, "the rule is empty; write string notes in order, as in \"1 3 2 3 + 2 1\"", "1 2 3");
    for (std::size_t i = 0; i < words_.size(); ++i) {
      if (const auto error = take(i)) return *error;
      if (rule_.tokens.size() > k_max_rule_tokens)
        return fail(i, "the rule has more than " + std::to_string(k_max_rule_tokens) + " notes and rests", "");
    }
    if (pending_move_ != 0)
      return fail(words_.size() - 1, "a cell must end with a note or a rest, but this one ends with a string move",
                  without(words_.size() - 1));
    if (rule_.group() == 0) return fail(0, "the rule has only rests; write at least one string note", "1 2 3");
    return rule_;
  }

 private:
  std::optional<Error> take(std::size_t i) {
    const std::string_view word = words_[i].text;
    const std::string quoted = "\"" + std::string(word) + "\"";
    if (const auto move = read_move(word)) {
      if (rule_.kind == RuleKind::sequence)
        return fail(i, "a sequence cannot have string moves; its numbers are steps of the scale, wherever they lie",
                    without(i));
      if (rule_.tokens.empty())
        return fail(i, "a cell must begin with a note or a rest, but this one begins with a string move", without(i));
      if ((pending_move_ > 0 && *move < 0) || (pending_move_ < 0 && *move > 0)) {
        return fail(i, "string moves in a row must all go the same way", without(i));
      }
      pending_move_ += *move;
      return std::nullopt;
    }
    auto token = read_token(rule_.kind, word);
    if (!token) {
      return fail(i, quoted + " cannot be read; " + (rule_.kind == RuleKind::cell ? k_cell_parts : k_sequence_parts),
                  with(i, mend_word(rule_.kind, word)));
    }
    offset_ += pending_move_;
    if (token->attack != Attack::pick) {
      const bool has_note_before = !rule_.tokens.empty() && !rule_.tokens.back().rest;
      if (!has_note_before) {
        return fail(i, quoted + " has no note to slur from; a slur needs a note directly before it on the same string",
                    with(i, std::string(word.substr(1))));
      }
      if (pending_move_ != 0) {
        return fail(i, quoted + " is a slur to another string; hammer-ons, pull-offs and slides stay on one string",
                    with(i, std::string(word.substr(1))));
      }
    }
    pending_move_ = 0;
    token->offset = offset_;
    token->at = words_[i].at;
    rule_.tokens.push_back(*token);
    return std::nullopt;
  }

  [[nodiscard]] Error fail(std::size_t word, std::string what, std::string repair) const {
    return {ErrorKind::syntax, word < words_.size() ? words_[word].at : 0, std::move(what), std::move(repair)};
  }
  /// The rule's text with one word replaced.
  [[nodiscard]] std::string with(std::size_t word, const std::string& replacement) const {
    std::string mended(text_);
    mended.replace(words_[word].at, words_[word].text.size(), replacement);
    return mended;
  }
  [[nodiscard]] std::string without(std::size_t word) const {
    std::vector<std::string> rest;
    for (std::size_t i = 0; i < words_.size(); ++i)
      if (i != word) rest.emplace_back(words_[i].text);
    return rest.empty() ? "1 2 3" : join(rest, " ");
  }

  std::string_view text_;
  std::vector<Word> words_;
  Rule rule_;
  int offset_ = 0;
  int pending_move_ = 0;
};

}  // namespace

Result<Rule> parse_rule(RuleKind kind, std::string_view text) {
  auto rule = RuleReader(kind, text).read();
  if (rule.ok()) return rule;
  // A reader mends one word; mend on until the repair can be read, or offer none.
  Error error = rule.error();
  for (const std::string& whole : {with_spaces(text), with_numbers(text), with_single_digits(text)}) {
    if (whole == text || !RuleReader(kind, whole).read().ok()) continue;
    error.repair = whole;
    return error;
  }
  for (int round = 0; round < 2 * k_max_rule_tokens && !error.repair.empty(); ++round) {
    const auto mended = RuleReader(kind, error.repair).read();
    if (mended.ok()) return error;
    error.repair = mended.error().repair;
  }
  error.repair.clear();
  return error;
}

std::string spelled(RuleKind kind, const std::vector<RuleToken>& tokens) {
  std::string text;
  int offset = 0;
  for (const RuleToken& token : tokens) {
    if (!text.empty()) text += ' ';
    const int move = kind == RuleKind::cell ? token.offset - offset : 0;
    if (move != 0) text += std::string(static_cast<std::size_t>(std::abs(move)), move > 0 ? '+' : '-') + ' ';
    offset = token.offset;
    if (token.attack != Attack::pick) text += attack_letter(token.attack);
    text += token.rest ? "r" : std::to_string(token.ordinal) + accidentals(token.alter);
    if (token.accent) text += '!';
    if (token.units > 1) text += 'x' + std::to_string(token.units);
  }
  return text;
}

std::string with_slurs(const Rule& rule, const std::vector<std::pair<std::size_t, Attack>>& slurs) {
  std::string text = rule.text;
  std::vector<std::pair<std::size_t, char>> inserts;
  for (const auto& [token, attack] : slurs) inserts.emplace_back(rule.tokens[token].at, attack_letter(attack));
  std::sort(inserts.rbegin(), inserts.rend());
  for (const auto& [at, c] : inserts) text.insert(at, 1, c);
  return text;
}

}  // namespace fretloom
