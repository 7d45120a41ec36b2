#include "exchange/musicxml.h"

#include <algorithm>
#include <array>
#include <numeric>
#include <optional>

#include "base/text.h"
#include "exchange/musicxml_bar.h"
#include "score/clef.h"

namespace fretloom {

namespace {

constexpr std::int64_t k_most_divisions = std::int64_t{1} << 24;
constexpr int k_lowest_octave = 0;  // simpleType octave of the schema
constexpr int k_highest_octave = 9;
// General MIDI, programs from 1 as the standard counts them.
constexpr int k_program_clean_guitar = 28;
constexpr int k_program_finger_bass = 34;

/// An idea at one feel, its time written.
struct XmlPassage {
  const Score* score = nullptr;
  std::size_t idea = 0;  ///< from 0
  bool first_feel = true;
  Rhythm rhythm;
};

Error in_idea(const XmlPassage& passage, Error error) {
  error.what = "idea " + std::to_string(passage.idea + 1) + ": " + error.what;
  return error;
}

std::optional<Error> unsayable(const Score& score) {
  const auto outside = [](const SpelledPitch& pitch) {
    return pitch.octave < k_lowest_octave || pitch.octave > k_highest_octave;
  };
  if (score.strings.empty()) return Error{ErrorKind::range, 0, "the instrument has no strings", ""};
  const SpelledPitch* found = nullptr;
  for (const ScoreString& string : score.strings) {
    if (outside(string.open)) found = &string.open;
  }
  for (const ScoreNote& note : score.notes) {
    if (outside(note.pitch)) found = &note.pitch;
  }
  if (found == nullptr) return std::nullopt;
  return Error{ErrorKind::range, 0, found->name() + " cannot be told in MusicXML; legal are octaves 0 to 9", ""};
}

Result<std::vector<XmlPassage>> write_passages(const Handout& handout) {
  std::vector<XmlPassage> passages;
  for (std::size_t idea = 0; idea < handout.ideas.size(); ++idea) {
    const auto& feels = handout.ideas[idea].feels;
    for (const Score& score : feels) {
      XmlPassage passage{&score, idea, &score == &feels.front(), {}};
      if (const auto error = unsayable(score)) return in_idea(passage, *error);
      auto rhythm = write_rhythm(score);
      if (!rhythm) return in_idea(passage, rhythm.error());
      passage.rhythm = std::move(rhythm).value();
      passages.push_back(std::move(passage));
    }
  }
  return passages;
}

/// Least number a quarter note in which every value and every chord's place is whole.
Result<std::int64_t> common_divisions(const std::vector<XmlPassage>& passages) {
  std::int64_t divisions = 1;
  const auto take = [&](const XmlPassage& passage, const Rational& beats) {
    divisions = std::lcm(divisions, (beats * passage.score->meter.beat_value() * Rational(4)).den());
    return divisions <= k_most_divisions;
  };
  for (const XmlPassage& passage : passages) {
    for (const RhythmBar& bar : passage.rhythm.bars) {
      bool fits = true;
      for (const RhythmEvent& event : bar.events) fits = fits && take(passage, event.duration.value);
      for (const auto& [onset, chord] : chords_in(*passage.score, bar))
        fits = fits && take(passage, onset.value - bar.origin.value);
      if (!fits)
        return in_idea(passage, {ErrorKind::range, 0, "its beats are divided in too many ways for one common division",
                                 "fewer notes per beat"});
    }
  }
  return divisions;
}

/// Major key of a letter, in fifths.
int fifths_of(const PitchClass& tonic) {
  constexpr std::array k_fifths = {0, 2, 4, -1, 1, 3, 5};  // of C D E F G A B
  return k_fifths[static_cast<std::size_t>(tonic.letter)] + 7 * tonic.alter;
}

/// The key's mode in the standard's words, where it has one for this signature: a mode's own name, else
/// major or minor if the signature is that of the tonic's; else nothing.
std::string mode_of(const Score& score) {
  constexpr std::array<std::pair<std::string_view, int>, 7> k_modes = {{{"ionian", 0},
                                                                        {"dorian", -2},
                                                                        {"phrygian", -4},
                                                                        {"lydian", 1},
                                                                        {"mixolydian", -1},
                                                                        {"aeolian", -3},
                                                                        {"locrian", -5}}};
  const std::size_t space = std::min(score.key.find(' '), score.key.size());
  const auto tonic = parse_pitch_class(std::string_view(score.key).substr(0, space));
  if (!tonic) return "";
  const int shift = score.fifths - fifths_of(*tonic);
  const std::string_view mode = trim(std::string_view(score.key).substr(space));
  for (const auto& [name, own_shift] : k_modes) {
    if (name == mode && own_shift == shift) return std::string(name);
  }
  return shift == 0 ? "major" : shift == -3 ? "minor" : "";
}

std::string numerator_text(const Meter& meter) {
  const std::string name = meter.name();
  return name.substr(0, name.find('/'));
}

bool same_strings(const Score& a, const Score& b) {
  return a.capo == b.capo && std::equal(a.strings.begin(), a.strings.end(), b.strings.begin(), b.strings.end(),
                                        [](const ScoreString& x, const ScoreString& y) { return x.open == y.open; });
}

class DocumentWriter {
 public:
  DocumentWriter(const Handout& handout, const std::vector<XmlPassage>& passages, std::int64_t divisions,
                 MusicXmlSpeed speed)
      : handout_(handout), passages_(passages), divisions_(divisions), speed_(speed) {}

