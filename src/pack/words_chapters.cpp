#include "pack/words_chapters.h"

#include <charconv>
#include <cmath>
#include <optional>

#include "base/text.h"
#include "pack/words_facts.h"
#include "sound/audio.h"

namespace fretloom {

namespace {

constexpr double k_longest = 24.0 * 3600.0;

Error range_error(std::string what) { return {ErrorKind::range, 0, std::move(what), ""}; }

std::optional<double> parse_seconds(std::string_view text) {
  if (text.empty() || text.find_first_not_of("0123456789.") != std::string_view::npos) return std::nullopt;
  double value = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
  if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
  return value;
}

std::string two_digits(std::int64_t value) { return (value < 10 ? "0" : "") + std::to_string(value); }

std::string clock_text(std::int64_t seconds) {
  const std::int64_t minutes = seconds / 60;
  const std::string end = ":" + two_digits(seconds % 60);
  return seconds >= 3600 ? std::to_string(minutes / 60) + ":" + two_digits(minutes % 60) + end
                         : std::to_string(minutes) + end;
}

/// "Six that folds back, 4 notes a beat, 60 beats a minute".
std::string demo_title(const Score& score, std::size_t number, const Rational& bpm) {
  const std::string title = plain_line(score.title);
  return (title.empty() ? "Idea " + std::to_string(number) : title) + ", " + feel_text(score) + ", " + tempo_text(bpm) +
         " beats a minute";
}

/// The tempos of a feel's demos.
std::vector<Rational> tempos_of(const Score& score) {
  if (score.slow_bpm == score.goal_bpm) return {score.goal_bpm};
  return {score.slow_bpm, score.goal_bpm};
}

/// Cut, but not by what adding decimals leaves behind: ten times 0.1 s is one second.
std::int64_t whole_seconds(double seconds) { return static_cast<std::int64_t>(std::floor(seconds + 1e-6)); }

std::optional<Error> check(const ChapterEntry& chapter, std::size_t number, std::int64_t before) {
  const std::string name = "chapter " + std::to_string(number);
  const double seconds = chapter.seconds;
  if (!std::isfinite(seconds) || seconds < 0 || seconds > k_longest) {
    return range_error(name + ": a start is 0 to 24 hours");
  }
  if (plain_line(chapter.title).empty()) return range_error(name + " has no title");
  const std::int64_t whole = whole_seconds(seconds);
  if (number == 1 && whole != 0) return range_error("the first chapter starts at 0:00");
  if (whole <= before) return range_error(name + " must start at least a second behind the one before");
  return std::nullopt;
}

}  // namespace

Result<double> parse_duration(std::string_view text) {
  const std::string_view trimmed = trim(text);
  const Error bad{ErrorKind::syntax, 0, "\"" + plain_line(text) + "\" is no duration; write m:ss, h:mm:ss or seconds",
                  "1:30"};
  const std::vector<std::string_view> parts = split(trimmed, ':');
  if (parts.size() > 3) return bad;
  double seconds = 0;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    const std::string_view part = parts[i];
    const auto value = parse_seconds(part);
    const bool is_last = i + 1 == parts.size();
    if (!value || (!is_last && part.find('.') != std::string_view::npos)) return bad;
    if (i > 0 && (*value >= 60 || part.substr(0, part.find('.')).size() != 2)) return bad;
    seconds = 60 * seconds + *value;
  }
  if (seconds <= 0 || seconds > k_longest) {
    return Error{ErrorKind::range, 0, "a duration is above 0 and at most 24 hours", "1:30"};
  }
  return seconds;
}

Result<std::vector<ChapterEntry>> chapters_of(const std::vector<Section>& sections) {
  if (sections.empty()) return range_error("there are no sections");
  std::vector<ChapterEntry> chapters;
  double start = 0;
  for (const Section& section : sections) {
    const std::string title = plain_line(section.title);
    const auto duration = parse_duration(section.duration);
    if (!duration) {
      Error error = duration.error();
      error.what = "section " + std::to_string(chapters.size() + 1) + (title.empty() ? "" : " (" + title + ")") + ": " +
                   error.what;
      return error;
    }
    chapters.push_back({start, title});
    start += *duration;
  }
  return chapters;
}

Result<std::vector<ChapterEntry>> demo_chapters(const Handout& handout, const TimelineOptions& options) {
  std::vector<ChapterEntry> chapters;
  std::int64_t frames = 0;
  const std::vector<const ScoreSet*> ideas = ideas_of(handout);
  for (std::size_t i = 0; i < ideas.size(); ++i) {
    for (const Score& score : ideas[i]->feels) {
      for (const Rational& bpm : tempos_of(score)) {
        TimelineOptions demo = options;
        demo.piece = Piece::demo;
        demo.bpm = bpm;
        const std::string title = demo_title(score, i + 1, bpm);
        const auto timeline = lay_out(score, demo);
        if (!timeline) {
          Error error = timeline.error();
          error.what = title + ": " + error.what;
          return error;
        }
        chapters.push_back({static_cast<double>(frames) / k_sample_rate, title});
        frames += timeline->frames;
      }
    }
  }
  if (chapters.empty()) return range_error("there is no idea that could be played");
  return chapters;
}

Result<std::string> chapters_text(const std::vector<ChapterEntry>& chapters) {
  if (chapters.empty()) return range_error("there are no chapters");
  std::int64_t before = -1;
  for (std::size_t i = 0; i < chapters.size(); ++i) {
    if (auto bad = check(chapters[i], i + 1, before)) return *std::move(bad);
    before = whole_seconds(chapters[i].seconds);
  }
  std::string text;
  for (const ChapterEntry& chapter : chapters) {
    const std::int64_t seconds = whole_seconds(chapter.seconds);
    text += clock_text(seconds) + " " + plain_line(chapter.title) + "\n";
  }
  return text;
}

}  // namespace fretloom
