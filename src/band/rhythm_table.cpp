#include "band/rhythm_table.h"

#include <algorithm>
#include <numeric>

#include "base/text.h"

namespace fretloom {

namespace {

// clang-format off
constexpr std::array k_tables = {
    RhythmTable{"held", BandRole::keys, DrumKey::ride, Division::four, ThreeFeel::back_beats,
      {"X... .... .... ....",
       "R... .... .... ....",
       "m... .... .... ....",
       "",
       "m... m... m... m..."},
      {"X..... ...... ...... ......",
       "R..... ...... ...... ......",
       "m..... ...... ...... ......",
       "",
       "m..... m..... m..... m....."}},
    RhythmTable{"whole notes", BandRole::keys, DrumKey::closed_hat, Division::four, ThreeFeel::middle,
      {"X... .... .... ....",
       "R... .... .... ..r.|R... .... q... ....",
       "x... .... .... ..m.|x... .... m... ....",
       ".... .... k... ....",
       "x.f. x.f. x.f. x.f."},
      {"X..... ...... ...... ......",
       "R..... ...... ...... ....r.|R..... ...... q..... ......",
       "x..... ...... ...... ....m.|x..... ...... m..... ......",
       "...... ...... k..... ......",
       "x.f.f. x.f.f. x.f.f. x.f.f."}},
    RhythmTable{"halves", BandRole::keys, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"X... .... x... ....",
       "R... .... 5... ....|R... .... 5.r. ....",
       "x... .... x... ....|x... .... x.m. ....",
       ".... X..g .... X...|.... X... .... X..o",
       "x.m. x.m. x.m. x.m."},
      {"X..... ...... x..... ......",
       "R..... ....r. 5..... ......|R..... ...... 5..... ....r.",
       "x..... ....m. x..... ......|x..... ...... x..... ....m.",
       "...... X..... ...... X...g.|...... X..... ...... X...o.",
       "x.m.m. x.m.m. x.m.m. x.m.m."}},
    RhythmTable{"quarters", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"S... s... S... s...",
       "R... r... 5... r...|R... r... 5.r. r...",
       "x... m... x... m...|x... m... x.m. m...",
       ".... X..g .... X..o|.... X... .... X..g",
       "x.x. x.x. x.x. x.x.|x.x. x.x. x.x. x.O."},
      {"S..... s..... S..... s.....",
       "R..... r..... 5..... r...r.",
       "x..... m..... x..... m.....",
       "...... X..... ...... X...o.|...... X...g. ...... X...o.",
       "x.x.x. x.x.x. x.x.x. x.x.x."}},
    RhythmTable{"eighths", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"X.P. P.P. X.P. P.P.",
       "R.R. R.R. R.R. R.R.|R.R. R.R. R.R. 5.R.",
       "X... .... X.x. ....|X... ..m. X.x. ....",
       ".... X..o .... X..g|.... X... .... X..o",
       "X.x. X.x. X.x. X.x.|X.x. X.x. X.x. X.O."},
      {"X.P.P. X.P.P. X.P.P. X.P.P.",
       "R.r.R. R.r.R. R.r.R. R.r.R.|R.r.R. R.r.R. R.r.R. 5.r.R.",
       "X..... ....m. X..... ....x.|X..... ...... X.m... ....x.",
       "...... X....g ...... X.o...|...... X.o... ...... X.g...",
       "X.x.x. X.x.x. X.x.x. X.x.x.|X.x.x. X.x.x. X.x.x. X.x.O."}},
    RhythmTable{"triplets", BandRole::keys, DrumKey::closed_hat, Division::three, ThreeFeel::back_beats,
      {"X.x. x.x. X.x. x.x.",
       "R.r. 5.r. R.r. 5.r.",
       "X... ..m. x... ..m.",
       ".... X... .... X.o.",
       "x.x. x.x. x.x. x.x."},
      {"X.x.x. x.x.x. X.x.x. x.x.x.",
       "R...r. 5...r. R...r. 5...r.|R...r. 5...r. R...r. 5.r.r.",
       "X..... ....m. x..... ....m.|X..... ....m. x...m. ......",
       "...... X.g... ...... X.o...|...... X.o... ...... X.g...",
       "x.x.x. x.x.x. x.x.x. x.x.x."}},
    RhythmTable{"sixteenths", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"S.us .tSu S.us .tSt|S.us .tSu S.tS utSt",
       "R..r .gr. 8.q. .gr.|R..r .gr. 8.r. .qr.",
       "X..m ..m. X... ..m.|X..m ..m. X.m. ..m.",
       ".... X..o .o.. X..o|.... X..o .o.. X.go",
       "Xmxm Xmxm Xmxm Xmxm|Xmxm Xmxm Xmxm XmOm"},
      {"S.ts.u S.tsut S.ts.u S.tSut",
       "R...r. r.g.q. 8...r. r.g.r.",
       "X..... ....m. X...m. ....m.|X...m. ....m. X..... ....m.",
       "...... X..o.o .o.... X..o.g|...... X..o.. .o.o.. X..o.o",
       "Xmxmxm Xmxmxm Xmxmxm Xmxmxm"}},
    RhythmTable{"off-beats", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"..S. ..S. ..S. ..S.",
       "R... ..q. R.r. ....|R... ..q. R.r. ..r.",
       "x... .... x.m. ....|x... .... x... ..m.",
       ".... X... .... X..o|.... X..g .... X...",
       "x.x. x.x. x.x. x.x.|x.x. x.x. x.x. x.O."},
      {"..S.s. ..S.s. ..S.s. ..S.s.",
       "R..... ....r. 5..... ....r.",
       "x..... ...... x..... ....m.|x..... ....m. x..... ......",
       "...... X..... ...... X...o.|...... X...g. ...... X.....",
       "x.x.x. x.x.x. x.x.x. x.x.x."}},
    RhythmTable{"half time", BandRole::keys, DrumKey::closed_hat, Division::four, ThreeFeel::middle,
      {"X... .... x... ....",
       "R... ..q. .... ..r.|R... ...r .... ..R.",
       "X... .... .... ..m.|X... ...m .... ..x.",
       ".... ..g. X... ...o|.... ..o. X... ....",
       "x.m. x.m. x.m. x.m.|x.m. x.m. x.m. x.O."},
      {"X..... ...... x..... ......",
       "R..... ....q. ...... ....r.|R..... ....r. ...... ....R.",
       "X..... ...... ...... ....m.|X..... ....m. ...... ....x.",
       "...... ..g... X..... ....o.|...... ..o... X..... ......",
       "x.m.m. x.m.m. x.m.m. x.m.m."}},
    RhythmTable{"two-beat", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {".... S... .... S...",
       "R... .... 5... ....|R... .... 5... ..r.",
       "x... .... x... ....|x... .... x... ..m.",
       ".oo. X.og .oo. X.oo|.oo. X.oo .oo. X.og",
       "..m. ..m. ..m. ..m."},
      {"...... S..... ...... S.....",
       "R..... ...... 5..... ......|R..... ...... 5..... ....r.",
       "x..... ...... x..... ......|x..... ...... x..... ....m.",
       "..o.o. X.g.o. ..o.o. X.o.o.|..o.o. X.o.o. ..o.o. X.g.o.",
       "x.m.m. x.m.m. x.m.m. x.m.m."}},
    RhythmTable{"waltz", BandRole::keys, DrumKey::ride, Division::four, ThreeFeel::back_beats,
      {".... s... s... s...",
       "R... .... .... ....|5... .... .... ..r.",
       "X... .... .... ....|X... .... .... ..m.",
       ".... k... k... k.o.|.... k... k... k...",
       "x... x.m. x... x.m."},
      {"...... s..... s..... s.....",
       "R..... ...... ...... ......|5..... ...... ...... ....r.",
       "X..... ...... ...... ......|X..... ...... ...... ....m.",
       "...... k..... k..... k...o.|...... k..... k..... k.....",
       "x...m. x...m. x...m. x...m."}},
    RhythmTable{"gallop", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"X.PP X.PP X.PP X.PP",
       "R.rr R.rr R.rr R.rr",
       "X... X.mm X... X.mm|X.mm X.mm X... X.mm",
       ".... X... .... X...|.... X..g .... X..o",
       "X.x. X.x. X.x. X.x."},
      {"X.P.PP X.P.PP X.P.PP X.P.PP",
       "R.r.rr R.r.rr R.r.rr R.r.rr",
       "X..... X...mm X..... X...mm|X...mm X...mm X..... X...mm",
       "...... X..... ...... X.....|...... X..g.. ...... X..o..",
       "X.x.x. X.x.x. X.x.x. X.x.x."}},
    RhythmTable{"shuffle", BandRole::guitar, DrumKey::closed_hat, Division::four, ThreeFeel::back_beats,
      {"X.s. X.s. X.s. X.s.",
       "R.r. R.r. 5.r. R.r.|R.r. R.r. 5.r. 8.r.",
       "X... ..m. X... ..m.|X... ..m. X.m. ....",
       ".... X.g. .... X.o.|.... X.o. .... X.g.",
       "X.x. X.x. X.x. X.x."},
      {"X...s. X...s. X...s. X...s.",
       "R...r. R...r. 5...r. R...r.|R...r. R...r. 5...r. 8...r.",
       "X..... ....m. X..... ....m.|X..... ....m. X...m. ......",
       "...... X...g. ...... X...o.|...... X...o. ...... X...g.",
       "X...x. X...x. X...x. X...x."}},
    RhythmTable{"walking bass", BandRole::keys, DrumKey::ride, Division::four, ThreeFeel::back_beats,
      {"S... ..s. .... ....|.... ..s. .... ..s.|S... .... ..s. ....",
       "w... w... w... w...",
       "o... o... o... o...",
       ".... p..g .... p.o.|.... p.o. .... p..g",
       "X... x.x. X... x.x."},
      {"S..... ....s. ...... ......|...... ....s. ...... ....s.|S..... ...... ....s. ......",
       "w..... w..... w..... w.....",
       "o..... o..... o..... o.....",
       "...... p...g. ...... p...o.|...... p...o. ...... p...g.",
       "X..... x...x. X..... x...x."}},
    RhythmTable{"drone", BandRole::keys, DrumKey::ride, Division::four, ThreeFeel::back_beats, {}, {}},
};
// clang-format on

