// The fretting hand: its rules as cases, the search against brute force, and how random phrases come out.

#include "hand/fingers.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <string>
#include <vector>

#include "hand/finger_reading.h"

namespace fretloom {
namespace {

Neck standard() { return {*parse_tuning("standard"), 24, Millimetres(648), 0}; }

Ground ground_of(const std::string& key, const LayoutRule& rule) {
  const Key on = *parse_key(key);
  return {on, standard(), *make_layout(on, standard(), rule)};
}

/// E dorian: 6: 12 14 15 | 5: 12 14 16 | 4: 12 14 16 | 3: 12 14 16 | 2: 14 15 17 | 1: 14 15 17.
const Ground& dorian() {
  static const Ground ground = ground_of("E dorian", LayoutRule{.from = 12});
  return ground;
}
/// C# minor pentatonic: 6: 9 12 | 5: 9 11 | 4: 9 11 | 3: 9 11 | 2: 9 12 | 1: 9 12.
const Ground& pentatonic() {
  static const Ground ground = ground_of("C# minor pentatonic", LayoutRule{.notes = 2, .from = 9});
  return ground;
}

LickNote at(int string, int fret, Attack attack = Attack::pick, int repeat = 1) {
  LickNote note;
  note.string = string;
  note.fret = fret;
  note.attack = attack;
  note.repeat = repeat;
  return note;
}

/// "6: 12 s14 15 | 5: 12", each mark "/" begins a repetition.
std::vector<LickNote> notes_of(const std::string& text) {
  std::vector<LickNote> notes;
  int string = 6;
  int repeat = 1;
  std::size_t at_text = 0;
  while (at_text < text.size()) {
    const std::size_t end = std::min(text.find(' ', at_text), text.size());
    std::string word = text.substr(at_text, end - at_text);
    at_text = end + 1;
    if (word == "|") continue;
    if (word == "/") {
      ++repeat;
    } else if (word.back() == ':') {
      string = std::stoi(word);
    } else {
      const Attack attack = word[0] == 's'   ? Attack::slide
                            : word[0] == 'h' ? Attack::hammer
                            : word[0] == 'p' ? Attack::pull
                                             : Attack::pick;
      if (attack != Attack::pick) word.erase(0, 1);
      notes.push_back(at(string, std::stoi(word), attack, repeat));
    }
  }
  return notes;
}

std::string text_of(const std::vector<int>& fingers) {
  std::string text;
  for (const int finger : fingers) text += std::to_string(finger);
  return text;
}

std::string fingers_of(const std::string& notes, const std::vector<PinnedFinger>& pins = {},
                       const Ground& ground = dorian()) {
  const auto found = assign_fingers({ground}, notes_of(notes), pins);
  return found.ok() ? text_of(found->fingers) : found.error().what;
}

std::optional<Phrase> expanded(const Ground& ground, const std::string& cell, Carry carry, Back back = Back::none,
                               std::optional<int> repeats = {}) {
  Lick lick;
  lick.rule = *parse_rule(RuleKind::cell, cell);
  lick.carry = carry;
  lick.back = back;
  lick.repeats = repeats;
  std::vector<Remark> remarks;
  return expand(ground, lick, remarks);
}

// --- The rules as cases ------------------------------------------------------------------------------

TEST(Fingers, EachRowOfTheTable) {
  // Common practice, no source.
  struct Row {
    int low;
    int high;
    const char* fingers;
  };
  for (const Row& row : {Row{1, 1, "123"},
                         {1, 2, "124"},
                         {2, 1, "134"},
                         {2, 2, "124"},
                         {1, 3, "124"},
                         {2, 3, "124"},
                         {3, 1, "134"},
                         {3, 2, "134"}}) {
    for (int fret = 1; fret <= 18; ++fret) {
      const int middle = fret + row.low;
      const int high = middle + row.high;
      SCOPED_TRACE(std::to_string(fret) + " " + std::to_string(middle) + " " + std::to_string(high));
      for (const Attack attack : {Attack::pick, Attack::hammer}) {
        const auto up = assign_fingers({dorian()}, {at(4, fret), at(4, middle, attack), at(4, high, attack)});
        EXPECT_EQ(text_of(up->fingers), row.fingers);
      }
      const auto down = assign_fingers({dorian()}, {at(2, 3), at(4, high), at(4, fret), at(4, middle), at(2, 9)});
      const std::string wanted = {row.fingers[2], row.fingers[0], row.fingers[1]};
      EXPECT_EQ(text_of(down->fingers).substr(1, 3), wanted);
    }
  }
}

TEST(Fingers, TwoNotesTakeTheirRowsFingers) {
  EXPECT_EQ(fingers_of("6: 12 14"), "13");  // of 12 14 15
  EXPECT_EQ(fingers_of("6: 14 15"), "34");
  EXPECT_EQ(fingers_of("6: 15 12"), "41");
  EXPECT_EQ(fingers_of("5: 12 14"), "12");  // of 12 14 16
  EXPECT_EQ(fingers_of("5: 16 14"), "42");
  EXPECT_EQ(fingers_of("1: 15 17"), "24");  // of 14 15 17
  EXPECT_EQ(fingers_of("6: 9 12", {}, pentatonic()), "14");
  EXPECT_EQ(fingers_of("5: 11 9", {}, pentatonic()), "31");
  EXPECT_EQ(fingers_of("6: 1 2", {}, ground_of("C hirajoshi", LayoutRule{.notes = 2, .from = 3})), "12");  // by cost
}

TEST(Fingers, TheRowIsTheRepetitionsOwn) {
  // One step up the third repetition's row on string 5 is 14 16 17, not 12 14 16.
  const CarriedLayout moved{dorian(), 3, 1};
  EXPECT_EQ(moved.row(5, 1), (std::vector<int>{12, 14, 16}));
  EXPECT_EQ(moved.row(5, 2), (std::vector<int>{14, 16, 17}));
  EXPECT_EQ(moved.row(5, 3), moved.row(5, 4));  // the return turns on the last layout
  EXPECT_EQ(moved.row(5, 1), moved.row(5, 6));
  const auto on = [&](int repeat) {
    return text_of(assign_fingers(moved, {at(5, 14, Attack::pick, repeat), at(5, 16, Attack::pick, repeat)})->fingers);
  };
  EXPECT_EQ(on(1), "24");
  EXPECT_EQ(on(2), "13");
}

TEST(Fingers, SlidesKeepTheirFinger) {
  EXPECT_EQ(fingers_of("6: 12 s14"), "11");
  EXPECT_EQ(fingers_of("6: 12 s14 15"), "334");  // the hand slides to where 14 and 15 lie
  EXPECT_EQ(fingers_of("6: 12 s14 15 12 14 15"), "334134");
  EXPECT_EQ(fingers_of("6: 5 s7 s9 s7 s5"), "11111");
  EXPECT_EQ(fingers_of("6: 0 s3 s0"), "010");
}

TEST(Fingers, HammerOnsAndPullOffsChangeFinger) {
  EXPECT_EQ(fingers_of("6: 12 h14 h15 p14 p12"), "13431");
  // A pin on one side moves the other, though the table gives it that finger.
  const std::string pinned = fingers_of("6: 12 h14 15", {{1, 1}});
  EXPECT_NE(pinned[0], '1');
  EXPECT_EQ(pinned.substr(1), "14");
  EXPECT_EQ(fingers_of("6: 12 h14 15", {{0, 2}, {1, 2}}), "224");  // two pins hold against the slur
}

TEST(Fingers, PinsWinAndLeaveTheRest) {
  EXPECT_EQ(fingers_of("6: 12 14 15", {{1, 2}}), "124");
  EXPECT_EQ(fingers_of("6: 12 14 15 14 12", {{1, 2}}), "12421");  // the fret keeps it in its visit
  EXPECT_EQ(fingers_of("6: 12 14 15 14 12", {{1, 2}, {3, 3}}), "12431");
  EXPECT_EQ(fingers_of("6: 12 s14", {{0, 1}}), "11");
  EXPECT_EQ(fingers_of("6: 12 s14", {{0, 1}, {1, 3}}), "13");  // two pins hold against the slide
}

TEST(Fingers, TheSameFretsOfAVisitKeepTheirs) {
  EXPECT_EQ(fingers_of("5: 12 16 14 16 | 4: 14 | 5: 12 14"),
            "1424"
            "2"
            "12");
  // Four frets go by cost, each by one finger.
  const std::string four = fingers_of("6: 12 14 15 17 15 14 12 15 17");
  EXPECT_EQ(four.substr(4, 5), std::string({four[2], four[1], four[0], four[2], four[3]}));
}

TEST(Fingers, AShapeCarriedAlongOneStringIsFingeredLayoutByLayout) {
  Lick lick;
  lick.rule = *parse_rule(RuleKind::cell, "1 2 3");
  lick.carry = {0, 1};
  lick.repeats = 5;
  std::vector<Remark> remarks;
  const Phrase phrase = *expand(dorian(), lick, remarks);
  EXPECT_EQ(to_text(phrase.notes), "6: 12 14 15 14 15 17 15 17 19 17 19 21 19 21 22");
  EXPECT_EQ(text_of(assign_fingers(carried_layout(dorian(), lick, phrase), phrase.notes)->fingers),
            "134"
            "124"
            "124"
            "124"
            "134");
}

TEST(Fingers, WhatMovesAlikeIsFingeredAlike) {
  // One note a string goes by cost; the outer strings tell how, and no repetition differs.
  const Ground ground = ground_of("A ionian", LayoutRule{.from = 5});
  const auto phrase = expanded(ground, "1 + 2 - 3 + 1", {0, 0}, Back::none, 4);
  ASSERT_TRUE(phrase.has_value());
  const auto found = assign_fingers({ground, 4, 0}, phrase->notes);
  const std::string all = text_of(found->fingers);
  for (std::size_t r = 1; r < 4; ++r) EXPECT_EQ(all.substr(4 * r, 4), all.substr(0, 4));
}

TEST(Fingers, OneFingerAFretNeedsNoShift) {
  const auto found = assign_fingers({dorian()}, notes_of("6: 5 6 7 8 | 5: 5 8"));
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->fingers, (std::vector<int>{1, 2, 3, 4, 1, 4}));
  EXPECT_EQ(found->shifts, 0);
  EXPECT_NEAR(found->reach.value, standard().span(5, 8).value, 1e-9);
}

TEST(Fingers, OpenStringsTakeNoneAndCountInNoShape) {
  const auto found = assign_fingers({dorian()}, notes_of("1: 0 3 | 2: 0"));
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->fingers.front(), 0);
  EXPECT_NE(found->fingers[1], 0);
  EXPECT_EQ(found->fingers.back(), 0);
  EXPECT_TRUE(assign_fingers({dorian()}, {}).ok());
  EXPECT_EQ(assign_fingers({dorian()}, {at(1, 0)})->cost, 0);
  EXPECT_EQ(fingers_of("6: 0 5 7 0 8"), "01304");
  // 6: 0 2 4 is no row of three, nor of two; 4: 1 2 4 is one.
  const Ground open = ground_of("E ionian", LayoutRule{});
  EXPECT_EQ(find_finger_rules({open}, {at(6, 2), at(6, 4)}, 2, {}).notes[1].shape, 0);
  EXPECT_EQ(find_finger_rules({open}, {at(4, 2), at(4, 4)}, 2, {}).notes[1].shape, 4);
}

