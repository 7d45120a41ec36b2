#include "exchange/musicxml_reading.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <map>
#include <numeric>
#include <set>

#include "base/text.h"

namespace fretloom::xml_reading {

namespace {

int semitones(const std::string& step) {
  constexpr std::array k_semitones = {9, 11, 0, 2, 4, 5, 7};  // of A B C D E F G
  return k_semitones[static_cast<std::size_t>(step.at(0) - 'A')];
}

std::string spelled(const std::string& step, int alter) {
  return step + std::string(static_cast<std::size_t>(std::abs(alter)), alter > 0 ? '#' : 'b');
}

Rational value_of(const std::string& type) {
  const std::vector<std::string> k_types = {"whole", "half", "quarter", "eighth", "16th",
                                            "32nd",  "64th", "128th",   "256th"};
  const auto found = std::find(k_types.begin(), k_types.end(), type);
  return found == k_types.end() ? Rational(0) : Rational(4, std::int64_t{1} << (found - k_types.begin()));
}

class Reader {
 public:
  Document read(const std::string& text) {
    pugi::xml_document xml;
    const auto result = xml.load_buffer(text.data(), text.size(), pugi::parse_default, pugi::encoding_utf8);
    if (!result) return fault(result.description()), std::move(document_);
    const pugi::xml_node root = xml.child("score-partwise");
    document_.title = root.child("work").child_value("work-title");
    for (const pugi::xml_node measure : root.child("part").children("measure")) read_measure(measure);
    for (const auto& [staff, note] : open_ties_) fault("a tie on staff " + std::to_string(staff) + " never ends");
    for (const std::string& spanner : open_) fault(spanner + " never ends");
    std::stable_sort(document_.notes.begin(), document_.notes.end(), [](const Note& a, const Note& b) {
      return std::pair(a.staff, a.onset) < std::pair(b.staff, b.onset);
    });
    return std::move(document_);
  }

 private:
  void fault(const std::string& what) { document_.faults.push_back("measure " + now_.number + ": " + what); }
  [[nodiscard]] Rational quarters(pugi::xml_node node) const { return Rational(node.text().as_int(), divisions_); }

  void read_measure(pugi::xml_node measure) {
    now_.number = measure.attribute("number").value();
    if (!numbers_.insert(now_.number).second) fault("the number is not its own");
    now_.text = measure.attribute("text").value();
    now_.implicit = std::strcmp(measure.attribute("implicit").value(), "yes") == 0;
    now_.begin = at_;
    now_.length = Rational(0);
    now_.bar_line.clear();
    Rational place = at_;
    std::map<int, Rational> filled;
    for (const pugi::xml_node node : measure.children()) {
      const std::string name = node.name();
      if (name == "attributes") read_attributes(node);
      if (name == "direction") read_direction(node);
      if (name == "harmony") read_harmony(node, place);
      if (name == "barline") now_.bar_line = node.child_value("bar-style");
      if (name == "backup") place -= quarters(node.child("duration"));
      if (name == "note") {
        read_note(node, place);
        const Rational duration = quarters(node.child("duration"));
        if (duration <= Rational(0)) fault("a note of no duration");
        place += duration;
        filled[node.child("staff").text().as_int()] += duration;
      }
    }
    if (filled.size() != 2 || filled[1] != filled[2]) fault("the staves are not of one length");
    now_.length = filled[1];
    if (!now_.implicit && now_.length != now_.full) fault("is not full");
    if (now_.implicit && now_.length > now_.full) fault("is overfull");
    for (const std::string& beam : beams_) fault(beam + " never ends");
    beams_.clear();
    signs_.clear();
    at_ += now_.length;
    document_.measures.push_back(now_);
  }

