#include "exchange/musicxml_bar.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>

#include "base/text.h"
#include "exchange/musicxml_chord.h"
#include "theory/scale.h"

namespace fretloom {

namespace {

constexpr int k_notation_voice = 1;
constexpr int k_tab_voice = 5;  // voices 1 to 4 belong to the upper staff (common practice)
constexpr std::array k_types = {"whole", "half",  "quarter", "eighth", "16th",  "32nd",
                                "64th",  "128th", "256th",   "512th",  "1024th"};

enum class StaffKind { notation = 1, tab = 2 };

/// The sign to print for an alteration of -3 to 3 semitones.
std::string_view accidental_name(int alter) {
  constexpr std::array<std::string_view, 7> k_names = {"triple-flat", "flat-flat",    "flat",        "natural",
                                                       "sharp",       "double-sharp", "triple-sharp"};
  const int row = std::clamp(alter, -3, 3) + 3;
  return k_names[static_cast<std::size_t>(row)];
}

std::string_view type_of(const Rational& value) {
  std::size_t log = 0;
  while (log + 1 < k_types.size() && Rational(1, std::int64_t{1} << log) > value) ++log;
  return k_types[log];
}

class BarWriter {
 public:
  BarWriter(XmlElement& measure, const FeelRef& feel, const RhythmBar& bar, std::int64_t divisions,
            const std::string& instrument)
      : measure_(measure),
        idea_(*feel.idea),
        score_(*feel.score),
        bar_(bar),
        divisions_(divisions),
        instrument_(instrument),
        fifths_(key_signature(idea_.key)),
        chords_(chords_in(idea_.vamp, idea_.meter, bar)) {}

  void write() {
    write_staff(StaffKind::notation);
    add_element(add_element(measure_, "backup"), "duration", length(bar_.end.value - bar_.start.value));
    write_staff(StaffKind::tab);
  }

 private:
  [[nodiscard]] std::int64_t length(const Rational& beats) const {
    return in_divisions(Beats(beats), idea_.meter, divisions_);
  }
  [[nodiscard]] const ScoreNote& note_of(const RhythmEvent& event) const {
    return score_.notes[static_cast<std::size_t>(event.note)];
  }
  [[nodiscard]] const ScoreNote* next_of(const RhythmEvent& event) const {
    const auto next = static_cast<std::size_t>(event.note) + 1;
    return next < score_.notes.size() ? &score_.notes[next] : nullptr;
  }
  /// The note after this one, if it is slurred to it.
  [[nodiscard]] const ScoreNote* slurred_next(const RhythmEvent& event) const {
    const ScoreNote* next = next_of(event);
    return next != nullptr && next->attack != Attack::pick ? next : nullptr;
  }

  void write_staff(StaffKind staff) {
    for (std::size_t i = 0; i < bar_.events.size(); ++i) {
      const RhythmEvent& event = bar_.events[i];
      if (staff == StaffKind::notation) write_chords(event);
      write_event(static_cast<int>(i), event, staff);
    }
  }

  void write_chords(const RhythmEvent& event) {
    const Rational end = event.onset.value + event.duration.value;
    for (const auto& placed : chords_) {
      const Rational& onset = placed.first.value;
      if (onset >= event.onset.value && onset < end)
        write_chord(placed.second->chord, length(onset - event.onset.value));
    }
  }

  /// `offset`: divisions after the note before which it is written.
  void write_chord(const Chord& chord, std::int64_t offset) {
    XmlElement& harmony = add_element(measure_, "harmony");
    add_attribute(harmony, "placement", "above");
    add_step(add_element(harmony, "root"), "root", chord.root);
    const MusicXmlKind kind = musicxml_kind(chord);
    add_attribute(add_element(harmony, "kind", kind.kind), "text", chord.suffix);
    if (chord.bass) add_step(add_element(harmony, "bass"), "bass", *chord.bass);
    for (const MusicXmlDegree& degree : kind.degrees) write_degree(harmony, degree);
    if (offset > 0) add_element(harmony, "offset", offset);
    add_element(harmony, "staff", 1);
  }

  /// Not printed: the kind's text is the whole symbol.
  static void write_degree(XmlElement& harmony, const MusicXmlDegree& degree) {
    XmlElement& node = add_element(harmony, "degree");
    add_attribute(node, "print-object", "no");
    add_element(node, "degree-value", degree.value);
    add_element(node, "degree-alter", degree.alter);
    add_element(node, "degree-type", degree.type);
  }