TEST(Fingers, RollsAreNamed) {
  const auto found = assign_fingers({dorian()}, {at(3, 5), at(2, 5)}, {{0, 1}, {1, 1}});
  ASSERT_TRUE(found.ok());
  EXPECT_EQ(found->rolls, std::vector<std::size_t>{1});
}

TEST(Fingers, ContradictingPinsAreNamed) {
  const std::vector<LickNote> notes = {at(1, 0), at(1, 3)};
  struct Row {
    std::vector<PinnedFinger> pins;
    std::size_t at;
    const char* part;
  };
  const std::vector<Row> rows = {
      {{{1, 2}, {0, 2}}, 1, "open string"},
      {{{1, 0}}, 0, "fret 3 needs a finger"},
      {{{1, 5}}, 0, "1 to 4"},
      {{{1, -1}}, 0, "1 to 4"},
  };
  for (const Row& row : rows) {
    const auto found = assign_fingers({dorian()}, notes, row.pins);
    ASSERT_FALSE(found.ok()) << row.part;
    EXPECT_EQ(found.error().kind, ErrorKind::range);
    EXPECT_EQ(found.error().at, row.at);
    EXPECT_NE(found.error().what.find(row.part), std::string::npos) << found.error().what;
    std::vector<PinnedFinger> mended = row.pins;
    mended[row.at].finger = std::stoi(found.error().repair);
    EXPECT_TRUE(assign_fingers({dorian()}, notes, mended).ok());
  }
}