constexpr std::array<std::string_view, 3> k_intensity_names = {"sparse", "medium", "full"};

/// Off-steps closer than this are left out, in seconds.
const Rational k_closest_steps(1, 12);

/// The letter of a lane at a bar of the pattern, a role and a step; nothing where the lane has none.
char letter_at(std::string_view lane, int bar, int role, int step) {
  const auto bars = split(lane, '|');
  const auto cells = words(bars[static_cast<std::size_t>(bar) % bars.size()]);
  if (cells.empty()) return '.';
  const std::string_view cell = cells[static_cast<std::size_t>(role) % cells.size()].text;
  return static_cast<std::size_t>(step) < cell.size() ? cell[static_cast<std::size_t>(step)] : '.';
}

}  // namespace

std::string_view name(Intensity intensity) { return k_intensity_names[static_cast<std::size_t>(intensity)]; }

std::optional<Intensity> parse_intensity(std::string_view text) {
  const auto found = std::find(k_intensity_names.begin(), k_intensity_names.end(), lower(trim(text)));
  if (found == k_intensity_names.end()) return std::nullopt;
  return static_cast<Intensity>(found - k_intensity_names.begin());
}

std::span<const RhythmTable> rhythm_tables() { return k_tables; }

const RhythmTable* find_rhythm_table(std::string_view name) {
  const auto* const row =
      std::find_if(k_tables.begin(), k_tables.end(), [&](const RhythmTable& t) { return t.name == name; });
  return row == k_tables.end() ? nullptr : &*row;
}

