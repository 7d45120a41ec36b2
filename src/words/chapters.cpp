#include "words/chapters.h"

#include <cmath>
#include <optional>

#include "base/text.h"
#include "words/english.h"
#include "words/idea_lines.h"

namespace fretloom {

namespace {

constexpr double k_longest = 24.0 * 3600.0;

Error range_error(std::string what) { return {ErrorKind::range, 0, std::move(what), ""}; }

std::string two_digits(std::int64_t value) { return (value < 10 ? "0" : "") + std::to_string(value); }

std::string clock_text(std::int64_t seconds) {
  const std::int64_t minutes = seconds / 60;
  const std::string end = ":" + two_digits(seconds % 60);
  return seconds >= 3600 ? std::to_string(minutes / 60) + ":" + two_digits(minutes % 60) + end
                         : std::to_string(minutes) + end;
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

std::vector<ChapterEntry> section_chapters(const std::vector<Section>& sections) {
  std::vector<ChapterEntry> chapters;
  double start = 0;
  for (const Section& section : sections) {
    chapters.push_back({start, section.title});
    start += section.seconds;
  }
  return chapters;
}

std::vector<ChapterEntry> demo_chapters(std::span<const DemoLength> demos, int rate) {
  std::vector<ChapterEntry> chapters;
  std::int64_t frames = 0;
  for (const DemoLength& demo : demos) {
    chapters.push_back({static_cast<double>(frames) / rate, idea_name(*demo.of.idea) + ", " +
                                                                feel_text(*demo.of.score) + ", " +
                                                                tempo_text(demo.bpm) + " beats a minute"});
    frames += demo.frames;
  }
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
