#pragma once
// One bar of MusicXML: the notes of both staves and the chords above them.

#include <string>

#include "exchange/xml.h"
#include "score/handout.h"
#include "score/rhythm.h"

namespace fretloom {

/// A tuning-step or root-step and its alter: prefix "root" gives root-step.
void add_step(XmlElement& parent, const std::string& prefix, const PitchClass& pitch_class);

/// The length of a written value in divisions of a quarter note. Precondition: whole.
[[nodiscard]] std::int64_t in_divisions(const Beats& duration, const Meter& meter, std::int64_t divisions);

/// Appends notes, chords and the step back between the staves; notes name `instrument` unless it is empty.
/// Precondition: the rhythm is the score's and every value is whole in `divisions`.
void add_bar(XmlElement& measure, const FeelRef& feel, const RhythmBar& bar, std::int64_t divisions,
             const std::string& instrument);

}  // namespace fretloom
