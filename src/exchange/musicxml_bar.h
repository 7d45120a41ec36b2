#pragma once
// One bar of MusicXML: the notes of both staves and the chords above them.

#include <map>
#include <pugixml.hpp>
#include <string>
#include <string_view>

#include "score/handout.h"
#include "score/rhythm.h"

namespace fretloom {

pugi::xml_node add_element(pugi::xml_node parent, const char* name);
pugi::xml_node add_element(pugi::xml_node parent, const char* name, std::string_view text);
pugi::xml_node add_element(pugi::xml_node parent, const char* name, std::int64_t value);
void add_attribute(pugi::xml_node node, const char* name, std::string_view value);

/// A tuning-step or root-step and its alter: prefix "root" gives root-step.
void add_step(pugi::xml_node parent, const std::string& prefix, const PitchClass& pitch_class);

/// The length of a written value in divisions of a quarter note. Precondition: whole.
[[nodiscard]] std::int64_t in_divisions(const Beats& duration, const Meter& meter, std::int64_t divisions);

/// Appends notes, chords and the step back between the staves; notes name `instrument` unless it is empty.
/// Precondition: the rhythm is the score's and every value is whole in `divisions`.
void add_bar(pugi::xml_node measure, const FeelRef& feel, const RhythmBar& bar, std::int64_t divisions,
             const std::string& instrument);

}  // namespace fretloom
