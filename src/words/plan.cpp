#include "words/plan.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <set>

#include "base/text.h"
#include "score/ladder.h"
#include "score/limits.h"
#include "words/english.h"

namespace fretloom {

namespace {

constexpr int k_sitting = 25;  // minutes; breaks every 20 to 30 minutes, common practice
constexpr int k_break = 5;
constexpr int k_most_step = 100;

constexpr std::array<std::string_view, 4> k_kind_names = {"ladder rung", "burst", "mixed", "rest"};
/// Kinds of work go round in one of these orders; each sitting starts with a rung, to warm up.
constexpr std::array<std::array<PlanKind, 3>, 2> k_rounds = {{
    {PlanKind::rung, PlanKind::burst, PlanKind::mixed},
    {PlanKind::rung, PlanKind::mixed, PlanKind::burst},
}};

Error out_of_range(std::string what, const Rational& given, int low, int high) {
  const bool below = given < Rational(low);
  return {ErrorKind::range, 0,
          std::move(what) + " must be " + std::to_string(low) + " to " + std::to_string(high) + ", not " +
              number_text(given.to_double()),
          std::to_string(below ? low : high)};
}

bool is_within(const Rational& value, int low, int high) { return Rational(low) <= value && value <= Rational(high); }

std::optional<Error> check(const Handout& handout, const PlanRequest& request) {
  if (!is_within(Rational(request.minutes_a_day), k_least_minutes, k_most_minutes)) {
    return out_of_range("the minutes a day", Rational(request.minutes_a_day), k_least_minutes, k_most_minutes);
  }
  if (!is_within(request.present_bpm, k_slowest_bpm, k_fastest_bpm)) {
    return out_of_range("the present tempo", request.present_bpm, k_slowest_bpm, k_fastest_bpm);
  }
  if (!is_within(Rational(request.days), 1, k_most_days)) {
    return out_of_range("the number of days", Rational(request.days), 1, k_most_days);
  }
  if (!is_within(Rational(request.most_step), 1, k_most_step)) {
    return out_of_range("the step from day to day", Rational(request.most_step), 1, k_most_step);
  }
  if (handout.ideas.empty()) return Error{ErrorKind::range, 0, "there is no idea to practise", ""};
  for (const IdeaSheet& idea : handout.ideas) {
    for (const Rational& bpm : {idea.slow_bpm, idea.goal_bpm}) {
      if (!is_within(bpm, k_slowest_bpm, k_fastest_bpm))
        return out_of_range("a tempo of an idea", bpm, k_slowest_bpm, k_fastest_bpm);
    }
  }
  return std::nullopt;
}

/// Minutes of each sitting of a day; breaks lie between them.
std::vector<int> sittings(int minutes) {
  const int count = std::max(1, (minutes + k_break + k_sitting + k_break - 1) / (k_sitting + k_break));
  const int work = minutes - k_break * (count - 1);
  std::vector<int> out;
  for (int i = 0; i < count; ++i) out.push_back(work / count + (i < work % count ? 1 : 0));
  return out;
}

/// Hands out ideas and feels in turn. Precondition: one idea or more.
class Turns {
 public:
  explicit Turns(std::size_t ideas) : blocks_(ideas, 0), last_(ideas - 1) {}  // so that the first one comes first

  /// Of the ideas but the last one: the one that met this kind of work least often, then the one that had
  /// the fewest blocks at all, then the next in the lesson's order.
  std::size_t next_idea(PlanKind kind) {
    const std::size_t n = blocks_.size();
    std::size_t best = (last_ + 1) % n;
    for (std::size_t i = 2; i < n; ++i) {
      const std::size_t other = (last_ + i) % n;
      if (load(other, kind) < load(best, kind)) best = other;
    }
    last_ = best;
    ++blocks_[best];
    ++met_[{best, kind}];
    return best;
  }

  std::size_t next_feel(std::size_t idea, PlanKind kind, std::size_t feels) { return feel_[{idea, kind}]++ % feels; }

 private:
  using Counts = std::map<std::pair<std::size_t, PlanKind>, std::size_t>;

  [[nodiscard]] std::pair<std::size_t, std::size_t> load(std::size_t i, PlanKind kind) {
    return {met_[{i, kind}], blocks_[i]};
  }

  std::vector<std::size_t> blocks_;  ///< one an idea
  std::size_t last_;
  Counts met_;
  Counts feel_;
};

class Planner {
 public:
  Planner(const Handout& handout, const PlanRequest& request)
      : handout_(handout), request_(request), turns_(handout.ideas.size()) {
    for (const IdeaSheet& idea : handout.ideas) rungs_.push_back(plan_rungs(idea));
  }

  PracticePlan plan() {
    PracticePlan out{request_, {}, {}};
    for (int day = 0; day < request_.days; ++day) out.days.push_back(plan_day(day));
    find_tempos(out);
    find_left_out(out);
    return out;
  }

 private:
  PlanDay plan_day(int day) {
    PlanDay out;
    for (const int minutes : sittings(request_.minutes_a_day)) {
      if (!out.blocks.empty()) out.blocks.push_back({PlanKind::rest, k_break, 0, 0, {}});
      add_sitting(out, minutes, day);
    }
    return out;
  }

