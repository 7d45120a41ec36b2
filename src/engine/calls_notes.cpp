// The notes of the lesson: the document of `notes --json`, and an idea over the whole neck.

#include "engine/calls.h"
#include "engine/drawing.h"
#include "lesson/notes_json.h"

namespace fretloom::engine {

Result<Answer> notes(Session& session, Request& request) {
  const bool one = request.has("idea");
  const int idea = request.integer("idea", 1, k_max_ideas, 1);
  if (const auto fault = request.fault()) return *fault;
  return Answer{notes_json(session.lesson(), one ? std::optional(idea) : std::nullopt), ""};
}

Result<Answer> everywhere(Session& session, Request& request) {
  const bool necks = request.flag("necks", false);
  sheet::SheetOptions options =
      screen_options(request.number("width", sheet::k_narrowest_screen, sheet::k_widest_screen, k_small_neck_width),
                     sheet::k_least_digits);
  options.hand = request_hand(request);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const CompiledLesson& lesson = session.lesson();
  const Idea& idea = lesson.idea(lesson.ideas[chosen->in_book]);
  Json list = Json::array();
  for (const Placement& placement : fretloom::everywhere(idea)) {
    Json json = placement_json(placement);
    if (necks)
      json["neck"] = placement.playable ? Json(small_neck(idea, placement, options, session.font())) : Json(nullptr);
    list.push_back(std::move(json));
  }
  return answer({{"idea", idea.number}, {"name", idea.name}, {"placements", list}});
}

}  // namespace fretloom::engine
