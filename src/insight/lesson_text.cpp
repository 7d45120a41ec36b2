#include "insight/lesson_text.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/lesson.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

std::string line(std::string_view key, const std::string& value) { return std::string(key) + " = " + value + "\n"; }

std::string tuning_text(const Tuning& tuning) {
  for (const TuningPreset& preset : tuning_presets()) {
    const auto known = parse_tuning(preset.name);
    if (known && *known == tuning) return toml_string(preset.name);
  }
  std::vector<std::string> strings;
  for (const SpelledPitch& open : tuning.open) strings.push_back(toml_string(open.name()));
  return "[" + join(strings, ", ") + "]";
}

std::string layout_text(const LayoutRule& layout) {
  std::string text = "\n[layout]\n" + line("kind", toml_string(name(layout.kind)));
  switch (layout.kind) {
    case LayoutKind::per_string: text += line("notes", std::to_string(layout.notes)); break;
    case LayoutKind::position: text += line("width", std::to_string(layout.width)); break;
    case LayoutKind::octaves:
      text += line("notes", "[" + std::to_string(layout.octave_notes.first) + ", " +
                                std::to_string(layout.octave_notes.second) + "]");
      break;
  }
  return text + line("from", std::to_string(layout.from));
}

std::string start_text(const Answer& answer) {
  std::string text = "{ string = " + std::to_string(answer.lick.start_string);
  if (answer.lick.rule.kind == RuleKind::sequence) text += ", ordinal = " + std::to_string(answer.lick.start_ordinal);
  if (answer.start_beat != Rational(0)) text += ", beat = " + number_text(answer.start_beat.to_double());
  return text + " }";
}

std::string edits_text(const Answer& answer) {
  std::vector<std::string> edits;
  for (const Misfit& misfit : answer.misfits) {
    if (misfit.kind != MisfitKind::place || misfit.found.string != misfit.expected.string) continue;
    edits.push_back("{ repeat = " + std::to_string(misfit.repeat) + ", note = " +
                    std::to_string(misfit.note_of_repeat) + ", fret = " + std::to_string(misfit.found.fret) + " }");
  }
  if (edits.empty()) return {};
  return "# edits = [" + join(edits, ", ") + "]    # take the first # away to keep what was written\n";
}

std::string idea_text(const Answer& answer) {
  const Lick& lick = answer.lick;
  const bool is_cell = lick.rule.kind == RuleKind::cell;
  std::string text = "\n[[idea]]\n" + line(is_cell ? "cell" : "sequence", toml_string(lick.rule.text));
  const std::string steps = "steps = " + std::to_string(lick.carry.steps);
  if (is_cell) {
    text += line("carry", "{ strings = " + std::to_string(lick.carry.strings) + ", " + steps + " }");
  } else {
    text += line("carry", "{ " + steps + " }");
  }
  text += line("start", start_text(answer));
  if (lick.repeats) text += line("repeats", std::to_string(*lick.repeats));
  if (lick.back != Back::none) text += line("back", lick.back == Back::retrograde ? "\"retrograde\"" : "\"mirrored\"");
  text += line("notes_per_beat", "[" + std::to_string(answer.notes_per_beat.value_or(4)) + "]");
  if (answer.ruled == answer.heard.size()) text += line("ending", "\"none\"");
  return text + edits_text(answer);
}

}  // namespace

std::string lesson_text(const Answer& answer) {
  const Neck& neck = answer.neck;
  const Neck usual;
  std::string text = line("format", std::to_string(k_format));
  text += line("title", toml_string(answer.name.empty() ? "A phrase and its rule" : one_line(answer.name)));
  text += line("key", toml_string(answer.key.said_name()));
  text += line("tuning", tuning_text(neck.tuning));
  if (neck.frets != usual.frets) text += line("frets", std::to_string(neck.frets));
  if (neck.capo != usual.capo) text += line("capo", std::to_string(neck.capo));
  if (answer.meter) text += line("meter", toml_string(answer.meter->name()));
  return text + layout_text(answer.layout) + idea_text(answer);
}

}  // namespace fretloom
