#pragma once
// How long a description is, in bits: the simplest rule is the one that tells the phrase with the fewest.
//
//   description = context + rule + carry + misfits + ending
//
// A minimum description length in the sense of Rissanen (Automatica 14, 1978, from memory). The numbers are our own
// choice and stand here, once. What they are chosen for:
//   - A key and a layout serve all ideas of a lesson, so that they cost little beside a note of the rule: no unusual
//     scale may buy a longer rule, and of two contexts that tell a phrase alike the more usual one comes first.
//   - A wrong note costs more than naming a place and a fret would (log2 of the phrase's notes + k_misfit), so that a
//     rule is not bent to follow one slip; but less than a longer rule, so that slips do not hide it.
//   - An ending is dearer than one slip and cheaper, note by note, than many.

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <string_view>

#include "neck/layout.h"
#include "score/rule.h"

namespace fretloom {

// --- Rule: per token and per string move between tokens --------------------------------------------------------
constexpr double k_note_bits = 4;
constexpr double k_rest_bits = 4;
constexpr double k_move_bits = 2;        ///< a move, however far
constexpr double k_alteration_bits = 3;  ///< # or b
constexpr double k_slur_bits = 1.5;
constexpr double k_accent_bits = 1;
constexpr double k_units_bits = 2;  ///< a note or rest that lasts more than one unit
constexpr double k_above_bits = 2;  ///< an ordinal above the string's count, and k_above_step for each it is above
constexpr double k_above_step = 0.5;
constexpr double k_sequence_bits = 2;  ///< a sequence, where a cell tells string by string what the hand does
constexpr double k_far_bits = 0.5;     ///< a sequence's step more than k_near_steps above its lowest one
constexpr int k_near_steps = 3;

// --- Where a lesson is open that the rule is wanted for (insight/home.h): its own key and layout cost nothing --------
constexpr double k_other_key_bits = 3;
constexpr double k_other_layout_bits = 3;

// --- Carry, start, back: the lesson's defaults cost nothing ----------------------------------------------------
constexpr double k_start_bits = 0.5;    ///< a start string other than the thickest (cells only)
constexpr double k_repeats_bits = 0.5;  ///< a number where "fit" would play another
constexpr double k_back_bits = 4;       ///< retrograde or mirrored

// --- Where strings and frets were not given: what makes one place of the same notes likelier than another ---------
constexpr double k_height_bits = 0.1;        ///< for each fret that the layout begins above the nut
constexpr double k_inner_start_bits = 0.75;  ///< a sequence that does not begin on the layout's first note

// --- What does not follow the rule -----------------------------------------------------------------------------
constexpr double k_misfit_bits = 6;  ///< beside log2 of the phrase's notes
constexpr double k_ending_bits = 10;
constexpr double k_ending_note_bits = 6;
constexpr double k_cut_bits = 4;    ///< a last repetition that is cut and followed by an ending; a cut alone is free
constexpr double k_cause_bits = 8;  ///< a step of the tuning that was missed
/// What a description with slips, an ending or a cut last repetition must save to be preferred to one that tells all in
/// whole repetitions: a slip that returns with every repetition is none.
constexpr double k_whole_bits = 16;
/// A note told without any rule; what no rule tells shorter has none.
constexpr double k_plain_note_bits = 7;

/// What a rule may cost more than the best and still be an answer.
constexpr double k_answer_margin_bits = 2;

[[nodiscard]] constexpr bool is_far_step(int above_lowest) { return above_lowest > k_near_steps; }

[[nodiscard]] inline double misfit_bits(std::size_t notes) {
  return k_misfit_bits + std::log2(static_cast<double>(notes));
}

/// 0 for the modes of the major scale to 2 for the chromatic scale.
[[nodiscard]] inline double mode_bits(std::string_view mode) {
  for (const char* usual : {"ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"}) {
    if (mode == usual) return 0;
  }
  for (const char* usual : {"minor pentatonic", "major pentatonic"}) {
    if (mode == usual) return 0.25;
  }
  for (const char* usual : {"harmonic minor", "melodic minor", "minor blues"}) {
    if (mode == usual) return 0.75;
  }
  return mode == "chromatic" ? 2 : 1.25;
}

/// 0 for what a lesson has by itself: three notes a string, two of a scale with five.
[[nodiscard]] inline double layout_bits(const LayoutRule& rule, int scale_size) {
  switch (rule.kind) {
    case LayoutKind::per_string: return 0.25 * std::abs(rule.notes - (scale_size == 5 ? 2 : 3));
    case LayoutKind::position: return 0.75 + 0.125 * std::abs(rule.width - 5);
    case LayoutKind::octaves:
      return 0.875 + 0.125 * (std::abs(rule.octave_notes.first - 4) + std::abs(rule.octave_notes.second - 3));
  }
  return 0;
}

[[nodiscard]] inline double carry_bits(RuleKind kind, const Carry& carry) {
  if (kind == RuleKind::sequence) return carry.steps == 1 ? 0 : 2 + 0.25 * std::abs(carry.steps);
  return (carry.strings == 1 ? 0 : 1 + 0.25 * std::abs(carry.strings)) +
         (carry.steps == 0 ? 0 : 1 + 0.25 * std::abs(carry.steps));
}

/// A rule as it stands, whatever layout it is played on.
[[nodiscard]] inline double rule_bits(const Rule& rule) {
  double bits = rule.kind == RuleKind::sequence ? k_sequence_bits : 0;
  int offset = 0;
  int lowest = 0;
  bool has_note = false;
  for (const RuleToken& token : rule.tokens) {
    if (token.rest) continue;
    lowest = has_note ? std::min(lowest, token.ordinal) : token.ordinal;
    has_note = true;
  }
  for (const RuleToken& token : rule.tokens) {
    bits += token.rest ? k_rest_bits : k_note_bits;
    if (token.offset != offset) bits += k_move_bits;
    offset = token.offset;
    if (token.alter != 0) bits += k_alteration_bits;
    if (token.attack != Attack::pick) bits += k_slur_bits;
    if (token.accent) bits += k_accent_bits;
    if (token.units > 1) bits += k_units_bits;
    if (!token.rest && rule.kind == RuleKind::sequence && is_far_step(token.ordinal - lowest)) bits += k_far_bits;
  }
  return bits;
}

}  // namespace fretloom
