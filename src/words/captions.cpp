#include <algorithm>

#include "base/text.h"
#include "pack/words_captions.h"
#include "pack/words_facts.h"
#include "sound/audio.h"

namespace fretloom {

namespace {

constexpr std::size_t k_columns = 42;

/// Notes of one caption: indices into the timeline.
struct Span {
  std::size_t begin = 0;
  std::size_t end = 0;
};

bool belong_together(const Score& score, const ScoreNote& a, const ScoreNote& b, CaptionSplit split) {
  if (split == CaptionSplit::repetition) return a.repeat == b.repeat;
  return bar_of(score.meter, a.onset) == bar_of(score.meter, b.onset);
}

/// The score's notes in runs; they come in this order each time the idea is played.
std::vector<Span> spans_of(const Score& score, CaptionSplit split) {
  std::vector<Span> spans;
  for (std::size_t i = 0; i < score.notes.size(); ++i) {
    const bool goes_on = i > 0 && belong_together(score, score.notes[i - 1], score.notes[i], split);
    if (!goes_on) spans.push_back({i, i});
    spans.back().end = i + 1;
  }
  return spans;
}

/// "string 6: 12 15 14 15 | string 5: 14 12", in lines.
std::string caption_text(const Score& score, const Span& span) {
  const std::span<const ScoreNote> notes = std::span(score.notes).subspan(span.begin, span.end - span.begin);
  const std::string visits = visits_text(notes);
  std::string text;
  std::size_t column = 0;
  for (const std::string_view part : split(visits, '|')) {
    const std::string visit = "string " + std::string(trim(part));
    const bool fits = column + 3 + visit.size() <= k_columns;
    if (!text.empty()) text += fits ? " | " : "\n";
    column = (text.empty() || !fits ? 0 : column + 3) + visit.size();
    text += visit;
  }
  return text;
}

std::string title_text(const Score& score, const TimelineOptions& options) {
  const std::string title = plain_line(score.title);
  std::string tempo = tempo_text(options.bpm) + " beats a minute";
  if (options.piece == Piece::ladder) tempo = tempo_text(options.ladder_from) + " to " + tempo;
  return (title.empty() ? "" : title + "\n") + feel_text(score) + ", " + tempo;
}

std::string two_digits(std::int64_t value) { return (value < 10 ? "0" : "") + std::to_string(value); }

std::int64_t milliseconds(std::int64_t frame) { return (frame * 1000 + k_sample_rate / 2) / k_sample_rate; }

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

Result<std::vector<Cue>> caption_cues(const Score& score, const TimelineOptions& options, CaptionSplit split) {
  if (options.piece == Piece::loop || options.piece == Piece::click) {
    return Error{ErrorKind::range, 0, "captions are made for a demo, a ladder or bursts", "demo"};
  }
  const auto timeline = lay_out(score, options);
  if (!timeline) return timeline.error();
  const std::vector<voice::PlayedNote>& played = timeline->notes;
  std::vector<Cue> cues;
  if (played.empty()) return cues;
  const std::int64_t first = played.front().onset;
  if (first > 0) cues.push_back({0, first, title_text(score, options)});
  // Whole runs of the score's notes, in its order: lay_out adds them so for these three pieces.
  const std::vector<Span> spans = spans_of(score, split);
  for (std::size_t run = 0; run + score.notes.size() <= played.size(); run += score.notes.size()) {
    for (const Span& span : spans) {
      cues.push_back({played[run + span.begin].onset, played[run + span.end - 1].end, caption_text(score, span)});
    }
  }
  return cues;
}

std::string web_vtt(const std::vector<Cue>& cues) {
  std::string text = "WEBVTT\n";
  std::size_t number = 0;
  for (const Cue& cue : cues) {
    const std::int64_t begin = milliseconds(cue.begin);
    const std::int64_t end = std::max(milliseconds(cue.end), begin + 1);
    text += "\n" + std::to_string(++number) + "\n" + time_text(begin) + " --> " + time_text(end) + "\n" +
            escape(cue.text) + "\n";
  }
  return text;
}

Result<std::string> captions(const Score& score, const TimelineOptions& options, CaptionSplit split) {
  const auto cues = caption_cues(score, options, split);
  if (!cues) return cues.error();
  return web_vtt(*cues);
}

}  // namespace fretloom
