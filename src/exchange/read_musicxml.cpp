#include "exchange/read_musicxml.h"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <limits>
#include <map>
#include <optional>
#include <pugixml.hpp>
#include <set>
#include <string>

#include "base/text.h"

namespace fretloom {

namespace {

/// Ticks a quarter note: every value of 1 to 12 notes a beat down to a 512th is whole, and other tuplets lie within the
/// hundredth of a millionth of a quarter.
constexpr std::int64_t k_quarter = 443'520;
constexpr std::int64_t k_last_tick = k_quarter * 4'000'000;

/// What stops the reading.
struct Fault {
  std::optional<Error> error;

  void set(ErrorKind kind, pugi::xml_node at, const std::string& what) {
    if (!error) error = Error{kind, static_cast<std::size_t>(std::max<std::ptrdiff_t>(at.offset_debug(), 0)), what, ""};
  }
  [[nodiscard]] bool found() const { return error.has_value(); }
};

/// The whole number in an element's text.
std::optional<std::int64_t> whole(pugi::xml_node node) {
  const std::string_view text = trim(node.text().get());
  if (const auto number = parse_int(text)) return *number;
  // Durations and divisions may be written as decimals; only whole ones are music here.
  const std::size_t point = text.find('.');
  if (point == std::string_view::npos || text.find_first_not_of("0", point + 1) != std::string_view::npos)
    return std::nullopt;
  const auto number = parse_int(text.substr(0, point));
  return number ? std::optional<std::int64_t>(*number) : std::nullopt;
}

struct XmlNote {
  std::int64_t tick = 0;
  std::int64_t length = 0;
  GivenNote note;
  std::size_t phrase = 0;
  bool tied_on = false;  ///< a tie leads to the next note
};

/// One voice on one staff.
struct Voice {
  std::vector<XmlNote> notes;
  std::map<std::size_t, int> left_out;  ///< by phrase
  std::size_t placed = 0;
};

/// What holds at a place of the part.
struct Context {
  std::optional<Meter> meter;
  std::optional<int> fifths;
  std::map<int, Tuning> tunings;  ///< by staff
  std::map<int, int> capos;
  int transpose = 0;
};

/// A stretch of the part between double bar lines.
struct Stretch {
  std::int64_t origin = 0;  ///< tick of bar 1 beat 1
  bool has_origin = false;
  std::string name;
  Context context;
};

class PartReader {
 public:
  PartReader(pugi::xml_node part, Fault& fault) : part_(part), fault_(fault) { stretches_.emplace_back(); }

  void read() {
    for (const pugi::xml_node measure : part_.children("measure")) {
      read_measure(measure);
      if (fault_.found()) return;
    }
  }

  /// The phrases of the voice that says most.
  void finish(const std::string& part_name, std::vector<GivenPhrase>& phrases) {
    const Voice* best = nullptr;
    int staff = 1;
    for (const auto& [key, voice] : voices_) {
      if (best != nullptr && std::pair(voice.placed, voice.notes.size()) <= std::pair(best->placed, best->notes.size()))
        continue;
      best = &voice;
      staff = key.first;
    }
    if (best == nullptr) return;
    take_accents();
    for (std::size_t i = 0; i < stretches_.size(); ++i) {
      GivenPhrase phrase = phrase_of(*best, i, staff);
      if (phrase.name.empty()) phrase.name = part_name;
      if (phrase.notes.empty()) continue;
      if (phrase.notes.size() > k_max_given_notes) {
        fault_.set(ErrorKind::limit, part_, "more than " + std::to_string(k_max_given_notes) + " notes in one phrase");
        return;
      }
      phrases.push_back(std::move(phrase));
      if (phrases.size() > k_max_given_phrases) {
        fault_.set(ErrorKind::limit, part_, "more than " + std::to_string(k_max_given_phrases) + " phrases");
        return;
      }
    }
  }

