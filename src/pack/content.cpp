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

void add(Fields& fields, const Change& change) {
  fields << change.after_note << change.from << change.to << name(change.last) << name(change.first)
         << name(change.type) << (change.free ? 1 : 0);
}

void add(Fields& fields, const std::vector<Change>& changes) {
  fields << static_cast<int>(changes.size());
  for (const Change& change : changes) add(fields, change);
}

void add(Fields& fields, const Proof& proof) {
  fields << name(proof.picking) << name(proof.clear) << static_cast<int>(proof.visits.size());
  for (const Visit& visit : proof.visits)
    fields << visit.string << static_cast<int>(visit.first) << visit.notes << visit.picked;
  add(fields, proof.changes);
  fields << (proof.looped ? (*proof.looped ? 1 : 0) : -1) << proof.counter_example.value_or(-1)
         << (proof.odd_visit ? static_cast<int>(*proof.odd_visit) : -1);
}

void add(Fields& fields, const std::optional<Repair>& repair) {
  fields << (repair ? 1 : 0);
  if (!repair) return;
  fields << (repair->possible ? 1 : 0) << repair->reason << name(repair->first_stroke) << repair->rule << repair->slurs
         << static_cast<int>(repair->ties.size());
  for (const std::string& tie : repair->ties) fields << tie;
  fields << repair->note_by_note.value_or(-1);
}

void add(Fields& fields, const Instrument& instrument) {
  const Neck& neck = instrument.neck;
  fields << neck.strings();
  for (const SpelledPitch& open : neck.tuning.open) fields << std::string_view(open.name());
  fields << neck.frets << std::string_view(number_text(neck.scale_length.value)) << neck.capo;
}

void add(Fields& fields, const Vamp& vamp) {
  fields << static_cast<int>(vamp.chords.size());
  for (const VampChord& chord : vamp.chords)
    fields << chord.onset << chord.duration << std::string_view(chord.chord.symbol());
  fields << vamp.bars << vamp.rhythm.name << vamp.swing;
}

void add(Fields& fields, const Rule& rule) {
  fields << (rule.kind == RuleKind::cell ? "cell" : "sequence") << rule.text;
}

void add(Fields& fields, const LayoutRow& row) {
  fields << static_cast<int>(row.frets.size());
  for (const int fret : row.frets) fields << fret;
  for (const Degree& degree : row.degrees) fields << std::string_view(degree.name());
}

void add(Fields& fields, const ScoreNote& note) {
  fields << note.onset << note.duration << std::string_view(note.pitch.name()) << note.string << note.fret
         << note.ordinal << std::string_view(note.degree.name()) << (note.stroke ? name(*note.stroke) : "")
         << name(note.attack) << note.finger.value_or(-1) << (note.accent ? 1 : 0) << note.repeat
         << static_cast<int>(note.role);
}

void add(Fields& fields, const std::optional<Ending>& ending) {
  fields << (ending ? 1 : 0);
  if (!ending) return;
  fields << name(ending->kind) << ending->start_slot << ending->slot << ending->units_changed << ending->fill
         << ending->steps << (ending->same_direction ? 1 : 0)
         << std::string_view(ending->chord ? ending->chord->symbol() : "") << static_cast<int>(ending->harmony.role)
         << ending->harmony.degree;
  add(fields, ending->changes);
}

void add(Fields& fields, const Score& score) {
  fields << score.notes_per_beat << std::string_view(score.ratio ? score.ratio->name() : "") << score.start << score.end
         << static_cast<int>(score.notes.size());
  for (const ScoreNote& note : score.notes) add(fields, note);
  add(fields, score.ending);
}

void add(Fields& fields, const Prose& prose) {
  fields << prose.title << prose.author << prose.intro << prose.licence << prose.copyright << prose.version
         << prose.logo << prose.id << static_cast<int>(prose.links.size());
  for (const std::string& link : prose.links) fields << link;
}

void add(Fields& fields, const Key& key) {
  fields << std::string_view(key.name()) << std::string_view(key.said_name());
  for (const Degree& degree : key.degrees()) fields << std::string_view(degree.name());
}

}  // namespace

std::string content_text(const IdeaSheet& idea) {
  Fields fields;
  fields << idea.number << idea.name << idea.note;
  add(fields, idea.key);
  add(fields, idea.instrument);
  for (const LayoutRow& row : idea.layout) add(fields, row);
  fields << std::string_view(idea.meter.name()) << idea.slow_bpm << idea.goal_bpm;
  add(fields, idea.rule);
  fields << idea.start_string << idea.start_ordinal << static_cast<int>(idea.notes.size());
  for (const ScoreNote& note : idea.notes) add(fields, note);
  fields << idea.carry.strings << idea.carry.steps << static_cast<int>(idea.back) << idea.repeats
         << name(idea.first_stroke);
  add(fields, idea.vamp);
  add(fields, idea.proof);
  add(fields, idea.repair);
  fields << static_cast<int>(idea.feels.size());
  for (const Score& score : idea.feels) add(fields, score);
  return fields.take();
}

std::string content_text(const LessonSentences& sentences) {
  Fields fields;
  fields << sentences.lesson << sentences.cautions << static_cast<int>(sentences.ideas.size());
  for (const IdeaSentences& idea : sentences.ideas) {
    fields << idea.rule << idea.idea << idea.proof << static_cast<int>(idea.endings.size());
    for (const std::string& ending : idea.endings) fields << ending;
  }
  return fields.take();
}

std::string content_text(const Handout& handout) {
  Fields fields;
  add(fields, handout.prose);
  add(fields, handout.key);
  for (const IdeaSheet& idea : handout.ideas) fields << content_text(idea);
  return fields.take();
}

}  // namespace fretloom
