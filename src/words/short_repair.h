#pragma once
// The repair of an idea's blocked changes in a few words, as it stands in the music.

#include <string>

#include "score/handout.h"

namespace fretloom {

/// "hammer on to the second note of every three, and all are free"; "start with an upstroke, and all are free"; the
/// reason where no repair frees them all; empty where nothing is blocked.
[[nodiscard]] std::string short_repair(const IdeaSheet& idea);

}  // namespace fretloom
