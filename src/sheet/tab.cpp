// The tab staff: lines that open for their digits, frets, bows, slides, and the rows below.

#include <algorithm>

#include "sheet/number.h"
#include "sheet/pages.h"
#include "sheet/system_state.h"

namespace fretloom::sheet {

namespace {

constexpr double k_digit_margin = 0.05;
// A shorter rest of line between two digits would read as a dot. The closest digits (their gap is
// k_fret_gap in measuring) keep just this much, so that a row of digits never mixes dashes and blanks.
constexpr double k_shortest_dash = 0.38;
constexpr double k_ordinal_size = 1.5;
constexpr double k_bow_off = 0.95;      // from a tab line to the end of a bow over its digit
constexpr double k_before_edge = 0.15;  // from a bow that a line's end cuts to that end

/// A digit that continues a tie over a line break is shown again, in parentheses.
std::string fret_text(const SystemState& s, std::size_t i) {
  const PlacedEvent& e = s.events[i];
  if (e.note == nullptr) return "";
  const std::string fret = std::to_string(e.note->fret);
  if (!e.event->tie_in) return fret;
  return i == 0 ? "(" + fret + ")" : "";
}

double fret_half(const SystemState& s, std::size_t i) {
  return s.options.metrics.width(fret_text(s, i), TextStyle::regular, k_fret_size) / 2;
}

void draw_lines(SystemState& s) {
  std::vector<std::vector<std::pair<double, double>>> holes(static_cast<std::size_t>(s.strings));
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (e.note == nullptr || fret_text(s, i).empty() || e.note->string < 1 || e.note->string > s.strings) continue;
    const double half = fret_half(s, i) + k_digit_margin;
    auto& line = holes[static_cast<std::size_t>(e.note->string) - 1];
    // A slide's stroke takes the place of the line between its digits.
    const bool joins = e.note->attack == Attack::slide && !e.event->tie_in && i > 0 && !line.empty();
    const bool leaves = i + 1 == s.events.size() && slides_off(s) != nullptr;
    line.emplace_back(joins ? line.back().second : e.x - half, leaves ? s.bars.back().right : e.x + half);
  }
  const double right = s.bars.back().right;
  for (int line = 0; line < s.strings; ++line) {
    const double y = s.tab_top + line * Engraving::tab_spacing;
    double x = s.drawing.left;
    for (const auto& [from, to] : holes[static_cast<std::size_t>(line)]) {
      if (from > x + k_shortest_dash)
        s.draw(Mark::tab_line, LineShape{{x, y}, {from, y}, Engraving::staff_line, false}, {}, -1, false);
      x = std::max(x, to);
    }
    if (right > x) s.draw(Mark::tab_line, LineShape{{x, y}, {right, y}, Engraving::staff_line, false}, {}, -1, false);
  }
  s.below.add(Box{s.drawing.left, s.tab_top, right, s.tab_bottom()});
}

void draw_digits(SystemState& s) {
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const std::string text = fret_text(s, i);
    if (text.empty()) continue;
    const PlacedEvent& e = s.events[i];
    const double y = s.tab_y(e) + k_fret_size * k_cap_height / 2;
    s.draw(Mark::fret, s.text({e.x, y}, text, TextStyle::regular, k_fret_size, Anchor::middle), e);
  }
}

void draw_bow(SystemState& s, const SlurRun& run) {
  const int first = std::max(run.first, 0);
  const int last = run.last >= 0 ? run.last : static_cast<int>(s.events.size()) - 1;
  const PlacedEvent& a = s.events[static_cast<std::size_t>(first)];
  const PlacedEvent& b = s.events[static_cast<std::size_t>(last)];
  double top = 1e9;
  for (int i = first; i <= last; ++i) {
    const PlacedEvent& e = s.events[static_cast<std::size_t>(i)];
    if (e.note != nullptr) top = std::min(top, s.tab_y(e));
  }
  const double y = top - k_bow_off;
  const double right = s.bars.back().right - s.bars.back().measured->tail;
  const double from = run.first >= 0 ? a.x : s.bars.front().left + 0.2;
  const double to = run.last >= 0 ? b.x : right - k_before_edge;
  const double height = std::clamp(0.3 + 0.03 * (to - from), 0.35, 0.7);
  s.draw(Mark::tab_slur, make_bow({from, y}, {to, y}, height, Side::above), b);
}

