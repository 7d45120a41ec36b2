// Parts 5 and 6: strokes, visits, changes, proof by enumeration, repair by exhaustive search.
#include <algorithm>
#include <cstdlib>

#include "oracle/oracle.h"

namespace oracle {
namespace {

char other(char stroke) { return stroke == 'D' ? 'U' : 'D'; }

bool picked(const Note& note) { return note.attack == "pick"; }

// The k-element subsets of 0..n-1 in lexicographic order, so that the earliest positions come first.
bool next_subset(std::vector<std::size_t>& chosen, std::size_t n) {
  for (std::size_t i = chosen.size(); i-- > 0;) {
    if (chosen[i] + (chosen.size() - i) >= n) continue;
    ++chosen[i];
    for (std::size_t j = i + 1; j < chosen.size(); ++j) chosen[j] = chosen[j - 1] + 1;
    return true;
  }
  return false;
}

std::vector<std::size_t> first_subset(std::size_t k) {
  std::vector<std::size_t> chosen;
  for (std::size_t i = 0; i < k; ++i) chosen.push_back(i);
  return chosen;
}

}  // namespace

// ---- 5. Strokes, visits, changes, proof ------------------------------------------------------------------

// "alternate: alternates over picked notes; grid: alternates over units from the idea's first, counting rests, slurs
// and held units, never restarting; economy: the first stroke on a new adjacent string goes the way of travel (down =
// toward thinner), otherwise alternates. A rest takes no stroke and does not end a visit; a held note takes one."
// READING: under grid `first_stroke` is the stroke of the idea's first unit, even when that unit is a rest; under
// alternate and economy it is the stroke of the first picked note.
// READING: economy, "otherwise alternates" from the last picked stroke, over slurs and skips too.
void assign_strokes(std::vector<Note>& notes, Picking picking, char first_stroke) {
  char last = 0;
  int last_string = 0;
  for (Note& note : notes) {
    note.stroke = 0;
    if (!picked(note)) continue;
    note.stroke = last == 0 ? first_stroke : other(last);
    if (picking == Picking::grid) note.stroke = note.unit % 2 == 0 ? first_stroke : other(first_stroke);
    if (picking == Picking::economy && last != 0) {
      if (note.string == last_string - 1) note.stroke = 'D';
      if (note.string == last_string + 1) note.stroke = 'U';
    }
    last = note.stroke;
    last_string = note.string;
  }
}

// "visit: consecutive notes on one string, merged across repetitions"; "Visits and note numbers count sounded notes,
// the proof counts picked ones."
std::vector<Visit> visits(const std::vector<Note>& notes) {
  std::vector<Visit> out;
  for (const Note& note : notes) {
    if (out.empty() || out.back().string != note.string) out.push_back({note.string, 0, 0});
    ++out.back().sounded;
    if (picked(note)) ++out.back().picked;
  }
  return out;
}

namespace {

// "Changes: outside = the thicker string's stroke is D and the thinner's U, whichever way you travel; inside = the
// reverse; sweep = same stroke with the travel between adjacent strings; reset = same stroke against it or over a
// skip."
std::string type_of(const Change& change) {
  const bool to_thinner = change.to < change.from;
  if (change.last != change.first) {
    const char thicker_stroke = to_thinner ? change.last : change.first;
    return thicker_stroke == 'D' ? "outside" : "inside";
  }
  const bool adjacent = std::abs(change.to - change.from) == 1;
  return adjacent && (change.first == 'D') == to_thinner ? "sweep" : "reset";
}

bool clears(Clear clear, char stroke) {
  return clear == Clear::both || (clear == Clear::upstroke && stroke == 'U') ||
         (clear == Clear::downstroke && stroke == 'D');
}

}  // namespace

// "Free iff an adjacent sweep, or the last stroke before it is in `clear_after`; a skip always needs clearing."
std::vector<Change> changes(const std::vector<Note>& notes, Clear clear) {
  std::vector<Change> out;
  char last = 0;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (i > 0 && notes[i].string != notes[i - 1].string) {
      Change change{static_cast<int>(i), notes[i - 1].string, notes[i].string, last, notes[i].stroke, "", false};
      change.type = type_of(change);
      change.free = change.type == "sweep" || clears(clear, change.last);
      out.push_back(change);
    }
    if (notes[i].stroke != 0) last = notes[i].stroke;
  }
  return out;
}

