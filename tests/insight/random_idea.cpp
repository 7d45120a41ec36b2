#include "insight/random_idea.h"

#include <algorithm>

#include "base/text.h"
#include "insight/code_length.h"
#include "insight/scale_line.h"
#include "lick/rule.h"
#include "theory/scale.h"

namespace fretloom::test {

namespace {

class IdeaMaker {
 public:
  explicit IdeaMaker(std::uint32_t seed) : random_(seed) {}

  std::optional<RandomIdea> make() {
    RandomIdea idea;
    const Mode& mode = modes()[up_to(modes().size())];
    const char* tonics[] = {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"};
    const auto key = parse_key(std::string(tonics[up_to(12)]) + " " + std::string(mode.name));
    const char* tunings[] = {"standard",         "standard",     "drop D",
                             "DADGAD",           "open G",       "bass",
                             "five-string bass", "seven-string", "seven-string drop A",
                             "eight-string",     "all fourths",  "mandolin"};
    idea.ground.key = *key;
    idea.ground.neck = {*parse_tuning(tunings[up_to(12)]), 24, Millimetres(648), one_in(6) ? number(1, 4) : 0};
    idea.layout = layout(key->size());
    const auto made = make_layout(idea.ground.key, idea.ground.neck, idea.layout);
    if (!made || off_neck(idea.ground.key, idea.ground.neck, *made)) return std::nullopt;
    idea.ground.layout = *made;
    const bool sequence = one_in(4);
    const auto rule = parse_rule(sequence ? RuleKind::sequence : RuleKind::cell, sequence ? steps() : cell());
    if (!rule) return std::nullopt;
    idea.lick.rule = *rule;
    idea.lick.carry = sequence ? Carry{0, one_in(3) ? number(-2, 4) : 1} : carry();
    idea.lick.start_string = one_in(3) ? number(1, idea.ground.neck.strings()) : idea.ground.neck.strings();
    if (idea.lick.carry.strings < 0 && !one_in(4)) idea.lick.start_string = number(1, 2);
    if (sequence) idea.lick.start_ordinal = one_in(3) ? number(1, 3) : 1;
    const bool stays = idea.lick.carry.strings == 0 && idea.lick.carry.steps == 0;
    if (stays || one_in(3)) idea.lick.repeats = number(2, 5);
    if (one_in(4)) idea.lick.back = one_in(2) ? Back::retrograde : Back::mirrored;
    std::vector<Remark> remarks;
    auto phrase = expand(idea.ground, idea.lick, remarks);
    if (!phrase || !remarks.empty() || phrase->repeats < 2 || phrase->notes.size() < 4 || phrase->notes.size() > 240)
      return std::nullopt;
    idea.phrase = std::move(*phrase);
    return idea;
  }

 private:
  std::size_t up_to(std::size_t n) { return random_() % n; }
  bool one_in(std::size_t n) { return up_to(n) == 0; }
  int number(int low, int high) { return low + static_cast<int>(up_to(static_cast<std::size_t>(high - low + 1))); }

  LayoutRule layout(int scale_size) {
    LayoutRule rule;
    rule.from = number(0, 14);
    switch (up_to(4)) {
      case 0:
      case 1: rule.notes = one_in(3) ? number(1, 5) : scale_size == 5 ? 2 : 3; break;
      case 2:
        rule.kind = LayoutKind::position;
        rule.width = one_in(2) ? 5 : number(3, 8);
        break;
      default:
        rule.kind = LayoutKind::octaves;
        rule.octave_notes = one_in(2) ? std::pair(4, 3) : std::pair(number(1, 5), number(1, 5));
    }
    return rule;
  }

  Carry carry() {
    if (one_in(2)) return {};
    return {number(-2, 2), one_in(2) ? 0 : number(-2, 2)};
  }

  std::string cell() {
    std::string text;
    int before = 0;  // ordinal on the same string, 0 after a move or a rest
    const bool plain = one_in(2);
    const int notes = number(2, 8);
    int high = one_in(8) ? 5 : 3;
    for (int i = 0; i < notes; ++i) {
      if (i > 0 && one_in(4)) {
        const char* moves[] = {"+ ", "+ ", "+ ", "- ", "++ "};
        text += moves[up_to(5)];
        before = 0;
      } else if (!plain && i > 0 && one_in(10)) {
        text += one_in(2) ? "r " : "rx2 ";
        before = 0;
      }
      const int ordinal = number(1, high);
      if (!plain && before > 0 && ordinal != before && one_in(4))
        text += one_in(4) ? 's' : ordinal > before ? 'h' : 'p';
      text += std::to_string(ordinal);
      if (!plain && one_in(14)) text += one_in(2) ? '#' : 'b';
      if (!plain && one_in(12)) text += '!';
      if (!plain && one_in(10)) text += 'x' + std::to_string(number(2, 4));
      if (i + 1 < notes) text += ' ';
      before = ordinal;
    }
    return text;
  }

  std::string steps() {
    std::string text;
    const int notes = number(2, 7);
    for (int i = 0; i < notes; ++i) {
      if (i > 0) text += ' ';
      text += std::to_string(i == 0 && !one_in(4) ? 1 : one_in(10) ? number(-2, 0) : number(1, 6));
      if (one_in(20)) text += 'x' + std::to_string(number(2, 3));
    }
    return text;
  }

  std::mt19937 random_;
};

}  // namespace

std::optional<RandomIdea> random_idea(std::uint32_t seed) { return IdeaMaker(seed).make(); }

GivenPhrase given(const RandomIdea& idea, bool places) {
  GivenPhrase phrase;
  phrase.tuning = idea.ground.neck.tuning;
  phrase.capo = idea.ground.neck.capo;
  const int first = idea.phrase.notes.front().unit;
  for (const LickNote& note : idea.phrase.notes) {
    GivenNote out;
    if (places) out.at = StringFret{note.string, note.fret};
    out.midi = note.midi;
    out.time = GivenTime{Rational(note.unit - first, 4), Rational(note.units, 4)};
    if (places) out.attack = note.attack;
    out.accent = note.accent;
    phrase.notes.push_back(out);
  }
  return phrase;
}

double description_bits(const RandomIdea& idea) {
  const Lick& lick = idea.lick;
  PitchSet set = 0;
  for (int step = 0; step < idea.ground.key.size(); ++step)
    set = static_cast<PitchSet>(set | 1U << floor_mod(idea.ground.key.midi(step), 12));
  double bits = rule_bits(lick.rule) + carry_bits(lick.rule.kind, lick.carry);
  for (const ScaleChoice& scale : scale_choices()) bits += scale.set == set ? scale.bits : 0;
  bits += layout_bits(idea.layout, idea.ground.key.size());
  const bool is_cell = lick.rule.kind == RuleKind::cell;
  if (is_cell && lick.start_string != idea.ground.neck.strings()) bits += k_start_bits;
  if (lick.back != Back::none) bits += k_back_bits;
  if (lick.repeats) bits += k_repeats_bits;
  for (const RuleToken& token : lick.rule.tokens) {
    if (token.rest || !is_cell) continue;
    const int string = lick.start_string - token.offset;
    const int above = token.ordinal - idea.ground.layout.strings[idea.ground.neck.index(string)].count;
    if (above > 0) bits += k_above_bits + k_above_step * above;
  }
  return bits;
}

}  // namespace fretloom::test
