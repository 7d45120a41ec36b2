#include "words/captions.h"

#include <algorithm>
#include <cstdlib>
#include <optional>

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

/// The run's notes, "string 6: 12 15 14 15 | string 5: 14 12" where `lead` is "string ", in lines.
std::string frets_in_lines(const Score& score, const Run& run, std::string_view lead) {
  const std::string frets = frets_text(std::span(score.notes).subspan(run.begin, run.end - run.begin));
  std::string text;
  std::size_t column = 0;
  for (const std::string_view part : split(frets, '|')) {
    const std::string here = std::string(lead) + std::string(trim(part));
    const bool fits = column + 3 + here.size() <= k_columns;
    if (!text.empty()) text += fits ? " | " : "\n";
    column = (text.empty() || !fits ? 0 : column + 3) + here.size();
    text += here;
  }
  return text;
}

/// What the first caption says, the fullest first.
std::vector<std::string> title_texts(const IdeaSheet& idea, const Score& score, std::string_view tempo) {
  const std::string name = plain_line(idea.name);
  const std::string feel = feel_text(score) + ", " + plain_line(tempo);
  if (name.empty()) return {feel, plain_line(tempo)};
  return {name + "\n" + feel, name, plain_line(tempo)};
}

/// "string 6", "strings 6 to 1", "strings 6 to 1 and back": the fullest first, the last one 17 characters at most.
std::vector<std::string> strings_texts(std::span<const ScoreNote> notes) {
  const int from = notes.front().string;
  int to = notes.back().string;
  const bool returns = from == to;
  for (const ScoreNote& note : notes) {
    if (returns && std::abs(note.string - from) > std::abs(to - from)) to = note.string;
  }
  if (to == from) return {"string " + std::to_string(from)};
  const std::string text = "strings " + std::to_string(from) + " to " + std::to_string(to);
  return returns ? std::vector{text + " and back", text} : std::vector{text};
}

/// Makes captions of the runs of a recording, each as full as can be read.
class CaptionWriter {
 public:
  CaptionWriter(const Score& score, std::span<const NoteTime> times, int rate, std::vector<Run> runs)
      : score_(score), times_(times), rate_(rate), runs_(std::move(runs)) {}

  std::vector<Cue> write() {
    for (std::size_t first = 0; first < spans();) {
      std::size_t last = first;
      while (last < spans() && !try_cue(first, last)) ++last;
      if (last == spans()) add_rest();
      first = last + 1;
    }
    return std::move(cues_);
  }

 private:
  /// A run of the recording: the score's runs, again and again.
  [[nodiscard]] std::size_t spans() const { return times_.size() / score_.notes.size() * runs_.size(); }
  [[nodiscard]] std::size_t note(std::size_t span, std::size_t Run::*edge) const {
    return span / runs_.size() * score_.notes.size() + runs_[span % runs_.size()].*edge;
  }
  [[nodiscard]] std::int64_t begin(std::size_t span) const { return times_[note(span, &Run::begin)].begin; }
  /// Up to the next one's begin: a caption stays while nothing else is to be read.
  [[nodiscard]] std::int64_t end(std::size_t span) const {
    return span + 1 < spans() ? begin(span + 1) : times_[note(span, &Run::end) - 1].end;
  }

  /// The first text that can be read in this time; nothing where none can.
  [[nodiscard]] std::optional<Cue> cue(std::int64_t from, std::int64_t to,
                                       const std::vector<std::string>& texts) const {
    for (const std::string& text : texts) {
      if (is_readable(text, to - from, rate_)) return Cue{from, to, text};
    }
    return std::nullopt;
  }

  /// One span with its frets, or several with their strings.
  bool try_cue(std::size_t first, std::size_t last) {
    std::vector<std::string> texts = strings_of(note(first, &Run::begin), note(last, &Run::end));
    if (first == last) {
      const Run& run = runs_[first % runs_.size()];
      texts.insert(texts.begin(), {frets_in_lines(score_, run, "string "), frets_in_lines(score_, run, "")});
    }
    const auto made = cue(begin(first), end(last), texts);
    if (made) cues_.push_back(*made);
    return made.has_value();
  }

  /// What is too short for a caption of its own, from a span to the end, goes to the caption before.
  void add_rest() {
    if (cues_.empty()) return;
    const std::int64_t from = cues_.back().begin;
    const auto start = std::find_if(times_.begin(), times_.end(), [&](const auto& time) { return time.begin >= from; });
    const auto made =
        cue(from, end(spans() - 1), strings_of(static_cast<std::size_t>(start - times_.begin()), times_.size()));
    if (made) cues_.back() = *made;
  }

  [[nodiscard]] std::vector<std::string> strings_of(std::size_t from, std::size_t to) const {
    std::vector<ScoreNote> notes;
    for (std::size_t i = from; i < to; ++i) notes.push_back(score_.notes[i % score_.notes.size()]);
    return strings_texts(notes);
  }

  const Score& score_;
  std::span<const NoteTime> times_;
  int rate_;
  std::vector<Run> runs_;
  std::vector<Cue> cues_;
};

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

bool is_readable(std::string_view text, std::int64_t frames, int rate) {
  const auto characters = static_cast<std::int64_t>(count_code_points(text));
  return frames >= std::int64_t{k_least_caption_seconds} * rate &&
         characters * rate <= frames * k_most_characters_a_second;
}

Result<std::vector<Cue>> caption_cues(const IdeaSheet& idea, const Score& score, std::span<const NoteTime> times,
                                      int rate, std::string_view tempo, CaptionSplit split) {
  const std::size_t notes = score.notes.size();
  if (notes == 0 ? !times.empty() : times.size() % notes != 0)
    return Error{ErrorKind::range, 0, "the times of the captions are not whole runs of the idea", ""};
  std::vector<Cue> cues;
  if (times.empty()) return cues;
  const std::int64_t start = times.front().begin;
  for (const std::string& title : title_texts(idea, score, tempo)) {
    if (!is_readable(title, start, rate)) continue;
    cues.push_back({0, start, title});
    break;
  }
  const std::vector<Cue> played = CaptionWriter(score, times, rate, runs_of(idea.meter, score, split)).write();
  cues.insert(cues.end(), played.begin(), played.end());
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