  std::string write() {
    pugi::xml_document document;
    const pugi::xml_node top = document.root();
    const pugi::xml_node declaration = document.append_child(pugi::node_declaration);
    add_attribute(declaration, "version", "1.0");
    add_attribute(declaration, "encoding", "UTF-8");
    document.append_child(pugi::node_doctype)
        .set_value(
            "score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" "
            "\"http://www.musicxml.org/dtds/partwise.dtd\"");
    const pugi::xml_node root = add_element(top, "score-partwise");
    add_attribute(root, "version", "4.0");
    write_header(root);
    part_ = add_element(root, "part");
    add_attribute(part_, "id", "P1");
    for (std::size_t i = 0; i < passages_.size(); ++i) write_passage(i);
    if (passages_.empty()) add_attribute(add_element(part_, "measure"), "number", "1");
    return text_of(document);
  }

 private:
  static std::string text_of(const pugi::xml_document& document) {
    struct Text : pugi::xml_writer {
      std::string bytes;
      void write(const void* data, std::size_t size) override { bytes.append(static_cast<const char*>(data), size); }
    } text;
    document.save(text, "  ", pugi::format_default, pugi::encoding_utf8);
    return std::move(text.bytes);
  }

  void write_header(pugi::xml_node root) const {
    add_element(add_element(root, "work"), "work-title", handout_.title);
    const pugi::xml_node identification = add_element(root, "identification");
    if (!handout_.author.empty())
      add_attribute(add_element(identification, "creator", handout_.author), "type", "composer");
    if (!handout_.licence.empty()) add_element(identification, "rights", handout_.licence);
    const pugi::xml_node encoding = add_element(identification, "encoding");
    add_element(encoding, "software", "Fretloom");
    for (const char* element : {"accidental", "beam"}) {
      const pugi::xml_node supports = add_element(encoding, "supports");
      add_attribute(supports, "element", element);
      add_attribute(supports, "type", "yes");
    }
    write_part_list(root);
  }

  void write_part_list(pugi::xml_node root) const {
    const bool bass = !passages_.empty() && clef_for(passages_.front().score->strings) == Clef::bass;
    const pugi::xml_node part = add_element(add_element(root, "part-list"), "score-part");
    add_attribute(part, "id", "P1");
    add_element(part, "part-name", bass ? "Bass" : "Guitar");
    const pugi::xml_node instrument = add_element(part, "score-instrument");
    add_attribute(instrument, "id", "P1-I1");
    add_element(instrument, "instrument-name", bass ? "Bass" : "Guitar");
    const pugi::xml_node midi = add_element(part, "midi-instrument");
    add_attribute(midi, "id", "P1-I1");
    add_element(midi, "midi-channel", 1);
    add_element(midi, "midi-program", bass ? k_program_finger_bass : k_program_clean_guitar);
  }

  void write_passage(std::size_t index) {
    const XmlPassage& passage = passages_[index];
    for (const RhythmBar& bar : passage.rhythm.bars) {
      const bool opens = &bar == &passage.rhythm.bars.front();
      const pugi::xml_node measure = add_element(part_, "measure");
      write_number(measure, bar);
      if (opens) {
        if (index > 0) add_attribute(add_element(measure, "print"), "new-system", "yes");
        write_attributes(measure, index);
        write_directions(measure, index);
      }
      add_bar(measure, *passage.score, bar, divisions_);
      if (&bar == &passage.rhythm.bars.back()) write_bar_line(measure, index + 1 == passages_.size());
    }
  }

