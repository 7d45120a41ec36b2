// fretloom sound: the ideas as audio files.

#include <algorithm>
#include <charconv>
#include <cmath>
#include <filesystem>
#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "cli/option_values.h"
#include "cli/progress.h"
#include "sound/jobs.h"
#include "words/cautions.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

struct SoundArguments {
  LessonArguments lessons;
  std::string output;
  std::string what = "demo";
  std::string tempos;
  std::string formats = "mp3";
  std::string click = "beat";
  std::string stems = "mix";
  std::string voicing;
  std::string palm;
  std::string upstroke;
  BandArguments band;
  std::optional<int> idea;
  std::optional<int> count_in;
  std::optional<int> times;
  std::optional<int> threads;
};

bool read_voice(const SoundArguments& arguments, RenderOptions& target) {
  if (!arguments.voicing.empty()) {
    target.voicing = parse_voicing(arguments.voicing);
    if (const auto now = renamed_voicing(arguments.voicing); now && !target.voicing) {
      fail("--voicing \"" + arguments.voicing + "\" is now called " + std::string(*now) + "; write --voicing " +
           std::string(*now));
      return false;
    }
    if (!target.voicing) {
      fail("--voicing cannot be \"" + arguments.voicing + "\"; write " + either(voicing_names()));
      return false;
    }
  }
  const auto number = [](const char* option, const std::string& text, const char* range, double most, double& value) {
    if (text.empty()) return true;
    const auto read = parse_number(text);
    if (!read || !(*read >= 0.0 && *read <= most)) {
      fail(std::string(option) + " must be a number from " + range + ", but this is \"" + text + "\"");
      return false;
    }
    value = *read;
    return true;
  };
  return number("--palm", arguments.palm, "0 (open) to 1 (muted)", 1.0, target.manner.palm) &&
         number("--upstroke", arguments.upstroke, "0 (as a downstroke) to 2 (much brighter)", 2.0,
                target.manner.stroke_colour);
}

std::optional<SoundChoice> sound_choice(const SoundArguments& arguments) {
  SoundChoice choice;
  std::vector<ClickPattern> clicks;
  const bool good =
      read_words("what", arguments.what, parse_piece, "demo, loop, click, ladder, bursts, band", choice.pieces) &&
      read_words("format", arguments.formats, parse_audio_format, "wav, flac, opus, mp3", choice.formats) &&
      read_words("stems", arguments.stems, parse_stem, "mix, strings, click, band, no-bass, drums, bass, chords",
                 choice.stems) &&
      read_words("click", arguments.click, parse_click_pattern, "off, bar, beat, subdivision, backbeat", clicks) &&
      read_sound_tempos(arguments.tempos, choice) &&
      read_count("count-in", arguments.count_in, 0, 4, choice.count_in_bars) &&
      read_count("times", arguments.times, 1, 64, choice.times) && read_voice(arguments, choice.sound) &&
      read_band(arguments.band, choice);
  if (!good) return std::nullopt;
  choice.click = clicks.front();
  if (arguments.idea) choice.ideas = {*arguments.idea};
  return choice;
}

std::string minutes_text(std::int64_t frames) {
  const std::int64_t seconds = (frames + k_sample_rate / 2) / k_sample_rate;
  const std::int64_t rest = seconds % 60;
  return std::to_string(seconds / 60) + (rest < 10 ? ":0" : ":") + std::to_string(rest);
}

/// What was made, for the closing line.
struct SoundTally {
  std::size_t files = 0;
  std::int64_t frames = 0;
  std::size_t left_out = 0;
};

