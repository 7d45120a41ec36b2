// A second, independent reading of the design's words for scales, layouts, rules, carry, strokes, proof,
// repair, time and endings, to hold the rooms against. It is slow and simple on purpose: it walks fret by fret,
// counts notes one by one and tries every subset. It uses only the standard library, and nothing of src.
// Each function quotes the sentence it follows. `READING:` marks a sentence that can be read two ways.
//
// String numbers: 1 is the thinnest. Lists "thick to thin" have the thickest string at index 0.
// Frets count from the capo unless a comment says "from the nut".
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

namespace oracle {

// ---- 1. Scales (oracle.cpp) ------------------------------------------------------------------------------

struct Scale {
  std::string tonic;                 // "E", "C#", "Bb"; the letter's case does not matter
  std::vector<std::string> degrees;  // "1" "2" "b3" ...: degree 1 to 7 with accidentals before the number
};

struct Spelled {
  std::string degree;  // "b3"
  std::string pitch;   // "G4"
};

bool valid(const Scale& scale);  // known tonic, known degrees, at least one, no two on one key
bool in_scale(const Scale& scale, int midi);
int walk(const Scale& scale, int midi, int steps);                      // midi must be a scale note
int steps_between(const Scale& scale, int from, int to);                // signed; 0 for the same midi
Spelled spell(const Scale& scale, int scale_midi, int alteration = 0);  // scale_midi before the alteration
std::optional<int> degree_pitch_class(const Scale& scale, const std::string& degree);  // any degree, in key or not
std::optional<int> midi_of(const std::string& name);                                   // "E2" 40, "B#3" 60, "Cb4" 59

// ---- 2. Layouts (oracle.cpp) -----------------------------------------------------------------------------

struct Neck {
  std::vector<int> open;  // MIDI at the nut, thick to thin
  int capo = 0;
  int frets = 24;  // from the nut
};

enum class Kind { per_string, position, octaves };

struct LayoutSpec {
  Kind kind = Kind::per_string;
  std::vector<int> notes = {3};  // octaves: two numbers
  int width = 5;                 // position
  int from = 0;
};

using Layout = std::vector<std::vector<int>>;  // frets, thick to thin; may lie off the neck

struct LayoutCheck {
  bool legal = false;
  std::string error;                // empty when legal
  int string = 0, fret = 0;         // the first offending note
  std::optional<int> nearest_from;  // when a note lies off the neck
};

bool on_neck(const Neck& neck, int fret);
int sounding(const Neck& neck, int string, int fret);  // MIDI
Layout layout(const Scale& scale, const Neck& neck, const LayoutSpec& spec);
LayoutCheck check_layout(const Scale& scale, const Neck& neck, const LayoutSpec& spec);
double fret_mm(double scale_length, int fret_from_nut);
double reach_mm(double scale_length, int low_from_nut, int high_from_nut);

// ---- 3. Rules (oracle_rule.cpp) -------------------------------------------------------------------------------

struct Token {
  enum class What { note, rest, move } what = What::note;
  char attack = 0;  // 0, 'h', 'p', 's'
  int ordinal = 0;  // a sequence's index, which may be 0 or negative
  int alteration = 0;
  bool accent = false;
  int units = 1;
  int move = 0;             // strings toward thinner
  std::size_t text_at = 0;  // where the token starts in the typed rule
};

struct Rule {
  std::string error;  // empty when valid
  std::vector<Token> tokens;
};

Rule parse_cell(const std::string& text);
Rule parse_sequence(const std::string& text);

// ---- 4. Expansion (oracle_expand.cpp) ---------------------------------------------------------------------------

enum class Back { none, retrograde, mirrored };
enum class Picking { alternate, grid, economy };
enum class Clear { upstroke, downstroke, both, none };

struct Idea {
  Scale scale;
  Neck neck;
  LayoutSpec layout;
  bool sequence = false;
  std::string rule;
  int carry_strings = 1;  // a sequence takes 0, whatever stands here
  int carry_steps = 0;    // the file's default for a sequence is 1: set it
  int start_string = 0;   // 0: the thickest
  int start_ordinal = 1;  // sequence only
  int repeats = 0;        // 0: "fit"
  Back back = Back::none;
  Picking picking = Picking::alternate;
  char first_stroke = 'D';
  Clear clear_after = Clear::upstroke;
};

struct Note {
  int string = 0, fret = 0, ordinal = 0, midi = 0;
  std::string pitch, degree;
  std::string attack = "pick";  // pick, hammer, pull, slide
  bool accent = false;
  int unit = 0, units = 1, repeat = 0;
  char stroke = 0;        // 'D', 'U', or 0 for a slurred note; set by assign_strokes
  std::size_t token = 0;  // which token of the rule it came from
};

struct Expansion {
  std::string error;  // empty when fine
  std::vector<std::string> findings;
  std::vector<Note> notes;
  int repeats = 0;  // on the way out
  int group = 0;    // sounded notes of the rule
  int rule_units = 0;
  int units = 0;  // of the whole idea, rests and return included
};

Expansion expand(const Idea& idea);                             // strokes not yet set
Layout layout_of_repetition(const Idea& idea, int repetition);  // from 0; a sequence keeps the base layout

// The layout's notes in ascending pitch, unisons once (thicker string).
struct Spot {
  int midi = 0, string = 0, ordinal = 0;
};
std::vector<Spot> ascending(const Neck& neck, const Layout& frets);

std::string list_notes(const std::vector<Note>& notes);  // "6: 12 15 14 15 | 5: 14 12"
std::string list_layout(const Layout& layout);           // "9 12 | 9 11 | ..."

// ---- 5. Strokes, visits, changes, proof (oracle_pick.cpp) ------------------------------------------------

struct Visit {
  int string = 0, sounded = 0, picked = 0;
};

struct Change {
  int after_note = 0;  // number of the last sounded note before it, from 1
  int from = 0, to = 0;
  char last = 0, first = 0;
  std::string type;  // outside, inside, sweep, reset
  bool free = false;
};

struct Blocked {
  int upstroke = 0, downstroke = 0, own = 0;
};

struct Parity {
  bool open = true, looped = true;                  // all changes follow the same stroke
  std::optional<int> open_counter, looped_counter;  // after_note; looped counts on into the second cycle
};

void assign_strokes(std::vector<Note>& notes, Picking picking, char first_stroke);
std::vector<Visit> visits(const std::vector<Note>& notes);
std::vector<Change> changes(const std::vector<Note>& notes, Clear clear);
Blocked blocked(const std::vector<Note>& notes, Clear own);
Parity parity(const std::vector<Note>& notes, int cycle_units, char first_stroke);  // alternate picking

// ---- 6. Repair (oracle_pick.cpp) -------------------------------------------------------------------------

struct LeastSlurs {
  bool tried = false;        // false: more notes could be slurred than the search dares try
  std::optional<int> slurs;  // none although tried: no set of slurs does it
};

struct Repair {
  bool needed = false, possible = false;
  std::string reason;  // where none exists
  char first_stroke = 'D';
  std::string rule;
  int slurs = 0;                  // added
  std::vector<std::string> ties;  // the other rules with as few slurs and the same first stroke
  LeastSlurs note_by_note;
};

Repair repair(const Idea& idea);
LeastSlurs note_by_note(const Idea& idea, std::size_t most_candidates = 14);

// ---- 7. Time (oracle_time.cpp) ---------------------------------------------------------------------------

struct Fraction {
  long long num = 0, den = 1;
};
Fraction make(long long num, long long den);
Fraction operator+(Fraction a, Fraction b);
bool operator==(Fraction a, Fraction b);
std::string text(Fraction f);  // "0", "1/4", "-3/2"

struct Meter {
  int beats = 4;
  bool compound = false;
  std::vector<int> strong = {0};
};
std::optional<Meter> meter(const std::string& text);

struct Met {
  int notes = 0, groups = 0, times = 0;  // times: beats, bars or vamps
};
Met meets(int rule_units, int units_in_span);  // span: S, S*B, S*B*bars
std::optional<std::string> tuplet(int notes_per_beat, bool compound);
std::optional<std::vector<std::string>> onsets(const std::vector<Note>& notes, Fraction start, int notes_per_beat);

// ---- 8. Endings (oracle_ending.cpp) ----------------------------------------------------------------------

// Pitch classes, -1: none. A second or fourth counts only where there is no third (sus).
struct Chord {
  int root = 0;
  int third = -1, fifth = -1, seventh = -1;
  int second = -1, fourth = -1, sixth = -1;
};
using Vamp = std::vector<std::vector<Chord>>;  // bars

enum class On { beat, strong, bar };

struct EndingSpec {
  std::optional<On> on;
  std::string degree;  // empty: automatic
  std::string kind;    // empty: automatic
};

struct Ending {
  std::string kind;  // fill, hold, late, trim
  std::vector<Note> body, fill;
  Note landing;
  int slot = 0, start_slot = 0;
  int units_changed = 0;
  int steps = 0;  // from the last note before the landing, without sign
  bool same_direction = false;
  bool near_row = false;        // at most two frets outside its own string's row
  std::string tone;             // root, 5, 3, 7, none
  std::vector<Change> changes;  // into fill and landing
  int blocked = 0;
};

std::optional<Chord> chord_at(const Vamp& vamp, const Meter& meter, Fraction beat);
int landing_slot(const Meter& meter, int notes_per_beat, int first_slot, int units, On on);
// Best first.
std::vector<Ending> endings(const Idea& idea, const Meter& meter, const Vamp& vamp, Fraction start, int notes_per_beat,
                            const EndingSpec& spec);

}  // namespace oracle
