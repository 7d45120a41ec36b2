#include "lesson/template.h"

#include "lesson/table_reader.h"
#include "neck/layout.h"
#include "score/vamp.h"

namespace fretloom {

Result<std::string> new_lesson(std::string_view title, std::string_view key_text) {
  const auto key = parse_key(key_text);
  if (!key) return key.error();
  const Neck neck{parse_tuning("standard").value(), 24, Millimetres(648), 0};
  LayoutRule layout;
  layout.notes = key->size() == 5 ? 2 : 3;
  layout.from = 5;
  const int from = nearest_legal_from(*key, neck, layout).value_or(0);
  const std::string notes = std::to_string(layout.notes);
  const std::string cell = layout.notes == 2 ? "1 2 1 2" : "1 2 3 2";
  return "format = 1\n"
         "title = " +
         toml_string(title) +
         "\n"
         "author = \"\"\n"
         "key = " +
         toml_string(key->said_name()) +
         "    # a tonic and a mode\n"
         "tuning = \"standard\"    # or the open strings, thick to thin: [\"E2\", \"A2\", ...]\n"
         "meter = \"4/4\"\n"
         "tempo = { slow = 60, goal = 100 }    # beats a minute\n"
         "clear_after = \"upstroke\"    # after which strokes the pick stands clear of the strings\n"
         "\n"
         "[layout]    # which frets carry scale notes\n"
         "kind = \"per-string\"\n"
         "notes = " +
         notes +
         "    # on each string\n"
         "from = " +
         std::to_string(from) +
         "    # lowest fret on the thickest string\n"
         "\n"
         "[vamp]\n"
         "chords = " +
         toml_string(default_vamp(*key)) +
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

}  // namespace fretloom