// --- Endings -----------------------------------------------------------------------------------------

std::string ending_fingers(const std::string& body, const std::string& tail,
                           const std::vector<PinnedFinger>& pins = {}) {
  EndingOption ending;
  ending.body = notes_of(body);
  ending.fill = notes_of(tail);
  ending.landing = ending.fill.back();
  ending.fill.pop_back();
  return text_of(finger_ending({dorian()}, ending, *assign_fingers({dorian()}, ending.body, pins)));
}

TEST(FingerEnding, GoesOnInTheBodysVisit) {
  EXPECT_EQ(ending_fingers("2: 14 | 1: 15 14", "1: 15 17 14"), "241");
  EXPECT_EQ(ending_fingers("2: 14 | 1: 15 14", "1: 15 17 14", {{1, 3}}), "341");  // the pin stays in the visit
  EXPECT_EQ(ending_fingers("6: 12 14", "6: 15"), "4");
  EXPECT_EQ(ending_fingers("6: 12", "6: 14 15 | 5: 12 16 14"), "34142");
}

TEST(FingerEnding, ALandingOutsideItsRowGoesByCost) {
  // 14 15 17 keep their shape, and the hand moves up for 19.
  EXPECT_EQ(ending_fingers("2: 14 | 1: 15 14", "1: 15 17 19").substr(0, 2), "24");
  // Outside any row the landing does not make 5: 12 14 the row 12 14 17.
  EXPECT_EQ(ending_fingers("6: 12 | 5: 12", "5: 14 17").substr(0, 1), "2");
}

