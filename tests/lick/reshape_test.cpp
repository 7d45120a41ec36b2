// What a hand can do to a rule: the text after each change, what is refused, and the laws that hold for all of them.

#include "lick/reshape.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <string>
#include <vector>

#include "lick/rule_place.h"

namespace fretloom {
namespace {

constexpr RuleKind k_cell = RuleKind::cell;
constexpr RuleKind k_sequence = RuleKind::sequence;

Neck standard() { return {*parse_tuning("standard"), 24, Millimetres(648), 0}; }

/// E dorian on a guitar, three notes a string from fret 12.
Ground worked_ground() {
  const Key key = *parse_key("E dorian");
  return {key, standard(), *make_layout(key, standard(), LayoutRule{.from = 12})};
}

Lick lick_of(RuleKind kind, const std::string& text, int start_string = 6) {
  Lick lick;
  lick.rule = *parse_rule(kind, text);
  lick.start_string = start_string;
  if (kind == k_sequence) lick.carry = {0, 1};
  return lick;
}

struct Good {
  RuleKind kind;
  const char* text;
  RuleChange change;
  const char* after;
  std::size_t token;
  int start_string = 6;  // after it
  int from_string = 6;
};

TEST(Reshape, WritesTheRuleThatTheHandMeans) {
  const std::vector<Good> rows = {
      {k_cell, "1 3 2 3 + 2 1", {2, MoveNote{1, 0, 0}}, "1 3 1 3 + 2 1", 2},
      {k_cell, "1 2 3", {1, MoveNote{2, 0, 1}}, "1 + 2 - 3", 1},
      {k_cell, "1 + 2 - 3", {1, MoveNote{2, 0, -1}}, "1 2 3", 1},
      {k_cell, "1 + 2 - 3", {1, MoveNote{3, 0, 1}}, "1 ++ 3 -- 3", 1},
      {k_cell, "1 3 2 3 + 2 1", {3, MoveNote{3, 0, 1}}, "1 3 2 + 3 2 1", 3},
      {k_cell, "1 3 2 3 + 2 1", {5, MoveNote{1, 0, -1}}, "1 3 2 3 + 2 - 1", 5},
      {k_cell, "1 2 3", {0, MoveNote{1, 0, 1}}, "1 - 2 3", 0, 5},  // the start goes along
      {k_cell, "1 - 2 3", {0, MoveNote{1, 0, -1}}, "1 2 3", 0, 5, 4},
      {k_cell, "r 1 2", {1, MoveNote{1, 0, 1}}, "r + 1 - 2", 1},
      {k_cell, "1 h2 3", {1, MoveNote{3, 0, 0}}, "1 h3 3", 1},
      {k_cell, "2 h3 2", {0, MoveNote{3, 0, 0}}, "3 3 2", 0},  // a slur on one fret is none
      {k_cell, "1 h2 3", {0, MoveNote{3, 0, 0}}, "3 p2 3", 0},
      {k_cell, "1 h2 3", {1, MoveNote{2, 0, 1}}, "1 + 2 - 3", 1},
      {k_cell, "1 s2 3", {0, MoveNote{3, 0, 0}}, "3 s2 3", 0},
      {k_cell, "1 2# 3", {1, MoveNote{2, 0, 0}}, "1 2 3", 1},
      {k_cell, "1 r 3", {1, MoveNote{2, 0, 0}}, "1 2 3", 1},
      {k_cell, "1 2 3", {0, MoveNote{4, 0, 0}}, "4 2 3", 0},  // on along the scale
      {k_cell, "1 2 3", {1, SetAccent{true}}, "1 2! 3", 1},
      {k_cell, "1 2! 3", {1, SetAccent{false}}, "1 2 3", 1},
      {k_cell, "1 2 3", {1, SetSlur{Slur::by_pitch}}, "1 h2 3", 1},
      {k_cell, "3 2 1", {1, SetSlur{Slur::by_pitch}}, "3 p2 1", 1},
      {k_cell, "3 2 1", {1, SetSlur{Slur::slide}}, "3 s2 1", 1},
      {k_cell, "3 p2 1", {1, SetSlur{Slur::none}}, "3 2 1", 1},
      {k_cell, "1 h2! 3", {1, SetRest{true}}, "1 r 3", 1},
      {k_cell, "1 2 h3", {1, SetRest{true}}, "1 r 3", 1},
      {k_cell, "1x2 + r 3", {1, SetRest{false}}, "1x2 + 3 3", 1},
      {k_cell, "1 2 3", {1, SetUnits{2}}, "1 2x2 3", 1},
      {k_cell, "1 2x2 3", {1, SetUnits{1}}, "1 2 3", 1},
      {k_cell, "1 3", {1, InsertNote{2, 0, 0}}, "1 2 3", 1},
      {k_cell, "1 3", {2, InsertNote{2, 0, 1}}, "1 3 + 2", 2},
      {k_cell, "1 3", {0, InsertNote{2, 0, 1}}, "2 - 1 3", 0, 5},
      {k_cell, "1 h3", {1, InsertNote{2, 0, 1}}, "1 + 2 - 3", 1},
      {k_cell, "1 h3", {1, InsertNote{4, 0, 0}}, "1 4 p3", 1},
      {k_cell, "1 3 + 2 1", {2, RemoveNote{}}, "1 3 + 1", 2},
      {k_cell, "1 3 + 2 1", {3, RemoveNote{}}, "1 3 + 2", 2},
      {k_cell, "1 + 2 3", {0, RemoveNote{}}, "2 3", 0, 5},
      {k_cell, "1 2 h3", {1, RemoveNote{}}, "1 h3", 1},
      {k_cell, "1 3 2 3 + 2 1", {0, SetRuleUnits{4}}, "1 3 2 3", 3},
      {k_cell, "1 3 + 2", {0, SetRuleUnits{5}}, "1 3 + 2 - 1 3", 4},
      {k_cell, "1 3 2 1", {0, SetRuleUnits{6, 3}}, "1 3 2 1 3 2", 5},
      {k_cell, "1 3x2 2", {0, SetRuleUnits{2}}, "1", 0},  // one and three units are as near; the shorter is taken
      {k_cell, "r r 1", {0, SetRuleUnits{1}}, "r r 1", 2},
      {k_sequence, "1 2 3 4", {1, MoveNote{0, 0, 0}}, "1 0 3 4", 1},
      {k_sequence, "1 2 3 4", {4, InsertNote{2, 0, 0}}, "1 2 3 4 2", 4},
      {k_sequence, "1 2 3", {1, SetSlur{Slur::by_pitch}}, "1 h2 3", 1},
      {k_sequence, "1 2 3", {0, SetRuleUnits{4}}, "1 2 3 1", 3},
  };
  for (const Good& row : rows) {
    Lick lick = lick_of(row.kind, row.text, row.from_string);
    if (row.kind == k_sequence) lick.start_ordinal = 2;
    const auto done = reshape(worked_ground(), lick, row.change);
    ASSERT_TRUE(done.ok()) << row.text << " to " << row.after << ": " << done.error().what;
    EXPECT_EQ(done->rule.text, row.after) << row.text;
    EXPECT_EQ(done->token, row.token) << row.text;
    EXPECT_EQ(done->start_string, row.start_string) << row.text;
  }
}

struct Bad {
  RuleKind kind;
  const char* text;
  RuleChange change;
  const char* part;  // of the message
  const char* repair;
};

TEST(Reshape, SaysWhyNotAndWhatIsNearest) {
  const std::vector<Bad> rows = {
      {k_cell, "1 2 3", {1, MoveNote{0, 0, 0}}, "counted from 1", "1 1 3"},
      {k_cell, "1 2 3", {1, MoveNote{99, 0, 0}}, "frets 0 to 24", "1 2 3"},  // nothing within reach
      {k_cell, "1 2 3", {1, MoveNote{9, 0, 0}}, "would be fret 26", "1 8 3"},
      {k_cell, "1 2 3", {1, MoveNote{2, 0, -1}}, "there is no string 7", "1 2 3"},
      {k_cell, "1 2 3", {1, MoveNote{2, 0, 7}}, "there is no string -1", "1 +++++ 2 ----- 3"},
      {k_cell, "1 r 3", {1, SetAccent{true}}, "a rest cannot be accented", "1 r 3"},
      {k_cell, "1 2 3", {0, SetSlur{}}, "the first of the rule", "1 2 3"},
      {k_cell, "1 r 3", {2, SetSlur{}}, "there is a rest", "1 r 3"},
      {k_cell, "1 + 3", {1, SetSlur{}}, "the note before lies on string 6", "1 + 3"},
      {k_cell, "1 3 3", {2, SetSlur{Slur::slide}}, "on the same one", "1 3 3"},
      {k_cell, "r 1", {1, SetRest{true}}, "at least one note", "r 1"},
      {k_cell, "r 1", {1, RemoveNote{}}, "at least one note", "r 1"},
      {k_cell, "1 2", {1, SetUnits{65}}, "1 to 64", "1 2x64"},
      {k_cell, "1 2", {0, SetRuleUnits{0}}, "at least one note", "1 2"},
      {k_cell, "1 2", {2, RemoveNote{}}, "no such note", "1 2"},
      {k_cell, "1 2", {3, InsertNote{}}, "no such place", "1 2"},
      {k_cell, "1 2", {1, InsertNote{1, 0, 6}}, "there is no string 0", "1 +++++ 1 ----- 2"},
      {k_sequence, "1 2 3", {1, MoveNote{2, 0, 1}}, "steps of the scale", "1 2 3"},
      {k_sequence, "1 2 3", {1, MoveNote{20, 0, 0}}, "no scale step 20", "1 18 3"},
  };
  for (const Bad& row : rows) {
    const auto done = reshape(worked_ground(), lick_of(row.kind, row.text), row.change);
    ASSERT_FALSE(done.ok()) << row.text << " gave " << done->rule.text;
    EXPECT_NE(done.error().what.find(row.part), std::string::npos) << row.text << ": " << done.error().what;
    EXPECT_EQ(done.error().repair, row.repair) << row.text << ": " << done.error().what;
  }
}

TEST(Reshape, RefusesWhatCannotBePlayedAsOftenAsItMust) {
  Lick lick = lick_of(k_cell, "1 3 2 3 + 2 1");
  lick.repeats = 5;
  const auto done = reshape(worked_ground(), lick, {4, MoveNote{2, 0, 1}});
  ASSERT_FALSE(done.ok());
  EXPECT_NE(done.error().what.find("the rule can be played 4 times"), std::string::npos) << done.error().what;
}

TEST(RulePlace, ReadsNotesOfTheReturnBackward) {
  Lick lick = lick_of(k_cell, "1 r 3 + 2");
  EXPECT_EQ(token_of(lick, 3, 2, 1), 2U);
  lick.back = Back::retrograde;
  EXPECT_EQ(token_of(lick, 3, 4, 0), 3U);
  EXPECT_EQ(token_of(lick, 3, 4, 2), 0U);
  lick.back = Back::mirrored;
  EXPECT_EQ(token_of(lick, 3, 4, 0), 0U);
}

// --- Laws ----------------------------------------------------------------------------------------

struct Idea {
  Ground ground;
  Lick lick;
};

std::string random_rule(RuleKind kind) {
  std::string text;
  int before = 0;
  const int length = *rc::gen::inRange(1, 7);
  for (int i = 0; i < length; ++i) {
    if (i > 0) text += ' ';
    if (i > 0 && kind == k_cell && *rc::gen::inRange(0, 3) == 0) {
      text += *rc::gen::element<std::string>("+ ", "- ");
      before = 0;
    }
    if (*rc::gen::inRange(0, 8) == 0 && (i + 1 < length || before > 0)) {
      text += "r";
      before = 0;
      if (i + 1 < length) continue;
    }
    if (text.size() > 1 && text.back() == 'r') continue;
    const int ordinal = *rc::gen::inRange(1, 5);
    if (before > 0 && ordinal != before && *rc::gen::inRange(0, 3) == 0) text += ordinal > before ? 'h' : 'p';
    text += std::to_string(ordinal);
    text += *rc::gen::weightedElement<std::string>({{8, ""}, {1, "#"}, {1, "b"}, {1, "!"}, {1, "x2"}});
    before = ordinal;
  }
  return text;
}

std::optional<Phrase> expanded(const Ground& ground, const Lick& lick) {
  std::vector<Remark> remarks;
  return expand(ground, lick, remarks);
}

/// An idea that can be expanded.
Idea random_idea() {
  return *rc::gen::suchThat(
      rc::gen::exec([] {
        const Key key = *parse_key(*rc::gen::element<std::string>("E dorian", "C ionian", "A minor pentatonic",
                                                                  "G minor blues", "F# altered"));
        const LayoutRule rule{.notes = *rc::gen::inRange(2, 4), .from = *rc::gen::inRange(0, 13)};
        Idea idea{{key, standard(), *make_layout(key, standard(), rule)}, {}};
        const RuleKind kind = *rc::gen::element(k_cell, k_cell, k_sequence);
        const auto read = parse_rule(kind, random_rule(kind));
        if (read) idea.lick.rule = *read;
        idea.lick.carry = kind == k_cell ? Carry{*rc::gen::element(1, 1, 0, -1), *rc::gen::element(0, 0, 1)}
                                         : Carry{0, *rc::gen::element(1, 2)};
        idea.lick.start_string = *rc::gen::inRange(2, 7);
        if (*rc::gen::inRange(0, 2) == 0) idea.lick.repeats = *rc::gen::inRange(1, 4);
        idea.lick.back = *rc::gen::element(Back::none, Back::retrograde, Back::mirrored);
        return idea;
      }),
      [](const Idea& idea) { return !idea.lick.rule.tokens.empty() && expanded(idea.ground, idea.lick).has_value(); });
}

RuleChange random_change(const Lick& lick) {
  const bool cell = lick.rule.kind == k_cell;
  const auto token = *rc::gen::inRange<std::size_t>(0, lick.rule.tokens.size());
  const int ordinal = *rc::gen::inRange(cell ? 1 : -2, 6);
  const int strings = cell ? *rc::gen::inRange(-2, 3) : 0;
  switch (*rc::gen::inRange(0, 8)) {
    case 0: return {token, MoveNote{ordinal, *rc::gen::element(0, 0, 1, -1), strings}};
    case 1: return {token, SetAccent{*rc::gen::arbitrary<bool>()}};
    case 2: return {token, SetSlur{*rc::gen::element(Slur::none, Slur::by_pitch, Slur::slide)}};
    case 3: return {token, SetRest{*rc::gen::arbitrary<bool>()}};
    case 4: return {token, SetUnits{*rc::gen::inRange(1, 5)}};
    case 5: return {token, RemoveNote{}};
    case 6: return {token, SetRuleUnits{*rc::gen::inRange(1, 14)}};
    default: return {*rc::gen::inRange<std::size_t>(0, lick.rule.tokens.size() + 1), InsertNote{ordinal, 0, strings}};
  }
}

Lick with(const Lick& lick, const Reshaped& done) {
  Lick after = lick;
  after.rule = done.rule;
  after.start_string = done.start_string;
  return after;
}

struct Seat {
  int string = 0;
  int fret = 0;
  friend bool operator==(const Seat&, const Seat&) = default;
};

/// Where every token of the first repetition lies; rests nowhere.
std::vector<Seat> seats(const Ground& ground, const Lick& lick) {
  const auto phrase = expanded(ground, lick);
  std::vector<Seat> all;
  std::size_t note = 0;
  for (const RuleToken& token : lick.rule.tokens) {
    all.push_back(token.rest ? Seat{} : Seat{phrase->notes[note].string, phrase->notes[note].fret});
    if (!token.rest) ++note;
  }
  return all;
}

/// Seats without what a change adds, takes or touches.
void drop_touched(const RuleChange& change, std::vector<Seat>& before, std::vector<Seat>& after) {
  const auto at = [&](std::vector<Seat>& seats) { return seats.begin() + static_cast<std::ptrdiff_t>(change.token); };
  if (std::holds_alternative<InsertNote>(change.what)) {
    after.erase(at(after));
  } else if (std::holds_alternative<RemoveNote>(change.what)) {
    before.erase(at(before));
  } else if (std::holds_alternative<SetRuleUnits>(change.what)) {
    const std::size_t shorter = std::min(before.size(), after.size());
    before.resize(shorter);
    after.resize(shorter);
  } else if (std::holds_alternative<MoveNote>(change.what) || std::holds_alternative<SetRest>(change.what)) {
    before.erase(at(before));
    after.erase(at(after));
  }
}

RC_GTEST_PROP(ReshapeLaws, EveryChangeThatIsMadeReadsBackAndLeavesTheOthersWhereTheyAre, ()) {
  const Idea idea = random_idea();
  const RuleChange change = random_change(idea.lick);
  const auto done = reshape(idea.ground, idea.lick, change);
  RC_CLASSIFY(done.ok(), "made");
  if (!done) {
    RC_ASSERT(!done.error().what.empty());
    Lick near = idea.lick;
    const auto rule = parse_rule(idea.lick.rule.kind, done.error().repair);
    RC_ASSERT(rule.ok());
    return;
  }
  const Lick after = with(idea.lick, *done);
  RC_ASSERT(expanded(idea.ground, after).has_value());
  RC_ASSERT(done->rule.text == spelled(done->rule.kind, done->rule.tokens));
  RC_ASSERT(done->token < done->rule.tokens.size());
  std::vector<Seat> was = seats(idea.ground, idea.lick);
  std::vector<Seat> is = seats(idea.ground, after);
  if (std::holds_alternative<SetRuleUnits>(change.what) && was.size() < is.size()) {
    for (std::size_t i = was.size(); i < is.size(); ++i) RC_ASSERT(is[i] == was[i % was.size()]);
  }
  drop_touched(change, was, is);
  RC_ASSERT(was == is);
}

/// The change that takes it back; nothing where what was lost is more than one change brings back.
std::optional<RuleChange> inverse(const Lick& lick, const RuleChange& change, const Reshaped& done) {
  if (done.lost_a_slur) return std::nullopt;
  const std::size_t token = change.token;
  if (std::holds_alternative<InsertNote>(change.what)) return RuleChange{token, RemoveNote{}};
  const RuleToken& was = lick.rule.tokens[token];
  if (const auto* move = std::get_if<MoveNote>(&change.what)) {
    // A rest's string is where it stands in the text alone, and nothing brings that back.
    if (was.rest) return move->thinner == 0 ? std::optional(RuleChange{token, SetRest{true}}) : std::nullopt;
    return RuleChange{token, MoveNote{was.ordinal, was.alter, -move->thinner}};
  }
  if (std::holds_alternative<SetAccent>(change.what)) return RuleChange{token, SetAccent{was.accent}};
  if (std::holds_alternative<SetUnits>(change.what)) return RuleChange{token, SetUnits{was.units}};
  if (std::holds_alternative<SetRest>(change.what)) {
    if (was.rest == done.rule.tokens[token].rest) return RuleChange{token, SetRest{was.rest}};
    if (was.rest) return RuleChange{token, SetRest{true}};
    if (was.attack != Attack::pick || was.accent) return std::nullopt;
    return RuleChange{token, MoveNote{was.ordinal, was.alter, 0}};
  }
  if (std::holds_alternative<SetSlur>(change.what)) {
    // A sequence may be typed with a slur that falls on two strings in every repetition; a hand makes none.
    if (lick.rule.kind == k_sequence && was.attack != Attack::pick) return std::nullopt;
    const Slur slur = was.attack == Attack::pick    ? Slur::none
                      : was.attack == Attack::slide ? Slur::slide
                                                    : Slur::by_pitch;
    return RuleChange{token, SetSlur{slur}};
  }
  if (std::holds_alternative<SetRuleUnits>(change.what)) {
    if (done.rule.tokens.size() < lick.rule.tokens.size()) return std::nullopt;
    return RuleChange{0, SetRuleUnits{lick.rule.units()}};
  }
  if (was.attack != Attack::pick || was.accent || was.rest || was.units > 1) return std::nullopt;
  if (token == 0) return std::nullopt;  // from which string it was is not the shorter rule's to know
  return RuleChange{token, InsertNote{was.ordinal, was.alter, was.offset}};
}

RC_GTEST_PROP(ReshapeLaws, TakingItBackGivesTheSameText, ()) {
  const Idea idea = random_idea();
  const RuleChange change = random_change(idea.lick);
  const auto done = reshape(idea.ground, idea.lick, change);
  if (!done) return;
  const auto back = inverse(idea.lick, change, *done);
  RC_CLASSIFY(back.has_value(), "taken back");
  if (!back) return;
  const auto undone = reshape(idea.ground, with(idea.lick, *done), *back);
  RC_LOG() << idea.lick.rule.text << " -> " << done->rule.text << (undone ? "" : ": " + undone.error().what);
  RC_ASSERT(undone.ok());
  RC_ASSERT(undone->rule.text == spelled(idea.lick.rule.kind, idea.lick.rule.tokens));
  RC_ASSERT(undone->start_string == idea.lick.start_string);
}

RC_GTEST_PROP(ReshapeLaws, ANoteOfAnyRepetitionIsWhereItsTokenWritesIt, ()) {
  const Idea idea = random_idea();
  const auto phrase = expanded(idea.ground, idea.lick);
  int number = 0;
  for (std::size_t i = 0; i < phrase->notes.size(); ++i) {
    const LickNote& note = phrase->notes[i];
    number = i > 0 && phrase->notes[i - 1].repeat == note.repeat ? number + 1 : 0;
    const RuleToken& token = idea.lick.rule.tokens[token_of(idea.lick, phrase->repeats, note.repeat, number)];
    const auto place = place_in_rule(idea.ground, idea.lick, *phrase, note.repeat, note.string, note.ordinal);
    RC_ASSERT(place.has_value());
    RC_ASSERT(*place == (RulePlace{token.ordinal, idea.lick.rule.kind == k_cell ? token.offset : 0}));
  }
}

}  // namespace
}  // namespace fretloom
