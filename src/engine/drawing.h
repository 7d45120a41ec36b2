#pragma once
// From a request to a drawing, and from a drawing to a reply. Lengths in requests and replies are pixels of a web page,
// 96 to the inch.

#include <string>

#include "engine/answer.h"
#include "lesson/everywhere.h"
#include "sheet/options.h"
#include "sheet/scene.h"

namespace fretloom::engine {

using sheet::Hand;

constexpr double k_least_width = 200;
constexpr double k_most_width = 8000;
constexpr double k_usual_width = 720;
constexpr double k_small_neck_width = 240;

/// "hand": "right" (the default) or "left".
[[nodiscard]] Hand request_hand(Request& request);

/// The drawing and what stands where: {svg, width, height, notes, systems}; without "svg" where it is not asked for.
enum class WithSvg { no, yes };
[[nodiscard]] Json scene_json(const sheet::Scene& scene, const sheet::MusicFont& font, WithSvg with_svg);

/// The neck of an idea as a scene of one page, at most so many pixels wide.
[[nodiscard]] sheet::Scene neck_scene(const IdeaSheet& idea, const Score& score, double width, Hand hand,
                                      const sheet::MusicFont& font);

/// The idea moved along the neck, as SVG. Precondition: it is playable there.
[[nodiscard]] std::string small_neck(const Idea& idea, const Placement& placement, double width, Hand hand,
                                     const sheet::MusicFont& font);

/// {key, from, home, playable, reason, repeats, blocked, reach_mm}: as in `notes --everywhere --json`.
[[nodiscard]] Json placement_json(const Placement& placement);

}  // namespace fretloom::engine
