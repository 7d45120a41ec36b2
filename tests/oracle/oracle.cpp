// Parts 1 and 2: scales and layouts.
#include "oracle/oracle.h"

#include <algorithm>
#include <cctype>
#include <cmath>
#include <cstdlib>

#include "oracle/small.h"

namespace oracle {
namespace {

// The sum of a run of accidentals; nothing when another character or a mixture stands there.
std::optional<int> accidentals(const std::string& text) {
  const int count = static_cast<int>(text.size());
  if (text == std::string(text.size(), '#')) return count;
  if (text == std::string(text.size(), 'b')) return -count;
  return std::nullopt;
}

std::string signs(int alteration) {
  return std::string(static_cast<std::size_t>(std::abs(alteration)), alteration < 0 ? 'b' : '#');
}

const std::string k_letters = "CDEFGAB";
const int k_naturals[7] = {0, 2, 4, 5, 7, 9, 11};  // also the major scale's degrees

struct Name {
  int index = 0;  // letter from C, or degree number from 1, counted from 0
  int alteration = 0;
};

std::optional<Name> tonic_name(const std::string& typed) {
  const std::string text = plain(typed);
  if (text.empty()) return std::nullopt;
  const char letter = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
  const std::size_t at = k_letters.find(letter);
  const auto sum = accidentals(text.substr(1));
  if (at == std::string::npos || !sum) return std::nullopt;
  return Name{static_cast<int>(at), *sum};
}

std::optional<Name> degree_name(const std::string& typed) {
  const std::string text = plain(typed);
  if (text.empty() || text.back() < '1' || text.back() > '7') return std::nullopt;
  const auto sum = accidentals(text.substr(0, text.size() - 1));
  if (!sum) return std::nullopt;
  return Name{text.back() - '1', *sum};
}

int pitch_class(const Name& name) { return mod(k_naturals[name.index] + name.alteration, 12); }

int degree_class(const Scale& scale, const Name& degree) {
  return mod(pitch_class(*tonic_name(scale.tonic)) + pitch_class(degree), 12);
}

}  // namespace

// ---- 1. Scales -------------------------------------------------------------------------------------------

bool valid(const Scale& scale) {
  if (!tonic_name(scale.tonic) || scale.degrees.empty()) return false;
  std::vector<int> seen;
  for (const std::string& text : scale.degrees) {
    const auto degree = degree_name(text);
    if (!degree) return false;
    const int key = degree_class(scale, *degree);
    if (std::count(seen.begin(), seen.end(), key) > 0) return false;
    seen.push_back(key);
  }
  return true;
}

std::optional<int> degree_pitch_class(const Scale& scale, const std::string& text) {
  const auto degree = degree_name(text);
  if (!degree) return std::nullopt;
  return degree_class(scale, *degree);
}

namespace {

// Which of the twelve keys of an octave the scale has.
std::vector<bool> keys(const Scale& scale) {
  std::vector<bool> out(12, false);
  const int tonic = pitch_class(*tonic_name(scale.tonic));
  for (const std::string& text : scale.degrees)
    out[static_cast<std::size_t>(mod(tonic + pitch_class(*degree_name(text)), 12))] = true;
  return out;
}

}  // namespace

bool in_scale(const Scale& scale, int midi) { return keys(scale)[static_cast<std::size_t>(mod(midi, 12))]; }

int walk(const Scale& scale, int midi, int steps) {
  const int way = steps < 0 ? -1 : 1;
  const std::vector<bool> scale_keys = keys(scale);
  for (int taken = 0; taken < std::abs(steps); ++taken) {
    do midi += way;
    while (!scale_keys[static_cast<std::size_t>(mod(midi, 12))]);
  }
  return midi;
}

// For a `to` or `from` outside the scale the step onto it counts as one.
int steps_between(const Scale& scale, int from, int to) {
  int steps = 0;
  const std::vector<bool> scale_keys = keys(scale);
  for (int midi = std::min(from, to) + 1; midi < std::max(from, to); ++midi)
    steps += scale_keys[static_cast<std::size_t>(mod(midi, 12))] ? 1 : 0;
  if (from == to) return 0;
  return from < to ? steps + 1 : -(steps + 1);
}

// "Pitch = the key's spelling + scientific octave (B#3 is MIDI 60, Cb4 is 59); an altered ordinal keeps its
// degree's letter."
Spelled spell(const Scale& scale, int scale_midi, int alteration) {
  for (const std::string& text : scale.degrees) {
    const Name degree = *degree_name(text);
    if (degree_class(scale, degree) != mod(scale_midi, 12)) continue;
    const int letter = (tonic_name(scale.tonic)->index + degree.index) % 7;
    int accidental = mod(scale_midi - k_naturals[letter], 12);
    if (accidental > 6) accidental -= 12;
    const int octave = (scale_midi - accidental - k_naturals[letter]) / 12 - 1;
    return {signs(degree.alteration + alteration) + std::to_string(degree.index + 1),
            k_letters[static_cast<std::size_t>(letter)] + signs(accidental + alteration) + std::to_string(octave)};
  }
  return {};
}

std::optional<int> midi_of(const std::string& typed) {
  const std::string text = plain(typed);
  const std::size_t digits = text.find_first_of("-0123456789");
  if (digits == std::string::npos) return std::nullopt;
  const auto name = tonic_name(text.substr(0, digits));
  if (!name) return std::nullopt;
  return k_naturals[name->index] + name->alteration + 12 * (std::atoi(text.c_str() + digits) + 1);
}

// ---- 2. Layouts ------------------------------------------------------------------------------------------

// "Capo: frets and `from` count from the capo, `frets` and mm from the nut; key and pitch sound."
bool on_neck(const Neck& neck, int fret) { return fret >= 0 && fret + neck.capo <= neck.frets; }

int sounding(const Neck& neck, int string, int fret) {
  return neck.open[neck.open.size() - static_cast<std::size_t>(string)] + neck.capo + fret;
}

namespace {

// `count` scale notes of one string, looking at every fret from `fret` upwards.
std::vector<int> collect(const Scale& scale, const Neck& neck, int string, int fret, int count) {
  std::vector<int> out;
  const std::vector<bool> scale_keys = keys(scale);
  for (; static_cast<int>(out.size()) < count; ++fret) {
    if (scale_keys[static_cast<std::size_t>(mod(sounding(neck, string, fret), 12))]) out.push_back(fret);
  }
  return out;
}

// "per-string: the first note is the first scale note at or above `from` on the thickest string; each string takes
// the next n scale notes, the next string continues."
void add_per_string(const Scale& scale, const Neck& neck, int from, const std::vector<int>& counts, Layout& out) {
  int string = string_count(neck);
  int next_midi = sounding(neck, string, from);  // nothing below this may be taken
  for (const int count : counts) {
    out.push_back(collect(scale, neck, string, next_midi - sounding(neck, string, 0), count));
    if (!out.back().empty()) next_midi = sounding(neck, string, out.back().back()) + 1;
    --string;
  }
}

}  // namespace

Layout layout(const Scale& scale, const Neck& neck, const LayoutSpec& spec) {
  Layout out;
  const int strings = string_count(neck);
  if (spec.kind == Kind::per_string) {
    add_per_string(scale, neck, spec.from, std::vector<int>(neck.open.size(), spec.notes[0]), out);
  }
  // "position: all scale notes from fret `from` to `from + width - 1`."
  if (spec.kind == Kind::position) {
    for (int string = strings; string >= 1; --string) {
      out.emplace_back();
      for (int fret = spec.from; fret <= spec.from + spec.width - 1; ++fret) {
        if (in_scale(scale, sounding(neck, string, fret))) out.back().push_back(fret);
      }
    }
  }
  // "octaves: a two-string block repeated an octave up, shifted by 12 minus the tuning difference."
  // READING: the difference is taken string by string (each string against the one two below it), so that every note
  // of the block sounds an octave up; or once for the whole block (then a note can leave the scale). Taken: the first.
  // READING: with an odd number of strings the last block has its thicker string only; or it is an error. The first.
  if (spec.kind == Kind::octaves) {
    std::vector<int> block = spec.notes;
    block.resize(std::min<std::size_t>(block.size(), neck.open.size()));
    add_per_string(scale, neck, spec.from, block, out);
    for (std::size_t i = 2; i < neck.open.size(); ++i) {
      std::vector<int> frets = out[i - 2];
      for (int& fret : frets) fret += 12 - (neck.open[i] - neck.open[i - 2]);
      out.push_back(frets);
    }
  }
  return out;
}

namespace {

// The first note of the layout off the neck, thick to thin and low to high.
// READING: "first offending string" in layout order (thickest first), which is the order of the lists; or string 1
// first. Taken: layout order.
bool first_offender(const Neck& neck, const Layout& frets, int& string, int& fret) {
  for (int s = string_count(neck); s >= 1; --s) {
    for (const int f : frets[thick_index(neck, s)]) {
      if (on_neck(neck, f)) continue;
      string = s;
      fret = f;
      return true;
    }
  }
  return false;
}

}  // namespace

// "String order is physical; per-string on a tuning that does not ascend is an error with the repair `position`. A
// fret below 0 or above `frets` in the base layout: an error naming the first offending string and note and the
// nearest legal `from`".
LayoutCheck check_layout(const Scale& scale, const Neck& neck, const LayoutSpec& spec) {
  LayoutCheck out;
  // READING: "ascend" strictly; two strings at one pitch do not ascend. Only per-string is named, so an octaves block
  // on such a tuning is judged by its frets alone.
  for (std::size_t i = 1; i < neck.open.size() && spec.kind == Kind::per_string; ++i) {
    if (neck.open[i] > neck.open[i - 1]) continue;
    out.error = "per-string on a tuning that does not ascend; repair: position";
    return out;
  }
  const std::size_t wanted = spec.kind == Kind::octaves ? 2 : 1;
  const bool counted = spec.notes.size() == wanted && spec.notes.front() >= 1 && spec.notes.back() >= 1;
  if (spec.kind == Kind::position ? spec.width < 1 : !counted) {
    out.error = "note counts or width out of range";
    return out;
  }
  out.legal = !first_offender(neck, layout(scale, neck, spec), out.string, out.fret);
  if (out.legal) return out;
  out.error = "string " + std::to_string(out.string) + " fret " + std::to_string(out.fret) + " is off the neck";
  // READING: nearest by the number of frets from the given `from`; of two equally near the lower.
  for (int from = 0; from <= neck.frets - neck.capo; ++from) {
    LayoutSpec other = spec;
    other.from = from;
    int string = 0, fret = 0;
    if (first_offender(neck, layout(scale, neck, other), string, fret)) continue;
    if (!out.nearest_from || std::abs(from - spec.from) < std::abs(*out.nearest_from - spec.from)) {
      out.nearest_from = from;
    }
  }
  return out;
}

// Fret n lies at L(1 - 2^(-n/12)) from the nut (12-tone equal temperament).
double fret_mm(double scale_length, int fret) { return scale_length * (1 - std::pow(2.0, -fret / 12.0)); }

double reach_mm(double scale_length, int low, int high) {
  return fret_mm(scale_length, high) - fret_mm(scale_length, low);
}

}  // namespace oracle
