#include "lesson/key_name.h"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

namespace fretloom {
namespace {

constexpr auto k_names = std::to_array<std::pair<std::string_view, std::string_view>>({
    {"format", "the format"},
    {"idea", "the ideas"},
    {"title", "the title"},
    {"author", "the author"},
    {"intro", "the introduction"},
    {"links", "the links"},
    {"licence", "the licence"},
    {"copyright", "the copyright line"},
    {"version", "the version"},
    {"logo", "the logo"},
    {"id", "the lesson's id"},
    {"key", "the key"},
    {"tonic", "the tonic"},
    {"scale", "the scale"},
    {"tuning", "the tuning"},
    {"frets", "the number of frets"},
    {"scale_length", "the scale length"},
    {"capo", "the capo"},
    {"meter", "the meter"},
    {"tempo", "the tempo"},
    {"tempo.slow", "the slow tempo"},
    {"tempo.goal", "the goal tempo"},
    {"clear_after", "the strokes after which the pick stands clear"},
    {"reach", "the reach of the hand"},
    {"layout", "the layout"},
    {"layout.kind", "the kind of layout"},
    {"layout.notes", "the number of notes a string"},
    {"layout.width", "the width of the position"},
    {"layout.from", "the lowest fret"},
    {"vamp", "the vamp"},
    {"vamp.chords", "the chords of the vamp"},
    {"vamp.rhythm", "the rhythm of the vamp"},
    {"vamp.swing", "the swing"},
    {"name", "the name"},
    {"note", "the note to the player"},
    {"cell", "the rule"},
    {"sequence", "the rule"},
    {"carry", "the carry"},
    {"carry.strings", "the carry in strings"},
    {"carry.steps", "the carry in steps"},
    {"start", "the start"},
    {"start.string", "the string it starts on"},
    {"start.ordinal", "the note it starts on"},
    {"start.beat", "the beat it starts on"},
    {"repeats", "the number of repetitions"},
    {"back", "the way back"},
    {"notes_per_beat", "the notes per beat"},
    {"picking", "the picking"},
    {"first_stroke", "the first stroke"},
    {"ending", "the ending"},
    {"ending.kind", "the kind of ending"},
    {"ending.degree", "the degree it lands on"},
    {"ending.on", "where it lands"},
    {"fingers", "the fingers"},
    {"fingers.repeat", "the repetition of a pinned finger"},
    {"fingers.note", "the note of a pinned finger"},
    {"fingers.finger", "the finger"},
    {"edits", "the changed notes"},
    {"edits.repeat", "the repetition of a changed note"},
    {"edits.note", "the place of a changed note"},
    {"edits.fret", "the fret of a changed note"},
});

/// "edits[2].fret" as "edits.fret".
std::string without_numbers(std::string_view key) {
  std::string plain;
  bool inside = false;
  for (const char c : key) {
    if (c == '[') inside = true;
    if (!inside) plain += c;
    if (c == ']') inside = false;
  }
  return plain;
}

}  // namespace

std::string key_name(const KeyPath& key) {
  const std::string plain = without_numbers(key.key);
  const auto* row = std::find_if(k_names.begin(), k_names.end(), [&](const auto& each) { return each.first == plain; });
  return row == k_names.end() ? key.key : std::string(row->second);
}

}  // namespace fretloom