Blocked blocked(const std::vector<Note>& notes, Clear own) {
  const auto count = [&](Clear clear) {
    const std::vector<Change> all = changes(notes, clear);
    return static_cast<int>(std::count_if(all.begin(), all.end(), [](const Change& c) { return !c.free; }));
  };
  return {count(Clear::upstroke), count(Clear::downstroke), count(own)};
}

namespace {

// The first change that leaves on another stroke than the first change does.
std::optional<int> counter_example(const std::vector<Note>& notes) {
  const std::vector<Change> all = changes(notes, Clear::both);
  for (const Change& change : all) {
    if (change.last != all.front().last) return change.after_note;
  }
  return std::nullopt;
}

}  // namespace

// "Under alternate picking all changes follow the same stroke iff p2..p(m-1) are even; looped with two or more visits,
// iff every visit of the cycle is even (merge last and first on one string)." Here nothing is counted even: the idea is
// played once, and twice in a row, and every change is looked at. If the cycle has an odd number of picked notes, the
// second time round starts on the other stroke.
Parity parity(const std::vector<Note>& notes, int cycle_units, char first_stroke) {
  std::vector<Note> once = notes;
  assign_strokes(once, Picking::alternate, first_stroke);
  std::vector<Note> twice = notes;
  for (Note note : notes) {
    note.unit += cycle_units;
    twice.push_back(note);
  }
  assign_strokes(twice, Picking::alternate, first_stroke);
  Parity out;
  out.open_counter = counter_example(once);
  out.looped_counter = counter_example(twice);
  out.open = !out.open_counter;
  out.looped = !out.looped_counter;
  return out;
}

// ---- 6. Repair -------------------------------------------------------------------------------------------

namespace {

bool unblocked(std::vector<Note> notes, const Idea& idea, char first_stroke) {
  assign_strokes(notes, idea.picking, first_stroke);
  const std::vector<Change> all = changes(notes, idea.clear_after);
  return std::all_of(all.begin(), all.end(), [](const Change& change) { return change.free; });
}

struct Candidate {
  std::size_t at = 0;  // in the rule's text
  char attack = 'h';
};

// The tokens that could be slurred: a picked note directly after a note (no rest, no move between), not the rule's
// first, to another fret ("same-fret neighbours cannot slur"). Whether each works in every repetition is left to
// expand(), which refuses a slur that cannot be played.
// READING: an added slur is a hammer-on or pull-off by pitch, never a slide. Where an alteration makes the same token
// rise in one repetition and fall or stand in another, the token cannot be slurred.
std::vector<Candidate> candidates(const std::vector<Token>& tokens, const std::vector<Note>& notes) {
  std::vector<Candidate> out;
  for (std::size_t i = 1; i < tokens.size(); ++i) {
    if (tokens[i].what != Token::What::note || tokens[i - 1].what != Token::What::note || tokens[i].attack != 0)
      continue;
    for (std::size_t n = 1; n < notes.size(); ++n) {
      if (notes[n].token != i || notes[n - 1].token != i - 1 || notes[n].string != notes[n - 1].string) continue;
      if (notes[n].fret != notes[n - 1].fret) {
        out.push_back({tokens[i].text_at, notes[n].fret > notes[n - 1].fret ? 'h' : 'p'});
      }
      break;
    }
  }
  return out;
}

std::string with_slurs(const std::string& rule, const std::vector<Candidate>& all,
                       const std::vector<std::size_t>& chosen) {
  std::string out = rule;
  for (std::size_t i = chosen.size(); i-- > 0;) out.insert(all[chosen[i]].at, 1, all[chosen[i]].attack);
  return out;
}

// All rules with exactly k added slurs that leave nothing blocked, earliest slurs first.
std::vector<std::string> solutions(const Idea& idea, const std::vector<Candidate>& all, std::size_t k, char first) {
  std::vector<std::string> out;
  std::vector<std::size_t> chosen = first_subset(k);
  do {
    Idea changed = idea;
    changed.rule = with_slurs(idea.rule, all, chosen);
    const Expansion expansion = expand(changed);
    if (expansion.error.empty() && unblocked(expansion.notes, idea, first)) out.push_back(changed.rule);
  } while (next_subset(chosen, all.size()));
  return out;
}

}  // namespace

