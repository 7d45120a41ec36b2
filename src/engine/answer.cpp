#include "engine/answer.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/lesson.h"

namespace fretloom::engine {

namespace {

Error no_idea(const Handout& handout, int number) {
  std::vector<std::string> numbers;
  for (const IdeaSheet& idea : handout.ideas) numbers.push_back(std::to_string(idea.number));
  const std::string there = numbers.empty() ? "has none" : "has " + join(numbers, ", ");
  return {ErrorKind::range, 0, "there is no idea " + std::to_string(number) + " without an error; the lesson " + there,
          numbers.empty() ? "" : numbers.front()};
}

}  // namespace

bool is_next_idea(const Session& session, Request& request) {
  const CompiledLesson& lesson = session.lesson();
  if (!lesson.is_readable() || !request.has("idea")) return false;
  const int idea = request.integer("idea", 1, k_max_ideas);
  request.integer("feel", 1, k_max_ideas, 1);
  return idea == static_cast<int>(lesson.lesson->idea_names.size()) + 1;
}

Result<ChosenFeel> chosen_feel(Session& session, Request& request) {
  const int number = request.integer("idea", 1, k_max_ideas);
  const int feel = request.integer("feel", 1, k_max_ideas, 1);
  if (const auto fault = request.fault()) return *fault;
  const Handout& handout = session.handout();
  const auto found = std::find_if(handout.ideas.begin(), handout.ideas.end(),
                                  [&](const IdeaSheet& idea) { return idea.number == number; });
  if (found == handout.ideas.end()) return no_idea(handout, number);
  const auto count = static_cast<int>(found->feels.size());
  if (feel > count)
    return Error{ErrorKind::range, 0, "idea " + std::to_string(number) + " has " + counted(found->feels.size(), "feel"),
                 std::to_string(count)};
  return ChosenFeel{&*found, static_cast<std::size_t>(feel - 1),
                    static_cast<std::size_t>(found - handout.ideas.begin())};
}

}  // namespace fretloom::engine
