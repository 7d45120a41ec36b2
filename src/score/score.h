#pragma once
// The one form that every output reads: an idea at one feel, note by note, with all that a page, a
// sound or a file needs. Pitches sound as written here (a guitar staff is engraved an octave up).

#include <optional>
#include <string>
#include <vector>

#include "base/units.h"
#include "score/meter.h"
#include "theory/chord.h"
#include "theory/pitch.h"

namespace fretloom {

enum class Stroke { down, up };
enum class Attack { pick, hammer, pull, slide };
/// Where a note comes from: the rule carried across the strings, or the ending.
enum class Role { rule, fill, landing };

[[nodiscard]] constexpr Stroke other(Stroke s) { return s == Stroke::down ? Stroke::up : Stroke::down; }
/// 'D' or 'U'.
[[nodiscard]] constexpr char letter(Stroke s) { return s == Stroke::down ? 'D' : 'U'; }
/// "pick", "hammer", "pull", "slide".
[[nodiscard]] std::string_view name(Attack attack);

/// One sounded note.
struct ScoreNote {
  Beats onset;     ///< from bar 1 beat 1; negative in a pick-up
  Beats duration;  ///< until its time value ends; > 0
  SpelledPitch pitch;
  int string = 1;                ///< 1 = thinnest
  int fret = 0;                  ///< from the capo
  int ordinal = 1;               ///< among the string's notes in the layout, 1 = lowest
  std::string degree;            ///< against the key: "b3"
  std::optional<Stroke> stroke;  ///< nothing on a slurred note
  Attack attack = Attack::pick;
  std::optional<int> finger;  ///< 1 = index to 4 = little finger; 0 = open string
  bool accent = false;
  int repeat = 1;  ///< 1..R on the way out, R+1..2R on the way back; the last one's for an ending
  Role role = Role::rule;

  friend bool operator==(const ScoreNote&, const ScoreNote&) = default;
};

/// A chord of the vamp with its place.
struct ScoreChord {
  Beats onset;
  Beats duration;
  Chord chord;
};

/// One string of the instrument and its notes in the idea's layout, for tab and neck diagrams.
struct ScoreString {
  SpelledPitch open;                 ///< at the nut
  std::vector<int> frets;            ///< layout notes, from the capo
  std::vector<std::string> degrees;  ///< one per fret of `frets`
};

/// An idea at one feel.
struct Score {
  std::string title;  ///< the idea's name
  std::string note;   ///< the teacher's prose for it
  std::string key;    ///< "E dorian"
  int fifths = 0;     ///< key signature, sharps positive, -7 to 7
  Meter meter;
  Rational slow_bpm{60};  ///< beats a minute
  Rational goal_bpm{120};

  std::vector<ScoreString> strings;  ///< thickest first
  int capo = 0;
  int frets = 24;  ///< from the nut
  Millimetres scale_length{648};

  std::string rule;           ///< as typed
  std::string rule_in_words;  ///< one or two sentences for a reader without the notation
  std::string proof;          ///< the proof sentence, empty if none
  int group = 0;              ///< sounded notes of the rule
  int rule_units = 0;

  int notes_per_beat = 4;
  std::optional<TupletRatio> ratio;
  Beats start;                   ///< onset of the idea's first unit (a rule may start with a rest)
  Beats end;                     ///< where the last time value ends
  std::vector<ScoreNote> notes;  ///< one voice, ascending onsets, no overlap; gaps are rests

  std::vector<ScoreChord> vamp;  ///< one cycle from bar 1; loops
  Beats vamp_length;             ///< whole bars
  std::string vamp_rhythm;       ///< plain rhythm words: "sixteenths"
  Rational swing{1};             ///< long to short of each off-beat pair; 1 = straight
};

/// All feels of one idea, in the order the lesson lists them.
struct ScoreSet {
  std::vector<Score> feels;
};

/// What is printed and published for a lesson: its prose and its scores. Names are one line each, and nothing
/// holds control characters (see one_line in base/text.h).
struct Handout {
  std::string title;
  std::string author;
  std::string intro;
  std::vector<std::string> links;
  std::string licence;
  std::string logo;  ///< path as the lesson gives it
  std::string key;
  std::vector<ScoreSet> ideas;
};

/// Number of the bar that holds a beat: 1 for 0 <= beat < one bar, 0 and less in pick-up bars.
[[nodiscard]] std::int64_t bar_of(const Meter& meter, const Beats& beat);
/// Place within its bar, in [0, beats_per_bar).
[[nodiscard]] Beats beat_in_bar(const Meter& meter, const Beats& beat);
/// The chord of the looped vamp that sounds at a beat; a pick-up lies over the vamp's last bar.
/// Returns nullptr if the vamp is empty.
[[nodiscard]] const ScoreChord* chord_at(const Score& score, const Beats& beat);
/// The same for a vamp cycle of the given length.
[[nodiscard]] const ScoreChord* chord_at(const std::vector<ScoreChord>& vamp, const Beats& length, const Beats& beat);

/// The score as plain lines, one a note, for tests and people.
[[nodiscard]] std::string to_text(const Score& score);

}  // namespace fretloom
