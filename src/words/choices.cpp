#include "words/choices.h"

#include <algorithm>
#include <array>
#include <functional>

#include "base/text.h"
#include "lesson/edit.h"
#include "lesson/table_reader.h"
#include "score/limits.h"
#include "words/effect.h"
#include "words/ending_sentence.h"
#include "words/english.h"
#include "words/idea_sentence.h"
#include "words/rule_words.h"
#include "words/settings_words.h"

namespace fretloom {

namespace {

using Choices = std::vector<Choice>;

constexpr std::array<std::string_view, 15> k_tonics = {"C", "G",  "D",  "A",  "E",  "B",  "F#", "C#",
                                                       "F", "Bb", "Eb", "Ab", "Db", "Gb", "G#"};
constexpr std::array<std::string_view, 12> k_meters = {"4/4", "3/4",  "2/4", "5/4",     "6/4",     "6/8",
                                                       "9/8", "12/8", "7/8", "2+2+3/8", "3+2+2/8", "3+2/8"};
constexpr std::array<std::string_view, 4> k_swings = {"1:1", "3:2", "2:1", "3:1"};
constexpr int k_most_repairs = 8;

/// value - reach to value + reach in steps, within low and high.
std::vector<int> near(int value, int reach, int low, int high, int step = 1) {
  std::vector<int> numbers;
  for (int n = value - reach * step; n <= value + reach * step; n += step) {
    if (n >= low && n <= high) numbers.push_back(n);
  }
  return numbers;
}

/// A number as TOML has it: a decimal keeps its point.
std::string toml_number(const Rational& number) { return number_text(number.to_double()); }

std::string toml_list(const std::vector<int>& numbers) {
  std::vector<std::string> items;
  for (const int n : numbers) items.push_back(std::to_string(n));
  return "[" + join(items, ", ") + "]";
}

std::string toml_list(const std::vector<Degree>& degrees) {
  std::vector<std::string> items;
  for (const Degree& degree : degrees) items.push_back(toml_string(degree.name()));
  return "[" + join(items, ", ") + "]";
}

/// What could stand at a key, legal or not.
class Proposer {
 public:
  Proposer(const CompiledLesson& lesson, const KeyPath& key)
      : key_(key), idea_(nullptr), facts_(musical_facts(lesson.lesson->settings)) {
    for (const CompiledIdea& compiled : lesson.ideas) {
      if (lesson.idea(compiled).number != key.idea) continue;
      compiled_ = &compiled;
      idea_ = &lesson.idea(compiled);
      facts_ = musical_facts(idea_->settings);
    }
  }

  Choices propose() {
    // One row a key; those of the second table stand in ideas alone.
    using Row = std::pair<std::string_view, void (Proposer::*)()>;
    static constexpr std::array<Row, 18> k_musical = {{{"key", &Proposer::keys},
                                                       {"tonic", &Proposer::tonics},
                                                       {"scale", &Proposer::scales},
                                                       {"tuning", &Proposer::tunings},
                                                       {"frets", &Proposer::frets},
                                                       {"scale_length", &Proposer::scale_lengths},
                                                       {"capo", &Proposer::capos},
                                                       {"reach", &Proposer::reaches},
                                                       {"layout.kind", &Proposer::layout_kinds},
                                                       {"layout.notes", &Proposer::layout_notes},
                                                       {"layout.width", &Proposer::layout_widths},
                                                       {"layout.from", &Proposer::layout_froms},
                                                       {"vamp.chords", &Proposer::vamps},
                                                       {"vamp.rhythm", &Proposer::rhythms},
                                                       {"vamp.swing", &Proposer::swings},
                                                       {"meter", &Proposer::meters},
                                                       {"tempo.slow", &Proposer::slow_tempos},
                                                       {"tempo.goal", &Proposer::goal_tempos}}};
    static constexpr std::array<Row, 18> k_own = {{{"cell", &Proposer::rules},
                                                   {"sequence", &Proposer::rules},
                                                   {"carry.strings", &Proposer::carry_strings},
                                                   {"carry.steps", &Proposer::carry_steps},
                                                   {"start.string", &Proposer::start_strings},
                                                   {"start.ordinal", &Proposer::start_ordinals},
                                                   {"start.beat", &Proposer::start_beats},
                                                   {"repeats", &Proposer::repeats},
                                                   {"back", &Proposer::backs},
                                                   {"notes_per_beat", &Proposer::feels},
                                                   {"picking", &Proposer::pickings},
                                                   {"first_stroke", &Proposer::first_strokes},
                                                   {"ending", &Proposer::endings},
                                                   {"ending.kind", &Proposer::ending_kinds},
                                                   {"ending.degree", &Proposer::ending_degrees},
                                                   {"ending.on", &Proposer::ending_places},
                                                   {"edits", &Proposer::edits},
                                                   {"fingers", &Proposer::fingers}}};
    if (key_.idea != 0 && idea_ == nullptr) return {};
    const auto run = [&](const auto& rows) {
      for (const auto& [key, make] : rows) {
        if (key == key_.key) (this->*make)();
      }
    };
    run(k_musical);
    if (key_.key == "clear_after") clears();
    if (idea_ != nullptr) run(k_own);
    return std::move(choices_);
  }

