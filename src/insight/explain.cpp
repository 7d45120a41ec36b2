#include "insight/explain.h"

#include <algorithm>
#include <map>

#include "insight/code_length.h"
#include "insight/placements.h"
#include "insight/search.h"
#include "lick/rule.h"

namespace fretloom {

namespace {

bool sounds(const PitchClass& name, int midi) { return floor_mod(name.semitones() - midi, 12) == 0; }

/// How unlikely a key is among those with the same notes.
double key_cost(const Key& key, const GivenPhrase& given, const Candidate& candidate, int lowest_midi) {
  double cost = mode_bits(key.mode());
  if (!sounds(key.tonic(), candidate.notes.front().midi)) cost += 2;
  if (!sounds(key.tonic(), lowest_midi)) cost += 1;
  if (!sounds(key.tonic(), candidate.notes.back().midi)) cost += 0.75;
  if (given.fifths && key_signature(key) != *given.fifths) cost += 3;
  return cost;
}

std::vector<Key> likely_keys(const GivenPhrase& given, const HeardPhrase& phrase, const Home* home,
                             const Candidate& candidate) {
  const int lowest = phrase.neck.open_midi(phrase.neck.strings()) + candidate.layout.from;
  std::vector<std::pair<double, Key>> ranked;
  for (Key& key : keys_with(candidate.scale)) {
    const bool is_home = home != nullptr && home->key() == key;
    const double cost = is_home ? 0 : key_cost(key, given, candidate, lowest);
    ranked.emplace_back(cost, std::move(key));
  }
  std::stable_sort(ranked.begin(), ranked.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  // A key with a scale of its own has no name to be found by.
  if (home != nullptr && home->scale() == candidate.scale && (ranked.empty() || ranked.front().second != home->key()))
    ranked.insert(ranked.begin(), {0, home->key()});
  std::vector<Key> keys;
  for (auto& [cost, key] : ranked) keys.push_back(std::move(key));
  return keys;
}

/// Told note by note.
double plain_bits(const HeardPhrase& phrase) { return k_plain_note_bits * static_cast<double>(phrase.notes.size()); }

/// Notes that lie a missed step of the tuning too low are put where they belong.
struct Shift {
  int string = 0;  ///< this string and thinner ones; 0: none
  int frets = 0;

  [[nodiscard]] bool moves(int at) const { return at <= string; }
};

class AnswerMaker {
 public:
  AnswerMaker(const GivenPhrase& given, const HeardPhrase& phrase, const Home* home, const Shift& shift)
      : given_(given), phrase_(phrase), home_(home), shift_(shift) {}

  /// Nothing where the lesson's own reading of the rule does not bear the candidate out.
  [[nodiscard]] std::optional<Answer> make(const Candidate& candidate) const {
    const std::vector<Key> keys = likely_keys(given_, phrase_, home_, candidate);
    if (keys.empty()) return std::nullopt;
    Answer answer;
    answer.key = keys.front();
    answer.same_notes.assign(keys.begin() + 1, keys.end());
    answer.neck = phrase_.neck;
    answer.layout = candidate.layout;
    answer.heard = candidate.notes;
    answer.notes_per_beat = phrase_.notes_per_beat;
    answer.start_beat = phrase_.start_beat;
    answer.meter = given_.meter;
    answer.name = given_.name;
    answer.places_given = phrase_.places == Places::given;
    answer.ruled = candidate.ruled;
    if (!expand_lick(candidate, answer)) return std::nullopt;
    compare(answer);
    for (std::size_t i = 0; i < answer.ruled; ++i) {
      if (!answer.key.contains(answer.heard[i].midi)) ++answer.outside;
    }
    answer.plain_bits = plain_bits(phrase_);
    // The lesson's own reading may find more slips than the search did.
    const std::size_t more = answer.misfits.size() - std::min(answer.misfits.size(), candidate.slips);
    answer.bits = candidate.bits + static_cast<double>(more) * misfit_bits(answer.heard.size()) +
                  (answer.lick.repeats ? k_repeats_bits : 0) + (shift_.string > 0 ? k_cause_bits : 0);
    unshift(answer);
    return answer;
  }

 private:
  static bool expand_lick(const Candidate& candidate, Answer& answer) {
    const auto rule = parse_rule(candidate.kind, spelled(candidate.kind, candidate.tokens));
    const auto layout = make_layout(answer.key, answer.neck, candidate.layout);
    if (!rule || !layout) return false;
    const Ground ground{answer.key, answer.neck, *layout};
    if (off_neck(ground.key, ground.neck, ground.layout)) return false;
    answer.lick.rule = *rule;
    answer.lick.carry = candidate.carry;
    answer.lick.start_string = candidate.start_string;
    answer.lick.start_ordinal = candidate.start_ordinal;
    answer.lick.back = candidate.back;
    std::optional<Phrase> phrase;
    const auto attempt = [&](std::optional<int> repeats) {
      std::vector<Remark> remarks;
      answer.lick.repeats = repeats;
      phrase = expand(ground, answer.lick, remarks);
      return phrase.has_value();
    };
    // As often as the neck has room, if that is how often; a last repetition that is cut may have no room.
    const bool fits = attempt(std::nullopt) && phrase->repeats == candidate.repeats;
    if (!fits && !attempt(candidate.repeats) && !(candidate.repeats > 1 && attempt(candidate.repeats - 1)))
      return false;
    answer.repeats = phrase->repeats;
    answer.notes = std::move(phrase->notes);
    answer.ruled = std::min(answer.ruled, answer.notes.size());
    answer.missing = answer.notes.size() - answer.ruled;
    return true;
  }

  static void compare(Answer& answer) {
    int number_of_repeat = 0;
    for (std::size_t i = 0; i < answer.ruled; ++i) {
      const HeardNote& heard = answer.heard[i];
      const LickNote& expected = answer.notes[i];
      number_of_repeat = i > 0 && answer.notes[i - 1].repeat == expected.repeat ? number_of_repeat + 1 : 1;
      Misfit misfit{MisfitKind::place,
                    static_cast<int>(i) + 1,
                    {heard.string, heard.fret},
                    {expected.string, expected.fret},
                    heard.attack,
                    expected.attack,
                    expected.repeat,
                    number_of_repeat};
      if (misfit.found == misfit.expected) {
        if (heard.attack != expected.attack) {
          misfit.kind = MisfitKind::attack;
        } else if (!is_in_time(answer, i)) {
          misfit.kind = MisfitKind::time;
        } else if (heard.accent != expected.accent) {
          misfit.kind = MisfitKind::accent;
        } else {
          continue;
        }
      }
      answer.misfits.push_back(misfit);
    }
  }

  /// The note lasts as long as the rule says and is followed as soon. The last note may be held into the ending.
  static bool is_in_time(const Answer& answer, std::size_t i) {
    if (i + 1 >= answer.ruled) return true;
    const HeardNote& heard = answer.heard[i];
    const LickNote& expected = answer.notes[i];
    return heard.units == expected.units &&
           answer.heard[i + 1].unit - heard.unit == answer.notes[i + 1].unit - expected.unit;
  }

  /// The phrase as it was given, and the one cause in place of its many wrong notes.
  void unshift(Answer& answer) const {
    if (shift_.string == 0) return;
    MissedStep step{shift_.string, shift_.frets, 0};
    for (std::size_t i = 0; i < answer.heard.size(); ++i) {
      HeardNote& note = answer.heard[i];
      if (!shift_.moves(note.string)) continue;
      note.fret -= shift_.frets;
      note.midi -= shift_.frets;
      if (i < answer.ruled) ++step.notes;
    }
    for (Misfit& misfit : answer.misfits) {
      if (!shift_.moves(misfit.found.string)) continue;
      misfit.found.fret -= shift_.frets;
      --step.notes;  // wrong by itself as well
    }
    answer.missed_step = step;
  }

  const GivenPhrase& given_;
  const HeardPhrase& phrase_;
  const Home* home_;
  Shift shift_;
};

double rank(const Answer& answer) { return answer.bits + rank_bits(answer.tells()); }
bool shorter(const Answer& a, const Answer& b) { return rank(a) < rank(b); }

void add_answers(const GivenPhrase& given, const HeardPhrase& phrase, const Home* home, const Shift& shift,
                 Shortlist& shortlist, std::vector<Answer>& answers) {
  const AnswerMaker maker(given, phrase, home, shift);
  for (const Candidate& candidate : shortlist.take()) {
    if (auto answer = maker.make(candidate)) answers.push_back(*std::move(answer));
  }
  std::stable_sort(answers.begin(), answers.end(), shorter);
}

/// The shapes of the neck that a missed step of the tuning would give: one for each step that is not the usual one.
std::vector<Shift> missed_steps(const Tuning& tuning) {
  std::map<int, int> counts;
  const auto step = [&](std::size_t i) { return tuning.open[i + 1].midi() - tuning.open[i].midi(); };
  for (std::size_t i = 0; i + 1 < tuning.open.size(); ++i) ++counts[step(i)];
  int usual = 0;
  for (const auto& [size, count] : counts) {
    if (count > counts[usual]) usual = size;
  }
  std::vector<Shift> shifts;
  for (std::size_t i = 0; i + 1 < tuning.open.size(); ++i) {
    const int frets = usual - step(i);
    if (frets != 0) shifts.push_back({tuning.strings() - static_cast<int>(i) - 1, frets});
  }
  return shifts;
}

/// Most of the notes that the shift moves follow as they are, in a rule that is played often enough to trust it: then
/// they are not moved.
bool follow_as_they_are(const Answer& answer, const Shift& shift) {
  constexpr int k_trusted_repeats = 4;
  if (answer.repeats < k_trusted_repeats) return false;
  int moved = 0;
  int following = 0;
  for (std::size_t i = 0; i < answer.heard.size(); ++i) {
    if (!shift.moves(answer.heard[i].string)) continue;
    ++moved;
    following += i < answer.ruled ? 1 : 0;
  }
  for (const Misfit& misfit : answer.misfits) following -= shift.moves(misfit.found.string) ? 1 : 0;
  return following * 5 >= moved * 4;
}

void look_for_missed_steps(const GivenPhrase& given, const HeardPhrase& phrase, const Home* home,
                           std::vector<Answer>& answers) {
  for (const Shift& shift : missed_steps(phrase.neck.tuning)) {
    HeardPhrase moved = phrase;
    int count = 0;
    for (HeardNote& note : moved.notes) {
      if (!shift.moves(note.string)) continue;
      note.fret += shift.frets;
      note.midi += shift.frets;
      ++count;
    }
    const bool on_neck = std::all_of(moved.notes.begin(), moved.notes.end(),
                                     [&](const HeardNote& n) { return moved.neck.has_fret(n.fret); });
    if (count < 2 || count + 1 >= static_cast<int>(moved.notes.size()) || !on_neck) continue;
    if (!answers.empty() && follow_as_they_are(answers.front(), shift)) continue;
    const double plain = plain_bits(moved) - k_cause_bits;
    Shortlist shortlist(k_answer_margin_bits, plain, answers.empty() ? plain : rank(answers.front()) - k_cause_bits);
    search_rules(moved, home, shortlist);
    add_answers(given, moved, home, shift, shortlist, answers);
  }
}

/// The same pattern at other places of the strings' rows: another layout, with ordinals and steps to match.
bool is_variant(const Answer& a, const Answer& b) {
  return a.lick.rule.kind == b.lick.rule.kind && a.lick.rule.tokens.size() == b.lick.rule.tokens.size() &&
         a.lick.back == b.lick.back && a.repeats == b.repeats && a.key == b.key && a.heard == b.heard &&
         a.missed_step == b.missed_step;
}

/// The few that are worth showing: near the best, and no longer than the plain phrase where they do not tell all of it.
void choose(std::vector<Answer>& answers) {
  std::erase_if(answers, [](const Answer& answer) {
    return answer.tells() == Tells::not_all && answer.bits >= answer.plain_bits;
  });
  if (answers.empty()) return;
  const double limit = rank(answers.front()) + k_answer_margin_bits;
  std::erase_if(answers, [&](const Answer& answer) { return rank(answer) > limit; });
  std::vector<Answer> kept;
  for (Answer& answer : answers) {
    const bool known =
        std::any_of(kept.begin(), kept.end(), [&](const Answer& one) { return is_variant(one, answer); });
    if (!known) kept.push_back(std::move(answer));
  }
  answers = std::move(kept);
  if (answers.size() > k_most_answers) answers.resize(k_most_answers);
  for (std::size_t i = 0; i + 1 < answers.size(); ++i) {
    if (rank(answers[i + 1]) - rank(answers[i]) > 1e-6) continue;
    answers[i].tie = true;
    answers[i + 1].tie = true;
  }
}

}  // namespace

std::string_view name(MisfitKind kind) {
  switch (kind) {
    case MisfitKind::place: return "place";
    case MisfitKind::attack: return "attack";
    case MisfitKind::time: return "time";
    case MisfitKind::accent: return "accent";
  }
  return "place";
}

std::size_t Answer::follows() const {
  return ruled - misfits.size() - (missed_step ? static_cast<std::size_t>(missed_step->notes) : 0);
}

Tells Answer::tells() const {
  const bool all = misfits.empty() && !missed_step && ruled == heard.size() && missing == 0;
  return all ? Tells::all : Tells::not_all;
}

namespace {

Explanation explained(const GivenPhrase& given, const HeardPhrase& phrase, const Home* home) {
  Explanation explanation;
  Shortlist shortlist(k_answer_margin_bits, plain_bits(phrase));
  if (phrase.places == Places::given) {
    search_rules(phrase, home, shortlist);
  } else {
    search_pitches(phrase, home, shortlist);
  }
  std::vector<Answer>& answers = explanation.answers;
  add_answers(given, phrase, home, {}, shortlist, answers);
  const bool is_told = !answers.empty() && answers.front().follows() == phrase.notes.size();
  if (phrase.places == Places::given && !is_told) look_for_missed_steps(given, phrase, home, answers);
  choose(answers);
  if (answers.empty())
    explanation.why_not = given.notes.size() < 2 * k_least_notes ? NoAnswer::too_few : NoAnswer::no_rule;
  return explanation;
}

}  // namespace

Result<Explanation> explain(const GivenPhrase& given, const std::optional<Tuning>& otherwise) {
  if (given.notes.size() < k_least_notes) return Explanation{{}, NoAnswer::too_few};
  const auto phrase = hear(given, otherwise);
  if (!phrase) return phrase.error();
  return explained(given, *phrase, nullptr);
}

Result<Explanation> explain(const GivenPhrase& given, const Home& home) {
  if (given.notes.size() < k_least_notes) return Explanation{{}, NoAnswer::too_few};
  GivenPhrase here = given;
  if (!given.tuning && given.capo == 0) here.capo = home.neck().capo;
  auto heard = hear(here, home.neck().tuning);
  if (!heard) return heard.error();
  HeardPhrase phrase = std::move(heard).value();
  Neck& neck = phrase.neck;
  const bool is_on_neck = std::all_of(phrase.notes.begin(), phrase.notes.end(),
                                      [&](const HeardNote& note) { return home.neck().has_fret(note.fret); });
  if (neck.tuning == home.neck().tuning && neck.capo == home.neck().capo && is_on_neck) neck = home.neck();
  return explained(here, phrase, &home);
}

}  // namespace fretloom