TEST(FingerEnding, GoesOnFromAnOpenVisit) {
  EXPECT_EQ(ending_fingers("6: 3 | 5: 0", "5: 0 | 6: 3"), "0" + fingers_of("6: 3 | 5: 0 0 | 6: 3").substr(3));
  EXPECT_EQ(ending_fingers("6: 0", "6: 0"), "0");
}

// --- The search against brute force ------------------------------------------------------------------

/// Looks at every path of fingers 1 to 4 and hand positions for one that is less than `bound`: fewer
/// breaks of the stronger rules, or as many and fewer mm. Neither falls as a path goes on, so a path is
/// left as soon as its beginning is as much.
class BruteForce {
 public:
  BruteForce(const FingerCostModel& model, const std::vector<LickNote>& notes, const FingerReading& reading,
             Breaks breaks, double cost)
      : model_(model), notes_(notes), reading_(reading), least_breaks_(breaks), least_cost_(cost) {
    search_breaks();
    search_cost();
  }
  [[nodiscard]] Breaks least_breaks() const { return least_breaks_; }
  [[nodiscard]] double least_cost() const { return least_cost_; }

 private:
  /// Fingers alone.
  void search_breaks() {
    const Breaks breaks = reading_.breaks(fingers_);
    if (breaks >= least_breaks_) return;
    const std::size_t i = fingers_.size();
    if (i == notes_.size()) {
      least_breaks_ = breaks;
      least_cost_ = 1e9;
      return;
    }
    for (const int finger : fingers_of(i)) {
      fingers_.push_back(finger);
      search_breaks();
      fingers_.pop_back();
    }
  }