 private:
  void offer(std::string value, std::string says) { choices_.push_back({std::move(value), std::move(says), ""}); }
  void offer_text(std::string_view value, std::string says) { offer(toml_string(value), std::move(says)); }

  void keys() {
    const std::string mode = facts_.key.said_mode();
    for (const std::string_view tonic : k_tonics) offer_key(std::string(tonic) + " " + mode);
    for (const Mode& row : modes()) offer_key(facts_.key.tonic().name() + " " + std::string(row.name));
  }
  void offer_key(const std::string& name) {
    const bool is_told = std::any_of(choices_.begin(), choices_.end(), [&](const Choice& c) { return c.says == name; });
    if (!is_told && parse_key(name)) offer_text(name, name);
  }
  void tonics() {
    for (const std::string_view tonic : k_tonics) offer_text(tonic, std::string(tonic));
  }
  void scales() {
    offer(toml_list(facts_.key.degrees()), facts_.key.said_mode());
    for (const Mode& row : modes()) {
      if (row.name == facts_.key.mode()) continue;
      std::vector<Degree> degrees;
      for (const Word& word : words(row.degrees)) degrees.push_back(*parse_degree(word.text));
      offer(toml_list(degrees), std::string(row.name));
    }
  }
  void tunings() {
    for (const bool same : {true, false}) {
      for (const TuningPreset& preset : tuning_presets()) {
        const auto tuning = parse_tuning(preset.name);
        if ((tuning->strings() == facts_.neck.strings()) == same) offer_text(preset.name, tuning_words(*tuning));
      }
    }
  }
  void frets() {
    for (const int n : near(facts_.neck.frets, 4, 1, 48))
      offer(std::to_string(n), counted(static_cast<std::size_t>(n), "fret"));
  }
  void scale_lengths() {
    const double now = facts_.neck.scale_length.value;
    for (const double mm : {now - 20, now - 10, now, now + 10, now + 20}) offer(number_text(mm), millimetres_words(mm));
  }
  void capos() {
    for (const int n : near(facts_.neck.capo, 5, 0, facts_.neck.frets - 1)) offer(std::to_string(n), capo_words(n));
  }
  void reaches() {
    for (const double mm : {-20.0, -10.0, 0.0, 10.0, 20.0})
      offer(number_text(facts_.reach + mm), millimetres_words(facts_.reach + mm));
  }
  void layout_kinds() {
    for (const LayoutKind kind : {LayoutKind::per_string, LayoutKind::position, LayoutKind::octaves})
      offer_text(name(kind), layout_kind_words(kind));
  }
  void layout_notes() {
    LayoutRule rule = facts_.layout;
    if (rule.kind == LayoutKind::octaves) {
      for (int thick = 2; thick <= 5; ++thick) {
        for (int thin = 2; thin <= 5; ++thin) {
          rule.octave_notes = {thick, thin};
          offer(toml_list({thick, thin}), notes_words(rule));
        }
      }
      return;
    }
    for (const int n : near(facts_.layout.notes, 3, 1, 12)) {
      rule.notes = n;
      offer(std::to_string(n), notes_words(rule));
    }
  }
  void layout_widths() {
    for (const int n : near(facts_.layout.width, 3, 1, 12)) offer(std::to_string(n), width_words(n));
  }
  void layout_froms() {
    for (int n = 0; n <= facts_.neck.highest_fret(); ++n) offer(std::to_string(n), fret_words(n));
  }
  void vamps() {
    if (!facts_.vamp) return;
    offer_vamp(chords_text(*facts_.vamp, facts_.meter));
    offer_vamp(default_vamp(facts_.key));
    std::vector<std::string> bars;
    const std::string text = chords_text(*facts_.vamp, facts_.meter);
    for (const std::string_view bar : split(text, '|')) bars.emplace_back(trim(bar));
    for (const std::string& bar : bars) offer_vamp(bar);
    std::reverse(bars.begin(), bars.end());
    offer_vamp(join(bars, " | "));
  }
  void offer_vamp(const std::string& chords) {
    const auto vamp = parse_vamp(chords, facts_.meter);
    if (!vamp) return;
    const std::string says = chords_text(*vamp, facts_.meter);
    const bool is_told = std::any_of(choices_.begin(), choices_.end(), [&](const Choice& c) { return c.says == says; });
    if (!is_told) offer_text(says, says);
  }
  void rhythms() {
    for (const VampRhythm& row : vamp_rhythms()) offer_text(row.name, std::string(row.name));
  }
  void swings() {
    for (const std::string_view swing : k_swings) offer_text(swing, std::string(swing));
  }
  void meters() {
    offer_text(facts_.meter.name(), facts_.meter.name());
    for (const std::string_view meter : k_meters) {
      if (meter != facts_.meter.name()) offer_text(meter, std::string(meter));
    }
  }
  void slow_tempos() { tempos(facts_.tempo.slow_bpm, Rational(k_slowest_bpm), facts_.tempo.goal_bpm); }
  void goal_tempos() { tempos(facts_.tempo.goal_bpm, facts_.tempo.slow_bpm, Rational(k_fastest_bpm)); }
  void tempos(const Rational& now, const Rational& low, const Rational& high) {
    for (const int by : {-20, -10, -5, 0, 5, 10, 20}) {
      const Rational bpm = now + Rational(by);
      if (by == 0 || (low <= bpm && bpm <= high)) offer(toml_number(bpm), tempo_text(bpm));
    }
  }
  void clears() {
    for (const Clear clear : {Clear::upstroke, Clear::downstroke, Clear::both, Clear::none})
      offer_text(name(clear), clear_words(clear));
  }

