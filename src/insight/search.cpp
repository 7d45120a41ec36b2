#include "insight/search.h"

#include <algorithm>
#include <cstdint>
#include <map>
#include <memory>
#include <numeric>
#include <queue>
#include <set>

#include "insight/cell_search.h"
#include "insight/code_length.h"
#include "insight/least_bits.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

/// A scale with a cycle, to be tried on all layouts. Many are made, few are tried: small ones are quick to sort.
struct Job {
  double least = 0;          ///< bits that it costs at the least
  std::uint32_t number = 0;  ///< scale by scale, the cycles of each
  Tells tells = Tells::all;
  bool compared = false;  ///< `least` knows of the notes, else of the rhythm alone

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
    if (alike_.empty()) alike_ = find_alike();
    std::vector<char> can_be(shapes_.size(), 1);
    for (std::size_t i = 0; i < shapes_.size(); ++i) {
      char& can = can_be[alike_[i]];
      if (can != 0 && !search_cells(view_, shapes_[i], cycle, shortlist)) can = 0;
    }
  } else {
    if (!lines_) lines_ = sequence_lines(view_, shapes_);
    search_sequences(view_, *lines_, cycle, shortlist);
  }
}

std::vector<std::size_t> ScaleSearch::find_alike() const {
  PerString used{};
  for (const ScaleSpot& spot : view_.spots()) used[spot.index] = 1;
  std::map<PerString, std::size_t> known;
  std::vector<std::size_t> alike;
  for (const LayoutShape& shape : shapes_) {
    PerString above{};
    const int lowest = shape.above[view_.spots().front().index];
    for (std::size_t i = 0; i < above.size(); ++i) above[i] = used[i] == 0 ? 0 : shape.above[i] - lowest;
    alike.push_back(known.try_emplace(above, alike.size()).first->second);
  }
  return alike;
}

void ScaleSearch::run_all(const std::vector<Cycle>& cycles, Shortlist& shortlist) {
  for (const Cycle& cycle : cycles) {
    if (least_bits_of_rhythm(view_, cycle) > shortlist.limit(Tells::all)) continue;
    const LeastBits least = least_bits(view_, cycle, shortlist.limit(Tells::not_all));
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

namespace {

using Searches = std::vector<std::unique_ptr<ScaleSearch>>;

/// Runs the most promising cycle of each kind and way back on the scales that have the most of the phrase's notes,
/// those of eight notes and more behind the others: the numbers of their jobs.
std::vector<std::size_t> probe(const Searches& searches, const std::vector<Cycle>& cycles, Shortlist& shortlist) {
  constexpr std::size_t k_scales = 3;
  std::vector<std::size_t> nearest(searches.size());
  std::iota(nearest.begin(), nearest.end(), std::size_t{0});
  const auto distance = [&](std::size_t scale) {
    const ScaleView& view = searches[scale]->view();
    return std::pair(view.line().size() > 7, view.count_outside());
  };
  std::stable_sort(nearest.begin(), nearest.end(),
                   [&](std::size_t a, std::size_t b) { return distance(a) < distance(b); });
  nearest.resize(std::min(nearest.size(), k_scales));
  std::vector<std::pair<double, std::size_t>> ranked;
  for (const std::size_t scale : nearest) {
    for (std::size_t c = 0; c < cycles.size(); ++c) {
      const LeastBits least = least_bits(searches[scale]->view(), cycles[c], shortlist.limit(Tells::not_all));
      if (least.bits <= shortlist.limit(least.tells))
        ranked.emplace_back(least.bits + rank_bits(least.tells), scale * cycles.size() + c);
    }
  }
  std::stable_sort(ranked.begin(), ranked.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  std::vector<std::size_t> run;
  std::set<std::pair<RuleKind, Back>> tried;
  for (const auto& [bits, job] : ranked) {
    const Cycle& cycle = cycles[job % cycles.size()];
    if (!tried.emplace(cycle.kind, cycle.turn.back).second) continue;
    searches[job / cycles.size()]->run(cycle, shortlist);
    run.push_back(job);
  }
  return run;
}

}  // namespace

void search_rules(const HeardPhrase& phrase, const Home* home, Shortlist& shortlist) {
  const std::vector<Cycle> cycles = find_cycles(phrase);
  Searches searches;
  std::vector<Job> jobs;
  for (const ScaleChoice& scale : scale_choices()) {
    auto search = std::make_unique<ScaleSearch>(phrase, home == nullptr ? scale : home->priced(scale), home);
    // Where nearly every note lies outside, it is another scale.
    if (search->view().count_outside() * 4 > phrase.notes.size() * 3) continue;
    for (const Cycle& cycle : cycles)
      jobs.push_back({least_bits_of_rhythm(search->view(), cycle), static_cast<std::uint32_t>(jobs.size())});
    searches.push_back(std::move(search));
  }
  // Most of what follows is left aside as soon as some good description is known.
  const std::vector<std::size_t> probed = probe(searches, cycles, shortlist);
  std::priority_queue queue(std::less<Job>(), std::move(jobs));
  while (!queue.empty()) {
    Job job = queue.top();
    queue.pop();
    if (job.least > shortlist.limit(Tells::all)) break;  // what does not tell all has a lower limit yet
    ScaleSearch& search = *searches[job.number / cycles.size()];
    const Cycle& cycle = cycles[job.number % cycles.size()];
    if (job.compared) {
      if (job.least <= shortlist.limit(job.tells)) search.run(cycle, shortlist);
      continue;
    }
    if (std::find(probed.begin(), probed.end(), job.number) != probed.end()) continue;
    const LeastBits least = least_bits(search.view(), cycle, shortlist.limit(Tells::not_all));
    job.least = std::max(job.least, least.bits);
    job.tells = least.tells;
    job.compared = true;
    if (job.least <= shortlist.limit(job.tells)) queue.push(job);
  }
}

}  // namespace fretloom
