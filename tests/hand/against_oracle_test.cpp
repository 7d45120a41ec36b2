// The rooms neck, lick and hand against the oracle, a second reading of the design by brute force.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <array>
#include <sstream>

#include "base/text.h"
#include "hand/default_lesson.h"
#include "hand/ending.h"
#include "hand/plain_endings.h"
#include "hand/proof.h"
#include "hand/repair.h"
#include "oracle/oracle.h"

namespace fretloom {
namespace {

/// The same idea for both readings.
struct Both {
  oracle::Idea theirs;
  Ground ground{Key(PitchClass{}, "x", {Degree{1, 0}}), {}, {}};
  Lick lick;
  Picking picking = Picking::alternate;
  Stroke first = Stroke::down;
  Clear clear = Clear::upstroke;
};

constexpr std::array k_scales = {"1 2 3 4 5 6 7",      "1 2 b3 4 5 6 b7", "1 b2 b3 4 5 b6 b7",
                                 "1 b3 4 5 b7",        "1 b3 4 b5 5 b7",  "1 2 3 #4 #5 b7",
                                 "1 2 b3 4 b5 b6 6 7", "1 2 b3 4 5 b6 7", "1 b2 b3 b4 b5 b6 bb7"};
constexpr std::array k_tonics = {"E", "C#", "Bb", "F#", "Ab", "D", "B", "G"};
const std::vector<std::vector<const char*>> k_tunings = {{"E2", "A2", "D3", "G3", "B3", "E4"},
                                                         {"A1", "E2", "A2", "D3", "G3", "B3", "E4"},
                                                         {"E1", "A1", "D2", "G2"},
                                                         {"G4", "C4", "E4", "A4"},
                                                         {"E2", "A2", "D3", "G3", "C4", "F4"},
                                                         {"D2", "A2", "D3"},
                                                         {"E2", "E3"},
                                                         {"A2", "D3", "D3", "A3"},
                                                         {"C3"}};

std::string random_token(bool sequence, bool first, bool after_rest, bool after_move) {
  const int kind = *rc::gen::inRange(0, 20);
  if (!first && kind == 0) return "r";
  std::string token;
  const bool may_slur = !first && !after_rest && !after_move;
  if (may_slur && kind >= 17) token += "hps"[*rc::gen::inRange(0, 3)];
  token += std::to_string(*rc::gen::inRange(sequence ? -1 : 1, sequence ? 6 : 5));
  if (kind == 1) token += *rc::gen::element('#', 'b');
  if (kind == 2) token += "!";
  if (kind == 3) token += "x2";
  return token;
}

std::string random_rule(bool sequence) {
  std::string rule;
  const int length = *rc::gen::inRange(1, 8);
  bool after_rest = false;
  bool after_move = false;
  for (int i = 0; i < length; ++i) {
    if (!rule.empty()) rule += ' ';
    after_move = false;
    if (!sequence && i > 0 && *rc::gen::inRange(0, 3) == 0) {
      rule += *rc::gen::element<std::string>("+ ", "- ", "++ ", "+ + ");
      after_move = true;
    }
    const std::string token = random_token(sequence, i == 0, after_rest, after_move);
    after_rest = token == "r";
    rule += token;
  }
  return rule;
}

std::optional<Both> random_idea() {
  Both both;
  oracle::Idea& o = both.theirs;
  const std::string degrees = *rc::gen::elementOf(k_scales);
  o.scale.tonic = *rc::gen::elementOf(k_tonics);
  for (const Word& word : words(degrees)) o.scale.degrees.emplace_back(word.text);
  const auto key = make_key(*parse_pitch_class(o.scale.tonic), o.scale.degrees);
  const auto names = *rc::gen::elementOf(k_tunings);
  const auto tuning = parse_tuning(std::vector<std::string>(names.begin(), names.end()));
  Neck neck{*tuning, *rc::gen::element(15, 22, 24), Millimetres(648), *rc::gen::weightedElement<int>({{4, 0}, {1, 2}})};
  for (const auto& open : tuning->open) o.neck.open.push_back(open.midi());
  o.neck.capo = neck.capo;
  o.neck.frets = neck.frets;

  LayoutRule rule;
  rule.kind = *rc::gen::element(LayoutKind::per_string, LayoutKind::position, LayoutKind::octaves);
  rule.notes = *rc::gen::inRange(1, 5);
  rule.octave_notes = {*rc::gen::inRange(2, 5), *rc::gen::inRange(2, 5)};
  rule.width = *rc::gen::inRange(3, 7);
  rule.from = *rc::gen::inRange(0, 13);
  o.layout.kind = static_cast<oracle::Kind>(rule.kind);
  o.layout.notes = rule.kind == LayoutKind::octaves
                       ? std::vector<int>{rule.octave_notes.first, rule.octave_notes.second}
                       : std::vector<int>{rule.notes};
  o.layout.width = rule.width;
  o.layout.from = rule.from;
  const auto layout = make_layout(*key, neck, rule);
  const auto check = oracle::check_layout(o.scale, o.neck, o.layout);
  const bool ours = layout.ok() && !off_neck(*key, neck, *layout);
  RC_ASSERT(ours == check.legal);
  if (!layout.ok()) return std::nullopt;
  RC_ASSERT(layout_frets(*key, neck, *layout) == oracle::layout(o.scale, o.neck, o.layout));
  if (!ours) {
    const auto off = off_neck(*key, neck, *layout);
    RC_ASSERT(off->string == check.string);
    RC_ASSERT(off->fret == check.fret);
    RC_ASSERT(nearest_legal_from(*key, neck, rule) == check.nearest_from);
    return std::nullopt;
  }
  both.ground = {*key, neck, *layout};

  o.sequence = *rc::gen::weightedElement<bool>({{3, false}, {1, true}});
  o.rule = random_rule(o.sequence);
  auto parsed = parse_rule(o.sequence ? RuleKind::sequence : RuleKind::cell, o.rule);
  const auto theirs = o.sequence ? oracle::parse_sequence(o.rule) : oracle::parse_cell(o.rule);
  RC_ASSERT(parsed.ok() == theirs.error.empty());
  if (!parsed) return std::nullopt;
  both.lick.rule = *parsed;
  o.carry_strings = o.sequence ? 0 : *rc::gen::weightedElement<int>({{6, 1}, {2, 0}, {2, -1}, {1, 2}});
  o.carry_steps = *rc::gen::weightedElement<int>({{3, o.sequence ? 1 : 0}, {1, 0}, {2, 1}, {1, -1}, {1, 2}});
  both.lick.carry = {o.carry_strings, o.carry_steps};
  o.start_string = *rc::gen::inRange(1, neck.strings() + 1);
  if (*rc::gen::inRange(0, 2) == 0) o.start_string = o.carry_strings < 0 ? 1 : neck.strings();
  both.lick.start_string = o.start_string;
  const int n = both.ground.layout.strings[neck.index(o.start_string)].count;
  o.start_ordinal = o.sequence && n > 0 ? *rc::gen::inRange(1, n + 1) : 1;
  both.lick.start_ordinal = o.start_ordinal;
  o.repeats = *rc::gen::weightedElement<int>({{3, 0}, {1, 1}, {1, 3}});
  if (o.repeats > 0) both.lick.repeats = o.repeats;
  const int back = *rc::gen::inRange(0, 3);
  o.back = static_cast<oracle::Back>(back);
  both.lick.back = static_cast<Back>(back);
  const int picking = *rc::gen::inRange(0, 3);
  o.picking = static_cast<oracle::Picking>(picking);
  both.picking = static_cast<Picking>(picking);
  const int clear = *rc::gen::weightedElement<int>({{4, 0}, {4, 1}, {1, 2}, {1, 3}});
  o.clear_after = static_cast<oracle::Clear>(clear);
  both.clear = static_cast<Clear>(clear);
  both.first = *rc::gen::element(Stroke::down, Stroke::up);
  o.first_stroke = letter(both.first);
  return both;
}

std::string describe(const Both& both) {
  const oracle::Idea& o = both.theirs;
  return both.ground.key.name() + ", layout " + oracle::list_layout(oracle::layout(o.scale, o.neck, o.layout)) +
         ", rule " + o.rule + ", carry " + std::to_string(o.carry_strings) + "/" + std::to_string(o.carry_steps) +
         ", start " + std::to_string(o.start_string) + "/" + std::to_string(o.start_ordinal) + ", repeats " +
         std::to_string(o.repeats) + ", back " + std::to_string(static_cast<int>(o.back)) + ", frets " +
         std::to_string(o.neck.frets) + ", capo " + std::to_string(o.neck.capo) + "\n";
}

void expect_same_note(const LickNote& ours, const std::optional<Stroke>& stroke, const oracle::Note& theirs) {
  RC_ASSERT(ours.string == theirs.string);
  RC_ASSERT(ours.fret == theirs.fret);
  RC_ASSERT(ours.ordinal == theirs.ordinal);
  RC_ASSERT(ours.midi == theirs.midi);
  RC_ASSERT(ours.pitch.name() == theirs.pitch);
  RC_ASSERT(ours.degree.name() == theirs.degree);
  RC_ASSERT(name(ours.attack) == theirs.attack);
  RC_ASSERT(ours.accent == theirs.accent);
  RC_ASSERT(ours.unit == theirs.unit);
  RC_ASSERT(ours.units == theirs.units);
  RC_ASSERT(ours.repeat == theirs.repeat);
  RC_ASSERT((stroke ? letter(*stroke) : '\0') == theirs.stroke);
}

/// Both expansions, compared; nothing if both refuse the idea.
struct Expanded {
  Phrase ours;
  oracle::Expansion theirs;
  Strokes strokes;
};

std::optional<Expanded> expand_both(const Both& both) {
  std::vector<Remark> remarks;
  auto ours = expand(both.ground, both.lick, remarks);
  auto theirs = oracle::expand(both.theirs);
  // Ours counts the return into the 64 repetitions of "fit".
  if (both.lick.back != Back::none && !both.lick.repeats && theirs.repeats > k_max_repeats / 2) return std::nullopt;
  if (ours.has_value() != theirs.error.empty()) {
    RC_LOG() << "theirs: " << theirs.error << " ours: " << (remarks.empty() ? "" : remarks.front().message) << " rule "
             << both.theirs.rule << "\n";
  }
  RC_ASSERT(ours.has_value() == theirs.error.empty());
  if (!ours) return std::nullopt;
  RC_ASSERT(ours->repeats == theirs.repeats);
  RC_ASSERT(ours->units == theirs.units);
  RC_ASSERT(ours->notes.size() == theirs.notes.size());
  oracle::assign_strokes(theirs.notes, both.theirs.picking, both.theirs.first_stroke);
  const Strokes strokes = assign_strokes(ours->notes, both.picking, both.first);
  for (std::size_t i = 0; i < strokes.size(); ++i) expect_same_note(ours->notes[i], strokes[i], theirs.notes[i]);
  return Expanded{*ours, theirs, strokes};
}

RC_GTEST_PROP(AgainstOracle, ExpansionStrokesChangesAndProofAgree, ()) {
  const auto both = random_idea();
  RC_PRE(both.has_value());
  const auto expanded = expand_both(*both);
  RC_CLASSIFY(expanded.has_value(), "legal");
  if (!expanded) return;
  const auto our_visits = visits(expanded->ours.notes);
  const auto their_visits = oracle::visits(expanded->theirs.notes);
  RC_ASSERT(our_visits.size() == their_visits.size());
  for (std::size_t i = 0; i < our_visits.size(); ++i) {
    RC_ASSERT(our_visits[i].notes == their_visits[i].sounded);
    RC_ASSERT(our_visits[i].picked == their_visits[i].picked);
  }
  const auto ours = changes(expanded->ours.notes, expanded->strokes, both->clear);
  const auto theirs = oracle::changes(expanded->theirs.notes, both->theirs.clear_after);
  RC_ASSERT(ours.size() == theirs.size());
  for (std::size_t i = 0; i < ours.size(); ++i) {
    RC_ASSERT(ours[i].after_note == theirs[i].after_note);
    RC_ASSERT(ours[i].from == theirs[i].from);
    RC_ASSERT(ours[i].to == theirs[i].to);
    RC_ASSERT(letter(ours[i].last) == theirs[i].last);
    RC_ASSERT(letter(ours[i].first) == theirs[i].first);
    RC_ASSERT(name(ours[i].type) == theirs[i].type);
    RC_ASSERT(ours[i].free == theirs[i].free);
  }
  const auto blocked = oracle::blocked(expanded->theirs.notes, both->theirs.clear_after);
  RC_ASSERT(count_blocked(ours, Clear::upstroke) == blocked.upstroke);
  RC_ASSERT(count_blocked(ours, Clear::downstroke) == blocked.downstroke);
  RC_ASSERT(count_blocked(ours) == blocked.own);
  if (both->picking != Picking::alternate) return;
  const Proof proof = prove(expanded->ours.notes, ours, both->picking, both->clear);
  const auto parity = oracle::parity(expanded->theirs.notes, expanded->theirs.units, both->theirs.first_stroke);
  RC_ASSERT(proof.counter_example == parity.open_counter);
  RC_ASSERT(proof.looped == parity.looped);
}

RC_GTEST_PROP(AgainstOracle, RepairsAgree, ()) {
  const auto both = random_idea();
  RC_PRE(both.has_value());
  const auto expanded = expand_both(*both);
  if (!expanded || expanded->ours.notes.size() > 60) return;
  const auto ours = repair(both->lick.rule, expanded->ours, both->picking, both->first, both->clear);
  RC_CLASSIFY(ours.has_value(), "blocked");
  RC_CLASSIFY(ours && ours->possible, "repaired");
  const auto theirs = oracle::repair(both->theirs);
  RC_ASSERT(ours.has_value() == theirs.needed);
  if (!ours) return;
  RC_ASSERT(ours->possible == theirs.possible);
  if (theirs.note_by_note.tried) RC_ASSERT(ours->note_by_note == theirs.note_by_note.slurs);
  if (!ours->possible) {
    RC_ASSERT(!ours->reason.empty());
    return;
  }
  RC_ASSERT(letter(ours->first_stroke) == theirs.first_stroke);
  RC_ASSERT(ours->slurs == theirs.slurs);
  RC_ASSERT(ours->rule == theirs.rule);
  RC_ASSERT(ours->ties == theirs.ties);
}

// --- Endings -------------------------------------------------------------------------------------

/// What surrounds an idea at one feel.
struct Feel {
  std::string meter = "4/4";
  int notes_per_beat = 4;
  int start = 0;  ///< beat
  std::string vamp;
  std::optional<EndingOn> on;
  std::string degree;
  std::optional<EndingKind> wish;
};

EndingRequest request_at(const Feel& feel) {
  EndingRequest request{Rational(feel.start), feel.notes_per_beat, *parse_meter(feel.meter), feel.on, std::nullopt};
  if (!feel.degree.empty()) request.degree = parse_degree(feel.degree);
  return request;
}

std::vector<EndingOption> our_endings(const Both& both, const Phrase& phrase, const Feel& feel) {
  const Meter meter = *parse_meter(feel.meter);
  const Strokes strokes = assign_strokes(phrase.notes, both.picking, both.first);
  const int blocked = count_blocked(changes(phrase.notes, strokes, both.clear));
  const EndingContext context{both.picking, both.first, both.clear, meter, feel.notes_per_beat, blocked, feel.wish};
  return rank_endings(propose_endings(both.ground, both.lick, phrase, request_at(feel)), both.ground.key,
                      *parse_vamp(feel.vamp, meter), context);
}

std::vector<oracle::Ending> their_endings(const Both& both, const Feel& feel) {
  const Meter meter = *parse_meter(feel.meter);
  oracle::EndingSpec spec{std::nullopt, feel.degree, feel.wish ? std::string(name(*feel.wish)) : ""};
  if (feel.on) spec.on = static_cast<oracle::On>(*feel.on);
  return oracle::endings(both.theirs, *oracle::meter(feel.meter), plain(*parse_vamp(feel.vamp, meter), meter),
                         oracle::make(feel.start, 1), feel.notes_per_beat, spec);
}

/// The frets of a string in the layout that the phrase ends on.
std::vector<int> last_row(const Both& both, const Phrase& phrase, int string) {
  const bool moved = both.lick.rule.kind == RuleKind::cell && both.lick.back == Back::none;
  const int steps = moved ? (phrase.repeats - 1) * both.lick.carry.steps : 0;
  std::vector<int> frets;
  for (int o = 1; o <= both.ground.layout.strings[both.ground.neck.index(string)].count; ++o)
    frets.push_back(place_note(both.ground, string, o, 0, steps).fret);
  return frets;
}

/// The laws of every option, whatever the oracle says of it.
std::string broken_law(const Both& both, const Phrase& phrase, const EndingOption& option) {
  for (const LickNote& note : option.fill) {
    const std::vector<int> row = last_row(both, phrase, note.string);
    if (std::find(row.begin(), row.end(), note.fret) == row.end()) return "a fill note lies outside the layout";
  }
  for (const LickNote& note : option.notes()) {
    if (!both.ground.neck.has_fret(note.fret)) return "a note lies off the neck";
  }
  if (option.ending.slot < 0) return "it lands before bar 1";
  if (option.landing.attack != Attack::pick) return "the landing is not picked";
  return "";
}

bool lies_far(const Both& both, const Phrase& phrase, const LickNote& landing) {
  const std::vector<int> row = last_row(both, phrase, landing.string);
  return row.empty() || landing.fret < row.front() - 2 || landing.fret > row.back() + 2;
}

/// A way to land, and how the ending stands with it.
struct Outcome {
  bool far = false;
  bool no_tone = false;
  int blocked = 0;
};

/// Every landing candidate of every shape.
std::vector<Outcome> all_outcomes(const Both& both, const Phrase& phrase, const Feel& feel) {
  const Meter meter = *parse_meter(feel.meter);
  const Vamp vamp = *parse_vamp(feel.vamp, meter);
  std::vector<Outcome> all;
  for (const EndingShape& shape : propose_endings(both.ground, both.lick, phrase, request_at(feel))) {
    const Chord& chord = chord_at(vamp, meter, Beats(Rational(shape.slot, feel.notes_per_beat)))->chord;
    for (const LandingCandidate& candidate : shape.landings) {
      const int rest = rest_rank(chord, candidate.note.midi);
      if (candidate.only_root && rest != 0) continue;
      const std::vector<LickNote> notes = EndingOption{{}, shape.body, shape.fill, candidate.note, {}}.notes();
      std::vector<Change> added = changes(notes, assign_strokes(notes, both.picking, both.first), both.clear);
      std::erase_if(added, [&](const Change& c) { return c.after_note < static_cast<int>(shape.body.size()); });
      all.push_back({lies_far(both, phrase, candidate.note), rest == k_no_rest, count_blocked(added)});
    }
  }
  return all;
}

/// No ending lands more than two frets outside its string's row while another option's or candidate's landing that
/// blocks no more and is no worse in chord tone does not. (Not of an ending that somebody wished for.)
bool is_far_without_need(const Both& both, const Phrase& phrase, const Feel& feel,
                         const std::vector<EndingOption>& ours) {
  if (ours.empty() || !lies_far(both, phrase, ours.front().landing)) return false;
  const Ending& taken = ours.front().ending;
  const bool no_tone = rest_rank(*taken.chord, ours.front().landing.midi) == k_no_rest;
  const std::vector<Outcome> all = all_outcomes(both, phrase, feel);
  return std::any_of(all.begin(), all.end(), [&](const Outcome& other) {
    return !other.far && other.blocked <= taken.blocked() && (no_tone || !other.no_tone);
  });
}

std::optional<EndingOn> random_on() {
  const int on = *rc::gen::inRange(0, 6);
  return on < 3 ? std::optional(static_cast<EndingOn>(on)) : std::nullopt;
}

Feel random_feel() {
  Feel feel;
  feel.meter = *rc::gen::element<std::string>("4/4", "4/4", "3/4", "5/4", "6/8", "2+2+3/8", "12/8");
  feel.notes_per_beat = *rc::gen::inRange(1, 9);
  feel.start = *rc::gen::inRange(-3, 4);
  feel.vamp = *rc::gen::element<std::string>("Em7 | A7", "C | F#m7b5", "G7", "C6 | Dsus4", "Gsus2 | Bdim7 E9",
                                             "Am/F# | Cadd9", "A7sus4 | E9sus4");
  feel.on = random_on();
  if (*rc::gen::inRange(0, 3) == 0) feel.degree = *rc::gen::element<std::string>("1", "5", "b3", "b5", "6");
  const int wish = *rc::gen::inRange(0, 12);
  if (wish < 4) feel.wish = static_cast<EndingKind>(wish);
  return feel;
}

// Two thousand random ideas, the same every time.
TEST(AgainstOracle, EndingsAgree) {
  rc::detail::TestParams params;
  params.seed = 20260801;
  params.maxSuccess = 2000;
  params.maxDiscardRatio = 50;
  int compared = 0;
  int options = 0;
  const auto result = rc::detail::checkTestable(
      [&] {
        const auto both = random_idea();
        RC_PRE(both.has_value());
        const auto expanded = expand_both(*both);
        RC_PRE(expanded.has_value());
        const Feel feel = random_feel();
        const auto ours = our_endings(*both, expanded->ours, feel);
        const auto theirs = their_endings(*both, feel);
        const std::string our_list = listed(both->ground, ours);
        RC_LOG() << describe(*both) << feel.meter << ", " << feel.notes_per_beat << " a beat from beat " << feel.start
                 << ", " << feel.vamp << ", degree " << feel.degree << "\nours\n"
                 << our_list << "theirs\n"
                 << listed(theirs);
        RC_ASSERT(our_list == listed(theirs));
        for (const EndingOption& option : ours) RC_ASSERT(broken_law(*both, expanded->ours, option) == "");
        if (!feel.wish) RC_ASSERT(!is_far_without_need(*both, expanded->ours, feel, ours));
        if (feel.wish) RC_ASSERT(ours.empty() || has_kind(ours, *feel.wish) == (ours[0].ending.kind == *feel.wish));
        ++compared;
        options += static_cast<int>(ours.size());
      },
      rc::detail::TestMetadata{"endings agree", ""}, params);
  std::ostringstream message;
  rc::detail::printResultMessage(result, message);
  EXPECT_TRUE(result.is<rc::detail::SuccessResult>()) << message.str();
  EXPECT_GE(compared, 2000);
  EXPECT_GT(options, 2 * compared);
}

/// The same lesson for the oracle.
Both both_of(const DefaultLesson& lesson) {
  Both both;
  oracle::Idea& o = both.theirs;
  o.scale.tonic = lesson.tonic;
  for (const Degree& degree : lesson.ground.key.degrees()) o.scale.degrees.push_back(degree.name());
  o.neck.open = {40, 45, 50, 55, 59, 64};
  o.layout.from = lesson.from;
  o.rule = lesson.cell;
  both.ground = lesson.ground;
  both.lick = lesson.lick;
  return both;
}

// What a teacher writes without another thought, at the feels of the lesson file.
TEST(AgainstOracle, EndingsOfDefaultLessonsAgree) {
  DefaultLessons lessons(20260801);
  for (int i = 0; i < 500; ++i) {
    const DefaultLesson lesson = lessons.next();
    const Both both = both_of(lesson);
    for (const int notes_per_beat : {4, 6}) {
      Feel feel;
      feel.notes_per_beat = notes_per_beat;
      feel.vamp = default_vamp(lesson.ground.key);
      const auto ours = our_endings(both, lesson.phrase, feel);
      const auto theirs = their_endings(both, feel);
      const std::string at = lesson.name() + " at " + std::to_string(notes_per_beat) + " a beat";
      ASSERT_EQ(listed(both.ground, ours), listed(theirs)) << at;
      ASSERT_FALSE(ours.empty()) << at;
      for (const EndingOption& option : ours) EXPECT_EQ(broken_law(both, lesson.phrase, option), "") << at;
      EXPECT_FALSE(is_far_without_need(both, lesson.phrase, feel, ours)) << at;
    }
  }
}

}  // namespace
}  // namespace fretloom