  void rules() {
    const bool sequence = idea_->lick.rule.kind == RuleKind::sequence;
    if (sequence != (key_.key == "sequence")) return;
    offer_text(idea_->lick.rule.text, idea_->lick.rule.text);
    if (!compiled_->repair || !compiled_->repair->possible || compiled_->repair->slurs == 0) return;
    offer_text(compiled_->repair->rule, compiled_->repair->rule);
    for (const std::string& tie : compiled_->repair->ties) {
      if (choices_.size() <= k_most_repairs) offer_text(tie, tie);
    }
  }
  void carry_strings() {
    for (const int n : near(idea_->lick.carry.strings, 3, -k_max_strings + 1, k_max_strings - 1))
      offer(std::to_string(n), carry_strings_words(n));
  }
  void carry_steps() {
    for (const int n : near(idea_->lick.carry.steps, 4, -48, 48)) offer(std::to_string(n), carry_steps_words(n));
  }
  void start_strings() {
    for (int n = facts_.neck.strings(); n >= 1; --n) offer(std::to_string(n), string_words(n));
  }
  void start_ordinals() {
    if (idea_->lick.rule.kind != RuleKind::sequence) return;
    for (int n = 1; n <= std::max(facts_.layout.notes, idea_->lick.start_ordinal); ++n)
      offer(std::to_string(n), start_ordinal_words(n));
  }
  void start_beats() {
    const auto offer_beat = [&](const Rational& beat) {
      offer(toml_number(beat), start_beat_words(beat, facts_.meter));
    };
    const int beats = facts_.meter.beats_per_bar();
    for (int halves = -4; halves < 2 * std::min(beats, 4); ++halves) offer_beat(Rational(halves, 2));
  }
  void repeats() {
    offer_text("fit", repeats_words(std::nullopt));
    for (const int n : near(compiled_->phrase.repeats, 6, 1, k_max_repeats)) offer(std::to_string(n), repeats_words(n));
  }
  void backs() {
    offer_text("none", back_words(Back::none));
    offer_text("retrograde", back_words(Back::retrograde));
    offer_text("mirrored", back_words(Back::mirrored));
  }
  void feels() {
    const auto offer_feels = [&](const std::vector<int>& feels) {
      std::vector<std::string> names;
      for (const int k : feels) names.push_back(std::to_string(k));
      const std::string value = toml_list(feels);
      const bool is_told =
          std::any_of(choices_.begin(), choices_.end(), [&](const Choice& c) { return c.value == value; });
      if (!is_told) offer(value, listed(names));
    };
    const std::vector<int>& now = idea_->notes_per_beat;
    offer_feels(now);
    for (int k = 1; k <= 12; ++k) offer_feels({k});
    for (int k = 1; k <= 12; ++k) {
      std::vector<int> more = now;
      if (std::find(now.begin(), now.end(), k) != now.end()) continue;
      more.push_back(k);
      offer_feels(more);
    }
  }
  void pickings() {
    for (const Picking picking : {Picking::alternate, Picking::grid, Picking::economy})
      offer_text(name(picking), picking_words(picking));
  }
  void first_strokes() {
    for (const Stroke stroke : {Stroke::down, Stroke::up}) offer_text(name(stroke), a_stroke(stroke));
  }
  void endings() {
    offer_text("auto", "the best ending there is");
    offer_text("none", "stops without an ending");
    for (const EndingKind kind : {EndingKind::fill, EndingKind::hold, EndingKind::late, EndingKind::trim})
      offer("{ kind = " + toml_string(name(kind)) + " }", ending_kind_words(kind));
  }
  void ending_kinds() {
    for (const EndingKind kind : {EndingKind::fill, EndingKind::hold, EndingKind::late, EndingKind::trim})
      offer_text(name(kind), ending_kind_words(kind));
  }
  void ending_degrees() {
    for (const Degree& degree : facts_.key.degrees()) {
      offer_text(degree.name(), "degree " + degree.name() + ", " + degree.above(facts_.key.tonic()).name());
    }
  }
  void ending_places() {
    offer_text("beat", ending_on_words(EndingOn::beat));
    offer_text("strong", ending_on_words(EndingOn::strong));
    offer_text("bar", ending_on_words(EndingOn::bar));
  }
  void edits() {
    std::vector<std::string> items;
    for (const NoteEdit& edit : idea_->lick.edits) {
      items.push_back("{ repeat = " + std::to_string(edit.repeat) + ", note = " + std::to_string(edit.note) +
                      ", fret = " + std::to_string(edit.fret) + " }");
    }
    if (!items.empty()) offer("[" + join(items, ", ") + "]", counted_word(static_cast<int>(items.size()), "note"));
    offer("[]", "no note");
  }
  void fingers() { offer("[]", "no finger"); }

  const KeyPath& key_;
  const CompiledIdea* compiled_ = nullptr;
  const Idea* idea_;
  MusicalFacts facts_;
  Choices choices_;
};

}  // namespace

std::vector<Choice> proposals(const CompiledLesson& lesson, const KeyPath& key) {
  return lesson.lesson ? Proposer(lesson, key).propose() : Choices{};
}

std::vector<Choice> choices(std::string_view text, const CompiledLesson& lesson, const KeyPath& key) {
  Choices legal;
  for (Choice& choice : proposals(lesson, key)) {
    const auto edited = set_value(text, key, choice.value);
    if (!edited) continue;
    const CompiledLesson then = compile_lesson(*edited);
    if (first_new_error(then.findings, lesson.findings) != nullptr) continue;
    choice.does = effect_words(lesson, then, key);
    legal.push_back(std::move(choice));
  }
  return legal;
}

}  // namespace fretloom