void draw_slide(SystemState& s, std::size_t i) {
  const PlacedEvent& e = s.events[i];
  const int before = e.event->note - 1;
  if (before < 0) return;
  const bool rises = e.score->notes[static_cast<std::size_t>(before)].fret < e.note->fret;
  const double end = e.x - fret_half(s, i) - 0.25;
  const double start = i > 0 ? s.events[i - 1].x + std::max(0.35, fret_half(s, i - 1)) + 0.25 : end - 1.2;
  const double tilt = rises ? 0.38 : -0.38;
  if (end <= start + 0.2) return;
  s.draw(Mark::tab_slide, LineShape{{start, s.tab_y(e) + tilt}, {end, s.tab_y(e) - tilt}, 0.15, false}, e);
}

std::string_view letters_of(Attack attack) {
  return attack == Attack::hammer ? "H" : attack == Attack::pull ? "P" : "sl.";
}

/// How a note is reached, over the middle of the way to it, in one row above the tab (common practice).
void draw_letter(SystemState& s, std::size_t i) {
  const PlacedEvent& e = s.events[i];
  std::size_t before = i;
  while (before > 0 && (before == i || s.events[before].note == nullptr)) --before;
  const double from = before < i ? s.events[before].x : s.bars.front().left;
  s.draw(Mark::technique,
         s.text({(from + e.x) / 2, s.letter_row}, std::string(letters_of(e.note->attack)), TextStyle::italic,
                k_letter_size, Anchor::middle),
         e);
}

/// The first part of a slide that goes on in the next system.
void draw_slide_off(SystemState& s, const ScoreNote& next) {
  const PlacedEvent& e = s.events.back();
  const double start = e.x + std::max(0.35, fret_half(s, s.events.size() - 1)) + 0.25;
  const double end = s.bars.back().right - s.bars.back().measured->tail - 0.25;
  const double tilt = next.fret > e.note->fret ? 0.38 : -0.38;
  if (end <= start + 0.2) return;
  s.draw(Mark::tab_slide, LineShape{{start, s.tab_y(e) + tilt}, {end, s.tab_y(e) - tilt}, 0.15, false}, e);
}

}  // namespace

void draw_tab(SystemState& s) {
  draw_lines(s);
  draw_digits(s);
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (e.note == nullptr || e.event->tie_in || e.note->attack == Attack::pick) continue;
    draw_letter(s, i);
    if (e.note->attack == Attack::slide) draw_slide(s, i);
  }
  if (const ScoreNote* next = slides_off(s); next != nullptr) draw_slide_off(s, *next);
  for (const SlurRun& run : slur_runs(s)) draw_bow(s, run);
}

