#include "sheet/ladder_block.h"

#include <algorithm>

#include "score/ladder.h"
#include "sheet/headings.h"
#include "sheet/idea_block.h"
#include "sheet/number.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_name{Mark::ladder, TextStyle::bold, 1.9, 2.5};
constexpr TextKind k_feel{Mark::ladder, TextStyle::regular, 1.8, 2.4};
constexpr TextKind k_tempo{Mark::ladder, TextStyle::regular, 1.8, 2.4};
constexpr double k_box = 2.5;
constexpr double k_step = 5.4;       // from box to box
constexpr double k_date = 4.5;       // length of the line for it
constexpr double k_date_down = 2.4;  // below the box: room to write
constexpr double k_rungs = 2.2 + k_box + k_date_down + 0.3;
constexpr double k_rungs_gap = 1.4;
constexpr double k_least_name = 16;
constexpr double k_widest_name = 38;
constexpr double k_row_break_cost = 0.25;  // a page of its own is better, if there is room
constexpr PageGap k_row_gap{2.0, 0.6, 1.5};
constexpr std::string_view k_how =
    "Tick a box when the whole idea comes out clean and relaxed three times running, write the date below it, and "
    "climb "
    "one rung. Tense or untidy? Go back one.";

void draw_rung(const std::string& tempo, Point at, TextSetter& setter, Block& block) {
  const double middle = at.x + k_date / 2;
  setter.line(k_tempo, {middle, at.y + 1.5}, tempo, Anchor::middle);
  const double top = at.y + 2.2;
  const auto put = [&](const Shape& shape) { block.items.push_back({Mark::ladder, {}, -1, shape}); };
  put(BoxShape{{middle - k_box / 2, top, middle + k_box / 2, top + k_box}, 0.25, 0.16});
  const double line = top + k_box + k_date_down;
  put(LineShape{{at.x, line}, {at.x + k_date, line}, 0.1, false});
}

/// As wide as the longest name, within bounds.
double name_column(const std::vector<ScoreAt>& scores, const SheetOptions& options) {
  double widest = 0;
  for (const ScoreAt& at : scores)
    widest = std::max(widest, options.metrics.width(heading_of(*at.idea), k_name.style, k_name.size));
  return std::clamp(widest + 2, k_least_name, k_widest_name);
}

Block row_block(const ScoreAt& at, const SheetOptions& options, double names, double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  const auto rungs = ladder(at.idea->slow_bpm, at.idea->goal_bpm);
  const bool beside = width >= names + 7 * k_step;
  const double name_width = beside ? names - 1 : width;
  const std::string name = shorten(options.metrics, heading_of(*at.idea), k_name.style, k_name.size, name_width);
  Point rung{beside ? names : 0, 0};
  if (beside) {
    setter.line(k_name, {0, 3.0}, name);
    setter.line(k_feel, {0, 3.0 + k_name.pitch}, notes_a_beat(*at.score));
  } else {
    const std::string feel = ", " + notes_a_beat(*at.score);
    const double feel_width = options.metrics.width(feel, k_feel.style, k_feel.size);
    const std::string short_name =
        shorten(options.metrics, heading_of(*at.idea), k_name.style, k_name.size, width - feel_width);
    setter.line(k_name, {0, 1.6}, short_name);
    setter.line(k_feel, {options.metrics.width(short_name, k_name.style, k_name.size), 1.6}, feel);
    rung.y = k_name.pitch + 0.3;
  }
  const double left = rung.x;
  for (const Rational& tempo : rungs) {
    if (rung.x > left && rung.x + k_date > width) rung = {left, rung.y + k_rungs + k_rungs_gap};
    draw_rung(fixed(tempo.to_double()), rung, setter, block);
    rung.x += k_step;
  }
  block.height = rung.y + k_rungs;
  block.gap = k_row_gap;
  return block;
}

}  // namespace

std::vector<Block> ladder_blocks(const std::vector<ScoreAt>& scores, const SheetOptions& options, double width) {
  std::vector<Block> blocks{heading_block("The ladder", options, width)};
  if (options.prose) {
    Block how;
    TextSetter setter(options.metrics, how);
    double y = k_prose.size * 0.8;
    setter.prose(k_prose, 0, y, k_how, width);
    how.height = y - k_prose.pitch + 0.25 * k_prose.size;
    how.gap = {0.9, 0, 0.3};
    how.keep_with_next = true;
    blocks.push_back(std::move(how));
  }
  const double names = name_column(scores, options);
  for (const ScoreAt& at : scores) {
    blocks.push_back(row_block(at, options, names, width));
    blocks.back().break_cost = k_row_break_cost;
  }
  if (scores.size() > 1) blocks[blocks.size() - scores.size()].keep_with_next = true;
  return blocks;
}

}  // namespace fretloom::sheet
