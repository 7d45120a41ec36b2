#include "words/more_sentence.h"

#include <functional>
#include <set>

#include "base/text.h"
#include "words/ending_sentence.h"
#include "words/english.h"
#include "words/idea_sentence.h"
#include "words/lesson_sentence.h"
#include "words/settings_words.h"

namespace fretloom {

namespace {

/// Collects sentences of one value each, but for those that are said already.
class Rest {
 public:
  explicit Rest(const Sentence& said) {
    for (const Span& span : said) {
      if (span.key) said_.insert(*span.key);
    }
  }

  void tell(std::string_view before, const std::string& value, const KeyPath& key, std::string_view behind = ".") {
    if (!said_.insert(key).second) return;
    Sentence sentence;
    add(sentence, before);
    add(sentence, before.empty() ? capital(value) : value, key);
    add(sentence, behind);
    add_sentence(text_, sentence);
  }
  void tell(std::string_view sentence) { add_sentence(text_, {{std::string(sentence), std::nullopt, std::nullopt}}); }
  [[nodiscard]] Sentence take() { return std::move(text_); }

 private:
  std::set<KeyPath> said_;
  Sentence text_;
};

/// Every musical key but the key itself, in the order of the lesson sentence.
void tell_settings(Rest& rest, const MusicalFacts& facts, const std::function<KeyPath(std::string_view)>& place) {
  rest.tell("It is played on ", tuning_words(facts.neck.tuning), place("tuning"));
  rest.tell("There is a capo at ", capo_words(facts.neck.capo), place("capo"));
  rest.tell("The neck has ", counted(static_cast<std::size_t>(facts.neck.frets), "fret"), place("frets"));
  rest.tell("Its scale length is ", millimetres_words(facts.neck.scale_length.value), place("scale_length"));
  rest.tell("Its notes lie ", layout_kind_words(facts.layout.kind), place("layout.kind"));
  if (facts.layout.kind == LayoutKind::position) {
    rest.tell("The position is ", width_words(facts.layout.width), place("layout.width"), " wide.");
  } else {
    rest.tell("There are ", notes_words(facts.layout), place("layout.notes"));
  }
  rest.tell("The layout starts from ", fret_words(facts.layout.from), place("layout.from"));
  if (facts.vamp) {
    rest.tell("The vamp is ", chords_text(*facts.vamp, facts.meter), place("vamp.chords"));
    rest.tell("The rhythm of the chords is ", std::string(facts.vamp->rhythm.name), place("vamp.rhythm"));
    rest.tell("Their swing is ", swing_text(facts.vamp->swing), place("vamp.swing"));
  }
  rest.tell("The meter is ", facts.meter.name(), place("meter"));
  rest.tell("The slow tempo is ", tempo_text(facts.tempo.slow_bpm), place("tempo.slow"));
  rest.tell("The goal is ", tempo_text(facts.tempo.goal_bpm), place("tempo.goal"));
  rest.tell("The pick stands clear after ", clear_words(facts.clear), place("clear_after"));
  rest.tell("The fretting hand spans ", millimetres_words(facts.reach), place("reach"), " without strain.");
}

void tell_idea(Rest& rest, const Idea& idea) {
  const auto own = [&](std::string_view key) { return KeyPath{idea.number, std::string(key)}; };
  const bool sequence = idea.lick.rule.kind == RuleKind::sequence;
  if (!sequence)
    rest.tell("From time to time it goes ", carry_strings_words(idea.lick.carry.strings), own("carry.strings"));
  rest.tell("Along the scale it goes ", carry_steps_words(idea.lick.carry.steps), own("carry.steps"));
  rest.tell("It starts on ", string_words(idea.lick.start_string), own("start.string"));
  if (sequence)
    rest.tell("It starts with ", start_ordinal_words(idea.lick.start_ordinal), own("start.ordinal"),
              " of that string.");
  rest.tell("It starts ", start_beat_words(idea.start_beat, idea.settings.meter), own("start.beat"));
  rest.tell("It goes ", back_words(idea.lick.back), own("back"));
  // Said where there are some; so there are none.
  rest.tell("", "no note", own("edits"), " is put on another fret by hand.");
  rest.tell("", "no finger", own("fingers"), " is set by hand.");
}

}  // namespace

Sentence lesson_more(const Lesson& lesson) {
  Rest rest(lesson_sentence(lesson));
  tell_settings(rest, musical_facts(lesson.settings), [](std::string_view key) {
    return KeyPath{0, std::string(key)};
  });
  return rest.take();
}

Sentence idea_more(const CompiledLesson& lesson, const CompiledIdea& compiled) {
  const Idea& idea = lesson.idea(compiled);
  Sentence said = idea_sentence(lesson, compiled);
  for (const Feel& feel : compiled.feels) add(said, ending_sentence(lesson, compiled, feel));
  Rest rest(said);
  tell_idea(rest, idea);
  rest.tell("All that the lesson sets can be set for this idea alone.");
  const KeyPlaces places(lesson.lesson->source, idea.number);
  const MusicalFacts facts = musical_facts(idea.settings);
  if (is_key_by_degrees(places)) {
    rest.tell("Its tonic is ", facts.key.tonic().name(), places.own("tonic"));
    rest.tell("Its scale is ", facts.key.said_mode(), places.own("scale"));
  } else {
    rest.tell("Its key is ", facts.key.said_name(), places.own("key"));
  }
  tell_settings(rest, facts, [&](std::string_view key) { return places.own(key); });
  return rest.take();
}

}  // namespace fretloom
