// What a hand does: a change of a rule, and the positions that a pattern can be moved to.

#include <algorithm>

#include "engine/calls.h"
#include "engine/drawing.h"
#include "lesson/everywhere.h"
#include "lesson/reshape_idea.h"
#include "lick/rule_place.h"
#include "words/hand_words.h"

namespace fretloom::engine {

namespace {

/// As the request names them.
enum class Deed { move, accent, slur, rest, length, insert, remove, rule_length };
constexpr std::array<std::pair<std::string_view, Deed>, 8> k_deeds = {{{"move", Deed::move},
                                                                       {"accent", Deed::accent},
                                                                       {"slur", Deed::slur},
                                                                       {"rest", Deed::rest},
                                                                       {"length", Deed::length},
                                                                       {"insert", Deed::insert},
                                                                       {"remove", Deed::remove},
                                                                       {"rule_length", Deed::rule_length}}};
constexpr std::array<std::pair<std::string_view, Slur>, 3> k_slurs = {
    {{"none", Slur::none}, {"by_pitch", Slur::by_pitch}, {"slide", Slur::slide}}};

constexpr int k_widest_ordinal = 999;  // as lick/rule.cpp reads them
constexpr int k_longest_rule = k_max_rule_tokens * k_max_units;

/// All fields of a request, read before it is known what they are about.
struct HandRequest {
  Deed deed = Deed::move;
  std::optional<int> token;
  std::optional<int> note;
  std::optional<int> ordinal;
  std::optional<int> string;
  int alter = 0;
  bool has_alter = false;
  int thinner = 0;
  int repeat = 1;
  bool on = true;
  Slur slur = Slur::by_pitch;
  int units = 1;
  int own = 0;
};

std::optional<int> maybe(Request& request, std::string_view field, int low, int high) {
  if (!request.has(field)) return std::nullopt;
  return request.integer(field, low, high);
}

HandRequest read_hand(Request& request) {
  HandRequest hand;
  hand.deed = request.one_of("change", k_deeds, Deed::move);
  hand.token = maybe(request, "token", 0, k_max_rule_tokens);
  hand.note = maybe(request, "note", 0, k_max_rule_tokens * k_max_repeats);
  hand.ordinal = maybe(request, "ordinal", -k_widest_ordinal, k_widest_ordinal);
  hand.string = maybe(request, "string", 1, k_max_strings);
  hand.has_alter = request.has("alter");
  hand.alter = request.integer("alter", -1, 1, 0);
  hand.thinner = request.integer("thinner", -k_max_strings, k_max_strings, 0);
  hand.repeat = request.integer("repeat", 1, 2 * k_max_repeats, 1);
  hand.on = request.flag("on", true);
  hand.slur = request.one_of("slur", k_slurs, Slur::by_pitch);
  hand.units = request.integer("units", 0, k_longest_rule, 1);
  hand.own = request.integer("own", 0, k_max_rule_tokens, 0);
  return hand;
}

Error cannot(std::string what) { return {ErrorKind::range, 0, std::move(what), ""}; }

/// The token of a note of the feel; the note's repetition is the one that places are read in.
Result<std::size_t> chosen_token(const ChosenFeel& feel, const CompiledIdea& compiled, const Lick& lick,
                                 HandRequest& hand) {
  if (!hand.note) {
    if (hand.token || hand.deed == Deed::rule_length) return static_cast<std::size_t>(hand.token.value_or(0));
    return cannot("a change is asked for at a token or a note");
  }
  const std::vector<ScoreNote>& notes = feel.score().notes;
  const auto index = static_cast<std::size_t>(*hand.note);
  if (index >= notes.size()) return cannot("the idea has no such note");
  if (notes[index].role != Role::rule)
    return cannot("this note belongs to the ending, which follows from the rule; the ending has words of its own");
  hand.repeat = notes[index].repeat;
  const auto number = std::count_if(notes.begin(), notes.begin() + static_cast<std::ptrdiff_t>(index),
                                    [&](const ScoreNote& n) { return n.repeat == hand.repeat; });
  return token_of(lick, compiled.phrase.repeats, hand.repeat, static_cast<int>(number));
}

/// The place that a hand points at, as the rule writes it.
Result<RulePlace> chosen_place(const CompiledIdea& compiled, const Idea& idea, const HandRequest& hand) {
  const Ground& ground = idea.settings.ground;
  if (!ground.neck.has_string(*hand.string)) return cannot("there is no string " + std::to_string(*hand.string));
  const auto place =
      place_in_rule(ground, idea.lick, compiled.phrase, hand.repeat, *hand.string, hand.ordinal.value_or(1));
  if (!place) return cannot("the layout has no note there");
  return *place;
}

Result<RuleChange> chosen_change(const CompiledIdea& compiled, const Idea& idea, const HandRequest& hand,
                                 std::size_t token) {
  const std::vector<RuleToken>& tokens = idea.lick.rule.tokens;
  switch (hand.deed) {
    case Deed::accent: return RuleChange{token, SetAccent{hand.on}};
    case Deed::slur: return RuleChange{token, SetSlur{hand.slur}};
    case Deed::rest: return RuleChange{token, SetRest{hand.on}};
    case Deed::length: return RuleChange{token, SetUnits{hand.units}};
    case Deed::remove: return RuleChange{token, RemoveNote{}};
    case Deed::rule_length: return RuleChange{token, SetRuleUnits{hand.units, static_cast<std::size_t>(hand.own)}};
    case Deed::insert: {
      if (!hand.string || !hand.ordinal) return cannot("a new note is asked for at a string and an ordinal");
      const auto place = chosen_place(compiled, idea, hand);
      if (!place) return place.error();
      return RuleChange{token, InsertNote{place->ordinal, hand.alter, place->offset}};
    }
    case Deed::move: break;
  }
  if (token >= tokens.size()) return cannot("the rule has no such note");
  if (hand.string) {
    if (!hand.ordinal) return cannot("a note is moved to a string and an ordinal");
    const auto place = chosen_place(compiled, idea, hand);
    if (!place) return place.error();
    return RuleChange{token, MoveNote{place->ordinal, hand.alter, place->offset - tokens[token].offset}};
  }
  const int alter = hand.ordinal || hand.has_alter ? hand.alter : tokens[token].alter;
  return RuleChange{token, MoveNote{hand.ordinal.value_or(tokens[token].ordinal), alter, hand.thinner}};
}

Json reshaped_json(const Ground& ground, int idea, const ReshapedLesson& done) {
  std::string said = token_said(ground, done.lick, done.token);
  if (done.lost_a_slur) said += " A slur had nowhere to go and is picked now.";
  return {{"text", done.text}, {"idea", idea}, {"rule", done.lick.rule.text}, {"token", done.token}, {"says", said}};
}

/// The first note of a rule that is not there yet.
Result<Answer> begin(const Session& session, int idea, const HandRequest& hand) {
  if (hand.deed != Deed::insert || !hand.string || !hand.ordinal)
    return cannot("a new rule begins with a note at a string and an ordinal");
  const auto done = begin_idea(session.text(), *hand.string, *hand.ordinal);
  if (!done) return done.error();
  const CompiledLesson after = compile_lesson(done->text);
  return answer(reshaped_json(after.idea(after.ideas.back()).settings.ground, idea, *done));
}

}  // namespace

Result<Answer> reshape(Session& session, Request& request) {
  if (!request.has("change")) return cannot("a change needs its name at \"change\"");
  HandRequest hand = read_hand(request);
  const CompiledLesson& lesson = session.lesson();
  if (is_next_idea(session, request)) {
    if (const auto fault = request.fault()) return *fault;
    return begin(session, request.integer("idea", 1, k_max_ideas), hand);
  }
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const CompiledIdea& compiled = lesson.ideas[chosen->in_book];
  const Idea& idea = lesson.idea(compiled);
  const auto token = chosen_token(*chosen, compiled, idea.lick, hand);
  if (!token) return token.error();
  const auto change = chosen_change(compiled, idea, hand, *token);
  if (!change) return change.error();
  const auto done = reshape_idea(session.text(), idea, *change);
  if (!done) return done.error();
  return answer(reshaped_json(idea.settings.ground, idea.number, *done));
}

Result<Answer> positions(Session& session, Request& request) {
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const CompiledLesson& lesson = session.lesson();
  const Positions found = fretloom::positions(*lesson.lesson, lesson.idea(lesson.ideas[chosen->in_book]));
  Json list = Json::array();
  for (const Placement& placement : found.placements) list.push_back(placement_json(placement));
  return answer({{"idea", chosen->idea->number}, {"key", found.key.text()}, {"positions", list}});
}

}  // namespace fretloom::engine
