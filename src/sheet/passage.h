#pragma once
// A passage: one or more Scores engraved in a row, and how wide each of their bars must and wants to be.

#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "score/rhythm.h"
#include "sheet/music_font.h"
#include "sheet/options.h"
#include "sheet/spacing.h"
#include "sheet/staff.h"

namespace fretloom::sheet {

/// One idea at one feel.
struct ScoreAt {
  const IdeaSheet* idea = nullptr;
  const Score* score = nullptr;  ///< one of the idea's feels
  int feel = 0;                  ///< its index there
  std::string repair{};          ///< of its blocked changes, printed where the first of them is marked; may be empty
};

/// A Score with its written rhythm and staff positions (the products of stages 1 and 2).
struct PassageScore {
  ScoreAt at;
  int first_note = 0;  ///< index of its note 0 within the passage
  Clef clef = Clef::treble_8vb;
  int fifths = 0;         ///< key signature, sharps positive
  bool repeated = false;  ///< between repeat signs
  Rhythm rhythm;
  StaffNotes notes;
  std::vector<bool> blocked;  ///< for each note: the change behind it is blocked
};

/// One symbol's extent about its column (the notehead's middle), staff spaces.
struct Extent {
  double left = 0;
  double right = 0;
};

/// A bar measured for spacing, or a piece of one that no line holds: `lead` to the first column, one gap a column (the
/// last one to the bar line), `tail` for a heavy or repeated bar line.
struct MeasuredBar {
  int score = 0;         ///< index into Passage::scores
  int bar = 0;           ///< index into its rhythm
  int index = 0;         ///< of the bar within the passage
  int first = 0;         ///< event of the bar that it begins with
  bool ends_bar = true;  ///< the bar goes on in the next piece otherwise, without a bar line between
  double lead = 0;
  std::vector<Gap> gaps;
  double tail = 0;
  double courtesy = 0;  ///< of the tail, behind the bar line: key and meter of the next line
  bool repeat_start = false;
  bool repeat_end = false;
  bool closing = false;  ///< the passage's last bar: a final bar line
  bool joins = false;    ///< the last bar of an idea that another follows: a double bar line

  [[nodiscard]] bool begins_bar() const { return first == 0; }
  /// One past its last event.
  [[nodiscard]] int end() const { return first + static_cast<int>(gaps.size()); }
  /// Lead, gaps and tail as the line breaker wants them.
  [[nodiscard]] std::vector<Gap> all_gaps() const;
};

/// Bars that share clef, signatures and tuning; each section starts a line.
struct Section {
  std::vector<MeasuredBar> bars;
};

struct PassagePlan {
  std::string id;  ///< "i1f2" or "etude"
  std::vector<PassageScore> scores;
  std::vector<Section> sections;
};

/// Stages 1 and 2 and the measuring of every bar. A bar that no line of the paper holds becomes pieces that do, cut at
/// its middle or groups, else between beats; never under a beam, a tuplet or a held note (common practice: a bar that
/// is broken over two lines has no bar line at the break). Precondition: fault_of finds nothing in any of them. Errors:
/// as write_rhythm.
[[nodiscard]] Result<PassagePlan> plan_passage(const std::vector<ScoreAt>& scores, const std::string& id,
                                               const MusicFont& font, const SheetOptions& options);

inline constexpr double k_shortest_width = 2.5;  ///< natural width of the shortest value, staff spaces
inline constexpr double k_chord_size = 2.5;
inline constexpr double k_counting_size = 1.6;
inline constexpr double k_repeat_width = 1.5;   ///< heavy line, thin line, dots
inline constexpr double k_before_repeat = 0.6;  ///< white between the time signature and an opening repeat sign
inline constexpr double k_final_width = 0.9;
inline constexpr double k_bar_lead = 1.0;  ///< bar line to the first symbol's left edge

/// The symbol of an event's head or rest.
[[nodiscard]] Symbol symbol_of(const RhythmEvent& event);
/// The symbol of an alteration, -3 to 3.
[[nodiscard]] Symbol accidental_symbol(int alter);
inline constexpr double k_accidental_gap = 0.18;  ///< between an accidental and its head
/// Width that an accidental takes left of its head, its own gap included; 0 for none.
[[nodiscard]] double accidental_width(const StaffNote& note, const MusicFont& font);

/// What is counted on an event, in brackets where nothing is struck; empty where it has no syllable.
[[nodiscard]] std::string counted(const PassageScore& score, const RhythmEvent& event);

/// One line a bar: lead, gaps as spring/rod, tail.
[[nodiscard]] std::string to_text(const PassagePlan& plan);

}  // namespace fretloom::sheet