// "Repair edits the rule, so that it can be saved: the fewest slurs added to tokens over both first strokes (a change
// of first stroke costs nothing, ties keep it; same-fret neighbours cannot slur), exact, for the whole idea with its
// back; the tie whose slurs come earliest is shown, the others listed; ... where none exists, why." READING:
// "earliest": sets of slurs are compared slur by slur from the front of the rule. READING: "ties keep it": when the own
// first stroke needs no more slurs than the other, only rules for the own first stroke are shown and listed, as `ties`
// holds rule texts that carry no first stroke. READING: the repair edits the typed text by putting h or p before the
// ordinal; spacing stays as typed.
Repair repair(const Idea& idea) {
  Repair out;
  const Expansion expansion = expand(idea);
  if (!expansion.error.empty() || unblocked(expansion.notes, idea, idea.first_stroke)) return out;
  out.needed = true;
  out.note_by_note = note_by_note(idea);
  const Rule rule = idea.sequence ? parse_sequence(idea.rule) : parse_cell(idea.rule);
  const std::vector<Candidate> all = candidates(rule.tokens, expansion.notes);
  Idea fixed = idea;
  fixed.repeats = expansion.repeats;  // a slur moves no note, so "fit" stays what it was
  for (std::size_t k = 0; k <= all.size() && !out.possible; ++k) {
    for (const char first : {idea.first_stroke, other(idea.first_stroke)}) {
      const std::vector<std::string> found = solutions(fixed, all, k, first);
      if (found.empty()) continue;
      out.possible = true;
      out.first_stroke = first;
      out.rule = found.front();
      out.slurs = static_cast<int>(k);
      out.ties.assign(found.begin() + 1, found.end());
      break;
    }
  }
  if (!out.possible) out.reason = "no set of slurs and no first stroke frees every change";
  return out;
}

// "the least slurs note by note are reported beside it": single notes of the expanded idea, each free to be slurred.
// READING: the note by note count may slur across a seam between repetitions (the first note of a repetition from the
// last of the one before, on one string), which no token can; or it keeps to the rule's seams. Taken: the first.
LeastSlurs note_by_note(const Idea& idea, std::size_t most_candidates) {
  const std::vector<Note> notes = expand(idea).notes;
  std::vector<std::size_t> all;
  for (std::size_t i = 1; i < notes.size(); ++i) {
    const Note& before = notes[i - 1];
    const bool directly = before.unit + before.units == notes[i].unit;
    if (directly && picked(notes[i]) && before.string == notes[i].string && before.fret != notes[i].fret)
      all.push_back(i);
  }
  if (all.size() > most_candidates) return {false, std::nullopt};
  for (std::size_t k = 0; k <= all.size(); ++k) {
    std::vector<std::size_t> chosen = first_subset(k);
    do {
      std::vector<Note> slurred = notes;
      for (const std::size_t c : chosen) {
        const std::size_t i = all[c];
        slurred[i].attack = slurred[i].fret > slurred[i - 1].fret ? "hammer" : "pull";
      }
      if (unblocked(slurred, idea, 'D') || unblocked(slurred, idea, 'U')) {
        return {true, static_cast<int>(k)};
      }
    } while (next_subset(chosen, all.size()));
  }
  return {true, std::nullopt};
}

}  // namespace oracle
