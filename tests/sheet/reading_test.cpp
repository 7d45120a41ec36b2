// Reads the notes of an engraved strip back from its SVG as a musician does: clef, key signature, place on the staff,
// ottava, accidentals earlier in the bar. Nothing of the engraver is asked but what it has written.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <regex>

#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"

namespace fretloom::sheet {
namespace {

using Attributes = std::map<std::string, std::string>;

/// An element with the classes of the groups it stands in, innermost last, and the id of its note.
struct Element {
  std::string tag;
  std::string mark;
  std::string note;
  Attributes attributes;

  [[nodiscard]] double number(const std::string& name) const { return std::stod(attributes.at(name)); }
  [[nodiscard]] std::string glyph() const { return attributes.at("href").substr(1); }
};

std::vector<Element> elements_of(const std::string& svg) {
  static const std::regex k_tag("<(/?)([a-z]+)([^>]*)>");
  static const std::regex k_attribute("([a-zA-Z-]+)=\"([^\"]*)\"");
  std::vector<Element> elements;
  std::vector<Element> groups;
  for (std::sregex_iterator tag(svg.begin(), svg.end(), k_tag), end; tag != end; ++tag) {
    const std::string name = (*tag)[2];
    if ((*tag)[1].length() > 0) {
      if (name == "g") groups.pop_back();
      continue;
    }
    Element element;
    element.tag = name;
    const std::string rest = (*tag)[3];
    for (std::sregex_iterator pair(rest.begin(), rest.end(), k_attribute), none; pair != none; ++pair)
      element.attributes[(*pair)[1]] = (*pair)[2];
    if (element.attributes.contains("class")) element.mark = element.attributes["class"];
    if (!groups.empty()) {
      if (element.mark.empty()) element.mark = groups.back().mark;
      element.note = groups.back().note;
    }
    if (element.mark == "note") element.note = element.attributes["id"];
    if (name == "g")
      groups.push_back(element);
    else
      elements.push_back(element);
  }
  return elements;
}

/// Where a path goes: "M1 2H3", "M1 2V3", "M1 2L3 4".
struct Line {
  double x0, y0, x1, y1;
};
Line line_of(const std::string& d) {
  static const std::regex k_line("M(-?[0-9.]+) (-?[0-9.]+)([HVL])(-?[0-9.]+)( (-?[0-9.]+))?.*");
  std::smatch m;
  if (!std::regex_match(d, m, k_line)) return {0, 0, 0, 0};
  Line line{std::stod(m[1]), std::stod(m[2]), std::stod(m[1]), std::stod(m[2])};
  if (m[3] == "H") line.x1 = std::stod(m[4]);
  if (m[3] == "V") line.y1 = std::stod(m[4]);
  if (m[3] == "L") {
    line.x1 = std::stod(m[4]);
    line.y1 = std::stod(m[6]);
  }
  return line;
}

struct Head {
  double x = 0;
  double y = 0;
  std::string note;
  std::optional<int> sign;
};

constexpr int k_semitones[] = {0, 2, 4, 5, 7, 9, 11};

int alter_of(const std::string& glyph) {
  static const std::map<std::string, int> k_signs = {{"accidentalFlat", -1},       {"accidentalNatural", 0},
                                                     {"accidentalSharp", 1},       {"accidentalDoubleFlat", -2},
                                                     {"accidentalDoubleSharp", 2}, {"accidentalTripleFlat", -3},
                                                     {"accidentalTripleSharp", 3}};
  return k_signs.at(glyph);
}

class Reader {
 public:
  explicit Reader(const std::string& svg) {
    for (const Element& e : elements_of(svg)) read(e);
    std::sort(lines_.begin(), lines_.end());
    std::stable_sort(heads_.begin(), heads_.end(), [](const Head& a, const Head& b) { return a.x < b.x; });
    std::sort(bar_lines_.begin(), bar_lines_.end());
  }