 private:
  using VoiceKey = std::pair<int, std::string>;  // staff, voice

  void read_measure(pugi::xml_node measure) {
    const std::int64_t begin = measure_begin_;
    now_ = begin;
    std::int64_t end = begin;
    bool ends_phrase = false;
    for (const pugi::xml_node node : measure.children()) {
      const std::string_view name = node.name();
      if (name == "attributes") read_attributes(node);
      if (name == "note") read_note(node);
      if (name == "backup") move(node, -1);
      if (name == "forward") move(node, 1);
      if (name == "direction") read_direction(node);
      if (name == "barline") ends_phrase = ends_phrase || is_double(node);
      if (now_ < begin) fault_.set(ErrorKind::syntax, node, "this goes back to before the measure");
      if (now_ > k_last_tick) fault_.set(ErrorKind::limit, node, "the piece is longer than any phrase");
      if (fault_.found()) return;
      end = std::max(end, now_);
    }
    Stretch& stretch = stretches_.back();
    if (!stretch.has_origin) {
      const bool pick_up = std::string_view(measure.attribute("implicit").value()) == "yes";
      stretch.origin = pick_up ? end : begin;
      stretch.has_origin = true;
      stretch.context = context_;
    }
    measure_begin_ = end;
    if (ends_phrase) {
      stretches_.emplace_back();
      if (stretches_.size() > 2 * k_max_given_phrases)
        fault_.set(ErrorKind::limit, measure, "more than " + std::to_string(k_max_given_phrases) + " phrases");
    }
  }

  static bool is_double(pugi::xml_node barline) {
    const std::string_view style = trim(barline.child("bar-style").text().get());
    const bool right = std::string_view(barline.attribute("location").value()) != "left";
    return right &&
           (style == "light-light" || style == "light-heavy" || style == "heavy-heavy" || style == "heavy-light");
  }

  std::int64_t ticks(pugi::xml_node node) {
    const auto duration = whole(node.child("duration"));
    if (!duration || *duration < 0 || *duration > divisions_ * 4096) {
      fault_.set(ErrorKind::syntax, node, "a duration must be a whole number from 0 to 1024 whole notes");
      return 0;
    }
    return (*duration * k_quarter + divisions_ / 2) / divisions_;
  }

  void move(pugi::xml_node node, int sign) { now_ += sign * ticks(node); }

  // --- Attributes -------------------------------------------------------------------------------------------

  void read_attributes(pugi::xml_node node) {
    if (const pugi::xml_node divisions = node.child("divisions")) {
      const auto number = whole(divisions);
      if (!number || *number < 1 || *number > k_max_musicxml_divisions) {
        fault_.set(ErrorKind::range, divisions,
                   "divisions must be a whole number from 1 to " + std::to_string(k_max_musicxml_divisions));
        return;
      }
      divisions_ = *number;
    }
    if (const auto fifths = whole(node.child("key").child("fifths")); fifths && *fifths >= -7 && *fifths <= 7)
      context_.fifths = static_cast<int>(*fifths);
    if (const pugi::xml_node time = node.child("time")) {
      const auto meter = parse_meter(std::string(trim(time.child("beats").text().get())) + "/" +
                                     std::string(trim(time.child("beat-type").text().get())));
      context_.meter = meter ? std::optional(*meter) : std::nullopt;
    }
    if (const pugi::xml_node transpose = node.child("transpose")) {
      const auto chromatic = whole(transpose.child("chromatic")).value_or(0);
      const auto octaves = whole(transpose.child("octave-change")).value_or(0);
      if (std::abs(chromatic) > 48 || std::abs(octaves) > 8)
        fault_.set(ErrorKind::range, transpose, "no instrument transposes so far");
      else
        context_.transpose = static_cast<int>(chromatic + 12 * octaves);
    }
    for (const pugi::xml_node details : node.children("staff-details")) read_strings(details);
  }

