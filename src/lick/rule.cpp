#include "lick/rule.h"

#include <algorithm>
#include <optional>

#include "base/text.h"

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
      if (rule_.tokens.size() > k_max_rule_tokens) return fail(i, "the rule has more than 256 notes and rests", "");
    }
    if (pending_move_ != 0)
      return fail(words_.size() - 1, "a cell ends with a note or rest, not with a string move",
                  without(words_.size() - 1));
    if (rule_.group() == 0) return fail(0, "the rule has no note, only rests", "1 2 3");
    return rule_;
  }

 private:
  std::optional<Error> take(std::size_t i) {
    const std::string_view word = words_[i].text;
    const std::string quoted = "\"" + std::string(word) + "\"";
    if (const auto move = read_move(word)) {
      if (rule_.kind == RuleKind::sequence)
        return fail(i, "a sequence has no string moves; its numbers are scale steps along the layout", without(i));
      if (rule_.tokens.empty()) return fail(i, "a cell starts with a note or rest, not with a string move", without(i));
      if ((pending_move_ > 0 && *move < 0) || (pending_move_ < 0 && *move > 0)) {
        return fail(i, "string moves in a row all go the same way", without(i));
      }
      pending_move_ += *move;
      return std::nullopt;
    }
    auto token = read_token(rule_.kind, word);
    if (!token) {
      return fail(i, quoted + " is no rule token; write [h p s] string note [# b] [!] [x1 to x64], r, + or -",
                  with(i, mend_word(rule_.kind, word)));
    }
    offset_ += pending_move_;
    if (token->attack != Attack::pick) {
      const bool has_note_before = !rule_.tokens.empty() && !rule_.tokens.back().rest;
      if (!has_note_before) {
        return fail(i, quoted + " slurs from no note: a slur needs the note directly before it on the same string",
                    with(i, std::string(word.substr(1))));
      }
      if (pending_move_ != 0) {
        return fail(i, quoted + " is a slur across strings: hammer-ons, pull-offs and slides stay on one string",
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
    const std::string rest = with(word, "");
    return trim(rest).empty() ? "1 2 3" : std::string(trim(rest));
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
  for (int round = 0; round < 2 * k_max_rule_tokens && !error.repair.empty(); ++round) {
    const auto mended = RuleReader(kind, error.repair).read();
    if (mended.ok()) return error;
    error.repair = mended.error().repair;
  }
  error.repair.clear();
  return error;
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
