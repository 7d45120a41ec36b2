#include "lesson/template.h"

#include <array>

#include "base/text.h"
#include "lesson/compile.h"
#include "lesson/table_reader.h"
#include "neck/layout.h"
#include "score/vamp.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, 3> k_cells_of_two = {"1 2 1 2", "2 1 2 1", "2 1 + 1 2"};
constexpr std::array<std::string_view, 4> k_cells_of_three = {"1 2 3 2", "3 2 1 2", "1 3 2 3", "1 2 3 1 2 3"};

/// A key that the lesson leaves to its default, as a comment.
std::string left_out(std::string_view key, const std::string& value, std::string_view meaning) {
  return "# " + std::string(key) + " = " + value + "    # " + std::string(meaning) + "\n";
}

std::string number(const Rational& bpm) { return number_text(bpm.to_double()); }

std::string head_text(std::string_view title, const Key& key) {
  const SettingsDraft usual;
  std::string text =
      "# A lesson. docs/lesson.md explains every key; `fretloom list` shows modes, tunings, rhythms and\n"
      "# chords. A line that begins with # is a comment: take the # away to use it.\n";
  text += "format = " + std::to_string(k_format) + "\n";
  text += "title = " + toml_string(title) + "\n";
  text += left_out("author", "\"\"", "your name, as students read it");
  text += left_out("intro", "\"\"", "a sentence or two before the first idea");
  text += left_out("links", "[]", "where students find more of yours");
  text += left_out("licence", "\"\"", "what a student may do with the lesson");
  text += left_out("copyright", "\"\"", "a line at the foot of the handout");
  text += left_out("version", "\"\"", "your own count of the lesson");
  text += left_out("logo", "\"\"", "a PNG file beside this one");
  text += left_out("id", "\"\"", "what a student's progress is kept under; author and title if left out");
  text += "\nkey = " + toml_string(key.said_name()) + "    # a note and a mode\n";
  text += left_out("tuning", "\"standard\"", "or the open strings, thick to thin: [\"E2\", \"A2\", ...]");
  text += left_out("frets", std::to_string(usual.frets.value), "on the neck");
  text += left_out("scale_length", number_text(usual.scale_length.value), "mm from nut to bridge");
  text += left_out("capo", std::to_string(usual.capo.value), "frets count from it");
  text += left_out("meter", toml_string(usual.meter.value.name()), "also \"6/8\" or \"2+2+3/8\"");
  text += "tempo = { slow = " + number(usual.tempo.value.slow_bpm) + ", goal = 100 }    # beats a minute\n";
  text += left_out("clear_after", "\"upstroke\"",
                   "strokes after which the pick is clear of the strings; also downstroke, both, none");
  text += left_out("reach", number_text(usual.reach.value), "mm that the fretting hand spans without strain");
  return text;
}

std::string tables_text(const Key& key, const LayoutRule& layout) {
  return "\n[layout]    # which frets carry scale notes\n" +
         left_out("kind", toml_string(name(layout.kind)), "also position (with width = 5) and octaves") +
         "notes = " + std::to_string(layout.notes) + "    # on each string\n" +
         "from = " + std::to_string(layout.from) + "    # lowest fret on the thickest string\n" +
         "\n[vamp]    # the chords under the lesson\n" +
         left_out("chords", toml_string(default_vamp(key)), "| is a bar line, % plays the bar before again") +
         left_out("rhythm", toml_string(VampWish{}.rhythm.name), "how the band plays them") +
         left_out("swing", "\"1:1\"", "long to short off-beat; \"2:1\" swings");
}

std::string idea_text(std::string_view cell, int strings) {
  const Idea usual;
  return "\n# An idea is a rule: string notes in order, + goes to the next thinner string and - to the next thicker\n"
         "# one. It is carried from string to string. Write [[idea]] again for the next idea.\n"
         "[[idea]]\n"
         "name = \"First idea\"\n" +
         left_out("note", "\"\"", "what you say about it") + "cell = " + toml_string(cell) +
         "    # h, p or s before a note slurs it, ! accents it, x2 holds it, r is a rest\n" +
         left_out("sequence", "\"1 2 3 4\"", "instead of a cell: steps of the scale, wherever they lie") +
         left_out("carry", "{ strings = 1, steps = 0 }", "where the next repetition begins") +
         left_out("start", "{ string = " + std::to_string(strings) + ", beat = 0 }", "beat below 0: a pick-up") +
         left_out("repeats", "\"fit\"", "as often as the neck has room; or a number") +
         left_out("back", "\"none\"", "also retrograde and mirrored") + "notes_per_beat = [4]\n" +
         left_out("picking", toml_string(name(usual.picking)), "also grid and economy") +
         left_out("first_stroke", "\"down\"", "or up") +
         left_out("ending", "\"auto\"", "or \"none\", or { kind = \"hold\", degree = 5, on = \"bar\" }") +
         left_out("fingers", "[]", "pins fingers: [1, 3, -1, 2] for the rule's notes in order") +
         left_out("edits", "[]", "moves single notes: [{ repeat = 2, note = 3, fret = 9 }]") +
         "# An idea may also have a key, tuning, meter, tempo, layout or vamp of its own.\n";
}

std::string lesson_text(std::string_view title, const Key& key, const Neck& neck, const LayoutRule& layout,
                        std::string_view cell) {
  return head_text(title, key) + tables_text(key, layout) + idea_text(cell, neck.strings());
}

}  // namespace

Result<std::string> new_lesson(std::string_view title, std::string_view key_text) {
  const auto key = parse_key(key_text);
  if (!key) return key.error();
  const SettingsDraft usual;
  const Neck neck{parse_tuning("standard").value(), usual.frets.value, Millimetres(usual.scale_length.value), 0};
  std::string first;
  for (const int notes : {key->size() < 7 ? 2 : 3, 2}) {
    LayoutRule layout;
    layout.notes = notes;
    layout.from = 5;
    layout.from = nearest_legal_from(*key, neck, layout).value_or(0);
    const std::span<const std::string_view> cells =
        notes == 2 ? std::span<const std::string_view>(k_cells_of_two) : k_cells_of_three;
    for (const std::string_view cell : cells) {
      std::string text = lesson_text(title, *key, neck, layout, cell);
      if (compile_lesson(text).findings.empty()) return text;
      if (first.empty()) first = std::move(text);
    }
  }
  return first;
}

}  // namespace fretloom
