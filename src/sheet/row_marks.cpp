#include "sheet/row_marks.h"

#include <algorithm>

#include "sheet/headings.h"
#include "sheet/pages.h"
#include "sheet/system_state.h"

namespace fretloom::sheet {

namespace {

constexpr double k_before = 0.6;  // white before each sign
constexpr double k_name_size = 1.9;
constexpr double k_sign_scale = 0.55;
constexpr double k_above = 0.9;      // white below the row
constexpr double k_name_line = 2.3;  // from the feel up to the name
constexpr double k_between = 1.2;

/// Signs that a change of key shows: the new ones, or naturals for all of the old where the new key has none.
int courtesy_fifths(const PassageScore& now, const PassageScore& next) {
  if (now.fifths == next.fifths) return 0;
  return next.fifths != 0 ? next.fifths : now.fifths;
}

bool meter_changes(const PassageScore& now, const PassageScore& next) {
  return !(now.at.idea->meter == next.at.idea->meter);
}

/// Of one idea, above its first bar.
struct RowHead {
  double left = 0;
  double right = 0;  ///< where the next begins
  const PlacedBar* bar = nullptr;
  int index = 0;
};

double words_width(const SystemState& s, const std::string& words, TextStyle style) {
  return s.options.metrics.width(words, style, k_name_size);
}

std::string feel_text(const PlacedBar& bar) { return std::to_string(bar.score->at.score->notes_per_beat) + " a beat"; }

/// Of all that a head says besides the idea's name.
double feel_width(const SystemState& s, const PlacedBar& bar) {
  const IdeaSheet& idea = *bar.score->at.idea;
  const BeatSign beat = beat_sign(idea.meter);
  double width = s.font.box(beat.symbol).width() * k_sign_scale + 0.5;
  if (beat.dotted) width += s.font.box(Symbol::beat_dot).width() * k_sign_scale + 0.2;
  return width + words_width(s, feel_text(bar), TextStyle::regular) +
         words_width(s, tempo_text(idea), TextStyle::regular) + k_between;
}

/// A head over the first piece of a bar at a line's end begins farther left, so that it ends on the page.
void keep_on_page(const SystemState& s, std::vector<RowHead>& heads) {
  double limit = page_size(s.options).inner_width();
  for (auto head = heads.rbegin(); head != heads.rend(); ++head) {
    head->right = std::min(head->right, limit);
    head->left = std::max(s.drawing.left, std::min(head->left, head->right - feel_width(s, *head->bar)));
    limit = head->left - k_between;
  }
}

std::vector<RowHead> row_heads(const SystemState& s) {
  std::vector<RowHead> heads;
  for (const PlacedBar& bar : s.bars) {
    if (bar.measured->bar != 0 || !bar.measured->begins_bar()) continue;
    const double left = std::max(s.drawing.left, s.events[bar.at(0)].x - 0.6);
    if (!heads.empty()) heads.back().right = left - k_between;
    heads.push_back({left, s.bars.back().right, &bar, bar.measured->index});
  }
  // A short last line leaves room for a name at its right.
  if (!heads.empty() && !s.options.paper.is_strip()) {
    heads.back().right = std::max(heads.back().right, page_size(s.options).inner_width());
    keep_on_page(s, heads);
  }
  return heads;
}

/// One line, or two where the ideas of a system are too short for their names, feels and tempos in one.
enum class RowHeadForm { one_line, two_lines };

class RowHeadDrawer {
 public:
  RowHeadDrawer(SystemState& s, const RowHead& head)
      : s_(s), head_(head), idea_(*head.bar->score->at.idea), feel_(feel_text(*head.bar)), tempo_(tempo_text(idea_)) {}

  [[nodiscard]] bool fits_one_line() const {
    return words_width(s_, heading_of(idea_), TextStyle::bold) + k_between + feel_width(s_, *head_.bar) <= room();
  }
  [[nodiscard]] double reach() const {
    return s_.above.reach(head_.left, head_.left + std::max(room(), feel_width(s_, *head_.bar)));
  }

