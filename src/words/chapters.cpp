#include "words/chapters.h"

#include <algorithm>
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

/// Parts of a recording that are one chapter: [begin, end).
struct ChapterParts {
  std::size_t begin = 0;
  std::size_t end = 0;
};

/// Parts in groups that are long enough. `starts` holds one start a part and, behind them, the end of the whole.
std::vector<ChapterParts> long_enough(const std::vector<double>& starts) {
  std::vector<ChapterParts> groups;
  const std::size_t parts = starts.size() - 1;
  const auto length = [&](const ChapterParts& group) {
    return static_cast<double>(whole_seconds(starts[group.end]) - whole_seconds(starts[group.begin]));
  };
  for (std::size_t i = 0; i < parts; ++i) {
    const bool goes_on = !groups.empty() && length(groups.back()) < k_least_chapter_seconds;
    if (!goes_on) groups.push_back({i, i});
    groups.back().end = i + 1;
  }
  if (groups.size() > 1 && length(groups.back()) < k_least_chapter_seconds) {
    groups[groups.size() - 2].end = parts;
    groups.pop_back();
  }
  return groups;
}

/// Demos of one feel: "4 notes a beat, 60 and 120 beats a minute".
std::string feel_title(std::span<const DemoLength> demos) {
  std::vector<std::string> tempos;
  for (const DemoLength& demo : demos) tempos.push_back(tempo_text(demo.bpm));
  return feel_text(*demos.front().of.score) + ", " + listed(tempos) + " beats a minute";
}

std::string demos_title(std::span<const DemoLength> demos) {
  std::string title;
  const IdeaSheet* idea = nullptr;
  for (std::size_t i = 0; i < demos.size();) {
    const FeelRef& of = demos[i].of;
    std::size_t end = i + 1;
    while (end < demos.size() && demos[end].of.score == of.score) ++end;
    const bool same_idea = of.idea == idea;
    title += title.empty() ? "" : same_idea ? ", then " : "; ";
    title += (same_idea ? "" : idea_name(*of.idea) + ", ") + feel_title(demos.subspan(i, end - i));
    idea = of.idea;
    i = end;
  }
  return title;
}

}  // namespace

std::vector<ChapterEntry> section_chapters(const std::vector<Section>& sections) {
  std::vector<double> starts = {0};
  for (const Section& section : sections) starts.push_back(starts.back() + section.seconds);
  std::vector<ChapterEntry> chapters;
  for (const ChapterParts& group : long_enough(starts)) {
    std::vector<std::string> titles;
    for (std::size_t i = group.begin; i < group.end; ++i) titles.push_back(sections[i].title);
    chapters.push_back({starts[group.begin], join(titles, ", ")});
  }
  return chapters;
}

std::vector<ChapterEntry> demo_chapters(std::span<const DemoLength> demos, int rate) {
  std::vector<double> starts = {0};
  std::int64_t frames = 0;
  for (const DemoLength& demo : demos) {
    frames += demo.frames;
    starts.push_back(static_cast<double>(frames) / rate);
  }
  std::vector<ChapterEntry> chapters;
  for (const ChapterParts& group : long_enough(starts))
    chapters.push_back({starts[group.begin], demos_title(demos.subspan(group.begin, group.end - group.begin))});
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
