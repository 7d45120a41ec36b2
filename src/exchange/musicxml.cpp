#include "exchange/musicxml.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>

#include "base/text.h"
#include "exchange/musicxml_bar.h"
#include "score/clef.h"
#include "score/rhythm.h"

namespace fretloom {

namespace {

constexpr std::int64_t k_most_divisions = std::int64_t{1} << 24;
constexpr int k_lowest_octave = 0;  // simpleType octave of the schema
constexpr int k_highest_octave = 9;

/// An idea at one feel, its time written.
struct XmlPassage {
  FeelRef feel;
  Rhythm rhythm;

  [[nodiscard]] const IdeaSheet& idea() const { return *feel.idea; }
  [[nodiscard]] const Score& score() const { return *feel.score; }
};

/// The first pitch outside the octaves of the schema.
std::optional<Error> octave_fault(const FeelRef& feel) {
  const auto outside = [](const SpelledPitch& pitch) {
    return pitch.octave < k_lowest_octave || pitch.octave > k_highest_octave;
  };
  std::vector<SpelledPitch> pitches = feel.idea->instrument.neck.tuning.open;
  for (const ScoreNote& note : feel.score->notes) pitches.push_back(note.pitch);
  const auto found = std::find_if(pitches.begin(), pitches.end(), outside);
  if (found == pitches.end()) return std::nullopt;
  return Error{ErrorKind::range, 0, found->name() + " cannot be written in MusicXML, which has octaves 0 to 9", ""};
}

Result<std::vector<XmlPassage>> write_passages(const Handout& handout) {
  if (const auto fault = fault_of(handout)) return *fault;
  std::vector<XmlPassage> passages;
  for (const FeelRef& feel : feels_of(handout)) {
    if (const auto fault = octave_fault(feel)) return in_idea(*feel.idea, *fault);
    auto rhythm = write_rhythm(feel.idea->meter, *feel.score);
    if (!rhythm) return in_idea(*feel.idea, rhythm.error());
    passages.push_back({feel, std::move(rhythm).value()});
  }
  return passages;
}

/// Least number a quarter note in which every value and every chord's place is whole.
Result<std::int64_t> common_divisions(const std::vector<XmlPassage>& passages) {
  std::int64_t divisions = 1;
  const auto take = [&](const XmlPassage& passage, const Rational& beats) {
    divisions = std::lcm(divisions, (beats * passage.idea().meter.beat_value() * Rational(4)).den());
    return divisions <= k_most_divisions;
  };
  for (const XmlPassage& passage : passages) {
    for (const RhythmBar& bar : passage.rhythm.bars) {
      bool fits = true;
      for (const RhythmEvent& event : bar.events) fits = fits && take(passage, event.duration.value);
      for (const auto& [onset, chord] : chords_in(passage.idea().vamp, passage.idea().meter, bar))
        fits = fits && take(passage, onset.value - bar.origin.value);
      if (!fits)
        return in_idea(passage.idea(),
                       {ErrorKind::range, 0, "its beats are divided in too many ways for one common division",
                        "fewer notes per beat"});
    }
  }
  return divisions;
}

/// The key's mode in the standard's words, where it has one for this signature: a mode's own name, else
/// major or minor if the signature is that of the tonic's; else nothing.
std::string_view mode_of(const Key& key) {
  // The modes that the standard names, each with its signature against that of the tonic's major key.
  constexpr std::array<std::pair<std::string_view, int>, 7> k_modes = {{{"ionian", 0},
                                                                        {"dorian", -2},
                                                                        {"phrygian", -4},
                                                                        {"lydian", 1},
                                                                        {"mixolydian", -1},
                                                                        {"aeolian", -3},
                                                                        {"locrian", -5}}};
  const int shift = key_signature(key) - major_signature(key.tonic());
  for (const auto& [name, own_shift] : k_modes) {
    if (name == key.mode() && own_shift == shift) return name;
  }
  return shift == 0 ? "major" : shift == -3 ? "minor" : "";
}

std::string numerator_text(const Meter& meter) {
  const std::string name = meter.name();
  return name.substr(0, name.find('/'));
}

bool same_strings(const Instrument& a, const Instrument& b) {
  return a.neck.capo == b.neck.capo && a.neck.tuning == b.neck.tuning;
}

/// What the part is played on: one instrument of each family, in the order in which they come.
std::vector<Instrument> instruments_of(const std::vector<XmlPassage>& passages) {
  std::vector<Instrument> instruments;
  for (const XmlPassage& passage : passages) {
    const Instrument& own = passage.idea().instrument;
    const auto known = std::find_if(instruments.begin(), instruments.end(),
                                    [&](const Instrument& one) { return one.family() == own.family(); });
    if (known == instruments.end()) instruments.push_back(own);
  }
  if (instruments.empty()) instruments.emplace_back();
  return instruments;
}

/// "Guitar", "Guitar and bass".
std::string part_name(const std::vector<Instrument>& instruments) {
  std::string name(instruments.front().name());
  for (std::size_t i = 1; i < instruments.size(); ++i) name += " and " + lower(instruments[i].name());
  return name;
}

std::string instrument_id(std::size_t index) { return "P1-I" + std::to_string(index + 1); }

class DocumentWriter {
 public:
  DocumentWriter(const Handout& handout, const std::vector<XmlPassage>& passages, std::int64_t divisions,
                 MusicXmlSpeed speed)
      : handout_(handout),
        passages_(passages),
        instruments_(instruments_of(passages)),
        divisions_(divisions),
        speed_(speed) {}