  void read_strings(pugi::xml_node details) {
    const int staff = details.attribute("number").as_int(1);
    if (const auto capo = whole(details.child("capo"))) {
      if (*capo < 0 || *capo > k_max_frets / 2) return fault_.set(ErrorKind::range, details, "the capo is on no neck");
      context_.capos[staff] = static_cast<int>(*capo);
    }
    std::map<int, SpelledPitch> lines;
    for (const pugi::xml_node tuning : details.children("staff-tuning")) {
      const auto pitch = pitch_of(tuning, "tuning-step", "tuning-alter", "tuning-octave");
      const int line = tuning.attribute("line").as_int(0);
      if (!pitch || line < 1 || line > k_max_strings)
        return fault_.set(ErrorKind::range, tuning, "this tunes no string that is known");
      lines[line] = *pitch;
    }
    if (lines.empty()) return;
    Tuning tuning;
    for (const auto& [line, pitch] : lines) {
      if (line != tuning.strings() + 1)
        return fault_.set(ErrorKind::range, details, "a line of the staff has no tuning");
      tuning.open.push_back(pitch);
    }
    context_.tunings[staff] = tuning;
  }

  static std::optional<SpelledPitch> pitch_of(pugi::xml_node node, const char* step, const char* alter,
                                              const char* octave) {
    const std::string_view letter = trim(node.child(step).text().get());
    const std::size_t index = std::string_view("CDEFGAB").find(letter);
    const auto height = whole(node.child(octave));
    if (letter.size() != 1 || index == std::string_view::npos || !height || *height < 0 || *height > 9)
      return std::nullopt;
    const std::int64_t semitones = whole(node.child(alter)).value_or(0);
    if (std::abs(semitones) > 3) return std::nullopt;
    return SpelledPitch{{static_cast<int>(index), static_cast<int>(semitones)}, static_cast<int>(*height)};
  }

  // --- Notes ------------------------------------------------------------------------------------------------

  void read_direction(pugi::xml_node node) {
    for (const pugi::xml_node type : node.children("direction-type")) {
      for (const pugi::xml_node said : type.children("words")) {
        if (stretches_.back().name.empty()) stretches_.back().name = one_line(said.text().get());
      }
    }
  }

  void read_note(pugi::xml_node node) {
    const int staff = node.child("staff").text().as_int(1);
    Voice& voice = voices_[VoiceKey(staff, node.child("voice").text().get())];
    constexpr std::size_t k_most_voices = 256;
    if (voices_.size() > k_most_voices) return fault_.set(ErrorKind::limit, node, "the part has too many voices");
    const std::size_t phrase = stretches_.size() - 1;
    if (node.child("grace") || node.child("cue")) {
      ++voice.left_out[phrase];
      if (!node.child("grace")) now_ += ticks(node);
      return;
    }
    const bool chord = node.child("chord") != nullptr;
    const std::int64_t length = ticks(node);
    const std::int64_t onset = now_;
    if (!chord) now_ += length;
    if (node.child("rest") || !node.child("pitch")) return;
    XmlNote note{onset, length, {}, phrase, false};
    if (!read_pitch(node, note.note)) return;
    read_notations(node, voice, note);
    if (fault_.found()) return;
    if (chord) return add_to_chord(voice, note);
    bool tied_in = false;
    for (const pugi::xml_node tie : node.children("tie")) {
      const std::string_view type = tie.attribute("type").value();
      tied_in = tied_in || type == "stop";
      note.tied_on = note.tied_on || type == "start";
    }
    if (tied_in && !voice.notes.empty() && voice.notes.back().tied_on &&
        voice.notes.back().note.midi == note.note.midi) {
      voice.notes.back().length = onset + length - voice.notes.back().tick;
      voice.notes.back().tied_on = note.tied_on;
      return;
    }
    if (length == 0) {
      ++voice.left_out[phrase];
      return;
    }
    add(voice, std::move(note));
  }

