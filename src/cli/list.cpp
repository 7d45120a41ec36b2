// fretloom list: what a lesson can name, out of the rooms' own tables.

#include <array>
#include <memory>
#include <nlohmann/json.hpp>

#include "base/text.h"
#include "cli/command.h"
#include "neck/tuning.h"
#include "score/vamp.h"
#include "theory/chord.h"
#include "theory/scale.h"

namespace fretloom {

namespace {

using Json = nlohmann::ordered_json;

struct ListOptions {
  std::string kind;
  bool json = false;
};

/// A table of a list: columns of texts, and a line below a row where there is more to say.
struct Row {
  std::vector<std::string> cells;
  std::string below;
};

std::string padded(const std::string& text, std::size_t width) {
  const std::size_t have = display_width(text);
  return text + std::string(width > have ? width - have : 0, ' ');
}

std::string table_text(const std::vector<std::string>& heads, const std::vector<Row>& rows) {
  std::vector<std::size_t> widths;
  for (const std::string& head : heads) widths.push_back(display_width(head));
  for (const Row& row : rows) {
    for (std::size_t i = 0; i < heads.size(); ++i) widths[i] = std::max(widths[i], display_width(row.cells[i]));
  }
  const auto line = [&](const std::vector<std::string>& cells) {
    std::string text;
    for (std::size_t i = 0; i < cells.size(); ++i) text += padded(cells[i], i + 1 < cells.size() ? widths[i] + 2 : 0);
    while (!text.empty() && text.back() == ' ') text.pop_back();
    return text + "\n";
  };
  std::string text = line(heads);
  for (const Row& row : rows) {
    text += line(row.cells);
    if (!row.below.empty()) text += "    " + row.below + "\n";
  }
  return text;
}

// --- Modes ---------------------------------------------------------------------------------------

std::vector<std::string> aliases_of(const Mode& mode) {
  std::vector<std::string> aliases;
  for (const std::string_view alias : split(mode.aliases, ','))
    if (!alias.empty()) aliases.emplace_back(alias);
  return aliases;
}

/// The mode's vamp in C.
std::string vamp_in_c(const Mode& mode) {
  const auto key = parse_key("C " + std::string(mode.name));
  return key ? default_vamp(*key) : std::string();
}

std::string modes_text() {
  std::vector<Row> rows;
  for (const Mode& mode : modes()) {
    const std::string aliases = join(aliases_of(mode), ", ");
    rows.push_back({{std::string(mode.name), std::string(mode.degrees), vamp_in_c(mode)},
                    aliases.empty() ? "" : "also called " + aliases});
  }
  return table_text({"mode", "degrees", "default vamp in C"}, rows);
}

Json modes_json() {
  Json list = Json::array();
  for (const Mode& mode : modes()) {
    Json degrees = Json::array();
    for (const Word& word : words(mode.degrees)) degrees.push_back(std::string(word.text));
    list.push_back(
        {{"name", mode.name}, {"aliases", aliases_of(mode)}, {"degrees", degrees}, {"vamp_in_c", vamp_in_c(mode)}});
  }
  return list;
}

// --- Tunings -------------------------------------------------------------------------------------

std::string tunings_text() {
  std::vector<Row> rows;
  for (const TuningPreset& preset : tuning_presets())
    rows.push_back({{std::string(preset.name), std::string(preset.strings)}, ""});
  return table_text({"tuning", "open strings, thickest first"}, rows);
}

Json tunings_json() {
  Json list = Json::array();
  for (const TuningPreset& preset : tuning_presets()) {
    Json strings = Json::array();
    for (const Word& word : words(preset.strings)) strings.push_back(std::string(word.text));
    list.push_back({{"name", preset.name}, {"strings", strings}});
  }
  return list;
}

// --- Rhythms -------------------------------------------------------------------------------------

std::string rhythms_text() {
  std::vector<Row> rows;
  for (const VampRhythm& rhythm : vamp_rhythms())
    rows.push_back({{std::string(rhythm.name), std::string(rhythm.played)}, ""});
  return table_text({"rhythm", "the chords are struck"}, rows);
}

Json rhythms_json() {
  Json list = Json::array();
  for (const VampRhythm& rhythm : vamp_rhythms())
    list.push_back({{"name", rhythm.name}, {"played", rhythm.played}, {"swing", rhythm.swing}});
  return list;
}

// --- Chords --------------------------------------------------------------------------------------

/// A quality on C as parse_chord reads it.
struct ChordRow {
  std::string quality;
  std::string symbol;
  std::vector<std::string> degrees;
  std::vector<std::string> notes;
};

std::vector<ChordRow> chord_rows() {
  std::vector<ChordRow> rows;
  for (const std::string_view quality : chord_qualities()) {
    const auto chord = parse_chord("C" + std::string(quality));
    if (!chord) continue;
    ChordRow row{std::string(quality), chord->symbol(), {}, {}};
    for (const Degree& tone : chord->tones) {
      row.degrees.push_back(tone.name());
      row.notes.push_back(tone.above(chord->root).name());
    }
    rows.push_back(std::move(row));
  }
  return rows;
}

std::string chords_table() {
  std::vector<Row> rows;
  for (const ChordRow& row : chord_rows())
    rows.push_back(
        {{row.quality.empty() ? "(none)" : row.quality, row.symbol, join(row.degrees, " "), join(row.notes, " ")}, ""});
  return table_text({"quality", "on C", "degrees", "notes"}, rows) +
         "\nA chord begins with its root, a letter from A to G with # or b. A bass note\nstands behind a slash: C/E.\n";
}

Json chords_json() {
  Json list = Json::array();
  for (const ChordRow& row : chord_rows())
    list.push_back({{"quality", row.quality}, {"on_c", row.symbol}, {"degrees", row.degrees}, {"notes", row.notes}});
  return list;
}

/// What can be listed: one row each.
struct List {
  std::string_view name;
  std::string (*text)();
  Json (*json)();
};

constexpr std::array k_lists = {
    List{"modes", modes_text, modes_json},
    List{"tunings", tunings_text, tunings_json},
    List{"rhythms", rhythms_text, rhythms_json},
    List{"chords", chords_table, chords_json},
};

std::vector<std::string_view> list_names() {
  std::vector<std::string_view> names;
  for (const List& list : k_lists) names.push_back(list.name);
  return names;
}

int run_list(const ListOptions& options) {
  for (const List& list : k_lists) {
    if (list.name != options.kind) continue;
    return print(options.json ? Json{{options.kind, list.json()}}.dump(2) + "\n" : list.text());
  }
  return fail("there is no list of \"" + options.kind + "\"; write " + either(list_names()));
}

}  // namespace

std::function<int()> add_list(Arguments& arguments) {
  auto options = std::make_shared<ListOptions>();
  arguments.required("kind", options->kind, either(list_names()), "KIND");
  arguments.flag("--json", options->json, "As JSON");
  return [options] { return run_list(*options); };
}

}  // namespace fretloom