  std::string write() {
    XmlElement root{"score-partwise", {}, {}, {}};
    add_attribute(root, "version", "4.0");
    write_header(root);
    part_ = &add_element(root, "part");
    add_attribute(*part_, "id", "P1");
    for (std::size_t i = 0; i < passages_.size(); ++i) write_passage(i);
    if (passages_.empty()) add_attribute(add_element(*part_, "measure"), "number", "1");
    return write_xml(root,
                     "score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" "
                     "\"http://www.musicxml.org/dtds/partwise.dtd\"");
  }

 private:
  void write_header(XmlElement& root) const {
    const Prose& prose = handout_.prose;
    add_element(add_element(root, "work"), "work-title", prose.title);
    XmlElement& identification = add_element(root, "identification");
    if (!prose.author.empty()) add_attribute(add_element(identification, "creator", prose.author), "type", "composer");
    for (const std::string& rights : {prose.copyright, prose.licence}) {
      if (!rights.empty()) add_element(identification, "rights", rights);
    }
    XmlElement& encoding = add_element(identification, "encoding");
    add_element(encoding, "software", "Fretloom");
    for (const char* element : {"accidental", "beam"}) {
      XmlElement& supports = add_element(encoding, "supports");
      add_attribute(supports, "element", element);
      add_attribute(supports, "type", "yes");
    }
    if (!prose.version.empty()) {
      XmlElement& field =
          add_element(add_element(identification, "miscellaneous"), "miscellaneous-field", prose.version);
      add_attribute(field, "name", "version");
    }
    write_part_list(root);
  }

  void write_part_list(XmlElement& root) const {
    XmlElement& part = add_element(add_element(root, "part-list"), "score-part");
    add_attribute(part, "id", "P1");
    add_element(part, "part-name", part_name(instruments_));
    for (std::size_t i = 0; i < instruments_.size(); ++i) {
      XmlElement& instrument = add_element(part, "score-instrument");
      add_attribute(instrument, "id", instrument_id(i));
      add_element(instrument, "instrument-name", instruments_[i].name());
    }
    for (std::size_t i = 0; i < instruments_.size(); ++i) {
      XmlElement& midi = add_element(part, "midi-instrument");
      add_attribute(midi, "id", instrument_id(i));
      add_element(midi, "midi-channel", static_cast<std::int64_t>(i + 1));
      add_element(midi, "midi-program", instruments_[i].midi_program() + 1);  // the standard counts from 1
    }
  }

