// fretloom export: a lesson as another file.

#include <array>
#include <memory>

#include "band/play_vamp.h"
#include "base/text.h"
#include "cli/command.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/text_tab.h"
#include "files/files.h"
#include "words/sentences_of.h"

namespace fretloom {

namespace {

struct ExportOptions {
  LessonArguments lessons;
  std::string output;
  std::string format;
  bool channel_per_string = false;
  bool slow = false;
};

/// A format that a lesson can be written in: one row each.
struct ExportFormat {
  std::string_view name;
  Result<std::string> (*write)(const CompiledLesson& lesson, const ExportOptions& options);
};

Result<std::string> write_text(const CompiledLesson& lesson, const ExportOptions& /*options*/) {
  const Handout handout = make_handout(lesson);
  return text_handout(handout, sentences_of(lesson, handout));
}

Result<std::string> write_mid(const CompiledLesson& lesson, const ExportOptions& options) {
  const Handout handout = make_handout(lesson);
  const auto bands = play_vamps(handout, options.slow ? BandSpeed::slow : BandSpeed::goal);
  if (!bands) return bands.error();
  const auto file = midi_of(handout,
                            {options.slow ? MidiSpeed::slow : MidiSpeed::goal,
                             options.channel_per_string ? MidiChannels::per_string : MidiChannels::one},
                            *bands);
  if (!file) return file.error();
  return write_midi(*file);
}

MusicXmlOptions musicxml_options(const ExportOptions& options) {
  return {options.slow ? MusicXmlSpeed::slow : MusicXmlSpeed::goal};
}
Result<std::string> write_musicxml(const CompiledLesson& lesson, const ExportOptions& options) {
  return musicxml_of(make_handout(lesson), musicxml_options(options));
}
Result<std::string> write_mxl(const CompiledLesson& lesson, const ExportOptions& options) {
  return mxl_of(make_handout(lesson), musicxml_options(options));
}

constexpr std::array k_formats = {
    ExportFormat{"txt", write_text},
    ExportFormat{"mid", write_mid},
    ExportFormat{"musicxml", write_musicxml},
    ExportFormat{"mxl", write_mxl},
};

std::string format_names() {
  std::string names;
  for (const ExportFormat& format : k_formats) names += (names.empty() ? "" : ", ") + std::string(format.name);
  return names;
}

const ExportFormat* find_format(std::string_view name) {
  for (const ExportFormat& format : k_formats) {
    if (format.name == name) return &format;
  }
  return nullptr;
}

int run_export(const ExportOptions& options) {
  const auto lessons = load(options.lessons);
  if (!lessons) return k_exit_unreadable;
  std::vector<std::string> names;
  for (const ExportFormat& format : k_formats) names.emplace_back(format.name);
  const auto target = output_target(options.output, options.format, *lessons, names);
  if (!target) return k_exit_unreadable;
  int code = k_exit_clean;
  WrittenFiles files;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    code = std::max(code, exit_code(lesson));
    // A lesson in error is not published; nothing is written for it.
    if (exit_code(lesson) != k_exit_clean) {
      files.leave_out();
      continue;
    }
    const auto bytes = find_format(target->format)->write(lesson.compiled, options);
    if (!bytes) return fail(lesson.path + ": " + bytes.error().what, k_exit_errors);
    const auto written = write_file(target->path_for(lesson), *bytes);
    if (!written) return fail(written.error().what, k_exit_errors);
    files.add(target->path_for(lesson));
  }
  files.print_line(*target);
  return code;
}

}  // namespace

std::function<int()> add_export(Arguments& arguments) {
  auto options = std::make_shared<ExportOptions>();
  options->lessons.add_to(arguments);
  arguments.required("-o,--output", options->output, "File to write, or a folder for many lessons", "FILE");
  arguments.option("--format", options->format, "Format where the output names none: " + format_names(), "NAME");
  arguments.flag("--channel-per-string", options->channel_per_string,
                 "mid: each string on a channel of its own, 10 left out");
  arguments.flag("--slow", options->slow, "mid, musicxml, mxl: the slow tempo (the goal tempo if left out)");
  return [options] { return run_export(*options); };
}

}  // namespace fretloom
