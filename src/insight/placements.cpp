#include "insight/placements.h"

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <limits>
#include <map>

#include "insight/search.h"

namespace fretloom {

namespace {

struct Spot {
  int string = 1;
  int fret = 0;
};

/// Every place of a pitch, thickest string first.
std::vector<Spot> spots_of(const Neck& neck, int midi) {
  std::vector<Spot> spots;
  for (int string = neck.strings(); string >= 1; --string) {
    const int fret = midi - neck.open_midi(string);
    if (neck.has_fret(fret)) spots.push_back({string, fret});
  }
  return spots;
}

using SpotCost = std::function<double(std::size_t note, const Spot&)>;
using MoveCost = std::function<double(const Spot& from, const Spot& to)>;

/// The cheapest way through the notes' places; nothing where a note has none. Of equals the thicker string.
std::optional<HeardPhrase> cheapest_way(const HeardPhrase& phrase, const SpotCost& at, const MoveCost& move,
                                        double& cost) {
  struct Node {
    Spot spot;
    double cost = 0;
    std::size_t from = 0;
  };
  std::vector<std::vector<Node>> columns;
  for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
    std::vector<Node> column;
    for (const Spot& spot : spots_of(phrase.neck, phrase.notes[i].midi)) {
      Node node{spot, i == 0 ? 0 : std::numeric_limits<double>::max(), 0};
      for (std::size_t k = 0; i > 0 && k < columns.back().size(); ++k) {
        const double way = columns.back()[k].cost + move(columns.back()[k].spot, spot);
        if (way < node.cost) {
          node.cost = way;
          node.from = k;
        }
      }
      node.cost += at(i, spot);
      column.push_back(node);
    }
    if (column.empty()) return std::nullopt;
    columns.push_back(std::move(column));
  }
  const auto last = std::min_element(columns.back().begin(), columns.back().end(),
                                     [](const Node& a, const Node& b) { return a.cost < b.cost; });
  cost = last->cost;
  HeardPhrase placed = phrase;
  placed.places = Places::found;
  std::size_t k = static_cast<std::size_t>(last - columns.back().begin());
  for (std::size_t i = columns.size(); i-- > 0;) {
    placed.notes[i].string = columns[i][k].spot.string;
    placed.notes[i].fret = columns[i][k].spot.fret;
    k = columns[i][k].from;
  }
  return placed;
}

/// Whether the layout is among those that are tried for pitches alone.
bool is_usual(const LayoutFamily& family) {
  const LayoutRule& rule = family.choices.front().rule;
  switch (rule.kind) {
    case LayoutKind::per_string: return rule.notes >= 2 && rule.notes <= 4;
    case LayoutKind::position: return true;
    case LayoutKind::octaves: return rule.octave_notes.first >= 2 && rule.octave_notes.first <= 4;
  }
  return false;
}

}  // namespace

std::optional<HeardPhrase> place_on(const HeardPhrase& phrase, const ScaleLine& line, const LayoutFamily& family,
                                    double& cost) {
  const PerString& counts = family.choices.front().counts;
  const auto at = [&](std::size_t i, const Spot& spot) {
    const std::size_t index = phrase.neck.index(spot.string);
    const int open = phrase.neck.open_midi(spot.string);
    const int low = line.midi(family.first[index]) - open;
    const int high = line.midi(family.first[index] + counts[index] - 1) - open;
    static_cast<void>(i);
    if (counts[index] == 0) return 100.0;
    if (spot.fret >= low && spot.fret <= high) return 0.0;
    return 1.0 + (spot.fret < low ? low - spot.fret : spot.fret - high);
  };
  const auto move = [](const Spot& from, const Spot& to) {
    return 0.01 * std::max(0, std::abs(from.string - to.string) - 1) + 0.001 * std::abs(from.fret - to.fret);
  };
  return cheapest_way(phrase, at, move, cost);
}

std::vector<HeardPhrase> place_by_hand(const HeardPhrase& phrase) {
  std::vector<HeardPhrase> ways;
  for (const Spot& first : spots_of(phrase.neck, phrase.notes.front().midi)) {
    const auto at = [&](std::size_t i, const Spot& spot) { return i == 0 && spot.string != first.string ? 1e6 : 0.0; };
    const auto move = [](const Spot& from, const Spot& to) {
      const int along = std::abs(from.fret - to.fret);
      const double stretch = along <= 4 ? 0.1 * along : along - 3.6;  // four frets lie under the hand
      return stretch + 0.5 * std::max(0, std::abs(from.string - to.string) - 1);
    };
    double cost = 0;
    if (auto way = cheapest_way(phrase, at, move, cost)) ways.push_back(*std::move(way));
  }
  return ways;
}

void search_pitches(const HeardPhrase& phrase, const Home* home, Shortlist& shortlist) {
  std::size_t least_outside = phrase.notes.size();
  const std::vector<ScaleChoice> scales = scale_choices();
  const auto outside = [&](const ScaleChoice& scale) {
    const ScaleLine line(scale.set);
    return static_cast<std::size_t>(std::count_if(phrase.notes.begin(), phrase.notes.end(),
                                                  [&](const HeardNote& note) { return !line.has(note.midi); }));
  };
  for (const ScaleChoice& scale : scales) least_outside = std::min(least_outside, outside(scale));
  std::map<std::vector<int>, std::vector<Cycle>> known;  // by the notes' strings
  std::size_t tried = 0;
  constexpr std::size_t k_most_scales = 10;
  for (const ScaleChoice& scale : scales) {
    if (outside(scale) > least_outside + phrase.notes.size() / 10 || tried++ >= k_most_scales) continue;
    const ScaleLine line(scale.set);
    std::vector<LayoutShape> shapes = layout_shapes(line, phrase.neck);
    if (home != nullptr) home->price(line, phrase.neck, shapes);
    price_height(shapes);
    for (LayoutShape& shape : shapes) {
      for (LayoutFamily& family : shape.families) {
        if (!is_usual(family)) continue;
        double cost = 0;
        const auto placed = place_on(phrase, line, family, cost);
        // More outside the layout than wrong and altered notes would be.
        if (!placed || cost > static_cast<double>(phrase.notes.size())) continue;
        std::vector<int> strings;
        for (const HeardNote& note : placed->notes) strings.push_back(note.string);
        const auto [row, is_new] = known.try_emplace(std::move(strings));
        if (is_new) row->second = find_cycles(*placed);
        ScaleSearch search(*placed, home == nullptr ? scale : home->priced(scale), {shape.above, {std::move(family)}});
        search.run_all(row->second, shortlist);
      }
    }
  }
  for (const HeardPhrase& placed : place_by_hand(phrase)) search_rules(placed, home, shortlist);
}

}  // namespace fretloom
