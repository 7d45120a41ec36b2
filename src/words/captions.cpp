#include "words/captions.h"

#include <algorithm>

#include "base/text.h"
#include "words/english.h"
#include "words/idea_lines.h"
#include "words/note_lists.h"

namespace fretloom {

namespace {

constexpr std::size_t k_columns = 42;

/// Notes of one caption: indices into the score's.
struct Run {
  std::size_t begin = 0;
  std::size_t end = 0;
};

bool belong_together(const Meter& meter, const ScoreNote& a, const ScoreNote& b, CaptionSplit split) {
  if (split == CaptionSplit::repetition) return a.repeat == b.repeat;
  return bar_of(meter, a.onset) == bar_of(meter, b.onset);
}

/// The score's notes in runs; they come in this order each time the idea is played.
std::vector<Run> runs_of(const Meter& meter, const Score& score, CaptionSplit split) {
  std::vector<Run> runs;
  for (std::size_t i = 0; i < score.notes.size(); ++i) {
    const bool goes_on = i > 0 && belong_together(meter, score.notes[i - 1], score.notes[i], split);
    if (!goes_on) runs.push_back({i, i});
    runs.back().end = i + 1;
  }
  return runs;
}

/// "string 6: 12 15 14 15 | string 5: 14 12", in lines.
std::string caption_text(const Score& score, const Run& run) {
  const std::string frets = frets_text(std::span(score.notes).subspan(run.begin, run.end - run.begin));
  std::string text;
  std::size_t column = 0;
  for (const std::string_view part : split(frets, '|')) {
    const std::string here = "string " + std::string(trim(part));
    const bool fits = column + 3 + here.size() <= k_columns;
    if (!text.empty()) text += fits ? " | " : "\n";
    column = (text.empty() || !fits ? 0 : column + 3) + here.size();
    text += here;
  }
  return text;
}

std::string title_text(const IdeaSheet& idea, const Score& score, std::string_view tempo) {
  const std::string name = plain_line(idea.name);
  return (name.empty() ? "" : name + "\n") + feel_text(score) + ", " + plain_line(tempo);
}

std::string two_digits(std::int64_t value) { return (value < 10 ? "0" : "") + std::to_string(value); }

std::int64_t milliseconds(std::int64_t frame, int rate) { return (frame * 1000 + rate / 2) / rate; }

std::string time_text(std::int64_t ms) {
  const std::string thousandths = std::to_string(1000 + ms % 1000).substr(1);
  return two_digits(ms / 3600000) + ":" + two_digits(ms / 60000 % 60) + ":" + two_digits(ms / 1000 % 60) + "." +
         thousandths;
}

std::string escape(std::string_view text) {
  std::string out;
  for (const char c : text) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '\r': break;
      case '\n':  // an empty line would end the cue
        if (!out.empty() && out.back() != '\n') out += c;
        break;
      default: out += c;
    }
  }
  if (out.ends_with('\n')) out.pop_back();
  return out;
}

}  // namespace

Result<std::vector<Cue>> caption_cues(const IdeaSheet& idea, const Score& score, std::span<const NoteTime> times,
                                      std::string_view tempo, CaptionSplit split) {
  const std::size_t notes = score.notes.size();
  if (notes == 0 ? !times.empty() : times.size() % notes != 0)
    return Error{ErrorKind::range, 0, "the times of the captions are not whole runs of the idea", ""};
  std::vector<Cue> cues;
  if (times.empty()) return cues;
  if (times.front().begin > 0) cues.push_back({0, times.front().begin, title_text(idea, score, tempo)});
  const std::vector<Run> runs = runs_of(idea.meter, score, split);
  for (std::size_t first = 0; first < times.size(); first += notes) {
    for (const Run& run : runs)
      cues.push_back({times[first + run.begin].begin, times[first + run.end - 1].end, caption_text(score, run)});
  }
  return cues;
}

std::string caption_tempo(const Rational& from, const Rational& to) {
  return (from == to ? "" : tempo_text(from) + " to ") + tempo_text(to) + " beats a minute";
}

std::string web_vtt(const std::vector<Cue>& cues, int rate) {
  std::string text = "WEBVTT\n";
  std::size_t number = 0;
  for (const Cue& cue : cues) {
    const std::int64_t begin = milliseconds(cue.begin, rate);
    const std::int64_t end = std::max(milliseconds(cue.end, rate), begin + 1);
    text += "\n" + std::to_string(++number) + "\n" + time_text(begin) + " --> " + time_text(end) + "\n" +
            escape(cue.text) + "\n";
  }
  return text;
}

}  // namespace fretloom