  void write_number(pugi::xml_node measure, const RhythmBar& bar) {
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

  void write_attributes(pugi::xml_node measure, std::size_t index) const {
    const Score& score = *passages_[index].score;
    const Score* before = index > 0 ? passages_[index - 1].score : nullptr;
    const pugi::xml_node attributes = add_element(measure, "attributes");
    if (before == nullptr) add_element(attributes, "divisions", divisions_);
    if (before == nullptr || before->fifths != score.fifths || mode_of(*before) != mode_of(score))
      write_key(attributes, score);
    if (before == nullptr || before->meter != score.meter) {
      const pugi::xml_node time = add_element(attributes, "time");
      add_element(time, "beats", numerator_text(score.meter));
      add_element(time, "beat-type", score.meter.denominator);
    }
    if (before == nullptr) add_element(attributes, "staves", 2);
    const Clef clef = clef_for(score.strings);
    if (before == nullptr || clef_for(before->strings) != clef) {
      write_clef(attributes, 1, clef == Clef::bass ? "F" : "G", clef == Clef::bass ? 4 : 2, -1);
    }
    if (before == nullptr) write_clef(attributes, 2, "TAB", 5, 0);
    if (before == nullptr || !same_strings(*before, score)) write_strings(attributes, score);
    if (!attributes.first_child()) measure.remove_child(attributes);
  }

  static void write_key(pugi::xml_node attributes, const Score& score) {
    const pugi::xml_node key = add_element(attributes, "key");
    add_element(key, "fifths", score.fifths);
    if (const std::string mode = mode_of(score); !mode.empty()) add_element(key, "mode", mode);
  }

  static void write_clef(pugi::xml_node attributes, int staff, std::string_view sign, int line, int octaves) {
    const pugi::xml_node clef = add_element(attributes, "clef");
    add_attribute(clef, "number", std::to_string(staff));
    add_element(clef, "sign", sign);
    add_element(clef, "line", line);
    if (octaves != 0) add_element(clef, "clef-octave-change", octaves);
  }

  static void write_strings(pugi::xml_node attributes, const Score& score) {
    const pugi::xml_node details = add_element(attributes, "staff-details");
    add_attribute(details, "number", "2");
    add_element(details, "staff-lines", static_cast<std::int64_t>(score.strings.size()));
    for (std::size_t i = 0; i < score.strings.size(); ++i) {
      const pugi::xml_node tuning = add_element(details, "staff-tuning");
      add_attribute(tuning, "line", std::to_string(i + 1));
      add_step(tuning, "tuning", score.strings[i].open.pitch_class);
      add_element(tuning, "tuning-octave", score.strings[i].open.octave);
    }
    if (score.capo > 0) add_element(details, "capo", score.capo);
  }

  /// A direction above the upper staff; its direction-type is returned.
  static pugi::xml_node add_direction(pugi::xml_node measure) {
    const pugi::xml_node direction = add_element(measure, "direction");
    add_attribute(direction, "placement", "above");
    const pugi::xml_node type = add_element(direction, "direction-type");
    add_element(direction, "staff", 1);
    return type;
  }

  void write_directions(pugi::xml_node measure, std::size_t index) const {
    const XmlPassage& passage = passages_[index];
    const Score& score = *passage.score;
    if (passage.first_feel) add_element(add_direction(measure), "rehearsal", std::to_string(passage.idea + 1));
    const std::string feel = counted(static_cast<std::size_t>(score.notes_per_beat), "note") + " a beat";
    const pugi::xml_node name =
        add_element(add_direction(measure), "words", score.title.empty() ? feel : score.title + ", " + feel);
    add_attribute(name, "font-weight", "bold");
    if (!score.rule.empty()) add_element(add_direction(measure), "words", "Rule: " + score.rule);
    const Score* before = index > 0 ? passages_[index - 1].score : nullptr;
    if (before == nullptr || bpm_of(*before) != bpm_of(score) || before->meter.beat_value() != score.meter.beat_value())
      write_tempo(measure, score);
  }

  [[nodiscard]] const Rational& bpm_of(const Score& score) const {
    return speed_ == MusicXmlSpeed::slow ? score.slow_bpm : score.goal_bpm;
  }

  /// The metronome counts beats, sound tempo quarter notes (the standard's "sound").
  void write_tempo(pugi::xml_node measure, const Score& score) const {
    const Rational& bpm = bpm_of(score);
    const pugi::xml_node type = add_direction(measure);
    const pugi::xml_node metronome = add_element(type, "metronome");
    const int unit = score.meter.is_compound() ? score.meter.denominator / 2 : score.meter.denominator;
    add_element(metronome, "beat-unit", unit == 2 ? "half" : unit == 4 ? "quarter" : unit == 8 ? "eighth" : "16th");
    if (score.meter.is_compound()) add_element(metronome, "beat-unit-dot");
    add_element(metronome, "per-minute", number_text(bpm.to_double()));
    add_attribute(add_element(type.parent(), "sound"), "tempo",
                  number_text((bpm * score.meter.beat_value() * Rational(4)).to_double()));
  }

  static void write_bar_line(pugi::xml_node measure, bool last) {
    const pugi::xml_node line = add_element(measure, "barline");
    add_attribute(line, "location", "right");
    add_element(line, "bar-style", last ? "light-heavy" : "light-light");
  }

  const Handout& handout_;
  const std::vector<XmlPassage>& passages_;
  std::int64_t divisions_;
  MusicXmlSpeed speed_;
  pugi::xml_node part_;
  std::int64_t measures_ = 0;  ///< numbered so far
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
