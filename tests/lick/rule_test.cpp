// What a rule may say, and what is offered where it says something else.

#include "lick/rule.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <string>
#include <vector>

namespace fretloom {
namespace {

constexpr RuleKind k_cell = RuleKind::cell;
constexpr RuleKind k_sequence = RuleKind::sequence;

std::string token_text(const RuleToken& token) {
  std::string text = token.rest ? "r" : std::to_string(token.ordinal);
  if (token.attack != Attack::pick) text.insert(0, name(token.attack).substr(0, 1));
  if (token.alter != 0) text += token.alter > 0 ? "#" : "b";
  if (token.accent) text += "!";
  if (token.units != 1) text += "x" + std::to_string(token.units);
  if (token.offset != 0) text += "@" + std::to_string(token.offset);
  return text;
}

struct Good {
  RuleKind kind;
  const char* text;
  const char* tokens;  // as token_text() writes them: @ = strings thinner than the first
  int group;
  int units;
};

TEST(Rule, ReadsTheNotation) {
  const std::vector<Good> rows = {
      {k_cell, "1", "1", 1, 1},
      {k_cell, "1 3 2 3 + 2 1", "1 3 2 3 2@1 1@1", 6, 6},
      {k_cell, "  1\t3  ", "1 3", 2, 2},
      {k_cell, "1 h2 p1 s3", "1 h2 p1 s3", 4, 4},
      {k_cell, "1# 2b 3!", "1# 2b 3!", 3, 3},
      {k_cell, "1\u266F 2\u266D", "1# 2b", 2, 2},
      {k_cell, "1 h2#!x3", "1 h2#!x3", 2, 4},
      {k_cell, "r 1x2 r rx3 2", "r 1x2 r rx3 2", 2, 8},
      {k_cell, "1 ++ 1 - 2 + + 1", "1 1@2 2@1 1@3", 4, 4},
      {k_cell, "1 --- 1", "1 1@-3", 2, 2},
      {k_cell, "1 + r 1", "1 r@1 1@1", 2, 3},
      {k_cell, "12", "12", 1, 1},
      {k_cell, "1x64", "1x64", 1, 64},
      {k_cell, "1x1", "1", 1, 1},
      {k_sequence, "1 2 3 4", "1 2 3 4", 4, 4},
      {k_sequence, "1 0 -1 h2", "1 0 -1 h2", 4, 4},
      {k_sequence, "1 p-2b", "1 p-2b", 2, 2},
  };
  for (const Good& row : rows) {
    const auto rule = parse_rule(row.kind, row.text);
    ASSERT_TRUE(rule.ok()) << row.text << ": " << rule.error().what;
    std::string tokens;
    for (const RuleToken& token : rule->tokens) tokens += (tokens.empty() ? "" : " ") + token_text(token);
    EXPECT_EQ(tokens, row.tokens) << row.text;
    EXPECT_EQ(rule->group(), row.group) << row.text;
    EXPECT_EQ(rule->units(), row.units) << row.text;
    EXPECT_EQ(rule->text, row.text);
  }
}

struct Bad {
  RuleKind kind;
  const char* text;
  std::size_t at;
  const char* part;  // of the message
  const char* repair;
};

TEST(Rule, RefusesWithPlaceReasonAndRepair) {
  const std::vector<Bad> rows = {
      {k_cell, "", 0, "empty", "1 2 3"},
      {k_cell, "   ", 0, "empty", "1 2 3"},
      {k_cell, "+ 1 2", 0, "begins with a string move", "1 2"},
      {k_cell, "1 2 +", 4, "ends with a string move", "1 2"},
      {k_cell, "1 + - 2", 4, "same way", "1 + 2"},
      {k_cell, "1 0 2", 2, "cannot be read", "1 1 2"},
      {k_cell, "1 -2", 2, "cannot be read", "1 2"},
      {k_cell, "1 H2", 2, "cannot be read", "1 h2"},
      {k_cell, "1+2", 0, "cannot be read", "1 + 2"},
      {k_cell, "1 2#x2!", 2, "cannot be read", "1 2#!x2"},
      {k_cell, "1 2x0", 2, "cannot be read", "1 2x1"},
      {k_cell, "1 2x65", 2, "up to 1x64", "1 2x64"},
      {k_cell, "1 2x", 2, "cannot be read", "1 2"},
      {k_cell, "1 ? 2", 2, "\"?\"", "1 1 2"},
      {k_cell, "h1 2", 0, "no note to slur from", "1 2"},
      {k_cell, "1 r h2", 4, "no note to slur from", "1 r 2"},
      {k_cell, "1 + h2", 4, "to another string", "1 + 2"},
      {k_cell, "r r", 0, "only rests", "1 2 3"},
      {k_cell, "1 9999x99999", 2, "cannot be read", "1 1"},
      {k_cell, "132321", 0, "cannot be read", "1 3 2 3 2 1"},
      {k_sequence, "1 + 2", 2, "cannot have string moves", "1 2"},
      {k_cell, "1,2,3", 0, "spaces between", "1 2 3"},
      {k_cell, "1-2-3", 0, "spaces between", "1 2 3"},
      {k_cell, "1 2 3 |", 6, "cannot be read", "1 2 3"},
      {k_cell, "(1 2), h2", 0, "cannot be read", "1 2 h2"},
      {k_cell, "a b c", 0, "cannot be read", "1 2 3"},
      {k_sequence, "1-2-3", 0, "cannot be read", "1 2 3"},
      {k_sequence, "1 --1", 2, "cannot be read", "1 1"},
  };
  for (const Bad& row : rows) {
    const auto rule = parse_rule(row.kind, row.text);
    ASSERT_FALSE(rule.ok()) << row.text;
    EXPECT_EQ(rule.error().at, row.at) << row.text;
    EXPECT_NE(rule.error().what.find(row.part), std::string::npos) << row.text << ": " << rule.error().what;
    EXPECT_EQ(rule.error().repair, row.repair) << row.text;
    EXPECT_TRUE(parse_rule(row.kind, rule.error().repair).ok()) << row.text << " -> " << rule.error().repair;
  }
}

TEST(Rule, HoldsAtMost256Tokens) {
  std::string text = "1";
  for (int i = 1; i < k_max_rule_tokens; ++i) text += " 2";
  EXPECT_TRUE(parse_rule(k_cell, text).ok());
  EXPECT_FALSE(parse_rule(k_cell, text + " 3").ok());
}

TEST(Rule, SeveralFaultsAreMendedTogether) {
  const auto rule = parse_rule(k_cell, "+ h1 ? + h2 -");
  ASSERT_FALSE(rule.ok());
  EXPECT_EQ(rule.error().at, 0U);
  EXPECT_EQ(rule.error().repair, "1 1 + 2");
}

TEST(Rule, SlursAreWrittenBeforeTheirTokens) {
  const auto rule = parse_rule(k_cell, "1  3 2 + 1");
  ASSERT_TRUE(rule.ok());
  EXPECT_EQ(with_slurs(*rule, {{1, Attack::hammer}, {2, Attack::pull}}), "1  h3 p2 + 1");
}

/// Words that look like rules, or nearly, and some that do not.
std::string garbage() {
  const auto word = rc::gen::container<std::string>(rc::gen::element('0', '1', '2', '3', '9', 'h', 'p', 's', 'H', 'r',
                                                                     '#', 'b', '!', 'x', '+', '-', '?', '\xe2', '\0'));
  std::string text;
  const int count = *rc::gen::inRange(0, 12);
  for (int i = 0; i < count; ++i) {
    text += *rc::gen::oneOf(rc::gen::element<std::string>("1", "2", "h3", "p1", "r", "+", "-", "++", "x2", "2x3", "-1"),
                            word);
    if (*rc::gen::inRange(0, 8) != 0) text += ' ';
  }
  return text;
}

RC_GTEST_PROP(Rule, EveryRepairParses, ()) {
  const std::string text = garbage();
  const RuleKind kind = *rc::gen::element(k_cell, k_sequence);
  const auto rule = parse_rule(kind, text);
  RC_CLASSIFY(rule.ok(), "legal");
  if (rule.ok()) return;
  RC_ASSERT(rule.error().at <= text.size());
  RC_ASSERT(!rule.error().what.empty());
  const std::string repair = rule.error().repair;
  RC_ASSERT(!repair.empty());
  RC_ASSERT(parse_rule(kind, repair).ok());
}

}  // namespace
}  // namespace fretloom