  void search_cost() {
    const double cost = model_.path(holds_);
    if (cost >= least_cost_ || reading_.breaks(fingers_) > least_breaks_) return;
    const std::size_t i = holds_.size();
    if (i == notes_.size()) {
      least_cost_ = cost;
      return;
    }
    for (const int finger : fingers_of(i)) {
      fingers_.push_back(finger);
      for (int position = notes_[i].fret - 5; position <= notes_[i].fret + 2; ++position) {
        holds_.push_back({finger, position});
        search_cost();
        holds_.pop_back();
        if (finger == 0) break;
      }
      fingers_.pop_back();
    }
  }

  [[nodiscard]] std::vector<int> fingers_of(std::size_t i) const {
    if (notes_[i].fret == 0) return {0};
    return reading_.pin(i) != 0 ? std::vector<int>{reading_.pin(i)} : std::vector<int>{1, 2, 3, 4};
  }

  const FingerCostModel& model_;
  const std::vector<LickNote>& notes_;
  const FingerReading& reading_;
  Breaks least_breaks_;
  double least_cost_;
  std::vector<int> fingers_;
  std::vector<Hold> holds_;
};

/// Any fret of any string near the last, open strings among them, slurs where they are possible.
std::vector<LickNote> wild_phrase(int length) {
  std::vector<LickNote> notes;
  int fret = *rc::gen::inRange(1, 18);
  int string = *rc::gen::inRange(1, 7);
  for (int i = 0; i < length; ++i) {
    const bool open = *rc::gen::inRange(0, 8) == 0;
    notes.push_back(at(string, open ? 0 : fret, Attack::pick, 1 + i / 3));
    fret = std::clamp(fret + *rc::gen::inRange(-4, 5), 1, 22);
    string = std::clamp(string + *rc::gen::inRange(-1, 2), 1, 6);
  }
  return notes;
}

/// A cell on the layout, carried on note by note; now and then a note is moved off its place.
std::vector<LickNote> carried_phrase(const CarriedLayout& layout, int length) {
  struct Token {
    int string = 0;
    int ordinal = 1;
  };
  std::vector<Token> cell(static_cast<std::size_t>(*rc::gen::inRange(1, 5)));
  for (std::size_t t = 1; t < cell.size(); ++t)
    cell[t].string = cell[t - 1].string + *rc::gen::weightedElement<int>({{3, 0}, {1, 1}, {1, -1}});
  for (Token& token : cell) token.ordinal = *rc::gen::weightedElement<int>({{3, 1}, {3, 2}, {3, 3}, {1, 4}});
  const int carry = *rc::gen::inRange(0, 2);
  const int start = *rc::gen::inRange(3, 7);
  const bool edited = *rc::gen::inRange(0, 4) == 0;
  std::vector<LickNote> notes;
  for (int i = 0; i < length; ++i) {
    const int r = i / static_cast<int>(cell.size());
    const Token& token = cell[static_cast<std::size_t>(i) % cell.size()];
    const int string = std::clamp(start - token.string - r * carry, 1, 6);
    LickNote note = place_note(layout.ground, string, token.ordinal, 0, layout.steps_in(r + 1));
    if (edited && *rc::gen::inRange(0, 6) == 0) note.fret += *rc::gen::inRange(-2, 3);
    note.fret = std::clamp(note.fret, 0, 22);
    note.repeat = r + 1;
    notes.push_back(note);
  }
  return notes;
}

void slur(std::vector<LickNote>& notes) {
  const int often = *rc::gen::element(0, 0, 3, 6);
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const bool can = notes[i].string == notes[i - 1].string && notes[i].fret != notes[i - 1].fret &&
                     notes[i].repeat == notes[i - 1].repeat;
    if (!can || *rc::gen::inRange(0, 10) >= often) continue;
    notes[i].attack = *rc::gen::inRange(0, 2) == 0        ? Attack::slide
                      : notes[i].fret > notes[i - 1].fret ? Attack::hammer
                                                          : Attack::pull;
  }
}

