#include "words/plan.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <map>
#include <set>

#include "base/text.h"
#include "score/ladder.h"
#include "words/demo.h"

namespace fretloom {
namespace {

bool is_work(const PlanBlock& block) { return block.kind != PlanKind::rest; }

int minutes_of(const PlanDay& day) {
  int minutes = 0;
  for (const PlanBlock& block : day.blocks) minutes += block.minutes;
  return minutes;
}

std::vector<PlanBlock> all_work(const PracticePlan& plan) {
  std::vector<PlanBlock> out;
  for (const PlanDay& day : plan.days) {
    std::copy_if(day.blocks.begin(), day.blocks.end(), std::back_inserter(out), is_work);
  }
  return out;
}

std::size_t widest_line(const std::string& text) {
  std::size_t widest = 0;
  for (const std::string_view line : split(text, '\n')) widest = std::max(widest, display_width(line));
  return widest;
}

bool has(const std::vector<Finding>& findings, const std::string& code) {
  return std::any_of(findings.begin(), findings.end(), [&](const Finding& f) { return f.code == code; });
}

PlanRequest any_request() {
  PlanRequest request;
  request.minutes_a_day = *rc::gen::inRange(k_least_minutes, k_most_minutes + 1);
  request.present_bpm = Rational(*rc::gen::inRange(20, 301), *rc::gen::element(1, 2));
  request.days = *rc::gen::inRange(1, k_most_days + 1);
  request.most_step = *rc::gen::inRange(1, 101);
  return request;
}

TEST(Plan, EqualsTheGoldenFiles) {
  const PlanRequest sixes{.minutes_a_day = 20, .present_bpm = Rational(70), .days = 5};
  const Handout climbing = demo_handout("climbing-sixes");
  expect_golden("climbing-sixes.plan.txt", plan_text(make_plan(climbing, sixes).value(), climbing));
  const PlanRequest jig{.minutes_a_day = 32, .present_bpm = Rational(50), .days = 3};
  const Handout six_eight = demo_handout("jig-in-six-eight");
  expect_golden("jig-in-six-eight.plan.txt", plan_text(make_plan(six_eight, jig).value(), six_eight));
}

TEST(Plan, EveryMinuteCountAddsUp) {
  const Handout handout = small_handout(3, {4, 6});
  for (int minutes = k_least_minutes; minutes <= k_most_minutes; ++minutes) {
    const auto plan = make_plan(handout, {.minutes_a_day = minutes, .days = 2});
    ASSERT_TRUE(plan.ok());
    for (const PlanDay& day : plan->days) EXPECT_EQ(minutes_of(day), minutes);
  }
}

RC_GTEST_PROP(Plan, MinutesAddUpAndRestsPartTheWork, ()) {
  const PlanRequest request = any_request();
  const auto plan = make_plan(small_handout(*rc::gen::inRange<std::size_t>(1, 6)), request);
  RC_ASSERT(plan.ok());
  RC_ASSERT(plan->days.size() == static_cast<std::size_t>(request.days));
  for (const PlanDay& day : plan->days) {
    RC_ASSERT(minutes_of(day) == request.minutes_a_day);
    RC_ASSERT(day.blocks.size() % 2 == 1);
    int sitting = 0;
    for (std::size_t i = 0; i < day.blocks.size(); ++i) {
      const PlanBlock& block = day.blocks[i];
      RC_ASSERT(block.minutes >= 1);
      RC_ASSERT(is_work(block) == (i % 2 == 0));
      RC_ASSERT((block.kind != PlanKind::burst || block.minutes == 1));
      const bool is_break = !is_work(block) && block.minutes >= 5;
      RC_ASSERT((sitting > 0 || !is_work(block) || block.kind == PlanKind::rung));
      sitting = is_break ? 0 : sitting + block.minutes;
      RC_ASSERT(sitting <= 25);
    }
  }
}

RC_GTEST_PROP(Plan, TemposAreRungsThatClimbNoFasterThanAsked, ()) {
  const PlanRequest request = any_request();
  const Rational goal(*rc::gen::inRange(10, 301));
  const Handout handout = small_handout(2, {4}, goal);
  const auto plan = make_plan(handout, request);
  RC_ASSERT(plan.ok());
  const std::vector<Rational> rungs = plan_rungs(handout.ideas.front());
  RC_ASSERT(rungs == ladder(std::min(Rational(60), goal), goal));
  for (const PlanBlock& block : all_work(*plan)) {
    RC_ASSERT(std::find(rungs.begin(), rungs.end(), block.bpm) != rungs.end());
    RC_ASSERT((block.kind != PlanKind::burst || block.bpm == goal));
  }
  const Rational& present = request.present_bpm;
  RC_ASSERT(has(plan->findings, "present-above-goal") == (present > goal));
  RC_ASSERT(has(plan->findings, "present-below-ladder") == (present < rungs.front()));
  // The first day: the highest rung that is not above the present tempo.
  const Rational first = day_tempo(request, rungs, 0);
  RC_ASSERT((first <= present || first == rungs.front()));
  for (const Rational& rung : rungs) RC_ASSERT((rung <= first || rung > present));
  for (int day = 1; day < request.days; ++day) {
    const Rational tempo = day_tempo(request, rungs, day);
    RC_ASSERT(day_tempo(request, rungs, day - 1) <= tempo);
    RC_ASSERT((tempo <= present + Rational(request.most_step) * Rational(day) || tempo == rungs.front()));
  }
  // What the steps allow is reached on the last day.
  const Rational last = day_tempo(request, rungs, request.days - 1);
  const bool can = goal - present <= Rational((request.days - 1) * request.most_step);
  RC_ASSERT((!can || last == goal));
  RC_ASSERT(has(plan->findings, "goal-not-reached") == (last < goal));
}

RC_GTEST_PROP(Plan, NoIdeaComesTwiceRunning, ()) {
  const auto ideas = *rc::gen::inRange<std::size_t>(2, 9);
  const auto plan = make_plan(small_handout(ideas, {3, 4}), any_request());
  RC_ASSERT(plan.ok());
  const std::vector<PlanBlock> work = all_work(*plan);
  std::set<std::size_t> met;
  for (std::size_t i = 0; i < work.size(); ++i) {
    met.insert(work[i].idea);
    RC_ASSERT((i == 0 || work[i].idea != work[i - 1].idea));
  }
  RC_ASSERT(has(plan->findings, "idea-not-reached") == (met.size() < ideas));
  RC_ASSERT((work.size() < ideas || met.size() == ideas));
}

/// Each idea meets each kind and each feel about equally often in a long plan.
TEST(Plan, IdeasKindsAndFeelsGoRound) {
  for (std::size_t ideas = 1; ideas <= 7; ++ideas) {
    for (const int minutes : {5, 10, 11, 12, 15, 20, 25, 30, 45, 60}) {
      SCOPED_TRACE(std::to_string(ideas) + " ideas, " + std::to_string(minutes) + " minutes");
      const auto plan = make_plan(small_handout(ideas, {4, 6}), {.minutes_a_day = minutes, .days = 60});
      std::map<std::pair<std::size_t, PlanKind>, int> kinds;
      std::map<std::pair<std::size_t, std::size_t>, int> feels;
      for (const PlanBlock& block : all_work(*plan)) {
        ++kinds[{block.idea, block.kind}];
        ++feels[{block.idea, block.feel}];
      }
      EXPECT_EQ(kinds.size(), 3 * ideas);
      EXPECT_EQ(feels.size(), 2 * ideas);
      for (std::size_t i = 0; i < ideas; ++i) EXPECT_NEAR((feels[{i, 0}]), (feels[{i, 1}]), 3);
    }
  }
}

TEST(Plan, ClimbsTheLadderAndSaysHowLongTheGoalTakes) {
  const PlanRequest week{.minutes_a_day = 20, .present_bpm = Rational(60), .days = 7};
  const auto plan = make_plan(small_handout(1), week);
  ASSERT_EQ(plan->findings.size(), 1U);
  EXPECT_EQ(plan->findings[0].code, "goal-not-reached");
  EXPECT_EQ(plan->findings[0].where.text(), "idea[1]");
  EXPECT_NE(plan->findings[0].message.find("13 days"), std::string::npos);
  const std::vector<Rational> rungs = ladder(Rational(60), Rational(120));
  // At most 5 beats a minute a day: 60 65 70 75 80 85 90, so a rung of ten every second day.
  const std::vector<int> want = {60, 60, 70, 70, 80, 80, 90};
  for (int day = 0; day < 7; ++day)
    EXPECT_EQ(day_tempo(week, rungs, day), Rational(want[static_cast<std::size_t>(day)]));
  EXPECT_EQ(day_tempo({.present_bpm = Rational(60), .days = 13}, rungs, 12), Rational(120));
  EXPECT_EQ(day_tempo({.present_bpm = Rational(75), .days = 1}, rungs, 0), Rational(70));
  EXPECT_EQ(day_tempo({.present_bpm = Rational(239, 2), .days = 2}, rungs, 1), Rational(120));
  EXPECT_EQ(day_tempo({.present_bpm = Rational(40), .days = 2}, rungs, 0), Rational(60));
}

TEST(Plan, PresentAboveGoalHoldsTheGoal) {
  const auto plan = make_plan(small_handout(2), {.present_bpm = Rational(140), .days = 3});
  ASSERT_TRUE(plan.ok());
  ASSERT_EQ(plan->findings.size(), 2U);
  EXPECT_EQ(plan->findings[1].where.text(), "idea[2]");
  EXPECT_EQ(plan->findings[1].repair, "120");
  for (const PlanBlock& block : all_work(*plan)) EXPECT_EQ(block.bpm, Rational(120));
}

TEST(Plan, RefusesWhatIsOutOfRangeWithTheNearestRepair) {
  const Handout handout = small_handout(1);
  const auto repair = [&](const PlanRequest& request) {
    const auto plan = make_plan(handout, request);
    EXPECT_FALSE(plan.ok());
    return plan.ok() ? std::string("none") : plan.error().repair;
  };
  EXPECT_EQ(repair({.minutes_a_day = 4}), "5");
  EXPECT_EQ(repair({.minutes_a_day = -2147483647}), "5");
  EXPECT_EQ(repair({.minutes_a_day = 241}), "240");
  EXPECT_EQ(repair({.present_bpm = Rational(19, 2)}), "10");
  EXPECT_EQ(repair({.present_bpm = Rational(601)}), "600");
  EXPECT_EQ(repair({.days = 0}), "1");
  EXPECT_EQ(repair({.days = 61}), "60");
  EXPECT_EQ(repair({.most_step = 0}), "1");
  EXPECT_NE(make_plan(handout, {.minutes_a_day = 4}).error().what.find("5 to 240"), std::string::npos);
  EXPECT_FALSE(make_plan(Handout{}, {}).ok());
  EXPECT_FALSE(make_plan(small_handout(1, {4}, Rational(0)), {}).ok());
}

TEST(Plan, SaysWhichRungsASoundFilePlays) {
  const Handout handout = small_handout(1, {4});
  const auto plan = make_plan(handout, {.days = 1});
  const Rational bpm = plan->days[0].blocks[0].bpm;
  const std::string said = ", at " + number_text(bpm.to_double()) + ", with its";
  EXPECT_EQ(plan_text(*plan, handout).find(said), std::string::npos);
  EXPECT_NE(plan_text(*plan, handout, {{handout.ideas[0].number, 4, bpm}}).find(said), std::string::npos);
  for (const HeardTempo& other : {HeardTempo{9, 4, bpm}, HeardTempo{handout.ideas[0].number, 6, bpm},
                                  HeardTempo{handout.ideas[0].number, 4, bpm + Rational(1)}})
    EXPECT_EQ(plan_text(*plan, handout, {other}).find(said), std::string::npos);
}

TEST(Plan, PrintsWithinEightyColumnsWhateverTheTitles) {
  Handout handout = small_handout(2, {4});
  handout.prose.title = "Line\nbreak \"quoted\" </script> \xF0\x9F\x8E\xB8 / \xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D";
  handout.ideas[0].name = std::string(30, 'x') + " " + std::string(40, 'y') + "\r\n[ ] 99 min";
  handout.ideas[1].name = "";
  handout.ideas[1].rule.text = "1 2";
  const auto plan = make_plan(handout, {.days = 4});
  const std::string text = plan_text(*plan, handout);
  EXPECT_LE(widest_line(text), 80U);
  EXPECT_EQ(text.find("\n[ ] 99 min"), std::string::npos);
  EXPECT_EQ(text.find('\r'), std::string::npos);
  EXPECT_NE(text.find("1 2, 4 notes a beat, at 60"), std::string::npos);
  EXPECT_NE(text.find("NIOSH"), std::string::npos);
  EXPECT_NE(text.find("nobody has to reach them all"), std::string::npos) << text;
}

}  // namespace
}  // namespace fretloom
