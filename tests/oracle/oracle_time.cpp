// Parts 7 and 8: realignment by counting, onsets, tuplets, endings.
#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <numeric>
#include <tuple>

#include "oracle/oracle.h"
#include "oracle/small.h"

namespace oracle {
namespace {

int floor_div(int a, int b) { return (a - mod(a, b)) / b; }

}  // namespace

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

namespace {

// "`start.beat` times every k must be whole."
std::optional<int> slot_of(Fraction beat, int k) {
  const Fraction slot = make(beat.num * k, beat.den);
  if (slot.den != 1) return std::nullopt;
  return static_cast<int>(slot.num);
}

}  // namespace

// "onsets in beats from bar 1 beat 1, pick-ups negative"; "One unit = one k-th of a beat".
std::optional<std::vector<std::string>> onsets(const std::vector<Note>& notes, Fraction start, int k) {
  if (!slot_of(start, k)) return std::nullopt;
  std::vector<std::string> out;
  for (const Note& note : notes) out.push_back(text(start + make(note.unit, k)));
  return out;
}

// ---- 8. Endings ------------------------------------------------------------------------------------------

// "Chord i (from 0) of k in a bar of B beats starts on beat ceil(i B / k); k > B is an error; the vamp loops from bar
// 1; a pick-up sounds over its last bar." READING: a pick-up longer than a bar goes on backwards through the vamp
// (taken), or stays on the last bar.
std::optional<Chord> chord_at(const Vamp& vamp, const Meter& meter, Fraction beat) {
  if (vamp.empty()) return std::nullopt;
  const int whole = floor_div(static_cast<int>(beat.num), static_cast<int>(beat.den));
  const int bar = floor_div(whole, meter.beats);
  const std::vector<Chord>& chords = vamp[static_cast<std::size_t>(mod(bar, static_cast<int>(vamp.size())))];
  const int k = static_cast<int>(chords.size());
  if (k == 0 || k > meter.beats) return std::nullopt;
  Chord sounding_chord;
  for (int i = 0; i < k; ++i) {
    const int starts = (i * meter.beats + k - 1) / k;
    if (starts <= mod(whole, meter.beats)) sounding_chord = chords[static_cast<std::size_t>(i)];
  }
  return sounding_chord;
}

namespace {

bool is_landing_slot(const Meter& meter, int k, int slot, On on) {
  if (mod(slot, k) != 0) return false;
  const int beat = mod(floor_div(slot, k), meter.beats);
  if (on == On::bar) return beat == 0;
  return on == On::beat || std::count(meter.strong.begin(), meter.strong.end(), beat) > 0;
}

}  // namespace

// "slots count from 0 at bar 1 beat 1, pick-ups negative; ... landing slot = the next such slot >= first slot + units."
int landing_slot(const Meter& meter, int k, int first_slot, int units, On on) {
  int slot = first_slot + units;
  while (!is_landing_slot(meter, k, slot, on)) ++slot;
  return slot;
}

namespace {

// What the steps of one ending need to know.
struct Ground {
  const Idea& idea;
  Layout frets;  // the layout stood on at the end
  std::vector<Spot> spots;
};

// "past the outer string along it, and turn where the neck ends": the path goes on beyond the layout's lowest and
// highest note, and a turn leads back over the same notes.
std::vector<Spot> with_outer_strings(const Idea& idea, std::vector<Spot> spots) {
  const auto fret = [&](int string, int midi) { return midi - sounding(idea.neck, string, 0); };
  const int thickest = string_count(idea.neck);
  const int lowest = spots.front().midi;
  const int highest = spots.back().midi;
  for (int midi = walk(idea.scale, lowest, -1); on_neck(idea.neck, fret(thickest, midi));
       midi = walk(idea.scale, midi, -1)) {
    spots.push_back({midi, thickest, 0});
  }
  for (int midi = walk(idea.scale, highest, 1); on_neck(idea.neck, fret(1, midi)); midi = walk(idea.scale, midi, 1)) {
    spots.push_back({midi, 1, 0});
  }
  return spots;
}

// READING: "along the layout" of the last repetition played (taken; after a return that is repetition 0's), or the base
// layout. They are the same unless carry.steps moves the layout.
Ground ground(const Idea& idea, int repeats) {
  const Layout frets = layout_of_repetition(idea, idea.back == Back::none ? repeats - 1 : 0);
  return {idea, frets, with_outer_strings(idea, ascending(idea.neck, frets))};
}

// The note's number on its string: 1 to n in the layout, above n and below 1 along the scale.
int ordinal_of(const Ground& on, int string, int fret) {
  const std::vector<int>& row = on.frets[thick_index(on.idea.neck, string)];
  if (row.empty()) return 0;
  const int open = sounding(on.idea.neck, string, 0);
  const int from_first = steps_between(on.idea.scale, open + row.front(), open + fret);
  return from_first + 1;
}

Note note_at(const Ground& on, int string, int fret, const Scale& spelling, int unit) {
  Note note;
  note.string = string;
  note.fret = fret;
  note.midi = sounding(on.idea.neck, string, fret);
  note.ordinal = in_scale(on.idea.scale, note.midi) ? ordinal_of(on, string, fret) : 0;
  const Spelled spelled = spell(spelling, note.midi);
  note.pitch = spelled.pitch;
  note.degree = spelled.degree;
  note.unit = unit;
  return note;
}

// "Fill notes step along the layout in the direction of the carry ..., past the outer string along it".
// READING: a step is to the layout's next pitch (unisons once, thicker string, as a sequence has them; taken), or to
// the next ordinal, then the next string's first (a position layout would then repeat or fall back at a unison). On a
// per-string layout both are the next scale note.
std::optional<Note> step(const Ground& on, const Note& from, int way) {
  const Spot* best = nullptr;
  for (const Spot& spot : on.spots) {
    const bool beyond = way > 0 ? spot.midi > from.midi : spot.midi < from.midi;
    if (beyond && (best == nullptr || std::abs(spot.midi - from.midi) < std::abs(best->midi - from.midi))) best = &spot;
  }
  if (best == nullptr) return std::nullopt;
  const int fret = best->midi - sounding(on.idea.neck, best->string, 0);
  if (!on_neck(on.idea.neck, fret)) return std::nullopt;
  return note_at(on, best->string, fret, on.idea.scale, 0);
}

// "and turn where the neck ends."
// READING: the turn is a step back from the last note reached, which is not played twice.
std::optional<std::vector<Note>> fill_notes(const Ground& on, Note from, int count, int unit, int& way) {
  std::vector<Note> out;
  for (int i = 0; i < count; ++i) {
    std::optional<Note> next = step(on, from, way);
    if (!next) {
      way = -way;
      next = step(on, from, way);
    }
    if (!next) return std::nullopt;
    from = *next;
    from.unit = unit + i;
    out.push_back(from);
  }
  return out;
}

std::string tone_of(const Chord& chord, int midi) {
  const int key = mod(midi, 12);
  if (key == chord.root) return "root";
  if (key == chord.fifth) return "5";
  if (key == chord.third) return "3";
  if (key == chord.seventh) return "7";
  return "none";
}

int tone_rank(const std::string& tone) {
  const std::vector<std::string> order = {"root", "5", "3", "7", "none"};
  return static_cast<int>(std::find(order.begin(), order.end(), tone) - order.begin());
}

bool playable(const Neck& neck, int midi) {
  for (int string = 1; string <= string_count(neck); ++string) {
    if (on_neck(neck, midi - sounding(neck, string, 0))) return true;
  }
  return false;
}

// The pitches a landing may have.
// "Landing candidates are scale notes one or two steps from the last note before it". "`degree` is a scale-degree name
// of the key, accidentals allowed."
// READING: steps are scale steps up and down, wherever on the neck that pitch lies (taken: only then can "fewer mm" and
// "lowest fret" decide anything), or steps along the layout's path, one place for each.
// READING: with `degree`, that degree's pitches within two steps; when there is none, the nearest above and below, as
// the teacher asked for that note; or no candidate, so that the next kind of ending is tried. Never the same pitch
// again.
std::vector<int> landing_pitches(const Ground& on, int last, const std::string& degree) {
  const Scale& scale = on.idea.scale;
  std::vector<int> out;
  if (degree.empty()) {
    for (const int steps : {1, 2, -1, -2}) out.push_back(walk(scale, last, steps));
    return out;
  }
  const auto key = degree_pitch_class(scale, degree);
  if (!key) return out;
  int above = last + 1, below = last - 1;
  while (mod(above, 12) != *key) ++above;
  while (mod(below, 12) != *key) --below;
  for (const int midi : {above, below}) {
    if (playable(on.idea.neck, midi) && std::abs(steps_between(scale, last, midi)) <= 2) out.push_back(midi);
  }
  if (out.empty()) out = {above, below};
  return out;
}

struct Approach {
  const std::vector<Note>& before;  // every note up to the landing, idea first
  int way = 1;
  int unit = 0;  // of the landing, from the idea's first
  Chord chord;
  std::string degree;
};

// "ranked by chord tone of the sounding chord (root, 5, 3, 7, none), same direction, fewer steps, fewer mm, D before U,
// lowest fret."
// READING: "same direction" as the line was moving at its end (after any turn; taken), or as the carry.
// READING: mm along the string between the two frets' wires.
std::optional<Note> land(const Ground& on, const Approach& approach) {
  using Rank = std::tuple<int, int, int, double, int, int>;
  const Note& last = approach.before.back();
  Scale spelling = on.idea.scale;
  if (!approach.degree.empty()) spelling.degrees = {approach.degree};
  std::optional<Note> best;
  Rank best_rank;
  for (const int midi : landing_pitches(on, last.midi, approach.degree)) {
    for (int string = 1; string <= string_count(on.idea.neck); ++string) {
      const int fret = midi - sounding(on.idea.neck, string, 0);
      if (!on_neck(on.idea.neck, fret)) continue;
      std::vector<Note> line = approach.before;
      line.push_back(note_at(on, string, fret, spelling, approach.unit));
      assign_strokes(line, on.idea.picking, on.idea.first_stroke);
      const int steps = steps_between(on.idea.scale, last.midi, midi);
      const int capo = on.idea.neck.capo;
      const Rank rank{tone_rank(tone_of(approach.chord, midi)),
                      steps * approach.way > 0 ? 0 : 1,
                      std::abs(steps),
                      std::abs(reach_mm(648, last.fret + capo, fret + capo)),
                      line.back().stroke == 'D' ? 0 : 1,
                      fret};
      if (best && !(rank < best_rank)) continue;
      best = line.back();
      best_rank = rank;
    }
  }
  return best;
}

int direction(const Idea& idea) {
  // "in the direction of the carry (sign of strings, else of steps, else up; reversed after `back`)".
  int way = idea.sequence ? 0 : idea.carry_strings;
  if (way == 0) way = idea.carry_steps;
  way = way < 0 ? -1 : 1;
  return idea.back == Back::none ? way : -way;
}

}  // namespace

// "Ranked options: fill, late start, trimmed group, held note."
// READING of the three words that DESIGN does not spell out:
//   late start: the whole idea moves later so that its end meets the landing slot; no fill.
//   trimmed group: the last repetition is cut at the last such slot before its end, and the landing stands there; only
//     when that slot lies inside the last repetition (else a whole group would go, not a trimmed one).
//   held note: the last note is held until the landing slot; no fill.
// READING: when the idea's end is itself such a slot, the four are one: a fill without notes, and no others.
std::vector<Ending> endings(const Idea& idea, const Meter& meter, const Vamp& vamp, Fraction start, int k,
                            const EndingSpec& spec) {
  std::vector<Ending> out;
  const Expansion expansion = expand(idea);
  const auto first = slot_of(start, k);
  if (!expansion.error.empty() || !first) return out;
  const Ground on = ground(idea, expansion.repeats);
  const int slot = landing_slot(meter, k, *first, expansion.units, spec.on);
  const int gap = slot - *first - expansion.units;

  const auto offer = [&](const std::string& kind, std::vector<Note> before, std::vector<Note> fill, int way, int unit,
                         int landing, int begins) {
    before.insert(before.end(), fill.begin(), fill.end());
    assign_strokes(before, idea.picking, idea.first_stroke);
    std::copy(before.end() - static_cast<std::ptrdiff_t>(fill.size()), before.end(), fill.begin());
    const auto chord = chord_at(vamp, meter, make(landing, k));
    if (!chord || before.empty()) return;
    const auto note = land(on, {before, way, unit, *chord, spec.degree});
    if (note) out.push_back({kind, fill, *note, landing, begins, tone_of(*chord, note->midi)});
  };

  int way = direction(idea);
  const auto fill = fill_notes(on, expansion.notes.back(), gap, expansion.units, way);
  if (fill) offer("fill", expansion.notes, *fill, way, expansion.units + gap, slot, *first);
  if (gap == 0) return out;
  way = direction(idea);
  offer("late", expansion.notes, {}, way, expansion.units, slot, *first + gap);

  int cut = *first + expansion.units - 1;
  while (!is_landing_slot(meter, k, cut, spec.on)) --cut;
  if (cut - *first > expansion.units - expansion.rule_units) {
    std::vector<Note> kept;
    for (const Note& note : expansion.notes) {
      if (note.unit < cut - *first) kept.push_back(note);
    }
    offer("trim", kept, {}, way, cut - *first, cut, *first);
  }
  offer("hold", expansion.notes, {}, way, expansion.units + gap, slot, *first);
  return out;
}

}  // namespace oracle
