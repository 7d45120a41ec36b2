// Part 4: carrying a rule across the neck, and back.
#include <algorithm>

#include "oracle/oracle.h"
#include "oracle/small.h"

namespace oracle {

// ---- 4. Expansion ----------------------------------------------------------------------------------------

namespace {

// A note or a rest on its way to becoming a Note.
struct Event {
  bool rest = false;
  int string = 0, ordinal = 0, alteration = 0, fret = 0;
  int scale_midi = 0;  // before the alteration
  char attack = 0;
  bool accent = false;
  int units = 1, repetition = 0;  // repetition from 0
  std::size_t token = 0;
};

struct Run {
  std::vector<Event> events;
  std::string off_neck;      // the first note off the neck or off the strings
  bool out_on_neck = false;  // the way out alone
  std::string error;         // anything else
  std::vector<std::string> findings;
};

void say(std::string& where, const std::string& what) {
  if (where.empty()) where = what;
}

// "An ordinal above n goes on along the scale on the same string and is legal while its fret is on the neck."
// READING: on a string without a single layout note there is nothing to go on from. Such a note does not exist, so it
// ends a "fit" like a note off the neck, and is an error with counted repeats.
void place(const Idea& idea, const Layout& frets, Event& event, Run& run) {
  if (event.string < 1 || event.string > string_count(idea.neck)) {
    say(run.off_neck, "there is no string " + std::to_string(event.string));
    return;
  }
  const std::vector<int>& row = frets[thick_index(idea.neck, event.string)];
  if (row.empty()) {
    say(run.off_neck, "no layout note on string " + std::to_string(event.string));
    return;
  }
  const int n = static_cast<int>(row.size());
  int fret = row[static_cast<std::size_t>(std::min(event.ordinal, n) - 1)];
  for (int beyond = n; beyond < event.ordinal; ++beyond) {
    do ++fret;
    while (!in_scale(idea.scale, sounding(idea.neck, event.string, fret)));
  }
  event.scale_midi = sounding(idea.neck, event.string, fret);
  event.fret = fret + event.alteration;
  if (!on_neck(idea.neck, event.fret)) {
    say(run.off_neck, "string " + std::to_string(event.string) + " fret " + std::to_string(event.fret));
  }
}

Event from_token(const Token& token, std::size_t index, int repetition) {
  Event event;
  event.rest = token.what == Token::What::rest;
  event.alteration = token.alteration;
  event.attack = token.attack;
  event.accent = token.accent;
  event.units = token.units;
  event.repetition = repetition;
  event.token = index;
  return event;
}

int start_string(const Idea& idea) { return idea.start_string == 0 ? string_count(idea.neck) : idea.start_string; }

// "Repetition r (from 0) starts r x strings thinner (negative: thicker) on the layout whose every string is moved
// r x steps scale steps up".
void add_cell(const Idea& idea, const Rule& rule, int repetition, Run& run) {
  const Layout frets = layout_of_repetition(idea, repetition);
  int string = start_string(idea) - repetition * idea.carry_strings;
  for (std::size_t i = 0; i < rule.tokens.size(); ++i) {
    const Token& token = rule.tokens[i];
    string -= token.move;
    if (token.what == Token::What::move) continue;
    Event event = from_token(token, i, repetition);
    event.string = string;
    event.ordinal = token.ordinal;
    if (!event.rest) place(idea, frets, event, run);
    run.events.push_back(event);
  }
}

}  // namespace

// "Indexes the base layout's notes in ascending pitch, unisons once (thicker string)". A twin off the neck is no twin:
// a re-anchored layout, on which fill notes step, may reach over the end on one string only.
std::vector<Spot> ascending(const Neck& neck, const Layout& frets) {
  std::vector<Spot> out;
  for (int string = string_count(neck); string >= 1; --string) {
    const std::vector<int>& row = frets[thick_index(neck, string)];
    for (std::size_t i = 0; i < row.size(); ++i) {
      const int midi = sounding(neck, string, row[i]);
      const Spot here{midi, string, static_cast<int>(i) + 1};
      const auto twin = std::find_if(out.begin(), out.end(), [&](const Spot& spot) { return spot.midi == midi; });
      if (twin == out.end()) {
        out.push_back(here);
      } else if (on_neck(neck, row[i]) && !on_neck(neck, midi - sounding(neck, twin->string, 0))) {
        *twin = here;
      }
    }
  }
  std::sort(out.begin(), out.end(), [](const Spot& a, const Spot& b) { return a.midi < b.midi; });
  return out;
}

namespace {

// "1 is the start note, 0 and negatives reach below; repetition r adds r x carry.steps; no re-anchoring".
// READING: "0 and negatives reach below": 0 is the note just below 1.
void add_sequence(const Idea& idea, const Rule& rule, int repetition, Run& run) {
  const Layout frets = layout(idea.scale, idea.neck, idea.layout);
  const std::vector<Spot> spots = ascending(idea.neck, frets);
  const std::vector<int>& row = frets[thick_index(idea.neck, start_string(idea))];
  if (idea.start_ordinal < 1 || idea.start_ordinal > static_cast<int>(row.size())) {
    say(run.error, "no such start note");
    return;
  }
  // "A dropped unison as start means its thicker twin".
  const int start_midi = sounding(idea.neck, start_string(idea), row[static_cast<std::size_t>(idea.start_ordinal - 1)]);
  int start = 0;
  while (spots[static_cast<std::size_t>(start)].midi != start_midi) ++start;
  for (std::size_t i = 0; i < rule.tokens.size(); ++i) {
    Event event = from_token(rule.tokens[i], i, repetition);
    if (!event.rest) {
      const int index = start + rule.tokens[i].ordinal - 1 + repetition * idea.carry_steps;
      if (index < 0 || index >= static_cast<int>(spots.size())) {
        say(run.off_neck, "beyond the layout");
      } else {
        event.string = spots[static_cast<std::size_t>(index)].string;
        event.ordinal = spots[static_cast<std::size_t>(index)].ordinal;
        place(idea, frets, event, run);
      }
    }
    run.events.push_back(event);
  }
}

// "hammer-on (must rise), pull-off (must fall), slide from the note directly before on the same string, to another
// fret; not picked; else an error." For a sequence: "a slur whose two notes lie on different strings is picked
// instead, with a finding."
void settle_slurs(const Idea& idea, Run& run) {
  for (std::size_t i = 1; i < run.events.size(); ++i) {
    Event& event = run.events[i];
    const Event& before = run.events[i - 1];
    if (event.attack == 0) continue;
    if (idea.sequence && before.string != event.string) {
      run.findings.push_back("a slur across strings is picked");
      event.attack = 0;
      continue;
    }
    const int rise = event.fret - before.fret;
    const bool fine = event.attack == 'h' ? rise > 0 : event.attack == 'p' ? rise < 0 : rise != 0;
    if (!fine) say(run.error, "a slur that cannot be played");
  }
}

char turned(char attack, int rise) {
  if (attack == 0 || attack == 's') return attack;
  return rise > 0 ? 'h' : 'p';
}

// "retrograde is the same notes in reverse order, the turning note played again"; "Rests reverse with the notes. A
// slur moves to its pair's later note, h or p by pitch."
void add_retrograde(int repeats, Run& run) {
  const std::vector<Event> out = run.events;
  for (std::size_t i = out.size(); i-- > 0;) {
    Event event = out[i];
    event.repetition = 2 * repeats - 1 - out[i].repetition;
    event.attack = i + 1 < out.size() ? turned(out[i + 1].attack, out[i].fret - out[i + 1].fret) : char{0};
    run.events.push_back(event);
  }
}

// "mirrored is the same order of notes with string s mapped to min + max - s over the strings used, o to n+1-o, n being
// the source string's count (o > n: error) and `#` to `b`, its repetition r on the layout of the way out's repetition
// R-1-r, so that it begins where the way out ended."
// READING: "the strings used" by the whole way out's notes, which the worked example needs; a rest uses no string.
// READING: a sequence is mirrored by the same words, note by note on the base layout (then its return need not be in
// scale order); or a mirrored sequence is an error. Taken: the first.
void add_mirrored(const Idea& idea, int repeats, Run& run) {
  const std::vector<Event> out = run.events;
  int thinnest = 1000, thickest = 0;
  for (const Event& event : out) {
    if (event.rest) continue;
    thinnest = std::min(thinnest, event.string);
    thickest = std::max(thickest, event.string);
  }
  const Layout base = layout(idea.scale, idea.neck, idea.layout);
  Layout moved;
  for (std::size_t i = 0; i < out.size(); ++i) {
    Event event = out[i];
    event.repetition = repeats + out[i].repetition;
    if (i == 0 || out[i].repetition != out[i - 1].repetition) {
      moved = layout_of_repetition(idea, repeats - 1 - out[i].repetition);
    }
    if (!event.rest) {
      const int n = static_cast<int>(base[thick_index(idea.neck, event.string)].size());
      if (event.ordinal > n) {
        say(run.error, "an ordinal above n cannot be mirrored");
        return;
      }
      event.ordinal = n + 1 - event.ordinal;
      event.string = thinnest + thickest - event.string;
      event.alteration = -event.alteration;
      place(idea, moved, event, run);
      if (event.attack != 0) {
        const int rise = event.fret - run.events.back().fret;
        if (rise == 0) say(run.error, "a mirrored slur to the same fret");
        event.attack = turned(event.attack, rise);
      }
    }
    run.events.push_back(event);
  }
}

Run build(const Idea& idea, const Rule& rule, int repeats) {
  Run run;
  for (int r = 0; r < repeats && run.off_neck.empty() && run.error.empty(); ++r) {
    if (idea.sequence)
      add_sequence(idea, rule, r, run);
    else
      add_cell(idea, rule, r, run);
  }
  run.out_on_neck = run.off_neck.empty();
  if (!run.off_neck.empty() || !run.error.empty()) return run;
  settle_slurs(idea, run);
  if (idea.back == Back::retrograde && run.error.empty()) add_retrograde(repeats, run);
  if (idea.back == Back::mirrored && run.error.empty()) add_mirrored(idea, repeats, run);
  return run;
}

std::string attack_name(char attack) {
  return attack == 'h' ? "hammer" : attack == 'p' ? "pull" : attack == 's' ? "slide" : "pick";
}

Note note_of(const Idea& idea, const Event& event, int unit) {
  Note note;
  note.string = event.string;
  note.fret = event.fret;
  note.ordinal = event.ordinal;
  note.midi = event.scale_midi + event.alteration;
  const Spelled spelled = spell(idea.scale, event.scale_midi, event.alteration);
  note.pitch = spelled.pitch;
  note.degree = spelled.degree;
  note.attack = attack_name(event.attack);
  note.accent = event.accent;
  note.unit = unit;
  note.units = event.units;
  note.repeat = event.repetition + 1;  // "repeat (1..R out, R+1..2R back)"
  note.token = event.token;
  return note;
}

// "\"fit\" = the longest run of complete repetitions whose own notes lie on the neck, at most 64, the return of `back`
// included; with 0 and 0 an error".
// READING: "the return of `back` included": the return's notes must lie on the neck too (taken), or the 64 count the
// return's repetitions as well (then at most 32 out). As no neck holds 33 repetitions of a carry that moves, save for
// a long sequence on a wide position, the two rarely differ.
// READING: only notes off the neck end the run; another error (a slur that cannot be played, a mirrored ordinal above
// n) within that run is an error of the idea, it does not shorten the run. READING: "longest run" is the largest R
// whose notes, return included, all lie on the neck, even if a smaller R fails (only a mirrored return can do that).
int fit(const Idea& idea, const Rule& rule) {
  int longest = 0;
  for (int repeats = 1; repeats <= 64; ++repeats) {
    const Run run = build(idea, rule, repeats);
    if (!run.out_on_neck) break;
    if (run.off_neck.empty()) longest = repeats;
  }
  return longest;
}

// What forbids any expansion at all.
std::string refuse(const Idea& idea) {
  if (!valid(idea.scale)) return "bad scale";
  const LayoutCheck check = check_layout(idea.scale, idea.neck, idea.layout);
  if (!check.legal) return check.error;
  if (start_string(idea) < 1 || start_string(idea) > string_count(idea.neck)) return "no such start string";
  if (idea.repeats < 0) return "repeats below 1";
  const int strings = idea.sequence ? 0 : idea.carry_strings;
  if (idea.repeats == 0 && strings == 0 && idea.carry_steps == 0)
    return "fit with a carry of 0 and 0; repair: repeats = 4";
  return "";
}

}  // namespace

// "in a re-anchored layout only where it is played": the moved layout may lie off the neck.
Layout layout_of_repetition(const Idea& idea, int repetition) {
  Layout frets = layout(idea.scale, idea.neck, idea.layout);
  if (idea.sequence) return frets;
  for (int string = string_count(idea.neck); string >= 1; --string) {
    for (int& fret : frets[thick_index(idea.neck, string)]) {
      const int open = sounding(idea.neck, string, 0);
      fret = walk(idea.scale, open + fret, repetition * idea.carry_steps) - open;
    }
  }
  return frets;
}

Expansion expand(const Idea& idea) {
  Expansion out;
  const Rule rule = idea.sequence ? parse_sequence(idea.rule) : parse_cell(idea.rule);
  out.error = rule.error.empty() ? refuse(idea) : rule.error;
  if (!out.error.empty()) return out;
  for (const Token& token : rule.tokens) {
    if (token.what == Token::What::note) ++out.group;
    if (token.what != Token::What::move) out.rule_units += token.units;
  }
  out.repeats = idea.repeats == 0 ? fit(idea, rule) : idea.repeats;
  if (out.repeats == 0) {
    out.error = "not one repetition fits: " + build(idea, rule, 1).off_neck;
    return out;
  }
  const Run run = build(idea, rule, out.repeats);
  out.error = run.off_neck.empty() ? run.error : run.off_neck;
  if (!out.error.empty()) return out;
  out.findings = run.findings;
  for (const Event& event : run.events) {
    if (!event.rest) out.notes.push_back(note_of(idea, event, out.units));
    out.units += event.units;
  }
  return out;
}

std::string list_notes(const std::vector<Note>& notes) {
  std::string out;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    if (i == 0 || notes[i].string != notes[i - 1].string) {
      out += (i == 0 ? "" : " | ") + std::to_string(notes[i].string) + ":";
    }
    out += " " + std::to_string(notes[i].fret);
  }
  return out;
}

std::string list_layout(const Layout& layout) {
  std::string out;
  for (std::size_t i = 0; i < layout.size(); ++i) {
    if (i > 0) out += " | ";
    for (std::size_t j = 0; j < layout[i].size(); ++j) out += (j == 0 ? "" : " ") + std::to_string(layout[i][j]);
  }
  return out;
}

}  // namespace oracle