Pattern::Pattern(const RhythmTable& table, const Meter& meter, const Rational& bpm)
    : table_(table), meter_(meter), bpm_(bpm), plan_(plan_bar(meter, bpm, table.three)) {}

int Pattern::period() const {
  int bars = 1;
  for (const auto lane : {&Lanes::kick, &Lanes::snare, &Lanes::cymbal}) {
    for (const Lanes* lanes : {&table_.simple, &table_.long_cells})
      bars = std::lcm(bars, static_cast<int>(split(lanes->*lane, '|').size()));
  }
  return bars * plan_.cycle();
}

std::vector<Pulse> Pattern::pulses(int bar) const {
  std::vector<Pulse> pulses;
  for (std::size_t i = 0; i < plan_.pulses.size(); ++i) {
    Pulse pulse = plan_.pulse(bar, i);
    if (table_.division == Division::three && pulse.steps == 4) {
      pulse.step = pulse.step * Rational(4, 6);
      pulse.steps = 6;
    }
    pulses.push_back(pulse);
  }
  return pulses;
}

bool Pattern::is_playable(const Pulse& pulse, int step) const {
  if (step == 0) return true;
  if (plan_.coarse) return (pulse.onset + pulse.step * Rational(step)).is_whole();
  const Rational apart = pulse.step * Rational(step % 2 == 0 ? 2 : 1) * Rational(60) / bpm_;
  return apart >= k_closest_steps;
}

std::vector<Hit> Pattern::hits(std::string_view Lanes::*lane, int bar) const {
  std::vector<Hit> hits;
  const Rational bar_start(static_cast<std::int64_t>(bar) * meter_.beats_per_bar());
  const int pattern_bar = bar / plan_.cycle();
  for (const Pulse& pulse : pulses(bar)) {
    const std::string_view text = pulse.steps > 4 ? table_.long_cells.*lane : table_.simple.*lane;
    for (int step = 0; step < pulse.steps; ++step) {
      const char letter = letter_at(text, pattern_bar, pulse.role, step);
      if (letter == '.' || !is_playable(pulse, step)) continue;
      hits.push_back({bar_start + pulse.onset + pulse.step * Rational(step), pulse.step, letter, bar, step == 0});
    }
  }
  return hits;
}

}  // namespace fretloom