  void write_event(int index, const RhythmEvent& event, StaffKind staff) {
    const bool tab = staff == StaffKind::tab;
    XmlElement& note = add_element(measure_, "note");
    if (event.is_rest()) {
      // Tablature shows no rests (common practice).
      if (tab) add_attribute(note, "print-object", "no");
      XmlElement& rest = add_element(note, "rest");
      if (event.full_bar) add_attribute(rest, "measure", "yes");
    } else {
      XmlElement& pitch = add_element(note, "pitch");
      add_step(pitch, "", note_of(event).pitch.pitch_class);
      add_element(pitch, "octave", note_of(event).pitch.octave);
    }
    add_element(note, "duration", length(event.duration.value));
    if (event.tie_in) add_attribute(add_element(note, "tie"), "type", "stop");
    if (event.tie_out) add_attribute(add_element(note, "tie"), "type", "start");
    if (!event.is_rest() && !instrument_.empty()) add_attribute(add_element(note, "instrument"), "id", instrument_);
    add_element(note, "voice", tab ? k_tab_voice : k_notation_voice);
    if (!event.full_bar) {
      add_element(note, "type", k_types[static_cast<std::size_t>(event.log)]);
      for (int i = 0; i < event.dots; ++i) add_element(note, "dot");
    }
    if (!tab && !event.is_rest()) write_accidental(note, event);
    if (event.tuplet >= 0) write_time_modification(note, tuplet_of(event));
    if (tab && !event.is_rest()) add_element(note, "stem", "none");
    add_element(note, "staff", static_cast<int>(staff));
    if (!tab && event.beam >= 0) write_beams(note, index, event);
    write_notations(note, index, event, staff);
  }

  /// A sign holds for its staff position to the bar's end; a tied note needs none.
  void write_accidental(XmlElement& note, const RhythmEvent& event) {
    const SpelledPitch& pitch = note_of(event).pitch;
    const auto [held, is_new] =
        altered_.try_emplace(pitch.diatonic(), signature_alter(fifths_, pitch.pitch_class.letter));
    const int alter = pitch.pitch_class.alter;
    if (event.tie_in || held->second == alter) return;
    held->second = alter;
    add_element(note, "accidental", accidental_name(alter));
  }

  [[nodiscard]] const TupletGroup& tuplet_of(const RhythmEvent& event) const {
    return bar_.tuplets[static_cast<std::size_t>(event.tuplet)];
  }
  /// The value that the ratio counts: a tuplet fills one beat.
  [[nodiscard]] std::string_view normal_type(const TupletGroup& tuplet) const {
    return type_of(idea_.meter.beat_value() / Rational(tuplet.ratio.normal));
  }

  void write_time_modification(XmlElement& note, const TupletGroup& tuplet) const {
    XmlElement& node = add_element(note, "time-modification");
    add_element(node, "actual-notes", tuplet.ratio.actual);
    add_element(node, "normal-notes", tuplet.ratio.normal);
    add_element(node, "normal-type", normal_type(tuplet));
  }

  void write_beams(XmlElement& note, int index, const RhythmEvent& event) const {
    const BeamGroup& beam = bar_.beams[static_cast<std::size_t>(event.beam)];
    const auto at =
        static_cast<std::size_t>(std::find(beam.events.begin(), beam.events.end(), index) - beam.events.begin());
    for (int level = 1; level <= event.log - 2; ++level) {
      const bool left = at > 0 && beam.joined[at - 1] >= level;
      const bool right = at + 1 < beam.events.size() && beam.joined[at] >= level;
      const char* word = left && right                ? "continue"
                         : right                      ? "begin"
                         : left                       ? "end"
                         : hook_points_left(beam, at) ? "backward hook"
                                                      : "forward hook";
      add_attribute(add_element(note, "beam", word), "number", std::to_string(level));
    }
  }

  /// A stub points into its group: to the side with more beams, else to its partner in the pair (common
  /// practice, as on the sheet).
  [[nodiscard]] bool hook_points_left(const BeamGroup& beam, std::size_t at) const {
    if (at == 0) return false;
    if (at + 1 == beam.events.size()) return true;
    if (beam.joined[at - 1] != beam.joined[at]) return beam.joined[at - 1] > beam.joined[at];
    const RhythmEvent& event = bar_.events[static_cast<std::size_t>(beam.events[at])];
    return !((event.onset.value - bar_.origin.value) / (event.duration.value * Rational(2))).is_whole();
  }

  void write_notations(XmlElement& note, int index, const RhythmEvent& event, StaffKind staff) const {
    XmlElement& notations = add_element(note, "notations");
    if (event.tie_in) add_attribute(add_element(notations, "tied"), "type", "stop");
    if (event.tie_out) add_attribute(add_element(notations, "tied"), "type", "start");
    if (!event.is_rest()) write_slurs(notations, event);
    if (event.tuplet >= 0) write_tuplet(notations, index, tuplet_of(event), staff);
    if (!event.is_rest()) {
      write_technical(notations, event, staff);
      if (staff == StaffKind::notation && !event.tie_in && note_of(event).accent)
        add_element(add_element(notations, "articulations"), "accent");
    }
    drop_last_if_empty(note);
  }