  /// The instrument that notes must name: nothing where the part has only one.
  [[nodiscard]] std::string id_for_notes(const Instrument& own) const {
    if (instruments_.size() < 2) return "";
    const auto found = std::find_if(instruments_.begin(), instruments_.end(),
                                    [&](const Instrument& one) { return one.family() == own.family(); });
    return instrument_id(static_cast<std::size_t>(found - instruments_.begin()));
  }

  void write_passage(std::size_t index) {
    const XmlPassage& passage = passages_[index];
    const std::string instrument = id_for_notes(passage.idea().instrument);
    for (const RhythmBar& bar : passage.rhythm.bars) {
      const bool opens = &bar == &passage.rhythm.bars.front();
      XmlElement& measure = add_element(*part_, "measure");
      write_number(measure, bar);
      if (opens) {
        if (index > 0) add_attribute(add_element(measure, "print"), "new-system", "yes");
        write_attributes(measure, index);
        write_directions(measure, index);
      }
      add_bar(measure, passage.feel, bar, divisions_, instrument);
      if (&bar == &passage.rhythm.bars.back()) write_bar_line(measure, index + 1 == passages_.size());
    }
  }

  void write_number(XmlElement& measure, const RhythmBar& bar) {
    if (bar.number <= 0) {
      add_attribute(measure, "number", pick_ups_ == 0 ? "0" : "X" + std::to_string(pick_ups_));
      add_attribute(measure, "implicit", "yes");
      ++pick_ups_;
      return;
    }
    ++measures_;
    add_attribute(measure, "number", std::to_string(measures_));
    if (bar.number != measures_) add_attribute(measure, "text", std::to_string(bar.number));
  }

  void write_attributes(XmlElement& measure, std::size_t index) const {
    const IdeaSheet& idea = passages_[index].idea();
    const IdeaSheet* before = idea_before(index);
    XmlElement& attributes = add_element(measure, "attributes");
    if (before == nullptr) add_element(attributes, "divisions", divisions_);
    if (before == nullptr || key_signature(before->key) != key_signature(idea.key) ||
        mode_of(before->key) != mode_of(idea.key))
      write_key(attributes, idea.key);
    if (before == nullptr || before->meter != idea.meter) {
      XmlElement& time = add_element(attributes, "time");
      add_element(time, "beats", numerator_text(idea.meter));
      add_element(time, "beat-type", idea.meter.denominator);
    }
    if (before == nullptr) add_element(attributes, "staves", 2);
    const Clef clef = clef_of(idea);
    if (before == nullptr || clef_of(*before) != clef) {
      const bool bass = clef == Clef::bass;
      write_clef(attributes, 1, bass ? "F" : "G", bass ? 4 : 2, -idea.instrument.written_octaves_up());
    }
    if (before == nullptr) write_clef(attributes, 2, "TAB", 5, 0);
    if (before == nullptr || !same_strings(before->instrument, idea.instrument))
      write_strings(attributes, idea.instrument.neck);
    drop_last_if_empty(measure);
  }

  /// The idea of the passage before; nothing at the document's start.
  [[nodiscard]] const IdeaSheet* idea_before(std::size_t index) const {
    return index > 0 ? &passages_[index - 1].idea() : nullptr;
  }

  static void write_key(XmlElement& attributes, const Key& key) {
    XmlElement& node = add_element(attributes, "key");
    add_element(node, "fifths", key_signature(key));
    if (const std::string_view mode = mode_of(key); !mode.empty()) add_element(node, "mode", mode);
  }

  static void write_clef(XmlElement& attributes, int staff, std::string_view sign, int line, int octaves) {
    XmlElement& clef = add_element(attributes, "clef");
    add_attribute(clef, "number", std::to_string(staff));
    add_element(clef, "sign", sign);
    add_element(clef, "line", line);
    if (octaves != 0) add_element(clef, "clef-octave-change", octaves);
  }