  void read_attributes(pugi::xml_node node) {
    if (const auto divisions = node.child("divisions")) divisions_ = divisions.text().as_int();
    if (const auto key = node.child("key")) {
      now_.fifths = key.child("fifths").text().as_int();
      now_.mode = key.child_value("mode");
    }
    if (const auto time = node.child("time")) {
      now_.beats = time.child_value("beats");
      now_.beat_type = time.child("beat-type").text().as_int();
      int sum = 0;
      for (const auto part : split(now_.beats, '+')) sum += parse_int(part).value_or(0);
      now_.full = Rational(4 * sum, now_.beat_type);
    }
    for (const auto clef : node.children("clef")) {
      if (clef.attribute("number").as_int() == 1)
        now_.clef =
            std::string(clef.child_value("sign")) + clef.child_value("line") + clef.child_value("clef-octave-change");
      else if (std::strcmp(clef.child_value("sign"), "TAB") != 0)
        fault("the lower staff has no tablature clef");
    }
    if (const auto details = node.child("staff-details")) {
      now_.open.assign(details.child("staff-lines").text().as_uint(), -1);
      for (const auto tuning : details.children("staff-tuning"))
        now_.open.at(tuning.attribute("line").as_uint() - 1) =
            12 * (tuning.child("tuning-octave").text().as_int() + 1) + semitones(tuning.child_value("tuning-step")) +
            tuning.child("tuning-alter").text().as_int();
      now_.capo = details.child("capo").text().as_int();
    }
  }

  void read_direction(pugi::xml_node node) {
    const auto type = node.child("direction-type").first_child();
    if (std::strcmp(type.name(), "rehearsal") == 0)
      document_.words.push_back("[" + std::string(type.child_value()) + "]");
    if (std::strcmp(type.name(), "words") == 0) document_.words.emplace_back(type.child_value());
    if (const auto tempo = node.child("sound").attribute("tempo")) {
      now_.tempo = tempo.as_double();
      const Rational unit =
          value_of(type.child_value("beat-unit")) * (type.child("beat-unit-dot") ? Rational(3, 2) : 1);
      if (std::abs(type.child("per-minute").text().as_double() * unit.to_double() - now_.tempo) > 1e-9 * now_.tempo)
        fault("metronome and sound differ");
    }
  }

  void read_harmony(pugi::xml_node node, const Rational& place) {
    const auto note = [&](const char* part) {
      const auto child = node.child(part);
      return spelled(child.child_value((std::string(part) + "-step").c_str()),
                     child.child((std::string(part) + "-alter").c_str()).text().as_int());
    };
    document_.harmonies.push_back(
        {place + quarters(node.child("offset")),
         note("root") + node.child("kind").attribute("text").value() + (node.child("bass") ? "/" + note("bass") : "")});
  }

  void read_note(pugi::xml_node node, const Rational& place) {
    Note note;
    note.staff = node.child("staff").text().as_int();
    note.onset = place;
    note.duration = quarters(node.child("duration"));
    check_value(node, note);
    read_beams(node, note.staff);
    read_spanners(node, note.staff);
    if (node.child("rest")) {
      if (node.child("tie")) fault("a tied rest");
      return;
    }
    const auto pitch = node.child("pitch");
    const int alter = pitch.child("alter").text().as_int();
    note.pitch = spelled(pitch.child_value("step"), alter) + pitch.child_value("octave");
    note.midi = 12 * (pitch.child("octave").text().as_int() + 1) + semitones(pitch.child_value("step")) + alter;
    bool stops = false;
    bool starts = false;
    for (const auto tie : node.children("tie"))
      (std::strcmp(tie.attribute("type").value(), "stop") == 0 ? stops : starts) = true;
    read_marks(node, note);
    if (note.staff == 1) check_sign(node, pitch, alter, stops);
    join(note, stops, starts);
  }

  /// The signs that are printed, with the signature, must give the pitch: a sign holds for its place on the
  /// staff to the bar's end, a tie carries its own over.
  void check_sign(pugi::xml_node node, pugi::xml_node pitch, int alter, bool tied) {
    const std::vector<std::string> k_signs = {"triple-flat", "flat-flat",    "flat",        "natural",
                                              "sharp",       "double-sharp", "triple-sharp"};
    const std::string step = pitch.child_value("step");
    const std::string order = now_.fifths > 0 ? "FCGDAEB" : "BEADGCF";
    const int in_signature =
        static_cast<int>(order.find(step)) < std::abs(now_.fifths) ? (now_.fifths > 0 ? 1 : -1) : 0;
    const auto held = signs_.try_emplace(step + pitch.child_value("octave"), in_signature).first;
    if (node.child("accidental")) {
      const auto found = std::find(k_signs.begin(), k_signs.end(), node.child_value("accidental"));
      const int sign = static_cast<int>(found - k_signs.begin()) - 3;
      if (sign == held->second) fault("a sign that says nothing new");
      held->second = sign;
    }
    if (!tied && held->second != alter) fault("the signs do not give the pitch");
  }

