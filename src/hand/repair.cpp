#include "hand/repair.h"

#include <algorithm>
#include <array>
#include <bitset>
#include <cstdlib>
#include <limits>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::size_t k_max_ties = 256;
using Columns = std::bitset<k_max_rule_tokens + 1>;

/// Strokes that leave a change free, given what its first stroke on the new string can be.
struct Allowed {
  bool down = false;
  bool up = false;

  [[nodiscard]] bool has(Stroke s) const { return s == Stroke::down ? down : up; }
};

bool is_adjacent(const LickNote& a, const LickNote& b) { return std::abs(a.string - b.string) == 1; }
Stroke with_travel(const LickNote& a, const LickNote& b) { return b.string < a.string ? Stroke::down : Stroke::up; }

/// The rule's tokens that may take a slur, and which way.
struct Candidates {
  std::vector<std::optional<Attack>> attack;  ///< per token; nothing = not a candidate

  [[nodiscard]] bool any() const {
    return std::any_of(attack.begin(), attack.end(), [](const auto& a) { return a.has_value(); });
  }
};

/// True if note i could be slurred from the note before it.
bool can_slur(const std::vector<LickNote>& notes, std::size_t i) {
  return i > 0 && notes[i].slur_token && notes[i].attack == Attack::pick && notes[i].string == notes[i - 1].string &&
         notes[i].fret != notes[i - 1].fret;
}

/// True if note i could be slurred by itself: the rule's repetitions are no seam then.
bool can_slur_alone(const std::vector<LickNote>& notes, std::size_t i) {
  return i > 0 && notes[i].attack == Attack::pick && notes[i].string == notes[i - 1].string &&
         notes[i].fret != notes[i - 1].fret && notes[i].unit == notes[i - 1].unit + notes[i - 1].units;
}

Candidates find_candidates(const Rule& rule, const Phrase& phrase) {
  const std::vector<LickNote>& notes = phrase.notes;
  Candidates found;
  found.attack.resize(rule.tokens.size());
  std::vector<bool> barred(rule.tokens.size());
  for (std::size_t i = 1; i < notes.size(); ++i) {
    if (!notes[i].slur_token) continue;
    const std::size_t token = *notes[i].slur_token;
    if (rule.tokens[token].attack != Attack::pick) continue;
    if (!can_slur(notes, i)) {
      barred[token] = true;
      continue;
    }
    // The rule's sign is the way out's; there it must be the same in every repetition.
    if (notes[i].repeat > phrase.repeats) continue;
    const Attack attack = notes[i].fret > notes[i - 1].fret ? Attack::hammer : Attack::pull;
    if (found.attack[token].value_or(attack) != attack) barred[token] = true;
    found.attack[token] = attack;
  }
  for (std::size_t t = 0; t < barred.size(); ++t) {
    if (barred[t]) found.attack[t].reset();
  }
  return found;
}

/// What one first stroke needs: nothing if it cannot be repaired.
struct Solution {
  int slurs = 0;
  std::vector<std::vector<std::size_t>> choices;  ///< token sets, earliest first
};

class Solver {
 public:
  Solver(const std::vector<LickNote>& notes, Picking picking, Clear clear, const Candidates& candidates)
      : notes_(notes), picking_(picking), clear_(clear), candidates_(candidates) {}

  [[nodiscard]] std::optional<Solution> solve(Stroke first) const {
    return picking_ == Picking::grid ? solve_grid(first) : solve_linear(first);
  }

  /// Which last strokes leave the change before note i free.
  [[nodiscard]] Allowed allowed(std::size_t i, std::optional<Stroke> first_on_new) const {
    Allowed set{is_clear_after(clear_, Stroke::down), is_clear_after(clear_, Stroke::up)};
    if (is_adjacent(notes_[i - 1], notes_[i])) {
      const Stroke travel = with_travel(notes_[i - 1], notes_[i]);
      if (first_on_new == travel) (travel == Stroke::down ? set.down : set.up) = true;
    }
    return set;
  }

 private:
  // --- alternate and economy -----------------------------------------------------------------------

  [[nodiscard]] std::optional<Solution> solve_linear(Stroke first) const {
    std::vector<Columns> rows;
    if (!build_rows(first, rows)) return std::nullopt;
    if (!eliminate(rows)) return std::nullopt;
    return lightest(rows);
  }

