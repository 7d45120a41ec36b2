#pragma once
// What a call gives back.

#include <string>

#include "base/result.h"
#include "engine/json.h"
#include "engine/request.h"
#include "engine/session.h"

namespace fretloom::engine {

struct Answer {
  std::string json;   ///< a whole JSON value
  std::string bytes;  ///< what goes with it, for most calls nothing
};

[[nodiscard]] inline Answer answer(const Json& json) { return {print(json), ""}; }

/// An idea at one feel, as most calls name it.
struct ChosenFeel {
  const IdeaSheet* idea = nullptr;
  std::size_t feel = 0;     ///< index into idea->feels
  std::size_t in_book = 0;  ///< index of the idea in the handout

  [[nodiscard]] const Score& score() const { return idea->feels[feel]; }
};

/// True where "idea" is the number one above the lesson's last: one that is yet to be begun. Reads "feel" too.
[[nodiscard]] bool is_next_idea(const Session& session, Request& request);

/// Reads "idea" (its number in the file, required) and "feel" (from 1, in the order of the file; 1). Errors (range): a
/// wrong field, an idea that is not there or is in error, a feel that the idea does not have. To be called when all
/// other fields have been read.
[[nodiscard]] Result<ChosenFeel> chosen_feel(Session& session, Request& request);

}  // namespace fretloom::engine