  void join(const Note& note, bool stops, bool starts) {
    const auto open = open_ties_.find(note.staff);
    if ((open != open_ties_.end()) != stops) fault("a tie without its other end");
    std::size_t index = document_.notes.size();
    if (stops && open != open_ties_.end()) {
      index = open->second;
      Note& whole = document_.notes[index];
      if (whole.midi != note.midi || whole.onset + whole.duration != note.onset || whole.string != note.string ||
          whole.fret != note.fret)
        fault("a tie to another note");
      whole.duration += note.duration;
      open_ties_.erase(open);
    } else {
      document_.notes.push_back(note);
    }
    if (starts) open_ties_[note.staff] = index;
  }

  /// type, dots and time-modification must give the duration.
  void check_value(pugi::xml_node node, const Note& note) {
    if (!node.child("type")) {
      if (!node.child("rest").attribute("measure")) fault("a note without type");
      return;
    }
    Rational value = value_of(node.child_value("type"));
    if (node.child("dot")) value = value * Rational(3, 2);
    const auto modification = node.child("time-modification");
    if (modification)
      value = value * Rational(modification.child("normal-notes").text().as_int(),
                               modification.child("actual-notes").text().as_int());
    if (value != note.duration) fault("type and duration differ");
    const bool in_tuplet = std::any_of(open_.begin(), open_.end(), [&](const std::string& open) {
      return open == "tuplet on staff " + std::to_string(note.staff);
    });
    const auto tuplet = node.child("notations").child("tuplet");
    if (static_cast<bool>(modification) != (in_tuplet || tuplet)) fault("time-modification and tuplet differ");
  }

  void read_beams(pugi::xml_node node, int staff) {
    if (staff == 2 && node.child("beam")) fault("a beam in tablature");
    for (const auto beam : node.children("beam")) {
      const std::string level = std::string("beam ") + beam.attribute("number").value();
      const std::string word = beam.child_value();
      if (value_of(node.child_value("type")) > Rational(1, std::int64_t{1} << beam.attribute("number").as_int()))
        fault("more beams than its value has");
      const bool is_open = beams_.contains(level);
      if (word == "begin" ? is_open : word == "continue" || word == "end" ? !is_open : is_open)
        fault(level + " " + word);
      if (word == "begin") beams_.insert(level);
      if (word == "end") beams_.erase(level);
    }
  }

  void read_spanners(pugi::xml_node node, int staff) {
    std::vector<pugi::xml_node> spanners;
    for (const auto notations : node.children("notations")) {
      for (const auto child : notations.children()) spanners.push_back(child);
      for (const auto child : notations.child("technical").children()) spanners.push_back(child);
    }
    for (const auto child : spanners) {
      const std::string name = child.name();
      if (name != "slur" && name != "tuplet" && name != "slide" && name != "hammer-on" && name != "pull-off") continue;
      const std::string key = name + " on staff " + std::to_string(staff);
      if (std::strcmp(child.attribute("type").value(), "start") == 0 ? !open_.insert(key).second
                                                                     : open_.erase(key) != 1)
        fault(key + " " + child.attribute("type").value());
    }
  }

  static void read_marks(pugi::xml_node node, Note& note) {
    const auto add = [&](const std::string& mark) { note.marks += (note.marks.empty() ? "" : " ") + mark; };
    const auto notations = node.child("notations");
    for (const auto child : notations.child("technical").children()) {
      const std::string name = child.name();
      if (name == "string") note.string = child.text().as_int();
      if (name == "fret") note.fret = child.text().as_int();
      if (name == "down-bow" || name == "up-bow") add(name);
      if (name == "fingering") add("finger " + std::string(child.child_value()));
      if ((name == "hammer-on" || name == "pull-off") && std::strcmp(child.attribute("type").value(), "stop") == 0)
        add(name);
    }
    for (const auto slide : notations.children("slide"))
      if (std::strcmp(slide.attribute("type").value(), "stop") == 0) add("slide");
    if (notations.child("articulations").child("accent")) add("accent");
  }

  Document document_;
  Measure now_;
  Rational at_;
  std::int64_t divisions_ = 1;
  std::map<int, std::size_t> open_ties_;  ///< by staff: index into notes
  std::set<std::string> open_;            ///< spanners
  std::set<std::string> beams_;
  std::map<std::string, int> signs_;  ///< alteration in force by staff place, in one bar
  std::set<std::string> numbers_;
};

}  // namespace

Document read(const std::string& text) { return Reader().read(text); }

}  // namespace fretloom::xml_reading