  /// One row a constrained change; bit k_max_rule_tokens is the right-hand side. False if a change
  /// can never be free.
  bool build_rows(Stroke first, std::vector<Columns>& rows) const {
    // The last stroke as a sum: bit set = token's slur flips it; the constant bit = upstroke.
    Columns last;
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      const bool new_string = i > 0 && notes_[i].string != notes_[i - 1].string;
      const bool anchored = picking_ == Picking::economy && new_string && is_adjacent(notes_[i - 1], notes_[i]);
      if (new_string) {
        const Allowed set = allowed(i, anchored ? std::optional(with_travel(notes_[i - 1], notes_[i])) : std::nullopt);
        if (!set.down && !set.up) return false;
        if (set.down != set.up) {
          Columns row = last;
          if (set.up) row.flip(k_constant);  // sum must equal "up"
          rows.push_back(row);
        }
      }
      if (anchored) {
        last.reset();
        last[k_constant] = with_travel(notes_[i - 1], notes_[i]) == Stroke::up;
      } else if (i == 0) {
        last[k_constant] = first == Stroke::up;
      } else if (notes_[i].attack == Attack::pick) {
        last.flip(k_constant);
        if (const auto token = candidate(i)) last.flip(*token);
      }
    }
    return true;
  }

  /// The token whose slur would fall on note i.
  [[nodiscard]] std::optional<std::size_t> candidate(std::size_t i) const {
    if (!can_slur(notes_, i) || !candidates_.attack[*notes_[i].slur_token]) return std::nullopt;
    return notes_[i].slur_token;
  }

  /// Reduced row echelon form; false if the system contradicts itself.
  static bool eliminate(std::vector<Columns>& rows) {
    std::size_t rank = 0;
    for (std::size_t c = 0; c < k_constant && rank < rows.size(); ++c) {
      const auto pivot = std::find_if(rows.begin() + static_cast<std::ptrdiff_t>(rank), rows.end(),
                                      [&](const Columns& r) { return r[c]; });
      if (pivot == rows.end()) continue;
      std::swap(rows[rank], *pivot);
      for (std::size_t r = 0; r < rows.size(); ++r) {
        if (r != rank && rows[r][c]) rows[r] ^= rows[rank];
      }
      ++rank;
    }
    for (std::size_t r = rank; r < rows.size(); ++r) {
      if (rows[r][k_constant]) return false;
    }
    rows.resize(rank);
    return true;
  }

  /// Tokens with the same column, earliest first.
  struct Group {
    std::vector<bool> column;
    std::vector<std::size_t> tokens;
  };

  /// All lightest token sets of a reduced system.
  [[nodiscard]] std::optional<Solution> lightest(const std::vector<Columns>& rows) const {
    std::vector<Group> groups;
    for (std::size_t t = 0; t < candidates_.attack.size(); ++t) {
      if (!candidates_.attack[t]) continue;
      std::vector<bool> column;
      for (const Columns& row : rows) column.push_back(row[t]);
      if (std::find(column.begin(), column.end(), true) == column.end()) continue;
      const auto same = std::find_if(groups.begin(), groups.end(), [&](const Group& g) { return g.column == column; });
      if (same == groups.end()) {
        groups.push_back({column, {t}});
      } else {
        same->tokens.push_back(t);
      }
    }
    std::vector<bool> wanted;
    for (const Columns& row : rows) wanted.push_back(row[k_constant]);
    Search search{groups, wanted, std::numeric_limits<std::size_t>::max(), {}};
    std::vector<std::size_t> chosen;
    search.run(0, wanted, chosen);
    if (search.found.empty()) return std::nullopt;
    return spread(groups, search.found);
  }

  /// Depth-first over the groups with a bound: a set of groups whose columns sum to the wanted bits.
  struct Search {
    const std::vector<Group>& groups;
    const std::vector<bool>& wanted;
    std::size_t best;
    std::vector<std::vector<std::size_t>> found;

    void run(std::size_t next, const std::vector<bool>& rest, std::vector<std::size_t>& chosen) {
      if (chosen.size() > best) return;
      const bool done = std::find(rest.begin(), rest.end(), true) == rest.end();
      if (done) {
        if (chosen.size() < best) found.clear();
        best = chosen.size();
        found.push_back(chosen);
        return;  // more groups would only add weight
      }
      if (next == groups.size() || chosen.size() == best || !reachable(next, rest)) return;
      std::vector<bool> flipped = rest;
      for (std::size_t r = 0; r < rest.size(); ++r) flipped[r] = rest[r] != groups[next].column[r];
      chosen.push_back(next);
      run(next + 1, flipped, chosen);
      chosen.pop_back();
      run(next + 1, rest, chosen);
    }
    /// Every open bit is still touched by some later group.
    [[nodiscard]] bool reachable(std::size_t next, const std::vector<bool>& rest) const {
      for (std::size_t r = 0; r < rest.size(); ++r) {
        if (!rest[r]) continue;
        const bool touched = std::any_of(groups.begin() + static_cast<std::ptrdiff_t>(next), groups.end(),
                                         [&](const Group& g) { return g.column[r]; });
        if (!touched) return false;
      }
      return true;
    }
  };

  /// One token of each chosen group, every way, earliest first.
  static Solution spread(const std::vector<Group>& groups, const std::vector<std::vector<std::size_t>>& sets) {
    Solution solution;
    solution.slurs = static_cast<int>(sets.front().size());
    for (const auto& set : sets) {
      std::vector<std::vector<std::size_t>> partial = {{}};
      for (const std::size_t g : set) {
        std::vector<std::vector<std::size_t>> longer;
        for (const auto& prefix : partial) {
          for (const std::size_t token : groups[g].tokens) {
            if (longer.size() > 4 * k_max_ties) break;
            longer.push_back(prefix);
            longer.back().push_back(token);
          }
        }
        partial = std::move(longer);
      }
      for (auto& choice : partial) {
        std::sort(choice.begin(), choice.end());
        solution.choices.push_back(choice);
      }
    }
    std::sort(solution.choices.begin(), solution.choices.end());
    if (solution.choices.size() > k_max_ties + 1) solution.choices.resize(k_max_ties + 1);
    return solution;
  }

  // --- grid ----------------------------------------------------------------------------------------

  [[nodiscard]] std::optional<Solution> solve_grid(Stroke first) const {
    std::vector<bool> slurred(candidates_.attack.size());
    const auto stroke_of = [&](std::size_t i) { return notes_[i].unit % 2 == 0 ? first : other(first); };
    // A last stroke that is not allowed stays the last stroke until its note is slurred, so each
    // step is forced; repeat until nothing is blocked.
    for (bool changed = true; changed;) {
      changed = false;
      std::size_t last_picked = 0;
      for (std::size_t i = 0; i < notes_.size(); ++i) {
        if (i > 0 && notes_[i].string != notes_[i - 1].string &&
            !allowed(i, stroke_of(i)).has(stroke_of(last_picked))) {
          const auto token = candidate(last_picked);
          if (!token) return std::nullopt;
          slurred[*token] = true;
          changed = true;
          break;
        }
        const auto token = candidate(i);
        if (notes_[i].attack == Attack::pick && !(token && slurred[*token])) last_picked = i;
      }
    }
    Solution solution;
    auto& choice = solution.choices.emplace_back();
    for (std::size_t t = 0; t < slurred.size(); ++t) {
      if (slurred[t]) choice.push_back(t);
    }
    solution.slurs = static_cast<int>(choice.size());
    return solution;
  }

  static constexpr std::size_t k_constant = k_max_rule_tokens;

  const std::vector<LickNote>& notes_;
  Picking picking_;
  Clear clear_;
  const Candidates& candidates_;
};