namespace {

constexpr double k_label_size = 1.6;
constexpr double k_least_label = 4.2;  // room for "ending"
constexpr double k_label_cross = 1.3;  // and for a cross before a label

struct Label {
  double left = 0;
  std::string words;
  int bar = 0;
  double width = 0;
  bool crossed = false;  ///< a blocked change's cross stands before it
};

/// Cuts a label that would run off the line, or off the page where the line is shorter; the short "ending" moves left
/// instead.
void fit_label(const SystemState& s, Label& label) {
  double right = s.bars.back().right;
  if (!s.options.paper.is_strip()) right = std::max(right, page_size(s.options).inner_width());
  const auto width = [&] { return s.options.metrics.width(label.words, TextStyle::italic, k_label_size); };
  const double before = label.crossed ? k_label_cross : 0;
  label.left = std::min(label.left + before, right - k_least_label);
  // What has to be said whole begins farther left, if it must.
  if (label.crossed) label.left = std::min(label.left, std::max(s.drawing.left + before, right - width()));
  if (width() > right - label.left)
    label.words = shorten(s.options.metrics, label.words, TextStyle::italic, k_label_size, right - label.left);
  label.width = width();
}

/// One row of words under the tab, level, below whatever already stands there; a label that would run
/// into the one before goes a row lower.
void draw_labels(SystemState& s, std::vector<Label> labels) {
  std::stable_sort(labels.begin(), labels.end(), [](const Label& a, const Label& b) { return a.left < b.left; });
  double lowest = 0;
  for (Label& label : labels) {
    fit_label(s, label);
    lowest = std::max(
        lowest, s.below.reach(label.left - (label.crossed ? k_label_cross : 0) - 0.6, label.left + label.width + 0.6));
  }
  const double row = lowest + 0.6 + k_label_size * k_ascent;
  double free_from = -1e9;
  bool lowered = false;
  for (const Label& label : labels) {
    lowered = label.left < free_from && !lowered;
    const double y = row + (lowered ? k_label_size * 1.3 : 0);
    free_from = label.left + label.width + 0.8;
    s.draw(label.crossed ? Mark::blocked : Mark::ending,
           s.text({label.left, y}, label.words, TextStyle::italic, k_label_size, Anchor::start), {}, label.bar);
    if (label.crossed)
      draw_cross(s, Mark::blocked, {label.left - k_label_cross + 0.45, y - k_label_size * 0.26}, 0.4, label.bar);
  }
}

/// True for the first note of the ending.
bool opens_ending(const PlacedEvent& e) {
  if (e.note == nullptr || e.note->role == Role::rule || e.event->tie_in) return false;
  const int before = e.event->note - 1;
  return before < 0 || e.score->notes[static_cast<std::size_t>(before)].role == Role::rule;
}

void draw_counting(SystemState& s) {
  const double y = s.below.reach(-10, s.bars.back().right + 10) + 0.6 + k_counting_size * k_ascent;
  for (const PlacedEvent& e : s.events) {
    const PassageScore& score = *s.bars[static_cast<std::size_t>(e.local_bar)].score;
    const std::string said = counted(score, *e.event);
    if (said.empty() || e.event->full_bar) continue;
    const bool on_beat = beat_in_bar(score.at.idea->meter, e.event->onset).value.is_whole();
    const TextStyle style = on_beat ? TextStyle::bold : TextStyle::italic;
    s.draw(Mark::counting, s.text({e.x, y}, said, style, k_counting_size, Anchor::middle), e);
  }
}

/// The repair stands under the first blocked change of its passage.
void add_repair(const SystemState& s, std::vector<Label>& labels) {
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (e.note == nullptr) continue;
    const PassageScore& score = *s.bars[static_cast<std::size_t>(e.local_bar)].score;
    const auto first = std::find(score.blocked.begin(), score.blocked.end(), true) - score.blocked.begin();
    if (score.at.repair.empty() || e.event->note != first || e.event->tie_out) continue;
    labels.push_back({e.x, score.at.repair, e.bar, 0, true});
  }
}

void draw_ordinals(SystemState& s) {
  const double y = s.below.reach(-10, s.bars.back().right + 10) + 0.6 + k_ordinal_size * k_cap_height;
  for (const PlacedEvent& e : s.events) {
    if (e.note == nullptr || e.event->tie_in) continue;
    s.draw(Mark::ordinal,
           s.text({e.x, y}, std::to_string(e.note->ordinal), TextStyle::italic, k_ordinal_size, Anchor::middle), e);
  }
}

}  // namespace

void draw_below_tab(SystemState& s) {
  if (s.options.ordinals) draw_ordinals(s);
  if (s.options.counting) draw_counting(s);
  std::vector<Label> labels;
  add_repair(s, labels);
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    if (opens_ending(s.events[i])) labels.push_back({s.events[i].x - fret_half(s, i), "ending", s.events[i].bar});
  }
  draw_labels(s, std::move(labels));
}

}  // namespace fretloom::sheet
