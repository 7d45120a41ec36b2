// The rule notation: parse, carry, strike, prove and repair whatever comes.

#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "hand/fingers.h"
#include "hand/proof.h"
#include "hand/repair.h"

namespace {

using namespace fretloom;

Ground fixed_ground() {
  const Key key = *parse_key("E dorian");
  const Neck neck{*parse_tuning("standard"), 24, Millimetres(648), 0};
  LayoutRule rule;
  rule.from = 12;
  return {key, neck, *make_layout(key, neck, rule)};
}

void require(bool held) {
  if (!held) std::abort();
}

void play(const Ground& ground, Lick lick) {
  std::vector<Remark> remarks;
  const auto phrase = expand(ground, lick, remarks);
  require(phrase.has_value() || !remarks.empty());
  if (!phrase) return;
  for (const LickNote& note : phrase->notes)
    require(ground.neck.has_string(note.string) && ground.neck.has_fret(note.fret));
  for (const Picking picking : {Picking::alternate, Picking::grid, Picking::economy}) {
    const Strokes strokes = assign_strokes(phrase->notes, picking, Stroke::down);
    const auto found = changes(phrase->notes, strokes, Clear::downstroke);
    const Proof proof = prove(phrase->notes, found, picking, Clear::downstroke);
    require(!parity_sentence(proof).empty() && proof.blocked() == count_blocked(found));
    if (phrase->notes.size() > 400) continue;
    const auto mend = repair(lick.rule, *phrase, picking, Stroke::down, Clear::downstroke);
    require(mend.has_value() == (count_blocked(found) > 0));
    if (mend && mend->possible) require(parse_rule(lick.rule.kind, mend->rule).ok());
  }
  if (phrase->notes.size() < 400) require(assign_fingers(carried_layout(ground, lick, *phrase), phrase->notes).ok());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const Ground ground = fixed_ground();
  if (size < 2) return 0;
  const std::string_view text(reinterpret_cast<const char*>(data) + 1, size - 1);
  const RuleKind kind = (data[0] & 1U) != 0 ? RuleKind::sequence : RuleKind::cell;
  auto rule = parse_rule(kind, text);
  if (!rule) {
    if (!rule.error().repair.empty() && size < 200) (void)parse_rule(kind, rule.error().repair);
    return 0;
  }
  Lick lick;
  lick.rule = std::move(rule).value();
  lick.carry = kind == RuleKind::cell ? Carry{(data[0] & 2U) != 0 ? 1 : 0, (data[0] & 4U) != 0 ? 1 : 0} : Carry{0, 1};
  if ((data[0] & 8U) != 0) lick.repeats = 3;
  lick.back = static_cast<Back>((data[0] >> 4U) % 3);
  play(ground, lick);
  return 0;
}