void expect_least(const CarriedLayout& layout, const std::vector<LickNote>& notes,
                  const std::vector<PinnedFinger>& pins) {
  const auto ours = assign_fingers(layout, notes, pins);
  RC_ASSERT(ours.ok());
  RC_ASSERT(std::isfinite(ours->cost));
  RC_ASSERT(ours->searches < k_finger_searches);
  const FingerCosts costs;
  const FingerCostModel model(layout.ground.neck, notes, costs);
  std::vector<Hold> holds;
  for (std::size_t i = 0; i < notes.size(); ++i) holds.push_back({ours->fingers[i], ours->positions[i]});
  RC_ASSERT(std::abs(ours->cost - model.path(holds)) < 1e-9);
  const FingerReading reading(layout, notes, pins);
  const Breaks breaks = reading.breaks(ours->fingers);
  RC_CLASSIFY(breaks[0] > 0, "a slur broken");
  RC_CLASSIFY(breaks[1] > 0, "a shape broken");
  RC_CLASSIFY(breaks[2] > 0, "a tie broken");
  RC_CLASSIFY(ours->searches > 1, "open ties");
  RC_CLASSIFY(notes.size() == 8, "eight notes");
  // A bound a little above ours: brute force must come down to our cost, and no lower.
  const BruteForce brute(model, notes, reading, breaks, ours->cost + 0.01);
  RC_ASSERT(brute.least_breaks() == breaks);
  RC_ASSERT(std::abs(brute.least_cost() - ours->cost) < 2e-3);
  for (std::size_t i = 0; i < notes.size(); ++i) RC_ASSERT((ours->fingers[i] == 0) == (notes[i].fret == 0));
  for (const PinnedFinger& pin : pins) RC_ASSERT(ours->fingers[pin.note] == pin.finger);
}

int random_length() { return *rc::gen::weightedElement<int>({{1, 1}, {2, 3}, {3, 5}, {3, 6}, {2, 7}, {2, 8}}); }

std::vector<PinnedFinger> random_pins(const std::vector<LickNote>& notes) {
  std::vector<PinnedFinger> pins;
  const int often = *rc::gen::element(0, 0, 1, 3);
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (*rc::gen::inRange(0, 9) < often) pins.push_back({i, notes[i].fret == 0 ? 0 : *rc::gen::inRange(1, 5)});
  }
  return pins;
}

RC_GTEST_PROP(Fingers, EqualBruteForceOnWildPhrases, ()) {
  Ground ground = dorian();
  ground.neck.capo = *rc::gen::element(0, 0, 2);
  std::vector<LickNote> notes = wild_phrase(random_length());
  slur(notes);
  expect_least({ground, 3, *rc::gen::inRange(0, 2)}, notes, random_pins(notes));
}

RC_GTEST_PROP(Fingers, EqualBruteForceOnCarriedPhrases, ()) {
  const Ground& ground = *rc::gen::inRange(0, 2) == 0 ? dorian() : pentatonic();
  const CarriedLayout layout{ground, 8, *rc::gen::inRange(0, 2)};
  std::vector<LickNote> notes = carried_phrase(layout, random_length());
  slur(notes);
  expect_least(layout, notes, random_pins(notes));
}

// --- Random phrases, as lessons have them ------------------------------------------------------------

struct RandomLick {
  Ground ground = dorian();
  Lick lick;
  Phrase phrase;
};

/// Default lessons with random cells on random keys and layouts; the same ones for the same seed.
class LickMaker {
 public:
  LickMaker(std::uint32_t seed, bool slurs) : random_(seed), slurs_(slurs) {}

  RandomLick make() {
    for (;;) {
      RandomLick made;
      const std::string scale = of({"ionian", "dorian", "phrygian dominant", "minor pentatonic", "harmonic minor"});
      LayoutRule rule;
      rule.kind = static_cast<LayoutKind>(pick(8) < 6 ? 0 : pick(2) + 1);
      rule.notes = scale == "minor pentatonic" ? 2 : 3;
      rule.from = pick(13);
      made.ground = ground_of(of({"C", "E", "F#", "Bb", "A", "C#"}) + " " + scale, rule);
      made.lick.rule = *parse_rule(RuleKind::cell, cell(rule.notes));
      if (pick(4) == 0) made.lick.carry = {pick(2), 1};
      made.lick.back = static_cast<Back>(pick(4) == 0 ? 1 + pick(2) : 0);
      std::vector<Remark> remarks;
      if (auto phrase = expand(made.ground, made.lick, remarks)) {
        made.phrase = *std::move(phrase);
        return made;
      }
    }
  }

