// What a student's page needs beyond drawings and sound: the proof in plain words, the rule as one says it, and what to
// practise today.

#include "engine/calls.h"
#include "play/timeline.h"
#include "score/limits.h"
#include "words/cautions.h"
#include "words/idea_story.h"
#include "words/plan.h"
#include "words/student_proof.h"

namespace fretloom::engine {

namespace {

Json ideas_json(const Handout& handout) {
  Json list = Json::array();
  const IdeaSheet* before = nullptr;
  for (const IdeaSheet& idea : handout.ideas) {
    list.push_back({{"idea", idea.number},
                    {"shape", shape_sentence(idea, before, Manner::written)},
                    {"strokes", changes_sentence(idea, before, Manner::written)},
                    {"beats", feels_sentence(idea, Manner::written)},
                    {"proof", student_proof(idea.proof)},
                    {"spoken", spoken_frets(idea)},
                    {"slow", idea.slow_bpm.to_double()},
                    {"goal", idea.goal_bpm.to_double()}});
    before = &idea;
  }
  return list;
}

Json blocks_json(const Handout& handout, const PlanDay& day) {
  Json list = Json::array();
  for (const PlanBlock& block : day.blocks) {
    Json json = {{"kind", name(block.kind)}, {"minutes", block.minutes}};
    if (block.kind != PlanKind::rest) {
      json["idea"] = handout.ideas[block.idea].number;
      json["feel"] = block.feel + 1;
      json["bpm"] = block.bpm.to_double();
    }
    list.push_back(std::move(json));
  }
  return list;
}

}  // namespace

Result<Answer> practice(Session& session, Request& request) {
  PlanRequest wanted;
  wanted.days = 1;
  wanted.minutes_a_day = request.integer("minutes", k_least_minutes, k_most_minutes, 20);
  const double present = request.number("present", k_slowest_bpm, k_fastest_bpm, 60);
  if (const auto fault = request.fault()) return *fault;
  if (!session.lesson().is_readable()) return Error{ErrorKind::syntax, 0, "the lesson cannot be read", ""};
  const Handout& handout = session.handout();
  Json cautions_list = Json::array();
  for (const Caution& caution : cautions()) cautions_list.push_back(to_sentence(caution));
  Json blocks = Json::array();
  if (!handout.ideas.empty()) {
    const auto tempo = legal_tempo(present);
    if (!tempo) return tempo.error();
    wanted.present_bpm = *tempo;
    const auto plan = make_plan(handout, wanted);
    if (!plan) return plan.error();
    blocks = blocks_json(handout, plan->days.front());
  }
  return answer(
      {{"id", handout.prose.id}, {"ideas", ideas_json(handout)}, {"today", blocks}, {"cautions", cautions_list}});
}

}  // namespace fretloom::engine