  void draw(double y, RowHeadForm form) {
    const bool two = form == RowHeadForm::two_lines;
    double x = head_.left;
    const auto text = [&](const std::string& words, TextStyle style, double at, double gap) {
      s_.draw(Mark::heading, s_.text({x, at}, words, style, k_name_size, Anchor::start), {}, head_.index);
      x += words_width(s_, words, style) + gap;
    };
    text(shorten(s_.options.metrics, heading_of(idea_), TextStyle::bold, k_name_size, room()), TextStyle::bold,
         two ? y - k_name_line : y, k_between);
    if (two) x = head_.left;
    text(feel_, TextStyle::regular, y, k_between);
    const BeatSign beat = beat_sign(idea_.meter);
    const auto sign = [&](Symbol symbol) {
      const Box& box = s_.font.box(symbol);
      s_.draw(Mark::heading, GlyphShape{{x - box.left * k_sign_scale, y}, symbol, k_sign_scale}, {}, head_.index);
      x += box.width() * k_sign_scale + 0.2;
    };
    sign(beat.symbol);
    if (beat.dotted) sign(Symbol::beat_dot);
    x += 0.3;
    text(tempo_, TextStyle::regular, y, 0);
  }

 private:
  [[nodiscard]] double room() const { return head_.right - head_.left; }
  SystemState& s_;
  const RowHead& head_;
  const IdeaSheet& idea_;
  std::string feel_;
  std::string tempo_;
};

}  // namespace

double courtesy_width(const PassageScore& now, const PassageScore& next, const MusicFont& font) {
  double width = 0;
  if (const int fifths = courtesy_fifths(now, next); fifths != 0) width += k_before + signature_width(fifths);
  if (meter_changes(now, next)) width += k_before + time_width(next.at.idea->meter, font);
  return width > 0 ? width + 0.3 : 0;
}

void draw_courtesy(SystemState& s) {
  const PlacedBar& bar = s.bars.back();
  if (bar.measured->courtesy <= 0) return;
  const PassageScore& now = *bar.score;
  const PassageScore& next = s.input.plan->scores[static_cast<std::size_t>(bar.measured->score) + 1];
  double x = bar.right - bar.measured->courtesy + k_before;
  if (const int fifths = courtesy_fifths(now, next); fifths != 0) {
    const Symbol symbol = next.fifths == 0 ? Symbol::natural : fifths > 0 ? Symbol::sharp : Symbol::flat;
    x = draw_key(s, x, now.clef, fifths, symbol) + k_before;
  }
  if (meter_changes(now, next)) draw_time(s, x, next.at.idea->meter);
}

void draw_row_heads(SystemState& s) {
  if (s.input.plan->scores.size() < 2) return;
  const std::vector<RowHead> heads = row_heads(s);
  std::vector<RowHeadDrawer> drawers;
  RowHeadForm form = RowHeadForm::one_line;
  double y = 1e9;
  for (const RowHead& head : heads) {
    drawers.emplace_back(s, head);
    y = std::min(y, drawers.back().reach() - k_above);
    if (!drawers.back().fits_one_line()) form = RowHeadForm::two_lines;
  }
  for (RowHeadDrawer& drawer : drawers) drawer.draw(y, form);
}

std::int64_t bar_number(const PassagePlan& plan, int bar) {
  std::int64_t counted = 0;
  int at = 0;
  for (const PassageScore& score : plan.scores) {
    for (const RhythmBar& rhythm : score.rhythm.bars) {
      const bool counts = rhythm.number >= 1;
      if (at++ == bar) return !counts ? 0 : plan.scores.size() > 1 ? counted + 1 : rhythm.number;
      if (counts) ++counted;
    }
  }
  return 0;
}

}  // namespace fretloom::sheet
