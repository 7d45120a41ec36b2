#pragma once
// The calls of the engine: a row each. What they take and give: docs/engine.schema.json.

#include <span>
#include <string_view>

#include "engine/answer.h"

namespace fretloom::engine {

struct Call {
  std::string_view name;
  Result<Answer> (*run)(Session&, Request&);
};

[[nodiscard]] std::span<const Call> calls();

// The text (calls_text.cpp).
[[nodiscard]] Result<Answer> replace(Session& session, Request& request);
[[nodiscard]] Result<Answer> text(Session& session, Request& request);
[[nodiscard]] Result<Answer> edit(Session& session, Request& request);
[[nodiscard]] Result<Answer> repair(Session& session, Request& request);

[[nodiscard]] Result<Answer> unset(Session& session, Request& request);
[[nodiscard]] Result<Answer> add_idea(Session& session, Request& request);
[[nodiscard]] Result<Answer> move_idea(Session& session, Request& request);
[[nodiscard]] Result<Answer> remove_idea(Session& session, Request& request);
[[nodiscard]] Result<Answer> new_text(Session& session, Request& request);

// What is said of it (calls_words.cpp).
[[nodiscard]] Result<Answer> sentences(Session& session, Request& request);
[[nodiscard]] Result<Answer> findings(Session& session, Request& request);
[[nodiscard]] Result<Answer> mends(Session& session, Request& request);
[[nodiscard]] Result<Answer> choices(Session& session, Request& request);

// What a hand does to it (calls_hand.cpp).
[[nodiscard]] Result<Answer> reshape(Session& session, Request& request);
[[nodiscard]] Result<Answer> positions(Session& session, Request& request);

// What a student practises (calls_practice.cpp).
[[nodiscard]] Result<Answer> practice(Session& session, Request& request);

// The rule behind somebody's notes (calls_insight.cpp).
[[nodiscard]] Result<Answer> explain(Session& session, Request& request);

// Its notes (calls_notes.cpp).
[[nodiscard]] Result<Answer> notes(Session& session, Request& request);
[[nodiscard]] Result<Answer> everywhere(Session& session, Request& request);
[[nodiscard]] Result<Answer> vamp(Session& session, Request& request);

// Drawings (calls_drawings.cpp).
[[nodiscard]] Result<Answer> loom(Session& session, Request& request);
[[nodiscard]] Result<Answer> neck(Session& session, Request& request);
[[nodiscard]] Result<Answer> sheet_at_width(Session& session, Request& request);
[[nodiscard]] Result<Answer> note_boxes(Session& session, Request& request);
[[nodiscard]] Result<Answer> pages(Session& session, Request& request);

// Sound (calls_sound.cpp).
[[nodiscard]] Result<Answer> voice(Session& session, Request& request);
[[nodiscard]] Result<Answer> band(Session& session, Request& request);

// Files for other programs (calls_exchange.cpp).
[[nodiscard]] Result<Answer> midi(Session& session, Request& request);
[[nodiscard]] Result<Answer> musicxml(Session& session, Request& request);
[[nodiscard]] Result<Answer> tab(Session& session, Request& request);

}  // namespace fretloom::engine