  /// The orders come as 0 1 1 0: with two ideas, which just alternate, a fixed order or 0 1 0 1 would keep
  /// kinds from an idea (the test over many lengths of day holds this).
  std::vector<PlanKind> next_kinds(int works) {
    const std::size_t order = (sitting_ ^ (sitting_ >> 1U)) & 1U;
    ++sitting_;
    std::vector<PlanKind> kinds;
    for (int i = 0; i < works; ++i) kinds.push_back(k_rounds[order][static_cast<std::size_t>(i) % 3]);
    return kinds;
  }

  /// Precondition: minutes >= 5, so that three blocks and two rests fit.
  void add_sitting(PlanDay& out, int minutes, int day) {
    const int works = std::max(3, (minutes + 1) / 3);
    const std::vector<PlanKind> kinds = next_kinds(works);
    const auto bursts = static_cast<int>(std::count(kinds.begin(), kinds.end(), PlanKind::burst));
    const int others = works - bursts;
    const int left = minutes - (works - 1) - bursts;
    int other = 0;
    for (std::size_t i = 0; i < kinds.size(); ++i) {
      const PlanKind kind = kinds[i];
      if (i > 0) out.blocks.push_back({PlanKind::rest, 1, 0, 0, {}});
      const int length = kind == PlanKind::burst ? 1 : left / others + (other < left % others ? 1 : 0);
      other += kind == PlanKind::burst ? 0 : 1;
      out.blocks.push_back(work(kind, length, day));
    }
  }

  PlanBlock work(PlanKind kind, int minutes, int day) {
    const std::size_t idea = turns_.next_idea(kind);
    const std::size_t feel = turns_.next_feel(idea, kind, handout_.ideas[idea].feels.size());
    const bool at_goal = kind == PlanKind::burst;
    return {kind, minutes, idea, feel, at_goal ? rungs_[idea].back() : day_tempo(request_, rungs_[idea], day)};
  }

  void find_tempos(PracticePlan& out) const {
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) judge_tempo(out, {handout_.ideas[i].number, ""}, rungs_[i]);
  }

  void judge_tempo(PracticePlan& out, const KeyPath& where, const std::vector<Rational>& rungs) const {
    const Rational& present = request_.present_bpm;
    const Rational& goal = rungs.back();
    const Rational last = day_tempo(request_, rungs, request_.days - 1);
    const auto find = [&](Level level, std::string code, std::string message, std::string repair) {
      out.findings.push_back({level, std::move(code), where, {}, std::move(message), std::move(repair)});
    };
    if (present > goal) {
      find(Level::warning, "present-above-goal",
           "the present tempo " + tempo_text(present) + " is above the goal " + tempo_text(goal) +
               "; the plan stays at the goal",
           tempo_text(goal));
    }
    if (present < rungs.front()) {
      find(Level::note, "present-below-ladder",
           "the present tempo " + tempo_text(present) + " is below the slowest of the ladder; the plan starts at " +
               tempo_text(rungs.front()),
           "");
    }
    if (last < goal) {
      const std::int64_t days = ((goal - present) / Rational(request_.most_step)).ceil() + 1;
      find(Level::note, "goal-not-reached",
           "the plan ends at " + tempo_text(last) + " of " + tempo_text(goal) + " beats a minute; with at most " +
               std::to_string(request_.most_step) + " more a day, the goal takes " + std::to_string(days) + " days",
           "");
    }
  }

  void find_left_out(PracticePlan& out) const {
    std::set<std::size_t> met;
    for (const PlanDay& day : out.days) {
      for (const PlanBlock& block : day.blocks) {
        if (block.kind != PlanKind::rest) met.insert(block.idea);
      }
    }
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) {
      if (met.contains(i)) continue;
      out.findings.push_back({Level::warning,
                              "idea-not-reached",
                              {handout_.ideas[i].number, ""},
                              {},
                              "the plan has no time for this idea; give it more minutes or more days",
                              ""});
    }
  }

  const Handout& handout_;
  PlanRequest request_;
  Turns turns_;
  std::vector<std::vector<Rational>> rungs_;  ///< one ladder an idea
  std::size_t sitting_ = 0;
};

}  // namespace

std::string_view name(PlanKind kind) { return k_kind_names[static_cast<std::size_t>(kind)]; }

std::vector<Rational> plan_rungs(const IdeaSheet& idea) {
  return ladder(std::min(idea.slow_bpm, idea.goal_bpm), idea.goal_bpm);
}

Rational day_tempo(const PlanRequest& request, const std::vector<Rational>& rungs, int day) {
  const Rational way = rungs.back() - request.present_bpm;
  const int nights = request.days - 1;
  Rational line = request.present_bpm;
  if (nights > 0) line += std::min(way / Rational(nights), Rational(request.most_step)) * Rational(day);
  if (way < Rational(0)) line = rungs.back();
  const auto above = std::upper_bound(rungs.begin(), rungs.end(), line);
  return above == rungs.begin() ? rungs.front() : *(above - 1);
}

Result<PracticePlan> make_plan(const Handout& handout, const PlanRequest& request) {
  if (auto bad = check(handout, request)) return *std::move(bad);
  return Planner(handout, request).plan();
}

}  // namespace fretloom
