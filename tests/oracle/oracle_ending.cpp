// Part 8: endings. Every kind of ending at every slot, every note of the neck to land on, ranked by lists of numbers
// that are compared from the front.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "oracle/oracle.h"
#include "oracle/small.h"

namespace oracle {

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

// "strong = beats 1 and 3 in 4/4, group starts in additive meters, else beat 1; `on` = beat, strong or bar"; no landing
// slot lies below 0.
bool is_landing_slot(const Meter& meter, int k, int slot, On on) {
  if (slot < 0 || mod(slot, k) != 0) return false;
  const int beat = mod(floor_div(slot, k), meter.beats);
  if (on == On::bar) return beat == 0;
  return on == On::beat || std::count(meter.strong.begin(), meter.strong.end(), beat) > 0;
}

}  // namespace

// "landing slot = the next such slot >= first slot + units and >= 0".
int landing_slot(const Meter& meter, int k, int first_slot, int units, On on) {
  int slot = first_slot + units;
  while (!is_landing_slot(meter, k, slot, on)) ++slot;
  return slot;
}

namespace {

using Rank = std::vector<double>;  // compared from the front, smaller is better

// All that the endings of one idea share.
struct Case {
  Idea idea;
  Expansion expansion;  // strokes not set
  Layout frets;         // of the last repetition
  Meter meter;
  Vamp vamp;
  int k = 4;
  int first = 0;  // slot of the idea's first unit
  EndingSpec spec;
  bool blocked = false;  // the idea's own notes have blocked changes

