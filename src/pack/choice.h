#pragma once
// What a pack shall hold: chosen by the teacher, kept in the manifest.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "sound/jobs.h"
#include "words/plan.h"

namespace fretloom {

/// The groups of parts. lesson, start and zip are always there; the others can be chosen.
enum class PartGroup {
  lesson,
  handout,
  tab,
  midi,
  musicxml,
  drawings,
  audio,
  captions,
  words,
  plan,
  practice,
  start,
  zip
};
constexpr int k_part_groups = 13;
[[nodiscard]] constexpr bool is_always(PartGroup group) {
  return group == PartGroup::lesson || group == PartGroup::start || group == PartGroup::zip;
}
[[nodiscard]] std::string_view name(PartGroup group);
[[nodiscard]] std::optional<PartGroup> parse_part_group(std::string_view text);

struct PackChoice {
  std::vector<PartGroup> groups;  ///< empty: all
  SoundChoice sound;              ///< the small set; its tempos, pieces and formats are kept in the manifest
  PlanRequest plan;               ///< present_bpm 0: each lesson's first slow tempo
  std::string paper = "a4";       ///< a4 or letter
};

/// What a pack holds where nothing is wished: all groups; demos with and without the band, and the band alone.
[[nodiscard]] PackChoice usual_pack();

/// The choice of a pack that was made as `old` says when only some groups are made anew, as `wanted` says: their paper,
/// sound and plan are the wanted ones, those of the others stay. Nothing but `wanted` where it names no group.
[[nodiscard]] PackChoice merged(const PackChoice& old, const PackChoice& wanted);

/// The choice on one line, and back again. Error syntax: no such line.
[[nodiscard]] std::string choice_text(const PackChoice& choice);
[[nodiscard]] Result<PackChoice> parse_choice(std::string_view text);

}  // namespace fretloom