  void add(Voice& voice, XmlNote note) {
    if (note.note.at) ++voice.placed;
    voice.notes.push_back(std::move(note));
  }

  /// Of a chord the highest note stays.
  void add_to_chord(Voice& voice, const XmlNote& note) {
    ++voice.left_out[note.phrase];
    if (voice.notes.empty() || note.note.midi <= voice.notes.back().note.midi) return;
    XmlNote& kept = voice.notes.back();
    if (kept.note.at.has_value() != note.note.at.has_value()) return;
    kept.note.at = note.note.at;
    kept.note.midi = note.note.midi;
  }

  bool read_pitch(pugi::xml_node node, GivenNote& note) {
    const auto pitch = pitch_of(node.child("pitch"), "step", "alter", "octave");
    const int midi = pitch ? pitch->midi() + context_.transpose : -1;
    if (midi < 0 || midi > 127) {
      fault_.set(ErrorKind::syntax, node, "this is no pitch that an instrument has");
      return false;
    }
    note.midi = midi;
    return true;
  }

  void read_notations(pugi::xml_node node, const Voice& voice, XmlNote& note) {
    for (const pugi::xml_node notations : node.children("notations")) {
      for (const pugi::xml_node technical : notations.children("technical")) read_technical(technical, note.note);
      for (const pugi::xml_node articulations : notations.children("articulations"))
        note.note.accent = note.note.accent || articulations.child("accent") || articulations.child("strong-accent");
      for (const char* name : {"slide", "glissando"}) {
        if (is_stop(notations.child(name))) note.note.attack = Attack::slide;
      }
    }
    const bool same_string = !voice.notes.empty() && voice.notes.back().note.at && note.note.at &&
                             voice.notes.back().note.at->string == note.note.at->string;
    if (!same_string) note.note.attack = Attack::pick;
  }

  static bool is_stop(pugi::xml_node spanner) {
    // One spanner may end and another begin on a note.
    for (pugi::xml_node one = spanner; one; one = one.next_sibling(spanner.name())) {
      if (std::string_view(one.attribute("type").value()) == "stop") return true;
    }
    return false;
  }

  void read_technical(pugi::xml_node technical, GivenNote& note) {
    if (is_stop(technical.child("hammer-on"))) note.attack = Attack::hammer;
    if (is_stop(technical.child("pull-off"))) note.attack = Attack::pull;
    const pugi::xml_node string = technical.child("string");
    const pugi::xml_node fret = technical.child("fret");
    if (!string || !fret) return;
    const auto s = whole(string);
    const auto f = whole(fret);
    if (!s || !f || *s < 1 || *s > k_max_strings || *f < 0 || *f > k_max_frets)
      return fault_.set(ErrorKind::range, technical,
                        "strings go from 1 to " + std::to_string(k_max_strings) + " and frets from 0 to " +
                            std::to_string(k_max_frets));
    note.at = StringFret{static_cast<int>(*s), static_cast<int>(*f)};
  }

  /// An accent may stand on the staff of notes alone, while the strings stand on the staff of tab.
  void take_accents() {
    std::set<std::pair<std::int64_t, int>> accented;
    for (const auto& [key, voice] : voices_) {
      for (const XmlNote& note : voice.notes) {
        if (note.note.accent) accented.emplace(note.tick, *note.note.midi);
      }
    }
    for (auto& [key, voice] : voices_) {
      for (XmlNote& note : voice.notes) note.note.accent = accented.contains({note.tick, *note.note.midi});
    }
  }

  // --- Phrases ----------------------------------------------------------------------------------------------

