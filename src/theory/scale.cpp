#include "theory/scale.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cstdlib>
#include <optional>

#include "base/text.h"

namespace fretloom {

namespace {

// Spellings follow each scale's own letters: modes of seven-note scales use every letter once.
constexpr std::array k_modes = {
    // The major scale and its modes.
    Mode{"ionian", "major", "1 2 3 4 5 6 7", "1 maj7 | 4 maj7"},
    Mode{"dorian", "", "1 2 b3 4 5 6 b7", "1 m7 | 4 7"},
    Mode{"phrygian", "", "1 b2 b3 4 5 b6 b7", "1 m7 | b2 maj7"},
    Mode{"lydian", "", "1 2 3 #4 5 6 7", "1 maj7 | 2 7"},
    Mode{"mixolydian", "", "1 2 3 4 5 6 b7", "1 7 | b7 maj7"},
    Mode{"aeolian", "minor,natural minor", "1 2 b3 4 5 b6 b7", "1 m7 | b6 maj7"},
    Mode{"locrian", "", "1 b2 b3 4 b5 b6 b7", "1 m7b5 | b2 maj7"},
    // The harmonic minor scale and its modes.
    Mode{"harmonic minor", "", "1 2 b3 4 5 b6 7", "1 m | 5 7"},
    Mode{"locrian natural 6", "locrian 6,locrian nat 6", "1 b2 b3 4 b5 6 b7", "1 m7b5 | b2 maj7#5"},
    Mode{"ionian #5", "ionian augmented,major augmented", "1 2 3 4 #5 6 7", "1 maj7#5 | 6 m"},
    Mode{"dorian #4", "ukrainian dorian", "1 2 b3 #4 5 6 b7", "1 m7 | 2 7"},
    Mode{"phrygian dominant", "phrygian major", "1 b2 3 4 5 b6 b7", "1 7 | b2 maj7"},
    Mode{"lydian #2", "lydian #9", "1 #2 3 #4 5 6 7", "1 maj7 | 7 7"},
    Mode{"altered bb7", "ultralocrian,super locrian bb7", "1 b2 b3 b4 b5 b6 bb7", "1 dim7 | b2 m"},
    // The melodic minor scale (ascending) and its modes.
    Mode{"melodic minor", "jazz minor", "1 2 b3 4 5 6 7", "1 m6 | 5 7"},
    Mode{"dorian b2", "phrygian #6", "1 b2 b3 4 5 6 b7", "1 m7 | b7 m6"},
    Mode{"lydian augmented", "lydian #5", "1 2 3 #4 #5 6 7", "1 maj7#5 | 2 7"},
    Mode{"lydian dominant", "lydian b7,mixolydian #4", "1 2 3 #4 5 6 b7", "1 7 | 2 7"},
    Mode{"mixolydian b6", "aeolian dominant", "1 2 3 4 5 b6 b7", "1 7 | 4 m"},
    Mode{"locrian #2", "locrian natural 2,aeolian b5", "1 2 b3 4 b5 b6 b7", "1 m7b5 | 4 m7"},
    Mode{"altered", "super locrian,altered dominant", "1 b2 b3 b4 b5 b6 b7", "1 7alt | b2 m"},
    // Further seven-note scales.
    Mode{"harmonic major", "", "1 2 3 4 5 b6 7", "1 maj7 | 4 m"},
    Mode{"double harmonic major", "double harmonic,byzantine", "1 b2 3 4 5 b6 7", "1 maj7 | b2 maj7"},
    Mode{"hungarian minor", "double harmonic minor", "1 2 b3 #4 5 b6 7", "1 m | 5 maj7"},
    Mode{"neapolitan major", "", "1 b2 b3 4 5 6 7", "1 m | 4 7"},
    // Pentatonics.
    Mode{"major pentatonic", "pentatonic major,pentatonic", "1 2 3 5 6", "1 maj7 | 4 maj7"},
    Mode{"minor pentatonic", "pentatonic minor", "1 b3 4 5 b7", "1 m7 | 4 7"},
    Mode{"suspended pentatonic", "egyptian", "1 2 4 5 b7", "1 7sus4 | b7 6"},
    Mode{"dominant pentatonic", "mixolydian pentatonic", "1 3 4 5 b7", "1 7 | 4 6"},
    Mode{"minor 6 pentatonic", "minor six pentatonic", "1 b3 4 5 6", "1 m6 | 4 7"},
    Mode{"hirajoshi", "", "1 2 b3 5 b6", "1 m | b6 maj7"},
    Mode{"in-sen", "insen", "1 b2 4 5 b7", "1 7sus4 | b7 m6"},
    // Blues.
    Mode{"minor blues", "blues", "1 b3 4 b5 5 b7", "1 7 | 4 7"},
    Mode{"major blues", "", "1 2 b3 3 5 6", "1 7 | 4 7"},
    // Symmetric scales and the chromatic scale.
    Mode{"whole tone", "", "1 2 3 #4 #5 b7", "1 7#5 | 2 7#5"},
    Mode{"whole-half diminished", "diminished,octatonic", "1 2 b3 4 b5 b6 6 7", "1 dim7 | 7 dim7"},
    Mode{"half-whole diminished", "dominant diminished", "1 b2 b3 3 #4 5 6 b7", "1 7b9 | b3 7b9"},
    Mode{"augmented", "", "1 #2 3 5 #5 7", "1 maj7#5 | 3 maj7#5"},
    Mode{"chromatic", "", "1 b2 2 b3 3 4 b5 5 b6 6 b7 7", "1 7 | 4 7"},
    // Scales with a passing note.
    Mode{"bebop dominant", "bebop", "1 2 3 4 5 6 b7 7", "1 7 | 5 m7"},
    Mode{"bebop major", "", "1 2 3 4 5 #5 6 7", "1 6 | 4 maj7"},
};

std::vector<Degree> read_degrees(std::string_view text) {
  std::vector<Degree> degrees;
  for (const Word& word : words(text)) degrees.push_back(parse_degree(word.text).value_or(Degree{}));
  return degrees;
}

bool mode_has_name(const Mode& mode, std::string_view name) {
  if (mode.name == name) return true;
  const auto aliases = split(mode.aliases, ',');
  return std::find(aliases.begin(), aliases.end(), name) != aliases.end() && !name.empty();
}

std::vector<std::string_view> all_mode_names() {
  std::vector<std::string_view> names;
  for (const Mode& mode : k_modes) {
    names.push_back(mode.name);
    for (const std::string_view alias : split(mode.aliases, ',')) {
      if (!alias.empty()) names.push_back(alias);
    }
  }
  return names;
}

/// The key that players write in another way: "Em", "Am pentatonic", "H dorian", "F#-moll", "E dorain". Empty where
/// nothing is near.
std::string mended_key(std::string_view text) {
  std::string plain = plain_accidentals(trim(text));
  std::replace_if(
      plain.begin(), plain.end(), [](char c) { return c == '-' || c == '_' || c == ','; }, ' ');
  const auto parts = words(plain);
  if (parts.empty()) return {};
  std::string_view name = parts.front().text;
  std::vector<std::string> mode;
  std::string tonic = english_note(name);
  if (tonic.empty() && name.size() > 1 && name.back() == 'm') {
    tonic = english_note(name.substr(0, name.size() - 1));
    mode.emplace_back("minor");
  }
  if (!parse_pitch_class(tonic).ok()) return {};
  for (std::size_t i = 1; i < parts.size(); ++i) {
    const std::string word = lower(parts[i].text);
    const bool minor = word == "moll" || word == "min" || word == "m";
    const bool major = word == "dur" || word == "maj";
    if (word != "mode" && word != "scale") mode.push_back(minor ? "minor" : major ? "major" : word);
  }
  const std::string wanted = mode.empty() ? "ionian" : join(mode, " ");
  const std::string near = find_mode(wanted) != nullptr ? wanted : nearest(wanted, all_mode_names());
  return near.empty() ? std::string() : parse_pitch_class(tonic)->name() + " " + near;
}

constexpr int k_max_fifths = 7;
/// Position of each letter's natural on the line of fifths, F = -1 to B = 5 (C = 0).
constexpr std::array<int, 7> k_letter_fifths = {0, 2, 4, -1, 1, 3, 5};

}  // namespace

std::span<const Mode> modes() { return k_modes; }

const Mode* find_mode(std::string_view name_or_alias) {
  const auto row =
      std::find_if(k_modes.begin(), k_modes.end(), [&](const Mode& m) { return mode_has_name(m, name_or_alias); });
  return row == k_modes.end() ? nullptr : &*row;
}

Key::Key() : Key(PitchClass{}, std::string(k_modes.front().name), read_degrees(k_modes.front().degrees)) {}

Key::Key(PitchClass tonic, std::string mode, std::vector<Degree> degrees, std::string said)
    : tonic_(tonic),
      mode_(std::move(mode)),
      said_(said.empty() ? mode_ : std::move(said)),
      degrees_(std::move(degrees)) {
  for (const Degree& degree : degrees_) {
    assert(offsets_.empty() ? degree.semitones() == 0 : degree.semitones() > offsets_.back());
    offsets_.push_back(degree.semitones());
    spelling_.push_back(degree.above(tonic_));
  }
  tonic_midi_ = SpelledPitch{tonic_, 0}.midi();
}

const Degree& Key::degree(int step) const { return degrees_[static_cast<std::size_t>(floor_mod(step, size()))]; }

SpelledPitch Key::pitch(int step) const {
  const auto index = static_cast<std::size_t>(floor_mod(step, size()));
  const int octave = static_cast<int>(floor_div(step, size()));
  // The letter passes C inside the octave when the degree's letter steps reach beyond B.
  const int carry = (tonic_.letter + degrees_[index].number - 1) / 7;
  return {spelling_[index], octave + carry};
}

int Key::midi(int step) const {
  return tonic_midi_ + 12 * static_cast<int>(floor_div(step, size())) +
         offsets_[static_cast<std::size_t>(floor_mod(step, size()))];
}

int Key::step_at_or_above(int midi) const {
  int step = static_cast<int>(floor_div(midi - tonic_midi_, 12)) * size();
  while (this->midi(step) < midi) ++step;
  return step;
}

bool Key::contains(int midi) const { return this->midi(step_at_or_above(midi)) == midi; }

Result<Key> parse_key(std::string_view text) {
  const auto parts = words(text);
  if (parts.empty()) return Error{ErrorKind::syntax, 0, "the key is empty; write a tonic and a mode", "C ionian"};
  const Result<PitchClass> tonic = parse_pitch_class(parts.front().text);
  std::vector<std::string> mode_words;
  for (std::size_t i = 1; i < parts.size(); ++i) mode_words.push_back(lower(plain_accidentals(parts[i].text)));
  const std::string wanted = mode_words.empty() ? std::string("ionian") : join(mode_words, " ");
  const Mode* mode = find_mode(wanted);
  if (!tonic) {
    // "dorian": only the tonic is missing.
    const std::string whole = lower(plain_accidentals(trim(text)));
    if (find_mode(whole) != nullptr) {
      return Error{ErrorKind::syntax, parts.front().at,
                   "the key \"" + std::string(text) + "\" has no tonic; write the note it starts on first",
                   "C " + whole};
    }
    const std::string mended = mended_key(text);
    if (!mended.empty()) {
      return Error{ErrorKind::syntax, parts.front().at,
                   "\"" + std::string(text) +
                       "\" is not a key that can be read; write a note name and a mode, as in \"" + mended + "\"",
                   mended};
    }
    return Error{ErrorKind::syntax, parts.front().at, tonic.error().what, mode != nullptr ? "C " + wanted : "C ionian"};
  }
  if (mode == nullptr) {
    return Error{
        ErrorKind::syntax, parts[1].at,
        "\"" + wanted +
            "\" is not one of the modes that `fretloom list modes` shows; any other scale is written with tonic "
            "and scale",
        mended_key(text)};
  }
  return Key(*tonic, std::string(mode->name), read_degrees(mode->degrees), wanted);
}

Result<Key> make_key(PitchClass tonic, std::span<const std::string> degree_names) {
  constexpr std::string_view k_legal =
      "write 2 to 12 degrees, from \"1\" up, numbers 1 to 7 with b or #, each higher than the one before";
  if (degree_names.size() < 2 || degree_names.size() > 12) {
    return Error{ErrorKind::range, 0,
                 "the scale has " + counted(degree_names.size(), "note") + "; " + std::string(k_legal), ""};
  }
  std::vector<Degree> degrees;
  for (std::size_t i = 0; i < degree_names.size(); ++i) {
    const std::optional<Degree> degree = parse_degree(degree_names[i]);
    const std::string quoted = "\"" + degree_names[i] + "\"";
    if (!degree || degree->number > 7)
      return Error{ErrorKind::syntax, i, quoted + " is not a scale degree; " + std::string(k_legal), ""};
    if (i == 0 && degree->semitones() != 0)
      return Error{ErrorKind::range, i, "the scale starts with " + quoted + "; " + std::string(k_legal), "1"};
    if (i > 0 && degree->semitones() <= degrees.back().semitones()) {
      return Error{ErrorKind::range, i,
                   quoted + " is not higher than \"" + degree_names[i - 1] + "\"; " + std::string(k_legal), ""};
    }
    if (degree->semitones() >= 12)
      return Error{ErrorKind::range, i, quoted + " is not below the octave; " + std::string(k_legal), ""};
    degrees.push_back(*degree);
  }
  if (degrees.front() != Degree{1, 0})
    return Error{ErrorKind::range, 0, "the scale does not start with \"1\"; " + std::string(k_legal), "1"};
  for (const Mode& mode : k_modes) {
    if (read_degrees(mode.degrees) == degrees) return Key(tonic, std::string(mode.name), std::move(degrees));
  }
  std::vector<std::string> names;
  for (const Degree& degree : degrees) names.push_back(degree.name());
  return Key(tonic, join(names, " "), std::move(degrees));
}

int major_signature(PitchClass tonic) {
  return k_letter_fifths[static_cast<std::size_t>(tonic.letter)] + 7 * tonic.alter;
}

int signature_alter(int fifths, int letter) {
  // Sharps come in the order F C G D A E B: a letter is sharp once the signature reaches past it.
  const int place = k_letter_fifths[static_cast<std::size_t>(letter)] + 1;  // F = 0 ... B = 6
  return static_cast<int>(floor_div(fifths - place + 6, 7));
}

int key_signature(const Key& key) {
  const auto& degrees = key.degrees();
  const bool major_third = std::find(degrees.begin(), degrees.end(), Degree{3, 0}) != degrees.end();
  const int major = major_signature(key.tonic());
  const int parallel = major_third ? major : major - 3;
  if (key.mode() == "harmonic minor" || key.mode() == "melodic minor") {
    if (std::abs(parallel) <= k_max_fifths) return parallel;
  }
  const auto altered = [&](int fifths) {
    int count = 0;
    for (const Degree& degree : degrees) {
      const PitchClass note = degree.above(key.tonic());
      count += note.alter != signature_alter(fifths, note.letter) ? 1 : 0;
    }
    return count;
  };
  int best = 0;
  for (int fifths = -k_max_fifths; fifths <= k_max_fifths; ++fifths) {
    const auto rank = [&](int f) { return std::pair(altered(f), std::abs(f - parallel)); };
    if (fifths == -k_max_fifths || rank(fifths) < rank(best)) best = fifths;
  }
  return best;
}

}  // namespace fretloom
