// The notes of the lesson: the document of `notes --json`, an idea over the whole neck, and what the band plays under
// it.

#include "band/play_vamp.h"
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

Result<Answer> vamp(Session& session, Request& request) {
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const IdeaSheet& idea = *chosen->idea;
  BandOptions options;
  options.bpm = idea.goal_bpm;
  options.turns = 1;
  const auto band = play_vamp(idea, options);
  if (!band) return band.error();
  Json chords = Json::array();
  for (const VampChord& chord : idea.vamp.chords)
    chords.push_back({{"name", chord.chord.symbol()},
                      {"onset", chord.onset.value.to_double()},
                      {"length", chord.duration.value.to_double()}});
  Json parts = Json::array();
  for (const BandPart& part : band->parts) {
    Json notes = Json::array();
    for (const BandNote& note : part.notes) {
      notes.push_back({{"onset", note.onset.value.to_double()},
                       {"length", note.duration.value.to_double()},
                       {"key", note.key},
                       {"velocity", note.velocity}});
    }
    parts.push_back({{"name", name(part.role)}, {"notes", std::move(notes)}});
  }
  return answer({{"bars", band->bars},
                 {"beats_per_bar", idea.meter.beats_per_bar()},
                 {"beats", band->length.value.to_double()},
                 {"rhythm", idea.vamp.rhythm.name},
                 {"chords", std::move(chords)},
                 {"parts", std::move(parts)}});
}

}  // namespace fretloom::engine
