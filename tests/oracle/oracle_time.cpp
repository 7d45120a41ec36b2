// Part 7: realignment by counting, onsets, tuplets.
#include <algorithm>
#include <numeric>

#include "oracle/oracle.h"
#include "oracle/small.h"

namespace oracle {
// ---- 7. Time ---------------------------------------------------------------------------------------------

Fraction make(long long num, long long den) {
  const long long common = std::gcd(num, den) * (den < 0 ? -1 : 1);
  return {num / common, den / common};
}

Fraction operator+(Fraction a, Fraction b) { return make(a.num * b.den + b.num * a.den, a.den * b.den); }
bool operator==(Fraction a, Fraction b) { return a.num == b.num && a.den == b.den; }

std::string text(Fraction f) { return std::to_string(f.num) + (f.den == 1 ? "" : "/" + std::to_string(f.den)); }

// "bpm counts beats: the denominator's note, dotted in 6, 9, 12 over 8 or 16"; "Additive meters are written `2+2+3/8`";
// "strong = beats 1 and 3 in 4/4, group starts in additive meters, else beat 1".
// READING: in an additive meter every beat is the denominator's note (2+2+3/8 has seven beats), and 3+3/8 is additive,
// not a dotted 6/8; or its groups are its beats. Taken: the first.
// READING: "4/4" means exactly that; 12/8 (four dotted beats), 4/2 and 4/8 have one strong beat.
std::optional<Meter> meter(const std::string& text) {
  const std::size_t slash = text.find('/');
  if (slash == std::string::npos) return std::nullopt;
  std::vector<int> groups = {0};
  for (std::size_t i = 0; i < slash; ++i) {
    if (text[i] == '+')
      groups.push_back(0);
    else if (text[i] >= '0' && text[i] <= '9')
      groups.back() = 10 * groups.back() + (text[i] - '0');
    else
      return std::nullopt;
  }
  if (std::count(groups.begin(), groups.end(), 0) > 0) return std::nullopt;
  const std::string under = text.substr(slash + 1);
  const int sum = std::accumulate(groups.begin(), groups.end(), 0);
  Meter out;
  out.beats = sum;
  if (groups.size() > 1) {
    out.strong.clear();
    int start = 0;
    for (const int group : groups) {
      out.strong.push_back(start);
      start += group;
    }
    return out;
  }
  if (text == "4/4") out.strong = {0, 2};
  out.compound = (sum == 6 || sum == 9 || sum == 12) && (under == "8" || under == "16");
  if (out.compound) out.beats = sum / 3;
  return out;
}

// "Realignment uses the rule's units U (rests and holds included): with beat groups = lcm(U,S)/U; also with bar and
// vamp." Here the units are counted one by one until a group and a span end together.
Met meets(int rule_units, int units_in_span) {
  Met out;
  do {
    ++out.notes;
    if (out.notes % rule_units == 0) ++out.groups;
    if (out.notes % units_in_span == 0) ++out.times;
  } while (out.notes % rule_units != 0 || out.notes % units_in_span != 0);
  return out;
}

// "Simple beat: k over the largest power of two not above k, plain if equal (3:2, 5:4, 6:4, 7:4, 9:8). Compound beat:
// 1, 3, 6, 12 plain; 2:3, 4:3, 5:3, 7 to 11 over 6."
std::optional<std::string> tuplet(int k, bool compound) {
  int under = 1;
  if (compound) {
    if (k == 1 || k == 3 || k == 6 || k == 12) return std::nullopt;
    under = k < 6 ? 3 : 6;
  } else {
    while (under * 2 <= k) under *= 2;
    if (under == k) return std::nullopt;
  }
  return std::to_string(k) + ":" + std::to_string(under);
}

// "`start.beat` times every k must be whole."
std::optional<int> slot_of(Fraction beat, int k) {
  const Fraction slot = make(beat.num * k, beat.den);
  if (slot.den != 1) return std::nullopt;
  return static_cast<int>(slot.num);
}

// "onsets in beats from bar 1 beat 1, pick-ups negative"; "One unit = one k-th of a beat".
std::optional<std::vector<std::string>> onsets(const std::vector<Note>& notes, Fraction start, int k) {
  if (!slot_of(start, k)) return std::nullopt;
  std::vector<std::string> out;
  for (const Note& note : notes) out.push_back(text(start + make(note.unit, k)));
  return out;
}

}  // namespace oracle