int sound_lesson(const LoadedLesson& lesson, const SoundArguments& arguments, const SoundChoice& choice,
                 const fs::path& folder, SoundTally& tally) {
  const Handout handout = make_handout(lesson.compiled);
  const auto jobs = plan_sound(handout, choice);
  if (!jobs) {
    const std::string repair = jobs.error().repair.empty() ? "" : " (repair: " + jobs.error().repair + ")";
    return fail(lesson.path + ": " + jobs.error().what + repair, k_exit_errors);
  }
  std::error_code error;
  fs::create_directories(folder, error);
  if (error) return fail("cannot make folder " + folder.string() + ": " + error.message(), k_exit_errors);
  Result<std::vector<SoundFileInfo>> files = std::vector<SoundFileInfo>();
  {
    ProgressBar bar(fs::path(lesson.path).stem().string());
    files = run_sound_jobs(*jobs, folder.string(), arguments.threads.value_or(0), &stop_flag(),
                           [&](double part) { bar.show(part); });
  }
  if (!files) return fail(lesson.path + ": " + files.error().what, k_exit_errors);
  std::string text;
  for (const SoundFileInfo& file : *files) {
    text += minutes_text(file.frames) + "  " + file.path + "\n";
    tally.frames += file.frames;
  }
  tally.files += files->size();
  return print(text);
}

int run_sound(const SoundArguments& arguments) {
  const auto lessons = load(arguments.lessons);
  const auto choice = sound_choice(arguments);
  if (!lessons || !choice) return k_exit_unreadable;
  if (arguments.threads && (*arguments.threads < 1 || *arguments.threads > 256))
    return fail("--threads must be from 1 to 256, but this is " + std::to_string(*arguments.threads));
  listen_for_stop();
  int code = k_exit_clean;
  SoundTally tally;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    code = std::max(code, exit_code(lesson));
    if (exit_code(lesson) != k_exit_clean) {
      ++tally.left_out;
      continue;
    }
    // Several lessons have a folder each, so that equal file names do not meet.
    const fs::path folder =
        lessons->size() == 1 ? fs::path(arguments.output) : fs::path(arguments.output) / fs::path(lesson.path).stem();
    code = std::max(code, sound_lesson(lesson, arguments, *choice, folder, tally));
    if (stop_flag().load()) break;
  }
  if (tally.files > 0) {
    print("wrote " + counted(tally.files, "sound") + " to " + arguments.output + " (" + minutes_text(tally.frames) +
          ")" + left_out_text(tally.left_out) + "\n");
    const std::string caution = "All files have the same loudness (-16 LUFS). " + std::string(k_listening_caution) +
                                " If your ears ring, stop; if it stays, see a doctor.";
    for (const std::string& line : wrap(caution, 80)) std::fprintf(stderr, "%s\n", line.c_str());
  }
  return code;
}

}  // namespace

std::function<int()> add_sound(Arguments& arguments) {
  auto options = std::make_shared<SoundArguments>();
  options->lessons.add_to(arguments);
  arguments.required("-o,--output", options->output, "Folder for the files; made if it is not there", "DIR");
  arguments.option("--what", options->what,
                   "demo, loop, click, ladder, bursts, band: the band alone as a loop; demo if left out", "LIST");
  arguments.option("--tempo", options->tempos,
                   "Beats a minute, or ladder: every rung; slow and goal if left out, for the band alone the ladder",
                   "LIST");
  arguments.option("--format", options->formats, "mp3, flac, opus, wav; mp3 if left out", "LIST");
  arguments.option("--click", options->click, "off, bar, beat, subdivision or backbeat; beat if left out", "NAME");
  arguments.option("--count-in", options->count_in, "Bars of count-in, 0 to 4; 1 if left out", "N");
  arguments.option("--times", options->times, "How often a demo plays the idea, 1 to 64", "N");
  arguments.option("--stems", options->stems,
                   "mix, strings, click, band, no-bass, drums, bass, chords; mix if left out", "LIST");
  options->band.add_to(arguments, "no");
  arguments.option("--idea", options->idea, "Only this idea, counted from 1", "N");
  arguments.option("--voicing", options->voicing,
                   "plain, bright, dark, gritty, singing, woody or deep; bright if left out, deep for a bass", "NAME");
  arguments.option("--palm", options->palm, "Palm on the strings, 0 (open) to 1 (muted)", "X");
  arguments.option("--upstroke", options->upstroke,
                   "How much brighter an upstroke is, 0 (as a downstroke) to 2; 1 if left out", "X");
  arguments.option("--threads", options->threads, "Files made side by side; one a core if left out", "N");
  return [options] { return run_sound(*options); };
}

}  // namespace fretloom