  int end() const { return first + expansion.units; }
};

// ---- The layout that the idea ends on ----

const std::vector<int>& row(const Case& c, int string) { return c.frets[thick_index(c.idea.neck, string)]; }

bool in_layout(const Case& c, int string, int fret) {
  const std::vector<int>& frets = row(c, string);
  return on_neck(c.idea.neck, fret) && std::count(frets.begin(), frets.end(), fret) > 0;
}

// "at most two frets outside its own string's row (an empty row is outside)".
// READING: the row goes from its lowest to its highest note, those off the neck included.
bool near_row(const Case& c, int string, int fret) {
  const std::vector<int>& frets = row(c, string);
  if (frets.empty()) return false;
  return fret >= frets.front() - 2 && fret <= frets.back() + 2;
}

int fret_of(const Case& c, int string, int midi) { return midi - sounding(c.idea.neck, string, 0); }

// The note's number on its string: 1 to n in the layout, above n and below 1 along the scale; 0 for no scale note and
// on a string without layout notes.
int ordinal_of(const Case& c, int string, int midi) {
  const std::vector<int>& frets = row(c, string);
  if (frets.empty() || !in_scale(c.idea.scale, midi)) return 0;
  return steps_between(c.idea.scale, sounding(c.idea.neck, string, frets.front()), midi) + 1;
}

// A note of the scale, or with `spelling` a degree of the key.
Note note_at(const Case& c, int string, int midi, const Scale& spelling) {
  Note note;
  note.string = string;
  note.fret = fret_of(c, string, midi);
  note.midi = midi;
  note.ordinal = ordinal_of(c, string, midi);
  const Spelled spelled = spell(spelling, midi);
  note.pitch = spelled.pitch;
  note.degree = spelled.degree;
  return note;
}

// ---- Fill ----

// "in the direction of the carry (sign of strings, else of steps, else up; reversed after `back` ...)".
int direction(const Idea& idea) {
  int way = idea.sequence ? 0 : idea.carry_strings;
  if (way == 0) way = idea.carry_steps;
  way = way < 0 ? -1 : 1;
  return idea.back == Back::none ? way : -way;
}

// "step along the layout of the last repetition by pitch, unisons once (thicker string), on the neck only".
// READING: the notes of a moved layout that lie off the neck are not there: the line steps over them to the layout's
// next pitch that can be played (taken), or turns at them. Of two unisons the one on the neck is played.
std::optional<Note> step(const Case& c, int midi, int way) {
  for (midi += way; midi >= 0 && midi <= 200; midi += way) {
    for (int string = string_count(c.idea.neck); string >= 1; --string) {
      if (in_layout(c, string, fret_of(c, string, midi))) return note_at(c, string, midi, c.idea.scale);
    }
  }
  return std::nullopt;
}

// "and turn back where the layout ends; they never leave it, and after a note outside it they go on with the layout's
// next pitch."
// READING: the turn is a step back from the last note reached, which is not played twice. READING: where there is no
// note to step back to either, there is no such ending. READING: `way` stays as it was after the last note: a line
// that has just reached the layout's end has not turned yet.
std::optional<std::vector<Note>> fill_notes(const Case& c, int count, int& way) {
  std::vector<Note> out;
  int midi = c.expansion.notes.back().midi;
  for (int i = 0; i < count; ++i) {
    std::optional<Note> next = step(c, midi, way);
    if (!next) {
      way = -way;
      next = step(c, midi, way);
    }
    if (!next) return std::nullopt;
    midi = next->midi;
    next->unit = c.expansion.units + i;
    out.push_back(*next);
  }
  return out;
}

// ---- Landing ----

// "chord tone of the sounding chord (root, 5, 3, 7, none; a 6 counts as 7, a sus note as 3)".
// READING: "any chord tone" is any of these; a ninth, eleventh, thirteenth or a bass after a slash is none.
std::string tone_of(const Chord& chord, int midi) {
  const int key = mod(midi, 12);
  if (key == chord.root) return "root";
  if (key == chord.fifth) return "5";
  if (key == chord.third) return "3";
  if (chord.third < 0 && (key == chord.second || key == chord.fourth)) return "3";
  if (key == chord.seventh || key == chord.sixth) return "7";
  return "none";
}

int tone_rank(const std::string& tone) {
  const std::vector<std::string> order = {"root", "5", "3", "7", "none"};
  return static_cast<int>(std::find(order.begin(), order.end(), tone) - order.begin());
}

struct Candidate {
  Note note;
  int steps = 0;  // signed
  bool inside = false, free = true;
  Rank rank;
};

// The line up to a landing.
struct Approach {
  std::vector<Note> before;
  int way = 1;   // after any turn; "without fill the carry's". READING: the carry's, reversed after `back`.
  int unit = 0;  // of the landing
  Chord chord;
};

// "scale notes one or two steps from the last note before it, and that note again if it is the sounding chord's root".
// READING: "that note again" is its pitch, wherever on the neck it lies, spelled as it was.
// "with `degree`, that degree's notes zero to two steps away (a note between steps counts as the farther), else the
// nearest above and below, in the scale or not." READING: "else" is where no such note can be played.
std::vector<Candidate> candidates(const Case& c, const Approach& approach) {
  const Note& last = approach.before.back();
  const Neck& neck = c.idea.neck;
  std::vector<Candidate> by_steps, beyond;
  int above = 1000, below = -1000;  // the nearest notes
  Scale spelling = c.idea.scale;
  if (!c.spec.degree.empty()) spelling.degrees = {c.spec.degree};
  for (int midi = last.midi - 24; midi <= last.midi + 24; ++midi) {
    const bool spelled = in_scale(spelling, midi);
    if (!spelled && midi != last.midi) continue;
    const int steps = steps_between(c.idea.scale, last.midi, midi);
    const bool again = c.spec.degree.empty() && steps == 0;
    if (again && tone_of(approach.chord, midi) != "root") continue;
    if (!again && !spelled) continue;
    if (midi < last.midi) below = std::max(below, midi);
    if (midi > last.midi) above = std::min(above, midi);
    for (int string = string_count(neck); string >= 1; --string) {
      if (!on_neck(neck, fret_of(c, string, midi))) continue;
      Candidate candidate{note_at(c, string, midi, spelling), steps, false, true, {}};
      if (again) {
        candidate.note.pitch = last.pitch;
        candidate.note.degree = last.degree;
      }
      candidate.note.unit = approach.unit;
      (std::abs(steps) <= 2 ? by_steps : beyond).push_back(candidate);
    }
  }
  if (c.spec.degree.empty()) return by_steps;
  if (!by_steps.empty()) return by_steps;
  std::erase_if(beyond, [&](const Candidate& b) { return b.note.midi != above && b.note.midi != below; });
  return beyond;
}

// "Ranked by: at most two frets outside its own string's row; the change into it is free (where the idea's own notes
// have blocked changes: any chord tone before none, then free); chord tone of the sounding chord; same direction; fewer
// steps; fewer mm along the neck from the last note; D before U; lowest fret."
// READING: a repeated note is not in the same direction. READING: mm between the two frets' wires. READING: notes on
// one string have no change between them, so nothing is blocked. READING: what is still equal after the lowest fret
// lies on two strings of one pitch: the thicker one, as for unisons.
void judge(const Case& c, const Approach& approach, Candidate& candidate) {
  const Note& last = approach.before.back();
  std::vector<Note> line = approach.before;
  line.push_back(candidate.note);
  assign_strokes(line, c.idea.picking, c.idea.first_stroke);
  candidate.note.stroke = line.back().stroke;
  for (const Change& change : changes(line, c.idea.clear_after)) {
    if (change.after_note == static_cast<int>(approach.before.size())) candidate.free = change.free;
  }
  const Note& note = candidate.note;
  candidate.inside = in_layout(c, note.string, note.fret);
  const int tone = tone_rank(tone_of(approach.chord, note.midi));
  const int capo = c.idea.neck.capo;
  candidate.rank = {near_row(c, note.string, note.fret) ? 0.0 : 1.0,
                    c.blocked && tone == 4 ? 1.0 : 0.0,
                    candidate.free ? 0.0 : 1.0,
                    static_cast<double>(tone),
                    candidate.steps * approach.way > 0 ? 0.0 : 1.0,
                    static_cast<double>(std::abs(candidate.steps)),
                    std::abs(reach_mm(648, last.fret + capo, note.fret + capo)),
                    note.stroke == 'D' ? 0.0 : 1.0,
                    static_cast<double>(note.fret),
                    static_cast<double>(-note.string)};
}

// "Of one pitch's places, those outside the layout count only if every place inside is blocked."
// READING: where no place lies inside, those outside count.
bool counts(const Candidate& candidate, const std::vector<Candidate>& all) {
  if (candidate.inside) return true;
  return std::all_of(all.begin(), all.end(), [&](const Candidate& other) {
    return other.note.midi != candidate.note.midi || !other.inside || !other.free;
  });
}

std::optional<Candidate> land(const Case& c, const Approach& approach) {
  std::vector<Candidate> all = candidates(c, approach);
  for (Candidate& candidate : all) judge(c, approach, candidate);
  std::optional<Candidate> best;
  for (const Candidate& candidate : all) {
    if (counts(candidate, all) && (!best || candidate.rank < best->rank)) best = candidate;
  }
  return best;
}

// ---- Options ----

// Whether this kind of ending may land on this slot.
// "Options: fill, held note, late start, trimmed group; where the gap is longer than one beat and `on` was not given,
// fill, hold and late also with the next beat as landing slot." "Without a gap there is only an empty fill."
// READING: the next beat, as any landing slot, is at or after the idea's end and not below 0; where the idea ends on
// it, only an empty fill lands there, and the longer endings stay beside it. "Trim: cut at the last landing slot (not
// below 0) after the last repetition's first slot and before its end". READING: a trim's landing slots are those of
// `on`, not every beat where `on` was not given; no gap, no trim.
bool may_land(const Case& c, const std::string& kind, int slot) {
  const On on = c.spec.on.value_or(On::strong);
  const int wanted = landing_slot(c.meter, c.k, c.first, c.expansion.units, on);
  if (kind == "trim") {
    if (wanted == c.end()) return false;
    int last = -1;
    for (int s = c.end() - c.expansion.rule_units + 1; s < c.end(); ++s) {
      if (is_landing_slot(c.meter, c.k, s, on)) last = s;
    }
    return slot == last && last >= 0;
  }
  const bool also_beat = !c.spec.on && wanted - c.end() > c.k;
  const int beat = landing_slot(c.meter, c.k, c.first, c.expansion.units, On::beat);
  if (slot != wanted && !(also_beat && slot == beat)) return false;
  return kind == "fill" || slot > c.end();
}

// The idea's notes as this kind of ending leaves them.
// "Held: the last sounded note lasts to the landing, over final rests too."
// "if at least half the group stays". READING: the sounded notes of the last repetition that begin before the cut; one
// that sounds across it is cut short. READING: a late start moves the whole idea, its first and last rests too.
std::optional<std::vector<Note>> body(const Case& c, const std::string& kind, int slot) {
  std::vector<Note> out = c.expansion.notes;
  const int cut = slot - c.first;
  if (kind == "hold") out.back().units = cut - out.back().unit;
  if (kind != "trim") return out;
  int stay = 0;
  std::erase_if(out, [&](const Note& note) { return note.unit >= cut; });
  for (Note& note : out) {
    if (note.unit >= c.expansion.units - c.expansion.rule_units) ++stay;
    note.units = std::min(note.units, cut - note.unit);
  }
  if (2 * stay < c.expansion.group) return std::nullopt;
  return out;
}

std::optional<Ending> option(const Case& c, const std::string& kind, int slot) {
  const auto kept = body(c, kind, slot);
  const auto chord = chord_at(c.vamp, c.meter, make(slot, c.k));
  if (!kept || !chord) return std::nullopt;
  Ending out;
  out.kind = kind;
  out.slot = slot;
  out.start_slot = kind == "late" ? slot - c.expansion.units : c.first;
  out.units_changed = std::abs(slot - c.end());
  out.body = *kept;
  int way = direction(c.idea);
  if (kind == "fill") {
    const auto fill = fill_notes(c, slot - c.end(), way);
    if (!fill) return std::nullopt;
    out.fill = *fill;
  }
  std::vector<Note> line = out.body;
  line.insert(line.end(), out.fill.begin(), out.fill.end());
  const auto landing = land(c, {line, way, slot - out.start_slot, *chord});
  if (!landing) return std::nullopt;
  out.landing = landing->note;
  out.steps = std::abs(landing->steps);
  out.same_direction = landing->steps * way > 0;
  out.near_row = near_row(c, out.landing.string, out.landing.fret);
  out.tone = tone_of(*chord, out.landing.midi);
  line.push_back(out.landing);
  assign_strokes(line, c.idea.picking, c.idea.first_stroke);
  for (std::size_t i = 0; i < out.fill.size(); ++i) out.fill[i].stroke = line[out.body.size() + i].stroke;
  for (const Change& change : changes(line, c.idea.clear_after)) {
    if (change.after_note >= static_cast<int>(out.body.size())) out.changes.push_back(change);
  }
  out.blocked = static_cast<int>(
      std::count_if(out.changes.begin(), out.changes.end(), [](const Change& change) { return !change.free; }));
  return out;
}

const std::vector<std::string> k_kinds = {"fill", "hold", "late", "trim"};

// "The options are ranked by: changes blocked by the ending (fewer), landing on any chord tone (yes before no), no fill
// or landing note more than two frets outside its string's row, a fill no longer than max(group, notes per beat), the
// whole phrase before a trim, a fill that does not end on its own landing place, units changed (the gap; of a trim the
// cut: fewer), then fill, hold, late, trim."
// READING: "its own landing place" is the string and fret of the landing note; an empty fill ends nowhere.
// With a kind asked for, its options come first and the rest keep their order.
Rank rank_of(const Case& c, const Ending& ending) {
  bool near = ending.near_row;
  for (const Note& note : ending.fill) near = near && near_row(c, note.string, note.fret);
  const int longest = std::max(c.expansion.group, c.k);
  const bool there = !ending.fill.empty() && ending.fill.back().string == ending.landing.string &&
                     ending.fill.back().fret == ending.landing.fret;
  const auto kind = std::find(k_kinds.begin(), k_kinds.end(), ending.kind) - k_kinds.begin();
  return {c.spec.kind.empty() || c.spec.kind == ending.kind ? 0.0 : 1.0,
          static_cast<double>(ending.blocked),
          ending.tone == "none" ? 1.0 : 0.0,
          near ? 0.0 : 1.0,
          static_cast<int>(ending.fill.size()) > longest ? 1.0 : 0.0,
          ending.kind == "trim" ? 1.0 : 0.0,
          there ? 1.0 : 0.0,
          static_cast<double>(ending.units_changed),
          static_cast<double>(kind)};
}

}  // namespace