 private:
  int pick(int n) { return static_cast<int>(random_() % static_cast<unsigned>(n)); }
  std::string of(std::initializer_list<const char*> words) {
    return words.begin()[pick(static_cast<int>(words.size()))];
  }

  std::string cell(int notes) {
    std::string text;
    int before = 0;  // ordinal on the same string, 0 after a move
    const int length = 2 + pick(7);
    for (int i = 0; i < length; ++i) {
      if (i > 0 && pick(4) == 0) {
        text += pick(5) == 0 ? "- " : "+ ";
        before = 0;
      }
      const int ordinal = 1 + pick(notes) + (pick(16) == 0 ? 1 : 0);
      if (slurs_ && before > 0 && ordinal != before && pick(3) == 0)
        text += pick(2) == 0 ? "s" : ordinal > before ? "h" : "p";
      text += std::to_string(ordinal) + (i + 1 < length ? " " : "");
      before = ordinal;
    }
    return text;
  }

  std::mt19937 random_;
  bool slurs_;
};

RC_GTEST_PROP(Fingers, SlursAndShapesHoldInRandomPhrases, (std::uint32_t seed)) {
  const RandomLick made = LickMaker(seed, true).make();
  const std::vector<LickNote>& notes = made.phrase.notes;
  const CarriedLayout layout = carried_layout(made.ground, made.lick, made.phrase);
  const auto found = assign_fingers(layout, notes);
  RC_ASSERT(found.ok());
  const std::vector<int>& fingers = found->fingers;
  RC_LOG(made.lick.rule.text + ": " + to_text(notes) + " -> " + text_of(fingers));
  const FingerReading reading(layout, notes, {});
  const auto is_slid = [&](std::size_t i) { return i < notes.size() && notes[i].attack == Attack::slide; };
  int slides = 0;
  int shaped = 0;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (notes[i].fret == 0) continue;
    if (notes[i].attack != Attack::pick && notes[i - 1].fret > 0)
      RC_ASSERT((fingers[i] == fingers[i - 1]) == is_slid(i));
    slides += is_slid(i) ? 1 : 0;
    if (is_slid(i) || is_slid(i + 1) || reading.shape(i) == 0) continue;
    ++shaped;
    RC_ASSERT(fingers[i] == reading.shape(i));
  }
  RC_CLASSIFY(slides > 0, "slides");
  RC_CLASSIFY(shaped > 0, "shapes");
}

/// One finger a fret as long as the visit stays on its layout.
void same_frets_keep(const CarriedLayout& layout, const std::vector<LickNote>& notes, const std::vector<int>& fingers) {
  for (std::size_t i = 0; i < notes.size(); ++i) {
    for (std::size_t k = i + 1; k < notes.size() && notes[k].string == notes[i].string &&
                                layout.steps_in(notes[k].repeat) == layout.steps_in(notes[i].repeat);
         ++k) {
      if (notes[k].fret != notes[i].fret) continue;
      EXPECT_EQ(fingers[i], fingers[k]) << to_text(notes) << " -> " << text_of(fingers);
    }
  }
}