  [[nodiscard]] GivenPhrase phrase_of(const Voice& voice, std::size_t index, int staff) const {
    const Stretch& stretch = stretches_[index];
    GivenPhrase phrase;
    phrase.name = stretch.name;
    phrase.meter = stretch.context.meter;
    phrase.fifths = stretch.context.fifths;
    const auto tuning = stretch.context.tunings.find(staff);
    if (tuning != stretch.context.tunings.end()) phrase.tuning = tuning->second;
    const auto capo = stretch.context.capos.find(staff);
    if (capo != stretch.context.capos.end()) phrase.capo = capo->second;
    const Rational beat = (phrase.meter ? phrase.meter->beat_value() * Rational(4) : Rational(1)) * Rational(k_quarter);
    bool placed = true;
    for (const XmlNote& note : voice.notes) {
      if (note.phrase != index) continue;
      placed = placed && note.note.at.has_value();
      GivenNote given = note.note;
      given.time = GivenTime{Rational(note.tick - stretch.origin) / beat, Rational(note.length) / beat};
      phrase.notes.push_back(given);
    }
    for (GivenNote& note : phrase.notes) {
      if (!placed) note.at.reset();
      if (!placed) note.attack = Attack::pick;
    }
    const auto left_out = voice.left_out.find(index);
    if (left_out != voice.left_out.end()) phrase.left_out = left_out->second;
    return phrase;
  }

  pugi::xml_node part_;
  Fault& fault_;
  std::int64_t divisions_ = 1;
  std::int64_t measure_begin_ = 0;
  std::int64_t now_ = 0;
  Context context_;
  std::vector<Stretch> stretches_;
  std::map<VoiceKey, Voice> voices_;
};

/// What can be refused before a parser has touched it.
std::optional<Error> refuse_early(std::string_view text) {
  if (text.size() > k_max_musicxml_bytes)
    return Error{ErrorKind::limit, 0, "the document is larger than " + byte_text(k_max_musicxml_bytes), ""};
  std::size_t marks = 0;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '<') continue;
    if (++marks > k_max_musicxml_marks)
      return Error{ErrorKind::limit, i, "the document has more than " + std::to_string(k_max_musicxml_marks) + " marks",
                   ""};
  }
  const std::size_t type = text.find("<!DOCTYPE");
  if (type == std::string_view::npos) return std::nullopt;
  const std::size_t end = text.find_first_of("[>", type);
  if (end != std::string_view::npos && text[end] == '[')
    return Error{ErrorKind::syntax, end, "a document that declares entities of its own is not read", ""};
  return std::nullopt;
}

std::string part_name(pugi::xml_node root, std::string_view id) {
  for (const pugi::xml_node part : root.child("part-list").children("score-part")) {
    if (id == part.attribute("id").value()) return one_line(part.child("part-name").text().get());
  }
  return {};
}

}  // namespace

Result<std::vector<GivenPhrase>> read_musicxml(std::string_view text) {
  if (auto error = refuse_early(text)) return *std::move(error);
  pugi::xml_document document;
  const pugi::xml_parse_result parsed = document.load_buffer(text.data(), text.size());
  if (!parsed)
    return Error{ErrorKind::syntax, static_cast<std::size_t>(std::max<std::ptrdiff_t>(parsed.offset, 0)),
                 std::string("this is no well-formed XML: ") + parsed.description(), ""};
  const pugi::xml_node root = document.document_element();
  Fault fault;
  if (std::string_view(root.name()) != "score-partwise") {
    fault.set(ErrorKind::syntax, root,
              "the document is not a score by parts (score-partwise) but \"" + printable(root.name()) + "\"");
    return *fault.error;
  }
  std::vector<GivenPhrase> phrases;
  for (const pugi::xml_node part : root.children("part")) {
    PartReader reader(part, fault);
    reader.read();
    if (!fault.found()) reader.finish(part_name(root, part.attribute("id").value()), phrases);
    if (fault.found()) return *fault.error;
  }
  if (phrases.empty()) {
    fault.set(ErrorKind::syntax, root, "there are no notes in this document");
    return *fault.error;
  }
  return phrases;
}

}  // namespace fretloom
