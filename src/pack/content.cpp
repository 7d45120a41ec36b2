#include "pack/content.h"

#include "base/text.h"

namespace fretloom {

namespace {

/// Fields, each with its length in front, so that no two lists of fields give one text.
class Fields {
 public:
  Fields& operator<<(std::string_view text) {
    text_ += std::to_string(text.size()) + ":" + std::string(text) + "\n";
    return *this;
  }
  Fields& operator<<(int number) { return *this << std::string_view(std::to_string(number)); }
  Fields& operator<<(const Rational& number) { return *this << std::string_view(number.to_string()); }
  Fields& operator<<(const Beats& beats) { return *this << beats.value; }
  [[nodiscard]] std::string take() { return std::move(text_); }

 private:
  std::string text_;
};

void add_note(Fields& fields, const ScoreNote& note) {
  fields << note.onset << note.duration << std::string_view(note.pitch.name()) << note.string << note.fret
         << note.ordinal << note.degree << (note.stroke ? static_cast<int>(*note.stroke) : -1)
         << static_cast<int>(note.attack) << note.finger.value_or(-1) << (note.accent ? 1 : 0) << note.repeat
         << static_cast<int>(note.role);
}

void add_string(Fields& fields, const ScoreString& string) {
  fields << std::string_view(string.open.name()) << static_cast<int>(string.frets.size());
  for (const int fret : string.frets) fields << fret;
  for (const std::string& degree : string.degrees) fields << degree;
}

}  // namespace

std::string content_text(const Score& score) {
  Fields fields;
  fields << score.title << score.note << score.key << score.fifths << std::string_view(score.meter.name())
         << score.slow_bpm << score.goal_bpm << score.capo << score.frets
         << std::string_view(number_text(score.scale_length.value)) << score.rule << score.rule_in_words << score.proof
         << score.group << score.rule_units << score.notes_per_beat
         << std::string_view(score.ratio ? score.ratio->name() : "") << score.start << score.end << score.vamp_length
         << score.vamp_rhythm << score.swing << static_cast<int>(score.strings.size());
  for (const ScoreString& string : score.strings) add_string(fields, string);
  fields << static_cast<int>(score.notes.size());
  for (const ScoreNote& note : score.notes) add_note(fields, note);
  for (const ScoreChord& chord : score.vamp)
    fields << chord.onset << chord.duration << std::string_view(chord.chord.symbol());
  return fields.take();
}

std::string content_text(const Handout& handout) {
  Fields fields;
  fields << handout.title << handout.author << handout.intro << handout.licence << handout.logo << handout.key
         << static_cast<int>(handout.links.size());
  for (const std::string& link : handout.links) fields << link;
  for (const ScoreSet& idea : handout.ideas) {
    fields << static_cast<int>(idea.feels.size());
    for (const Score& score : idea.feels) fields << content_text(score);
  }
  return fields.take();
}

}  // namespace fretloom