/// Least slurs when each note is free to be slurred by itself: a walk over the visits that keeps the
/// cheapest cost for either incoming stroke.
class NoteByNote {
 public:
  NoteByNote(const std::vector<LickNote>& notes, Picking picking, const Solver& rules)
      : notes_(notes), picking_(picking), rules_(rules) {}

  [[nodiscard]] std::optional<int> least(Stroke first) const {
    const std::vector<Visit> all = visits(notes_);
    // cost[s]: least slurs so far with s as the first stroke of the coming visit.
    Costs cost{k_never, k_never};
    at(cost, first) = 0;
    for (std::size_t v = 0; v + 1 < all.size(); ++v) {
      const std::size_t next = all[v + 1].first;
      Costs after{k_never, k_never};
      for (const Stroke start : {Stroke::down, Stroke::up}) {
        if (at(cost, start) >= k_never) continue;
        for (const Stroke last : {Stroke::down, Stroke::up}) {
          const Stroke coming = first_on_new(last, next, first);
          const bool fixed = picking_ == Picking::grid ||
                             (picking_ == Picking::economy && is_adjacent(notes_[next - 1], notes_[next]));
          if (!rules_.allowed(next, fixed ? std::optional(coming) : std::nullopt).has(last)) continue;
          const int total = at(cost, start) + slurs_to_end_on(all[v], start, last, first);
          at(after, coming) = std::min(at(after, coming), total);
        }
      }
      cost = after;
    }
    const int best = std::min(cost[0], cost[1]);
    return best >= k_never ? std::nullopt : std::optional(best);
  }

