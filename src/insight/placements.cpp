#include "insight/placements.h"

#include <algorithm>
#include <cstdint>
#include <cstdlib>
#include <limits>
#include <map>
#include <optional>
#include <span>

#include "insight/search.h"

namespace fretloom {

namespace {

struct Spot {
  int string = 1;
  int fret = 0;
  int hand = 0;  ///< the fret under the first finger, where hands are told apart
};

/// Every place of every note, thickest string first.
class Spots {
 public:
  enum class Hands { any, each };

  Spots(const HeardPhrase& phrase, Hands hands) {
    for (const HeardNote& note : phrase.notes) {
      for (int string = phrase.neck.strings(); string >= 1; --string) {
        const int fret = note.midi - phrase.neck.open_midi(string);
        if (!phrase.neck.has_fret(fret)) continue;
        if (hands == Hands::any) spots_.push_back({string, fret, 0});
        if (hands == Hands::each) add_hands(string, fret);
      }
      ends_.push_back(spots_.size());
    }
  }
  [[nodiscard]] std::span<const Spot> of(std::size_t note) const {
    return std::span(spots_).subspan(begin(note), ends_[note] - begin(note));
  }
  /// Number of the note's first place among all.
  [[nodiscard]] std::size_t begin(std::size_t note) const { return note == 0 ? 0 : ends_[note - 1]; }
  [[nodiscard]] std::size_t count() const { return spots_.size(); }

 private:
  /// Four frets lie under the hand, one more on either side in its reach; an open string is played from anywhere.
  void add_hands(int string, int fret) {
    constexpr int k_highest_for_open = 12;
    const int low = fret == 0 ? 1 : std::max(1, fret - 4);
    const int high = fret == 0 ? k_highest_for_open : fret + 1;
    for (int hand = low; hand <= high; ++hand) spots_.push_back({string, fret, hand});
  }

  std::vector<Spot> spots_;
  std::vector<std::size_t> ends_;
};

/// The cheapest way through the notes' places; nothing where a note has none. Of equals the thicker string.
/// `at(note, spot)` and `move(spot, spot)` are costs.
template <class SpotCost, class MoveCost>
std::optional<HeardPhrase> cheapest_way(const HeardPhrase& phrase, const Spots& spots, const SpotCost& at,
                                        const MoveCost& move, double& cost) {
  std::vector<double> costs(spots.count());
  std::vector<std::uint8_t> from(spots.count());  // among the places of the note before
  for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
    const std::span<const Spot> here = spots.of(i);
    if (here.empty()) return std::nullopt;
    for (std::size_t s = 0; s < here.size(); ++s) {
      const std::size_t node = spots.begin(i) + s;
      costs[node] = i == 0 ? 0 : std::numeric_limits<double>::max();
      const std::span<const Spot> before = i == 0 ? std::span<const Spot>() : spots.of(i - 1);
      for (std::size_t k = 0; k < before.size(); ++k) {
        const double way = costs[spots.begin(i - 1) + k] + move(before[k], here[s]);
        if (way >= costs[node]) continue;
        costs[node] = way;
        from[node] = static_cast<std::uint8_t>(k);
      }
      costs[node] += at(i, here[s]);
    }
  }
  const std::size_t last = phrase.notes.size() - 1;
  const auto first = costs.begin() + static_cast<std::ptrdiff_t>(spots.begin(last));
  auto k = static_cast<std::size_t>(std::min_element(first, costs.end()) - first);
  cost = first[static_cast<std::ptrdiff_t>(k)];
  HeardPhrase placed = phrase;
  placed.places = Places::found;
  for (std::size_t i = phrase.notes.size(); i-- > 0;) {
    placed.notes[i].string = spots.of(i)[k].string;
    placed.notes[i].fret = spots.of(i)[k].fret;
    k = from[spots.begin(i) + k];
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

/// The strings on which the pitches lie best in a layout: Viterbi over string and fret. A note in its string's row
/// costs nothing, one outside its distance in frets; a skipped string and a move along the neck cost a little.
/// Nothing where a pitch is nowhere on the neck. What counts is the family's cheapest choice.
std::optional<HeardPhrase> place_on(const HeardPhrase& phrase, const Spots& spots, const ScaleLine& line,
                                    const LayoutFamily& family, double& cost) {
  const PerString& counts = family.choices.front().counts;
  PerString lows{};
  PerString highs{};
  for (int string = 1; string <= phrase.neck.strings(); ++string) {
    const std::size_t index = phrase.neck.index(string);
    lows[index] = line.midi(family.first[index]) - phrase.neck.open_midi(string);
    highs[index] = line.midi(family.first[index] + counts[index] - 1) - phrase.neck.open_midi(string);
  }
  const auto at = [&](std::size_t, const Spot& spot) {
    const std::size_t index = phrase.neck.index(spot.string);
    const int low = lows[index];
    const int high = highs[index];
    if (counts[index] == 0) return 100.0;
    if (spot.fret >= low && spot.fret <= high) return 0.0;
    return 1.0 + (spot.fret < low ? low - spot.fret : spot.fret - high);
  };
  const auto move = [](const Spot& from, const Spot& to) {
    const int across = std::abs(from.string - to.string);
    return 0.002 * std::min(across, 1) + 0.01 * std::max(0, across - 1) + 0.001 * std::abs(from.fret - to.fret);
  };
  return cheapest_way(phrase, spots, at, move, cost);
}

/// Without a layout: where the hand would stay, as a guitarist plays (common practice, no source): it moves along the
/// neck seldom, stretches little, skips no string without need and lies rather low. Once for each place of the first
/// note.
std::vector<HeardPhrase> place_by_hand(const HeardPhrase& phrase) {
  const Spots spots(phrase, Spots::Hands::each);
  const auto move = [](const Spot& from, const Spot& to) {
    const int along = std::abs(from.hand - to.hand);
    const int across = std::abs(from.string - to.string);
    return (along == 0 ? 0 : 1 + 0.2 * along) + 0.05 * std::min(across, 1) + 0.5 * std::max(0, across - 1);
  };
  std::vector<HeardPhrase> ways;
  int string = 0;
  for (const Spot& first : spots.of(0)) {
    if (first.string == string) continue;
    string = first.string;
    const auto at = [&](std::size_t i, const Spot& spot) {
      const bool stretches = spot.fret != 0 && (spot.fret < spot.hand || spot.fret > spot.hand + 3);
      return (i == 0 && spot.string != string ? 1e6 : 0) + (stretches ? 0.2 : 0) + 0.01 * spot.hand;
    };
    double cost = 0;
    if (auto way = cheapest_way(phrase, spots, at, move, cost)) ways.push_back(*std::move(way));
  }
  return ways;
}

}  // namespace

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
  const Spots spots(phrase, Spots::Hands::any);
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
        const auto placed = place_on(phrase, spots, line, family, cost);
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