std::vector<Ending> endings(const Idea& idea, const Meter& meter, const Vamp& vamp, Fraction start, int k,
                            const EndingSpec& spec) {
  const Expansion expansion = expand(idea);
  const auto first = slot_of(start, k);
  if (!expansion.error.empty() || !first) return {};
  // "of the last repetition ... (reversed after `back`, on repetition 1's layout there; the base layout for
  // sequences)".
  const Layout frets = layout_of_repetition(idea, idea.back == Back::none ? expansion.repeats - 1 : 0);
  Case c{idea, expansion, frets, meter, vamp, k, *first, spec, false};
  std::vector<Note> own = expansion.notes;
  assign_strokes(own, idea.picking, idea.first_stroke);
  c.blocked = blocked(own, idea.clear_after).own > 0;

  std::vector<Ending> out;
  const int farthest = landing_slot(meter, k, *first, expansion.units, spec.on.value_or(On::strong));
  for (const std::string& kind : k_kinds) {
    for (int slot = 0; slot <= farthest; ++slot) {
      if (!may_land(c, kind, slot)) continue;
      if (const auto found = option(c, kind, slot)) out.push_back(*found);
    }
  }
  std::stable_sort(out.begin(), out.end(),
                   [&](const Ending& a, const Ending& b) { return rank_of(c, a) < rank_of(c, b); });
  return out;
}

}  // namespace oracle