  /// MIDI of each note by its id; a note whose tied heads read differently is -1.
  std::map<std::string, int> pitches() const {
    std::map<std::string, int> read;
    std::map<int, int> altered;  // place as printed -> alteration, in this bar
    std::size_t bar = 0;
    for (const Head& head : heads_) {
      const auto now =
          static_cast<std::size_t>(std::lower_bound(bar_lines_.begin(), bar_lines_.end(), head.x) - bar_lines_.begin());
      if (now != bar) altered.clear();
      bar = now;
      const int printed = place_of(head);
      const int letter = ((printed % 7) + 7) % 7;
      const int place = printed + 7 * octaves_at(head.x + 0.59);
      const bool tied = read.contains(head.note);
      int alter = signature_.contains(letter) ? signature_.at(letter) : 0;
      if (altered.contains(printed)) alter = altered[printed];
      if (head.sign) alter = altered[printed] = *head.sign;
      const int octave = (place - letter) / 7;
      const int midi = 12 * octave + k_semitones[letter] + alter;
      if (!tied) {
        read[head.note] = midi;
        continue;
      }
      // A tied head sounds on, whatever its place would say in the new bar; it must stand on the same letter.
      const int natural = midi - alter;
      if (head.sign || std::abs(read[head.note] - natural) > 3) read[head.note] = -1;
    }
    return read;
  }

 private:
  void read(const Element& e) {
    if (e.mark == "staff-line") lines_.push_back(line_of(e.attributes.at("d")).y0);
    if (e.mark == "clef") clef_ = e.glyph();
    if (e.mark == "key-signature") keys_.push_back(e.glyph());
    if (e.mark == "bar-line" && e.tag == "path") {
      const Line line = line_of(e.attributes.at("d"));
      bar_lines_.push_back(line.x0);
    }
    if (e.mark == "ottava" && e.tag == "use") {
      static const std::map<std::string, int> k_octaves = {
          {"ottavaAlta", 1}, {"quindicesimaAlta", 2}, {"ottavaBassaVb", -1}, {"quindicesimaBassaMb", -2}};
      const std::string at = e.attributes.at("transform");
      const double x = std::stod(at.substr(at.find('(') + 1));
      // A sign without a line holds for the note under its beginning.
      ottavas_.push_back({x - 0.3, x + 1.3, k_octaves.at(e.glyph())});
    }
    if (e.mark == "ottava" && e.tag == "path" && e.attributes.contains("stroke-dasharray"))
      ottavas_.back().to = line_of(e.attributes.at("d")).x1;
    if (e.mark == "notehead") heads_.push_back({e.number("x"), e.number("y"), e.note, {}});
    if (e.mark == "accidental" && e.glyph().find("Parens") == std::string::npos) signs_.push_back(e);
    if (e.mark == "notehead") attach_signs();
    if (e.mark == "key-signature") read_signature();
  }

  /// A sign stands in its note's group directly before the head.
  void attach_signs() {
    for (const Element& sign : signs_) {
      if (sign.note == heads_.back().note) heads_.back().sign = alter_of(sign.glyph());
    }
    signs_.clear();
  }

  void read_signature() {
    signature_.clear();
    constexpr int k_sharps[] = {3, 0, 4, 1, 5, 2, 6};  // F C G D A E B, counted from C
    constexpr int k_flats[] = {6, 2, 5, 1, 4, 0, 3};
    for (std::size_t i = 0; i < keys_.size(); ++i) {
      const bool sharp = keys_[i] == "accidentalSharp";
      signature_[(sharp ? k_sharps : k_flats)[i]] = sharp ? 1 : -1;
    }
  }

  /// Diatonic place from C0 of MIDI's octave -1 upward, sounding but for an ottava: the middle line is B3 under the
  /// treble clef with 8 below and D2 under the bass clef of an instrument that sounds an octave lower.
  [[nodiscard]] int place_of(const Head& head) const {
    const double middle = lines_[lines_.size() / 2];
    const int up = static_cast<int>(std::lround((middle - head.y) * 2));
    return up + (clef_ == "gClef8vb" ? 7 * 4 + 6 : 7 * 3 + 1);
  }

