#include "insight/lesson_text.h"

#include <algorithm>

#include "base/text.h"
#include "lesson/lesson.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

std::string tuning_text(const Tuning& tuning) {
  for (const TuningPreset& preset : tuning_presets()) {
    const auto known = parse_tuning(preset.name);
    if (known && *known == tuning) return toml_string(preset.name);
  }
  std::vector<std::string> strings;
  for (const SpelledPitch& open : tuning.open) strings.push_back(toml_string(open.name()));
  return "[" + join(strings, ", ") + "]";
}

std::string join_keys(const std::vector<IdeaKey>& keys, std::string_view between) {
  std::vector<std::string> lines;
  for (const IdeaKey& key : keys) lines.push_back(key.key + " = " + key.value);
  return join(lines, between);
}

std::vector<IdeaKey> layout_keys(const LayoutRule& layout) {
  std::vector<IdeaKey> keys = {{"kind", toml_string(name(layout.kind))}};
  switch (layout.kind) {
    case LayoutKind::per_string: keys.push_back({"notes", std::to_string(layout.notes)}); break;
    case LayoutKind::position: keys.push_back({"width", std::to_string(layout.width)}); break;
    case LayoutKind::octaves:
      keys.push_back({"notes", "[" + std::to_string(layout.octave_notes.first) + ", " +
                                   std::to_string(layout.octave_notes.second) + "]"});
      break;
  }
  keys.push_back({"from", std::to_string(layout.from)});
  return keys;
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

/// Whether a key is written that says what holds without it.
enum class Defaults { written, left_out };

std::vector<IdeaKey> rule_keys(const Answer& answer, Defaults defaults) {
  const Lick& lick = answer.lick;
  const bool is_cell = lick.rule.kind == RuleKind::cell;
  const bool all = defaults == Defaults::written;
  std::vector<IdeaKey> keys = {{is_cell ? "cell" : "sequence", toml_string(lick.rule.text)}};
  const std::string steps = "steps = " + std::to_string(lick.carry.steps);
  if (all || lick.carry != (is_cell ? Carry{} : Carry{0, 1})) {
    keys.push_back({"carry", is_cell ? "{ strings = " + std::to_string(lick.carry.strings) + ", " + steps + " }"
                                     : "{ " + steps + " }"});
  }
  const bool starts_usually = lick.start_string == answer.neck.strings() && lick.start_ordinal == 1;
  if (all || !starts_usually || answer.start_beat != Rational(0)) keys.push_back({"start", start_text(answer)});
  if (lick.repeats) keys.push_back({"repeats", std::to_string(*lick.repeats)});
  if (lick.back != Back::none)
    keys.push_back({"back", lick.back == Back::retrograde ? "\"retrograde\"" : "\"mirrored\""});
  if (all || answer.notes_per_beat)
    keys.push_back({"notes_per_beat", "[" + std::to_string(answer.notes_per_beat.value_or(4)) + "]"});
  return keys;
}

}  // namespace

std::string lesson_text(const Answer& answer) {
  const Neck& neck = answer.neck;
  const Neck usual;
  std::vector<IdeaKey> top = {
      {"format", std::to_string(k_format)},
      {"title", toml_string(answer.name.empty() ? "A phrase and its rule" : one_line(answer.name))},
      {"key", toml_string(answer.key.said_name())},
      {"tuning", tuning_text(neck.tuning)}};
  if (neck.frets != usual.frets) top.push_back({"frets", std::to_string(neck.frets)});
  if (neck.capo != usual.capo) top.push_back({"capo", std::to_string(neck.capo)});
  if (answer.meter) top.push_back({"meter", toml_string(answer.meter->name())});
  std::vector<IdeaKey> idea = rule_keys(answer, Defaults::written);
  if (answer.ruled == answer.heard.size()) idea.push_back({"ending", "\"none\""});
  return join_keys(top, "\n") + "\n\n[layout]\n" + join_keys(layout_keys(answer.layout), "\n") + "\n\n[[idea]]\n" +
         join_keys(idea, "\n") + "\n" + edits_text(answer);
}

std::vector<IdeaKey> idea_keys(const Answer& answer, const Home& home) {
  std::vector<IdeaKey> keys = rule_keys(answer, Defaults::left_out);
  if (answer.key != home.key()) keys.push_back({"key", toml_string(answer.key.said_name())});
  if (answer.neck.tuning != home.neck().tuning) keys.push_back({"tuning", tuning_text(answer.neck.tuning)});
  if (answer.neck.capo != home.neck().capo) keys.push_back({"capo", std::to_string(answer.neck.capo)});
  if (answer.neck.frets > home.neck().frets) keys.push_back({"frets", std::to_string(answer.neck.frets)});
  if (answer.layout != home.layout())
    keys.push_back({"layout", "{ " + join_keys(layout_keys(answer.layout), ", ") + " }"});
  return keys;
}

}  // namespace fretloom
