#pragma once
// A practice plan for some minutes a day: tempos that climb, short bursts, rests, ideas in turn.
//
// That ideas are mixed and spread over days, and that work is short with rests between, is common practice
// among teachers; no result is promised and none is computed.

#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "base/result.h"
#include "score/handout.h"

namespace fretloom {

constexpr int k_least_minutes = 5;
constexpr int k_most_minutes = 240;
constexpr int k_most_days = 60;

struct PlanRequest {
  int minutes_a_day = 20;    ///< 5 to 240
  Rational present_bpm{60};  ///< what the student plays cleanly now, k_slowest_bpm to k_fastest_bpm
  int days = 7;              ///< 1 to 60
  int most_step = 5;         ///< beats a minute that a tempo may rise from one day to the next, 1 to 100
};

/// rung: the day's tempo, with the click, again and again. burst: one time through at the goal tempo, then as long a
/// pause. mixed: the day's tempo, from memory. rest: hands off.
enum class PlanKind { rung, burst, mixed, rest };

[[nodiscard]] std::string_view name(PlanKind kind);

struct PlanBlock {
  PlanKind kind = PlanKind::rest;
  int minutes = 1;  ///< >= 1
  // Of work, not of a rest:
  std::size_t idea = 0;  ///< into Handout::ideas
  std::size_t feel = 0;  ///< into its feels
  Rational bpm;

  friend bool operator==(const PlanBlock&, const PlanBlock&) = default;
};

struct PlanDay {
  std::vector<PlanBlock> blocks;  ///< begins and ends with work; a rest between any two blocks of work
};

struct PracticePlan {
  PlanRequest request;
  std::vector<PlanDay> days;  ///< each as many minutes as asked for
  /// Warnings: present-above-goal (the plan holds that idea's goal), idea-not-reached (too few blocks for all ideas).
  /// Notes: goal-not-reached (the last day's tempo is below it, with the days that would do), present-below-ladder
  /// (the plan starts on the lowest rung). `where` is the idea's table, under its number in the lesson.
  std::vector<Finding> findings;
};

/// The plan. Laws:
/// - An idea's tempos are rungs of its ladder (score/ladder.h) from slow to goal, from goal alone where slow is above
/// it.
///   The first day's is the highest rung that is not above the present tempo, the lowest where all are. From day to day
///   they never fall, and they keep below a line that climbs evenly from present to goal by at most `most_step` a day,
///   so the last day has the goal where the steps suffice.
/// - More than 25 minutes are parted into sittings of at most 25 by rests of 5; within a sitting rests last
///   one minute, bursts one, and the others share what is left, differing by one at most.
/// - Every sitting starts with a rung, never with a burst.
/// - No idea comes twice running if there are two or more, over rests and nights too; kinds and feels go
///   round, so that each idea meets each.
/// Errors (range): minutes, present tempo, days or step out of range, with the nearest legal value as repair; a
/// handout without ideas; a tempo of an idea that is not legal.
[[nodiscard]] Result<PracticePlan> make_plan(const Handout& handout, const PlanRequest& request);

/// The rungs that the plan uses for an idea, ascending.
[[nodiscard]] std::vector<Rational> plan_rungs(const IdeaSheet& idea);
/// The rung of a day (from 0) by the first law. Preconditions: a request in range, rungs as plan_rungs gives them,
/// 0 <= day < days.
[[nodiscard]] Rational day_tempo(const PlanRequest& request, const std::vector<Rational>& rungs, int day);

/// A demo that the student has: of an idea (its number in the lesson), at so many notes a beat, at a tempo.
struct HeardTempo {
  int idea = 1;
  int notes_per_beat = 4;
  Rational bpm;

  friend bool operator==(const HeardTempo&, const HeardTempo&) = default;
};

/// For printing, no line wider than 80 columns: how to use it, each day with a box to tick for every block,
/// cautions with their sources. A rung says where a demo plays its tempo (`heard`); at the others a metronome must. The
/// handout must be the one that the plan was made for.
[[nodiscard]] std::string plan_text(const PracticePlan& plan, const Handout& handout,
                                    const std::vector<HeardTempo>& heard = {});

}  // namespace fretloom
