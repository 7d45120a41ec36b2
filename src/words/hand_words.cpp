#include "words/hand_words.h"

#include "lick/sequence_line.h"
#include "words/english.h"

namespace fretloom {

namespace {

std::string slurred_words(Attack attack) {
  switch (attack) {
    case Attack::hammer: return ", hammered on";
    case Attack::pull: return ", pulled off";
    case Attack::slide: return ", slid to";
    case Attack::pick: break;
  }
  return "";
}

std::string place_words(const Ground& ground, const Lick& lick, const RuleToken& token) {
  LickNote note;
  if (lick.rule.kind == RuleKind::cell) {
    note = place_note(ground, lick.start_string - token.offset, token.ordinal, token.alter);
  } else {
    const SequenceLine line(ground, lick);
    if (const LinePlace* place = line.at(token.ordinal))
      note = place_note(ground, place->string, place->ordinal, token.alter);
  }
  return ", string " + std::to_string(note.string) + ", fret " + std::to_string(note.fret);
}

}  // namespace

std::string token_said(const Ground& ground, const Lick& lick, std::size_t at) {
  const RuleToken& token = lick.rule.tokens[at];
  std::string text = "Note " + std::to_string(at + 1) + " of " + std::to_string(lick.rule.tokens.size()) + ": ";
  if (token.rest) {
    text += "a rest";
  } else {
    text += (lick.rule.kind == RuleKind::cell ? "string note " : "scale step ") + std::to_string(token.ordinal);
    if (token.alter != 0) text += token.alter > 0 ? " raised a semitone" : " lowered a semitone";
    text += place_words(ground, lick, token) + slurred_words(token.attack);
    if (token.accent) text += ", accented";
  }
  if (token.units > 1) text += ", " + counted_word(token.units, "note") + " long";
  return text + ".";
}

}  // namespace fretloom
