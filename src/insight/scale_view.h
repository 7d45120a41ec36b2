#pragma once
// A phrase with places, as one scale numbers its notes.

#include <cstdint>
#include <vector>

#include "insight/heard.h"
#include "insight/scale_line.h"

namespace fretloom {

/// A fret of a string, as one scale numbers it.
struct ScaleSpot {
  int number = 0;         ///< as ScaleView::number
  std::size_t index = 0;  ///< of the string, thickest 0
  bool outside = false;
};

class ScaleView {
 public:
  /// Both stay the caller's. Every note has a place.
  ScaleView(const HeardPhrase& phrase, const ScaleChoice& scale);

  [[nodiscard]] const std::vector<HeardNote>& notes() const { return phrase_->notes; }
  [[nodiscard]] const Neck& neck() const { return phrase_->neck; }
  [[nodiscard]] Places places() const { return phrase_->places; }
  [[nodiscard]] const ScaleLine& line() const { return line_; }
  /// What it costs to name the scale.
  [[nodiscard]] double bits() const { return bits_; }

  /// In the scale; of a note outside it that of the scale note below.
  [[nodiscard]] int number(std::size_t note) const { return numbers_[note]; }
  [[nodiscard]] bool is_outside(std::size_t note) const { return (seen_[note] & k_outside) != 0; }
  /// How the scale sees a note, as a sum: it lies outside; it is no raised scale note; it is no lowered one.
  [[nodiscard]] std::uint8_t seen(std::size_t note) const { return seen_[note]; }
  static constexpr std::uint8_t k_outside = 1;
  static constexpr std::uint8_t k_not_raised = 2;
  static constexpr std::uint8_t k_not_lowered = 4;
  static constexpr std::uint8_t k_most_seen = 7;
  /// The notes outside the scale, ascending.
  [[nodiscard]] const std::vector<std::size_t>& outside() const { return outside_; }
  [[nodiscard]] std::size_t count_outside() const { return outside_.size(); }
  /// Of the note's string, thickest 0.
  [[nodiscard]] std::size_t index(std::size_t note) const { return indexes_[note]; }
  /// The different frets and strings that the notes have, by their first note, and which of them a note has: in all
  /// scales the same.
  [[nodiscard]] const std::vector<ScaleSpot>& spots() const { return spots_; }
  [[nodiscard]] std::size_t spot(std::size_t note) const { return note_spots_[note]; }

 private:
  const HeardPhrase* phrase_;
  ScaleLine line_;
  double bits_;
  std::vector<int> numbers_;
  std::vector<std::uint8_t> indexes_;
  std::vector<std::uint8_t> seen_;
  std::vector<std::uint16_t> note_spots_;
  std::vector<ScaleSpot> spots_;
  std::vector<std::size_t> outside_;
};

}  // namespace fretloom
