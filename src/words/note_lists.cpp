// The sentences and lists that several texts share.

#include <algorithm>
#include <array>

#include "base/text.h"
#include "pack/words.h"

namespace fretloom {

namespace {

constexpr std::string_view k_isolate = "\xE2\x81\xA8";      // U+2068
constexpr std::string_view k_end_isolate = "\xE2\x81\xA9";  // U+2069

/// What stands before a slurred note's fret, as in the text tab.
std::string_view slur_sign(Attack attack) {
  switch (attack) {
    case Attack::hammer: return "h";
    case Attack::pull: return "p";
    case Attack::slide: return "s";
    case Attack::pick: break;
  }
  return "";
}

std::string fret_word(const ScoreNote& note) { return std::string(slur_sign(note.attack)) + std::to_string(note.fret); }

/// "1st", "2nd", "3rd", "11th".
std::string ordinal_word(int number) {
  constexpr std::array<std::string_view, 4> ends = {"th", "st", "nd", "rd"};
  const bool teen = number % 100 >= 11 && number % 100 <= 13;
  const int last = number % 10;
  return std::to_string(number) + std::string(teen || last > 3 ? ends[0] : ends[static_cast<std::size_t>(last)]);
}

/// "the root of Em7", "the flat 7th of A7"; "over A7" for a note that is no tone of the chord.
std::string chord_place(const Chord& chord, const SpelledPitch& pitch) {
  const auto above = static_cast<int>(floor_mod(pitch.midi() - chord.root.semitones(), 12));
  const Degree* tone = chord.tone_at(above);
  if (tone == nullptr) return "over " + chord.symbol();
  if (tone->number == 1 && tone->alter == 0) return "the root of " + chord.symbol();
  std::string name = "the ";
  for (int i = tone->alter; i < 0; ++i) name += "flat ";
  for (int i = tone->alter; i > 0; --i) name += "sharp ";
  return name + ordinal_word(tone->number) + " of " + chord.symbol();
}

}  // namespace

std::string plain_line(std::string_view text) {
  std::string line = one_line(text);
  return has_right_to_left(line) ? std::string(k_isolate) + line + std::string(k_end_isolate) : line;
}

std::string listed(const std::vector<std::string>& items) {
  std::string text;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (i > 0) text += i + 1 == items.size() ? " and " : ", ";
    text += items[i];
  }
  return text;
}

std::string tempo_text(const Rational& bpm) { return number_text(bpm.to_double()); }

std::string vamp_text(const Score& score) {
  std::vector<std::string> bars;
  for (const ScoreChord& chord : score.vamp) {
    const auto bar = static_cast<std::size_t>(std::max<std::int64_t>(bar_of(score.meter, chord.onset), 1));
    if (bars.size() < bar) bars.resize(bar, "%");  // a bar in which no chord starts goes on with the one before
    std::string& text = bars[bar - 1];
    text = text == "%" ? chord.chord.symbol() : text + " " + chord.chord.symbol();
  }
  return join(bars, " | ");
}

std::string visits_text(std::span<const ScoreNote> notes) {
  std::string text;
  int string = 0;
  for (const ScoreNote& note : notes) {
    if (note.string != string) text += (text.empty() ? "" : " | ") + std::to_string(note.string) + ":";
    string = note.string;
    text += " " + fret_word(note);
  }
  return text;
}

std::string strokes_text(std::span<const ScoreNote> notes) {
  std::string text;
  int string = 0;
  for (const ScoreNote& note : notes) {
    if (!text.empty()) text += note.string != string ? " | " : " ";
    string = note.string;
    text += note.stroke ? letter(*note.stroke) : '-';
  }
  return text;
}

std::string landing_text(const Score& score) {
  if (score.notes.empty() || score.notes.back().role != Role::landing) return "";
  const ScoreNote& note = score.notes.back();
  std::string text = "lands in bar " + std::to_string(bar_of(score.meter, note.onset));
  const Rational place = beat_in_bar(score.meter, note.onset).value;
  if (place.is_whole()) text += " on beat " + std::to_string(place.num() + 1);
  text += ", on string " + std::to_string(note.string) + " at fret " + std::to_string(note.fret) + ": " +
          note.pitch.pitch_class.name();
  if (const ScoreChord* chord = chord_at(score, note.onset)) text += ", " + chord_place(chord->chord, note.pitch);
  if (note.stroke) text += *note.stroke == Stroke::down ? ", with a downstroke" : ", with an upstroke";
  return text;
}

}  // namespace fretloom