  /// One slur over a run of slurred notes, from the first head of the note it hangs on; a slide's line
  /// leaves the last head.
  void write_slurs(XmlElement& notations, const RhythmEvent& event) const {
    const ScoreNote& note = note_of(event);
    const ScoreNote* next = slurred_next(event);
    const bool hangs = note.attack != Attack::pick && event.note > 0;
    if (!event.tie_in && hangs && next == nullptr) add_spanner(notations, "slur", "stop");
    if (!event.tie_in && !hangs && next != nullptr) add_spanner(notations, "slur", "start");
    if (!event.tie_in && hangs && note.attack == Attack::slide) add_spanner(notations, "slide", "stop");
    if (!event.tie_out && next != nullptr && next->attack == Attack::slide) add_spanner(notations, "slide", "start");
  }

  static XmlElement& add_spanner(XmlElement& parent, std::string_view name, std::string_view type) {
    XmlElement& node = add_element(parent, name);
    add_attribute(node, "type", type);
    add_attribute(node, "number", "1");
    return node;
  }

  void write_tuplet(XmlElement& notations, int index, const TupletGroup& tuplet, StaffKind staff) const {
    const bool tab = staff == StaffKind::tab;
    if (index == tuplet.first) {
      XmlElement& node = add_spanner(notations, "tuplet", "start");
      add_attribute(node, "bracket", tuplet.bracket && !tab ? "yes" : "no");
      if (tab) add_attribute(node, "show-number", "none");
      for (const auto& [name, number] :
           {std::pair("tuplet-actual", tuplet.ratio.actual), std::pair("tuplet-normal", tuplet.ratio.normal)}) {
        XmlElement& portion = add_element(node, name);
        add_element(portion, "tuplet-number", number);
        add_element(portion, "tuplet-type", normal_type(tuplet));
      }
    }
    if (index == tuplet.last) add_spanner(notations, "tuplet", "stop");
  }

  void write_technical(XmlElement& notations, const RhythmEvent& event, StaffKind staff) const {
    const ScoreNote& note = note_of(event);
    XmlElement& technical = add_element(notations, "technical");
    if (staff == StaffKind::tab) {
      add_element(technical, "string", note.string);
      add_element(technical, "fret", note.fret);
    } else if (!event.tie_in) {
      if (note.stroke) add_element(technical, *note.stroke == Stroke::down ? "down-bow" : "up-bow");
      if (note.finger) add_element(technical, "fingering", *note.finger);
    }
    if (!event.tie_in) {
      if (event.note > 0) write_slurred_attack(technical, note.attack, "stop");
      if (const ScoreNote* next = slurred_next(event)) write_slurred_attack(technical, next->attack, "start");
    }
    drop_last_if_empty(notations);
  }

  static void write_slurred_attack(XmlElement& technical, Attack attack, std::string_view type) {
    if (attack != Attack::hammer && attack != Attack::pull) return;
    XmlElement& node = add_spanner(technical, attack == Attack::hammer ? "hammer-on" : "pull-off", type);
    if (type == "start") node.text = attack == Attack::hammer ? "H" : "P";
  }

  XmlElement& measure_;
  const IdeaSheet& idea_;
  const Score& score_;
  const RhythmBar& bar_;
  std::int64_t divisions_;
  const std::string& instrument_;
  int fifths_;
  std::vector<std::pair<Beats, const VampChord*>> chords_;
  std::map<int, int> altered_;  ///< alteration in force, by staff position
};

}  // namespace

void add_step(XmlElement& parent, const std::string& prefix, const PitchClass& pitch_class) {
  const std::string front = prefix.empty() ? "" : prefix + "-";
  add_element(parent, front + "step", std::string_view(&"CDEFGAB"[pitch_class.letter], 1));
  if (pitch_class.alter != 0) add_element(parent, front + "alter", pitch_class.alter);
}

std::int64_t in_divisions(const Beats& duration, const Meter& meter, std::int64_t divisions) {
  return (duration.value * meter.beat_value() * Rational(4 * divisions)).round_half_up();
}

void add_bar(XmlElement& measure, const FeelRef& feel, const RhythmBar& bar, std::int64_t divisions,
             const std::string& instrument) {
  BarWriter(measure, feel, bar, divisions, instrument).write();
}

}  // namespace fretloom
