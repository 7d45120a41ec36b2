#pragma once
// When every note and click falls: from an idea at one feel and a tempo to frames, by exact fractions.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "band/play_vamp.h"
#include "base/result.h"
#include "score/handout.h"
#include "sound/kernel/click.h"
#include "sound/kernel/perform.h"

namespace fretloom {

/// The frame nearest to `beats` at `bpm`, halves up, computed in one step from the exact fraction.
/// 132 bpm: 40 beats is frame 872727. Preconditions: bpm > 0; the product fits 64 bits.
[[nodiscard]] std::int64_t frame_of(const Rational& beats, const Rational& bpm);

constexpr int k_most_notes_per_second = 30;

/// A tempo typed as a number. Errors (range): not finite, below k_slowest_bpm or above k_fastest_bpm; the repair is the
/// nearest legal tempo.
[[nodiscard]] Result<Rational> legal_tempo(double bpm);
/// What stands against playing a score without fault at a tempo: tempo out of range, or two onsets
/// closer than 1/30 s (repair: the fastest tempo that is legal). Errors: range.
[[nodiscard]] Result<void> check_tempo(const Score& score, const Rational& bpm);

/// What the click marks. backbeat = beats 2 and 4.
enum class ClickPattern { off, bar, beat, subdivision, backbeat };
/// What is played: the idea once or more with its ring-out, an endless loop of it, only its click,
/// the idea at rising tempos, its repetitions one by one with a rest after each, or an endless loop of the band alone.
enum class Piece { demo, loop, click, ladder, bursts, band };

/// Whether a band plays with the idea.
enum class Backing { none, band };

[[nodiscard]] std::string_view name(ClickPattern pattern);
[[nodiscard]] std::string_view name(Piece piece);
[[nodiscard]] std::optional<ClickPattern> parse_click_pattern(std::string_view text);
[[nodiscard]] std::optional<Piece> parse_piece(std::string_view text);

struct TimelineOptions {
  Piece piece = Piece::demo;
  Rational bpm{120};         ///< ladder: the last rung
  Rational ladder_from{60};  ///< ladder: the first rung; those between are score/ladder.h's
  ClickPattern click = ClickPattern::beat;
  int count_in_bars = 1;            ///< 0 to 4; more bars are added where a pick-up needs them
  int times = 1;                    ///< demo and loop: how often the idea is played, 1 to 64
  Backing backing = Backing::none;  ///< of demo, loop and ladder; a piece that ends leaves a band time to ring out
  BandOptions band{};               ///< how it plays; its tempo is `bpm` or the rung's
};

struct TimedKnock {
  std::int64_t frame = 0;
  voice::Knock knock = voice::Knock::beat;
  bool count_in = false;

  friend bool operator==(const TimedKnock&, const TimedKnock&) = default;
};

/// A named place, for chapters and for a highlight that follows: where a run of the idea begins.
struct Mark {
  std::int64_t frame = 0;  ///< of bar 1 beat 1 of that run
  Rational bpm{120};
  std::string name;
};

/// A stretch in which a band plays with the idea, from the vamp's first beat on.
struct Stretch {
  std::int64_t frame = 0;  ///< of bar 1 beat 1
  Rational bpm{120};
  Beats length;  ///< whole bars
};

struct Timeline {
  std::vector<voice::PlayedNote> notes;  ///< ascending, frames from the start of the file
  std::vector<int> score_notes;          ///< which note of the score each of them plays
  std::vector<TimedKnock> knocks;        ///< ascending
  std::vector<Mark> marks;
  std::vector<Stretch> stretches;  ///< ascending; none where no band plays (click, bursts)
  std::int64_t frames = 0;
  bool loop = false;  ///< the end joins the start; a pick-up lies at the end
};

/// `score` is one of the idea's feels, which is played with the vamp's swing (score/swing.h). Errors: the fault of idea
/// and score; range (open strings from G#0 to B5, at most 48 frets, tempo, speed, times); limit (more than 30 minutes
/// or 20,000 notes).
[[nodiscard]] Result<Timeline> lay_out(const IdeaSheet& idea, const Score& score, const TimelineOptions& options);

/// One line a note and a click, for tests and people.
[[nodiscard]] std::string to_text(const Timeline& timeline);

}  // namespace fretloom