  [[nodiscard]] int octaves_at(double x) const {
    for (const Ottava& ottava : ottavas_) {
      if (x > ottava.from && x < ottava.to) return ottava.octaves;
    }
    return 0;
  }

  struct Ottava {
    double from;
    double to;
    int octaves;
  };

  std::vector<double> lines_;
  std::string clef_;
  std::vector<std::string> keys_;
  std::map<int, int> signature_;
  std::vector<double> bar_lines_;
  std::vector<Ottava> ottavas_;
  std::vector<Head> heads_;
  std::vector<Element> signs_;
};

std::string differences(const Handout& handout) {
  SheetOptions options;
  options.paper = k_strip;
  options.prose = false;
  const auto sheet = engrave(handout, {}, options, test::music_font());
  if (!sheet) return sheet.error().what;
  SvgOptions svg;
  svg.note_labels = false;
  const auto read = Reader(write_svg(sheet->scene, test::music_font(), svg)).pitches();
  const auto& notes = handout.ideas[0].feels[0].notes;
  std::string out;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    const auto found = read.find("i1f1n" + std::to_string(i + 1));
    const int midi = found == read.end() ? -2 : found->second;
    if (midi != notes[i].pitch.midi())
      out += "note " + std::to_string(i + 1) + " reads " + std::to_string(midi) + ", is " +
             std::to_string(notes[i].pitch.midi()) + "\n";
  }
  return out;
}

/// Chromatic notes up and down the neck, held over beats and bars, on every kind of instrument.
RC_GTEST_PROP(Reading, EveryAccidentalIsRight, ()) {
  const char* tuning = *rc::gen::element("E2 A2 D3 G3 B3 E4", "E1 A1 D2 G2", "C#1 F#1 B1 E2 A2 D3 G3 B3 E4",
                                         "E1 A1 D2 G2 C3 F3 Bb3 Eb4 Ab4 Db5 Gb5 B5");
  const char* key =
      *rc::gen::element("E dorian", "C ionian", "C# ionian", "Cb ionian", "A harmonic minor", "Db lydian");
  const int strings = std::string(tuning).size() < 14 ? 4 : static_cast<int>((std::string(tuning).size() + 1) / 3);
  std::string notes;
  for (int i = *rc::gen::inRange(1, 30); i > 0; --i) {
    const int string = *rc::gen::inRange(1, std::min(strings, 6) + 1);
    notes += " " + std::to_string(string) + ":" + std::to_string(*rc::gen::inRange(0, 25)) + "x" +
             std::to_string(*rc::gen::inRange(1, 6));
  }
  const Handout handout =
      test::handout_of({"name R\ntuning " + std::string(tuning) + "\nkey " + key + "\nmeter 3/4\nfeel " +
                        std::to_string(*rc::gen::inRange(1, 7)) + "\nnotes" + notes});
  RC_ASSERT(differences(handout) == "");
}

/// The reader is no yes-man: a note moved by a semitone, or an octave, is found.
TEST(Reading, FindsAWrongNote) {
  Handout handout = test::handout_of({"name R\nkey C ionian\nfeel 4\nnotes 1:12 1:13 1:14 1:20 1:13 1:12"});
  EXPECT_EQ(differences(handout), "");
  const auto sheet = engrave(handout.ideas[0], 0, {}, test::music_font());
  ASSERT_TRUE(sheet);
  std::string svg = write_svg(sheet->scene, test::music_font(), {});
  const auto good = Reader(svg).pitches();
  const auto at = svg.find("accidentalSharp\"", svg.find("class=\"accidental\""));
  ASSERT_NE(at, std::string::npos);
  svg.replace(at, 15, "accidentalFlat");
  EXPECT_NE(Reader(svg).pitches(), good);
}

}  // namespace
}  // namespace fretloom::sheet