  static void write_strings(XmlElement& attributes, const Neck& neck) {
    XmlElement& details = add_element(attributes, "staff-details");
    add_attribute(details, "number", "2");
    add_element(details, "staff-lines", neck.strings());
    int line = 0;
    for (const SpelledPitch& open : neck.tuning.open) {
      XmlElement& tuning = add_element(details, "staff-tuning");
      add_attribute(tuning, "line", std::to_string(++line));
      add_step(tuning, "tuning", open.pitch_class);
      add_element(tuning, "tuning-octave", open.octave);
    }
    if (neck.capo > 0) add_element(details, "capo", neck.capo);
  }

  /// A direction above the upper staff; its direction-type is returned.
  static XmlElement& add_direction(XmlElement& measure) {
    XmlElement& direction = add_element(measure, "direction");
    add_attribute(direction, "placement", "above");
    XmlElement& type = add_element(direction, "direction-type");
    add_element(direction, "staff", 1);
    return type;
  }

  void write_directions(XmlElement& measure, std::size_t index) const {
    const XmlPassage& passage = passages_[index];
    const IdeaSheet& idea = passage.idea();
    if (passage.feel.is_first()) add_element(add_direction(measure), "rehearsal", std::to_string(idea.number));
    const std::string feel = counted(static_cast<std::size_t>(passage.score().notes_per_beat), "note") + " a beat";
    XmlElement& name = add_element(add_direction(measure), "words", idea.name.empty() ? feel : idea.name + ", " + feel);
    add_attribute(name, "font-weight", "bold");
    if (!idea.rule.text.empty()) add_element(add_direction(measure), "words", "Rule: " + idea.rule.text);
    const IdeaSheet* before = idea_before(index);
    if (before == nullptr || bpm_of(*before) != bpm_of(idea) || before->meter.beat_value() != idea.meter.beat_value())
      write_tempo(measure, idea);
  }

  [[nodiscard]] const Rational& bpm_of(const IdeaSheet& idea) const {
    return speed_ == MusicXmlSpeed::slow ? idea.slow_bpm : idea.goal_bpm;
  }

  /// The metronome counts beats, sound tempo quarter notes (the standard's "sound").
  void write_tempo(XmlElement& measure, const IdeaSheet& idea) const {
    const Meter& meter = idea.meter;
    const Rational& bpm = bpm_of(idea);
    XmlElement& type = add_direction(measure);
    XmlElement& metronome = add_element(type, "metronome");
    const int unit = meter.is_compound() ? meter.denominator / 2 : meter.denominator;
    add_element(metronome, "beat-unit", unit == 2 ? "half" : unit == 4 ? "quarter" : unit == 8 ? "eighth" : "16th");
    if (meter.is_compound()) add_element(metronome, "beat-unit-dot");
    add_element(metronome, "per-minute", number_text(bpm.to_double()));
    add_attribute(add_element(measure.children.back(), "sound"), "tempo",
                  number_text((bpm * meter.beat_value() * Rational(4)).to_double()));
  }

  static void write_bar_line(XmlElement& measure, bool last) {
    XmlElement& line = add_element(measure, "barline");
    add_attribute(line, "location", "right");
    add_element(line, "bar-style", last ? "light-heavy" : "light-light");
  }

  const Handout& handout_;
  const std::vector<XmlPassage>& passages_;
  std::vector<Instrument> instruments_;
  std::int64_t divisions_;
  MusicXmlSpeed speed_;
  XmlElement* part_ = nullptr;  ///< within the document that write() builds
  std::int64_t measures_ = 0;   ///< numbered so far
  std::int64_t pick_ups_ = 0;
};

}  // namespace

Result<std::string> musicxml_of(const Handout& handout, const MusicXmlOptions& options) {
  const auto passages = write_passages(handout);
  if (!passages) return passages.error();
  const auto divisions = common_divisions(*passages);
  if (!divisions) return divisions.error();
  return DocumentWriter(handout, *passages, *divisions, options.speed).write();
}

}  // namespace fretloom
