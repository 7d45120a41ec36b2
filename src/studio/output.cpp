#include "studio/output.h"

#include <algorithm>
#include <array>

#include "band/play_vamp.h"
#include "base/text.h"
#include "draw/link_code.h"
#include "draw/logo_file.h"
#include "draw/pdf.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/text_tab.h"
#include "lesson/compile.h"
#include "sheet/engrave.h"
#include "sound/jobs.h"
#include "sound/sound_take.h"
#include "studio/pack_choice_json.h"
#include "words/sentences_of.h"

namespace fretloom::studio {

namespace {

Error wrong(std::string what) { return {ErrorKind::range, 0, std::move(what), ""}; }

/// What an output is made of.
struct Source {
  const std::filesystem::path& file;
  const CompiledLesson& compiled;
  const Handout& handout;
  const OutputWish& wish;
  const sheet::MusicFont& font;
  const StopFlag* stop;
};

Result<std::string> pdf(const Source& source) {
  const auto paper = sheet::parse_paper(source.wish.paper.empty() ? "a4" : source.wish.paper);
  if (!paper || paper->kind != sheet::PaperKind::sheet) return wrong("The paper is a4 or letter.");
  sheet::SheetOptions options;
  options.set_paper(*paper);
  if (const std::string& name = source.handout.prose.logo; !name.empty()) {
    const auto logo = draw::load_logo(source.file.parent_path() / name);
    if (!logo) return logo.error();
    options.logo = *logo;
  }
  options.link_code = draw::link_code(source.handout.prose.links);
  const auto engraved =
      sheet::engrave(source.handout, sentences_of(source.compiled, source.handout), options, source.font);
  if (!engraved) return engraved.error();
  auto rendered = draw::write_pdf(engraved->scene, source.font);
  if (!rendered) return rendered.error();
  return std::move(rendered).value().bytes;
}

Result<std::string> text_tab(const Source& source) {
  return text_handout(source.handout, sentences_of(source.compiled, source.handout));
}

Result<std::string> midi(const Source& source) {
  const auto bands = play_vamps(source.handout, BandSpeed::goal);
  if (!bands) return bands.error();
  const auto file = midi_of(source.handout, {MidiSpeed::goal, MidiChannels::one}, *bands);
  if (!file) return file.error();
  return write_midi(*file);
}

Result<std::string> musicxml(const Source& source) { return musicxml_of(source.handout); }
Result<std::string> mxl(const Source& source) { return mxl_of(source.handout); }

struct OutputFormat {
  std::string_view name;
  std::string_view type;
  Result<std::string> (*write)(const Source& source);
};
constexpr std::array k_formats = {
    OutputFormat{"pdf", "application/pdf", pdf},
    OutputFormat{"txt", "text/plain; charset=utf-8", text_tab},
    OutputFormat{"mid", "audio/midi", midi},
    OutputFormat{"musicxml", "application/vnd.recordare.musicxml+xml", musicxml},
    OutputFormat{"mxl", "application/vnd.recordare.musicxml", mxl},
};

constexpr std::array<std::string_view, 4> k_sound_types = {"audio/wav", "audio/flac", "audio/ogg", "audio/mpeg"};

/// One idea at one feel and tempo, with click and count-in.
Result<Output> sound(const Source& source, AudioFormat format) {
  const auto number = source.wish.idea.empty() ? std::optional(1) : parse_int(source.wish.idea);
  const auto& ideas = source.handout.ideas;
  const auto idea =
      std::find_if(ideas.begin(), ideas.end(), [&](const IdeaSheet& sheet) { return sheet.number == number; });
  if (idea == ideas.end())
    return wrong("The lesson has no idea " + printable(source.wish.idea) + " that can be played.");
  const auto bpm = source.wish.bpm.empty() ? std::optional(idea->goal_bpm) : tempo_of(source.wish.bpm);
  if (!bpm) return wrong("A tempo cannot be " + printable(source.wish.bpm) + " beats a minute.");
  const auto feel =
      source.wish.feel.empty() ? std::optional(idea->feels.front().notes_per_beat) : parse_int(source.wish.feel);
  SoundChoice choice;
  choice.tempos = {*bpm};
  choice.formats = {format};
  choice.ideas = {idea->number};
  const auto jobs = plan_sound(source.handout, choice);
  if (!jobs) return jobs.error();
  const auto job =
      std::find_if(jobs->begin(), jobs->end(), [&](const SoundJob& one) { return one.score().notes_per_beat == feel; });
  if (job == jobs->end()) return wrong("The idea is not played at " + printable(source.wish.feel) + " notes a beat.");
  auto bytes = encode_take(*job, format, job->tags, source.stop);
  if (!bytes) return bytes.error();
  return Output{std::string(k_sound_types[static_cast<std::size_t>(format)]),
                "-" + job->file + "." + std::string(name(format)), std::move(bytes).value()};
}

}  // namespace

Result<Output> make_output(const std::filesystem::path& file, const std::string& text, const OutputWish& wish,
                           const sheet::MusicFont& font, const StopFlag* stop) {
  const CompiledLesson compiled = compile_lesson(text);
  if (!compiled.is_readable() || compiled.has_errors())
    return wrong("The lesson has an error that must be mended before anything is made of it.");
  const Handout handout = make_handout(compiled);
  const Source source{file, compiled, handout, wish, font, stop};
  if (const auto format = parse_audio_format(wish.format)) return sound(source, *format);
  for (const OutputFormat& format : k_formats) {
    if (format.name != wish.format) continue;
    auto bytes = format.write(source);
    if (!bytes) return bytes.error();
    return Output{std::string(format.type), "." + std::string(format.name), std::move(bytes).value()};
  }
  return wrong("A lesson cannot be written as \"" + printable(wish.format) + "\".");
}

}  // namespace fretloom::studio