TEST(Fingers, RandomPhrasesKeepVisitsAndWhatMovesAlike) {
  LickMaker maker(7, false);
  int phrases = 0;
  int free = 0;
  int alike = 0;
  int beyond = 0;
  for (int lesson = 0; lesson < 3000; ++lesson) {
    const RandomLick made = maker.make();
    const std::vector<LickNote>& notes = made.phrase.notes;
    const CarriedLayout layout = carried_layout(made.ground, made.lick, made.phrase);
    const auto found = assign_fingers(layout, notes);
    ASSERT_TRUE(found.ok());
    beyond += found->searches >= k_finger_searches ? 1 : 0;
    const FingerReading reading(layout, notes, {});
    const auto group = static_cast<std::size_t>(made.lick.rule.group());
    bool has_pair = false;
    bool keeps = true;
    for (std::size_t a = 0; a < notes.size(); a += group) {
      for (std::size_t b = a + group; b < notes.size(); b += group) {
        bool moves = true;
        for (std::size_t j = 0; j < group; ++j) {
          const LickNote& one = notes[a + j];
          const LickNote& other = notes[b + j];
          moves = moves && one.string - notes[a].string == other.string - notes[b].string &&
                  one.fret - notes[a].fret == other.fret - notes[b].fret && (one.fret == 0) == (other.fret == 0);
        }
        has_pair = has_pair || moves;
        for (std::size_t j = 0; moves && j < group; ++j) {
          keeps = keeps && found->fingers[a + j] == found->fingers[b + j];
        }
      }
    }
    // Only shapes that give what is tied different fingers may part it: they are the stronger rule.
    ASSERT_TRUE(keeps || reading.is_contradicted())
        << made.lick.rule.text << ": " << to_text(notes) << " -> " << text_of(found->fingers);
    phrases += has_pair ? 1 : 0;
    free += has_pair && !reading.is_contradicted() ? 1 : 0;
    alike += has_pair && keeps ? 1 : 0;
    same_frets_keep(layout, notes, found->fingers);
  }
  RecordProperty("phrases", phrases);
  RecordProperty("not_contradicted", free);
  RecordProperty("alike", alike);
  RecordProperty("beyond_the_search", beyond);
  EXPECT_GT(phrases, 2000);
  EXPECT_GT(free, 1500);
  EXPECT_GE(alike, free);
}

TEST(FingerEnding, RandomEndingsKeepTheRules) {
  LickMaker maker(8, false);
  int endings = 0;
  int shapes = 0;
  for (int lesson = 0; lesson < 300; ++lesson) {
    const RandomLick made = maker.make();
    const CarriedLayout layout = carried_layout(made.ground, made.lick, made.phrase);
    const auto body = assign_fingers(layout, made.phrase.notes);
    ASSERT_TRUE(body.ok());
    for (const EndingShape& shape : propose_endings(made.ground, made.lick, made.phrase, EndingRequest{})) {
      for (const LandingCandidate& landing : shape.landings) {
        EndingOption ending;
        ending.body = shape.body;
        ending.fill = shape.fill;
        ending.landing = landing.note;
        const std::vector<LickNote> notes = ending.notes();
        std::vector<int> fingers(body->fingers.begin(),
                                 body->fingers.begin() + static_cast<std::ptrdiff_t>(shape.body.size()));
        for (const int finger : finger_ending(layout, ending, *body)) fingers.push_back(finger);
        ASSERT_EQ(fingers.size(), notes.size());
        ++endings;
        same_frets_keep(layout, notes, fingers);
        // Past the body's last visit the notes alone tell; a landing outside its row is left out.
        std::size_t first = shape.body.size();
        while (first < notes.size() && notes[first].string == notes[shape.body.size() - 1].string) ++first;
        if (first == notes.size()) continue;
        const std::vector<int> row = layout.row(landing.note.string, landing.note.repeat);
        const bool stray = std::find(row.begin(), row.end(), landing.note.fret) == row.end();
        const std::vector<LickNote> tail(notes.begin() + static_cast<std::ptrdiff_t>(first),
                                         notes.end() - (stray ? 1 : 0));
        const FingerReading reading(layout, tail, {});
        for (std::size_t i = 0; i < tail.size(); ++i) {
          if (reading.shape(i) == 0) continue;
          ++shapes;
          EXPECT_EQ(fingers[first + i], reading.shape(i)) << to_text(notes) << " -> " << text_of(fingers);
        }
      }
    }
  }
  EXPECT_GT(endings, 3000);
  EXPECT_GT(shapes, 300);
}

}  // namespace
}  // namespace fretloom
