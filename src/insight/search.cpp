#include "insight/search.h"

#include <algorithm>
#include <memory>
#include <queue>

#include "insight/cell_search.h"
#include "insight/code_length.h"
#include "insight/least_bits.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

/// A scale with a cycle, to be tried on all layouts.
struct Job {
  double least = 0;  ///< bits that it costs at the least
  ScaleSearch* search = nullptr;
  const Cycle* cycle = nullptr;
  Tells tells = Tells::all;
  bool compared = false;  ///< `least` knows of the notes, else of the rhythm alone
  std::size_t number = 0;

  /// The first of a queue is its greatest: the shortest, and of equals the one that was found first.
  friend bool operator<(const Job& a, const Job& b) {
    return a.least != b.least ? a.least > b.least : a.number > b.number;
  }
};

}  // namespace

void ScaleSearch::run(const Cycle& cycle, Shortlist& shortlist) {
  if (shapes_.empty()) {
    shapes_ = layout_shapes(view_.line(), view_.neck());
    if (home_ != nullptr) home_->price(view_.line(), view_.neck(), shapes_);
    if (view_.places() == Places::found) price_height(shapes_);
  }
  if (cycle.kind == RuleKind::cell) {
    for (const LayoutShape& shape : shapes_) search_cells(view_, shape, cycle, shortlist);
  } else {
    if (!lines_) lines_ = sequence_lines(view_, shapes_);
    search_sequences(view_, *lines_, cycle, shortlist);
  }
}

void ScaleSearch::run_all(const std::vector<Cycle>& cycles, Shortlist& shortlist) {
  for (const Cycle& cycle : cycles) {
    if (least_bits_of_rhythm(view_, cycle) > shortlist.limit(Tells::all)) continue;
    const LeastBits least = least_bits(view_, cycle);
    if (least.bits <= shortlist.limit(least.tells)) run(cycle, shortlist);
  }
}

std::vector<Cycle> find_cycles(const HeardPhrase& phrase) {
  const std::vector<Turn> turns = find_turns(phrase.notes);
  std::vector<Cycle> cycles = cell_cycles(phrase.notes, turns);
  for (const Turn& turn : turns) {
    // One note, step by step, is the scale and no pattern of it.
    for (std::size_t size = 2; size <= std::min<std::size_t>(turn.out / 2, k_max_rule_tokens / 2); ++size) {
      if (turn.back == Back::none || turn.out % size == 0) cycles.push_back(sequence_cycle(phrase.notes, turn, size));
    }
  }
  return cycles;
}

void search_rules(const HeardPhrase& phrase, const Home* home, Shortlist& shortlist) {
  const std::vector<Cycle> cycles = find_cycles(phrase);
  std::vector<std::unique_ptr<ScaleSearch>> searches;
  std::vector<Job> jobs;
  for (const ScaleChoice& scale : scale_choices()) {
    auto search = std::make_unique<ScaleSearch>(phrase, home == nullptr ? scale : home->priced(scale), home);
    // Where nearly every note lies outside, it is another scale.
    if (search->view().count_outside() * 4 > phrase.notes.size() * 3) continue;
    for (const Cycle& cycle : cycles)
      jobs.push_back(
          {least_bits_of_rhythm(search->view(), cycle), search.get(), &cycle, Tells::all, false, jobs.size()});
    searches.push_back(std::move(search));
  }
  std::priority_queue queue(std::less<Job>(), std::move(jobs));
  while (!queue.empty()) {
    Job job = queue.top();
    queue.pop();
    if (job.least > shortlist.limit(Tells::all)) break;  // what does not tell all has a lower limit yet
    if (job.compared) {
      if (job.least > shortlist.limit(job.tells)) continue;
      job.search->run(*job.cycle, shortlist);
      continue;
    }
    const LeastBits least = least_bits(job.search->view(), *job.cycle);
    job.least = std::max(job.least, least.bits);
    job.tells = least.tells;
    job.compared = true;
    if (job.least <= shortlist.limit(job.tells)) queue.push(job);
  }
}

}  // namespace fretloom