 private:
  static constexpr int k_never = 1 << 28;
  using Costs = std::array<int, 2>;
  static int& at(Costs& cost, Stroke s) { return cost[s == Stroke::down ? 0 : 1]; }

  [[nodiscard]] Stroke first_on_new(Stroke last, std::size_t next, Stroke first) const {
    if (picking_ == Picking::grid) return notes_[next].unit % 2 == 0 ? first : other(first);
    if (picking_ == Picking::economy && is_adjacent(notes_[next - 1], notes_[next]))
      return with_travel(notes_[next - 1], notes_[next]);
    return other(last);
  }

  /// Slurs needed for a visit that starts on `start` to end on `last`.
  [[nodiscard]] int slurs_to_end_on(const Visit& visit, Stroke start, Stroke last, Stroke first) const {
    const std::size_t end = visit.first + static_cast<std::size_t>(visit.notes);
    if (picking_ == Picking::grid) {
      int slurs = 0;
      for (std::size_t i = end; i-- > visit.first;) {
        if (notes_[i].attack != Attack::pick) continue;
        if ((notes_[i].unit % 2 == 0 ? first : other(first)) == last) return slurs;
        if (!can_slur_alone(notes_, i)) return k_never;
        ++slurs;
      }
      return k_never;
    }
    const Stroke natural = visit.picked % 2 == 0 ? other(start) : start;
    if (natural == last) return 0;
    for (std::size_t i = visit.first; i < end; ++i) {
      if (can_slur_alone(notes_, i)) return 1;
    }
    return k_never;
  }

  const std::vector<LickNote>& notes_;
  Picking picking_;
  const Solver& rules_;
};

std::string rule_with(const Rule& rule, const Candidates& candidates, const std::vector<std::size_t>& tokens) {
  std::vector<std::pair<std::size_t, Attack>> slurs;
  for (const std::size_t token : tokens) slurs.emplace_back(token, *candidates.attack[token]);
  return with_slurs(rule, slurs);
}

std::string why_not(Clear clear, const Candidates& candidates, std::optional<int> note_by_note) {
  if (clear == Clear::none)
    return "the pick never stands clear of the strings, and no choice of slurs turns every change into a sweep";
  if (!candidates.any()) {
    return "no note of the rule can take a slur: each follows a string change, a rest or a note on its own fret";
  }
  if (note_by_note) {
    return "a slur in the rule sounds in every repetition, and no such choice frees all changes; note by note " +
           counted(static_cast<std::size_t>(*note_by_note), "slur") + " would do";
  }
  return "at least one change stays blocked, whichever stroke you begin with and whatever you slur";
}

}  // namespace

std::optional<Repair> repair(const Rule& rule, const Phrase& phrase, Picking picking, Stroke first, Clear clear) {
  const std::vector<LickNote>& notes = phrase.notes;
  if (count_blocked(changes(notes, assign_strokes(notes, picking, first), clear)) == 0) return std::nullopt;
  const Candidates candidates = find_candidates(rule, phrase);
  const Solver solver(notes, picking, clear, candidates);
  const NoteByNote by_note(notes, picking, solver);

  Repair result;
  std::optional<Solution> best;
  for (const Stroke stroke : {first, other(first)}) {
    const auto solution = solver.solve(stroke);
    if (solution && (!best || solution->slurs < best->slurs)) {
      best = solution;
      result.first_stroke = stroke;
    }
    const auto least = by_note.least(stroke);
    if (least && (!result.note_by_note || *least < *result.note_by_note)) result.note_by_note = least;
  }
  if (!best) {
    result.reason = why_not(clear, candidates, result.note_by_note);
    return result;
  }
  result.possible = true;
  result.slurs = best->slurs;
  result.rule = rule_with(rule, candidates, best->choices.front());
  for (std::size_t i = 1; i < best->choices.size(); ++i)
    result.ties.push_back(rule_with(rule, candidates, best->choices[i]));
  return result;
}

}  // namespace fretloom
