#include "lesson/template.h"

#include <array>

#include "lesson/compile.h"
#include "lesson/table_reader.h"
#include "neck/layout.h"
#include "score/vamp.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, 3> k_cells_of_two = {"1 2 1 2", "2 1 2 1", "2 1 + 1 2"};
constexpr std::array<std::string_view, 4> k_cells_of_three = {"1 2 3 2", "3 2 1 2", "1 3 2 3", "1 2 3 1 2 3"};

std::string lesson_text(std::string_view title, const Key& key, const LayoutRule& layout, std::string_view cell) {
  return "format = 1\n"
         "title = " +
         toml_string(title) +
         "\n"
         "author = \"\"\n"
         "key = " +
         toml_string(key.said_name()) +
         "    # a tonic and a mode\n"
         "tuning = \"standard\"    # or the open strings, thick to thin: [\"E2\", \"A2\", ...]\n"
         "meter = \"4/4\"\n"
         "tempo = { slow = 60, goal = 100 }    # beats a minute\n"
         "clear_after = \"upstroke\"    # after which strokes the pick stands clear of the strings\n"
         "\n"
         "[layout]    # which frets carry scale notes\n"
         "kind = \"per-string\"\n"
         "notes = " +
         std::to_string(layout.notes) +
         "    # on each string\n"
         "from = " +
         std::to_string(layout.from) +
         "    # lowest fret on the thickest string\n"
         "\n"
         "[vamp]\n"
         "chords = " +
         toml_string(default_vamp(key)) +
         "    # | is a bar line\n"
         "\n"
         "# An idea is a rule: string notes in order, + goes to the next thinner string and - to the next\n"
         "# thicker one; it is carried from string to string.\n"
         "[[idea]]\n"
         "name = \"First idea\"\n"
         "cell = " +
         toml_string(cell) +
         "\n"
         "notes_per_beat = [4]\n";
}

}  // namespace

Result<std::string> new_lesson(std::string_view title, std::string_view key_text) {
  const auto key = parse_key(key_text);
  if (!key) return key.error();
  const Neck neck{parse_tuning("standard").value(), 24, Millimetres(648), 0};
  std::string first;
  for (const int notes : {key->size() < 7 ? 2 : 3, 2}) {
    LayoutRule layout;
    layout.notes = notes;
    layout.from = 5;
    layout.from = nearest_legal_from(*key, neck, layout).value_or(0);
    const std::span<const std::string_view> cells =
        notes == 2 ? std::span<const std::string_view>(k_cells_of_two) : k_cells_of_three;
    for (const std::string_view cell : cells) {
      std::string text = lesson_text(title, *key, layout, cell);
      if (compile_lesson(text).findings.empty()) return text;
      if (first.empty()) first = std::move(text);
    }
  }
  return first;
}

}  // namespace fretloom
