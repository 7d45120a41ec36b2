#include "sheet/loom_drawing.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "base/arithmetic.h"
#include "sheet/loom_row.h"

namespace fretloom::sheet {

using namespace loom_pixels;

LoomSize loom_size(const IdeaSheet& idea, const SheetOptions& options) {
  LoomSize size;
  size.digit = std::max(size.digit, smallest_text(options));
  size.pixel = size.digit / 13;
  size.least_unit = k_least_unit * size.pixel;
  size.most_unit = k_most_unit * size.pixel;
  double widest = 0;
  for (const SpelledPitch& open : idea.instrument.neck.tuning.open) {
    widest =
        std::max(widest, options.metrics.width(with_signs(open.pitch_class.name()), TextStyle::regular, size.digit));
  }
  size.names = widest + 8 * size.pixel;
  return size;
}

PolygonShape knot_outline(Point p, Stroke stroke, double pixel, double line) {
  const double way = stroke == Stroke::down ? 1 : -1;
  const double inset = line / 2;
  const double half = k_half_knot * pixel - inset;
  const double flat = way * (k_flat * pixel - inset);
  // Slanted sides are moved by as much across as the upright ones.
  const double run = k_half_knot * pixel;
  const double rise = (k_tip - k_shoulder) * pixel;
  const double tip_inset = inset * hypotenuse(run, rise) / run;
  const double shoulder = way * (k_tip * pixel - tip_inset - half * rise / run);
  const double tip = way * (k_tip * pixel - tip_inset);
  return {{{{p.x - half, p.y - flat},
            {p.x + half, p.y - flat},
            {p.x + half, p.y + shoulder},
            {p.x, p.y + tip},
            {p.x - half, p.y + shoulder}}},
          line};
}

int loom_units(const LoomSize& size, double width) {
  return std::max(1, static_cast<int>(std::floor((width - size.names) / size.least_unit + 1e-9)));
}

LoomRowState::LoomRowState(const LoomFrame& frame, const LoomRow& r)
    : f(frame), row(r), left(frame.size.names), right(left + (r.to - r.from).to_double() * frame.unit) {
  for (const LoomLane& lane : f.loom.lanes) {
    touched.push_back(f.options.lanes == LoomLanes::all || touches(lane.string));
    const double height = px(touched.back() ? f.lane_height : k_idle_lane);
    lane_y.push_back(bottom + height / 2);
    bottom += height;
  }
}

namespace {

class GroundDrawer {
 public:
  explicit GroundDrawer(LoomRowState& s) : s_(s) {}

  void draw() {
    draw_bands();
    draw_lanes();
  }

 private:
  void draw_bands() {
    bool tinted = false;
    for (const LoomBand& band : s_.f.loom.bands) {
      tinted = band.kind == BandKind::rule || (band.kind != BandKind::ending && !tinted);
      const Rational from = std::max(band.from, s_.row.from);
      const Rational to = std::min(band.to, s_.row.to);
      if (from >= to || (!tinted && band.kind != BandKind::ending)) continue;
      const Tone tone = band.kind == BandKind::rule     ? Tone::rule_band
                        : band.kind == BandKind::again  ? Tone::again_band
                        : band.kind == BandKind::ending ? Tone::ending_band
                                                        : Tone::back_band;
      s_.add_ground(Mark::band,
                    BoxShape{{s_.edge_of(from), -s_.px(k_band_over), s_.edge_of(to), s_.bottom + s_.px(k_band_over)},
                             s_.px(k_band_radius),
                             0},
                    tone);
    }
  }

  void draw_lanes() {
    const double last = std::max(5.0, static_cast<double>(s_.f.loom.lanes.size()) - 1);
    for (std::size_t i = 0; i < s_.f.loom.lanes.size(); ++i) {
      const LoomLane& lane = s_.f.loom.lanes[i];
      const double y = s_.lane_y[i];
      const double thickness = s_.touched[i] ? 0.8 + 1.4 * static_cast<double>(i) / last : 0.7;
      s_.add_ground(Mark::lane, LineShape{{s_.left, y}, {s_.right, y}, s_.px(thickness)}, Tone::string);
      if (!s_.touched[i]) continue;
      const SpelledPitch& open = s_.f.idea.instrument.neck.tuning.open[s_.f.idea.instrument.neck.index(lane.string)];
      const Point name{s_.left - s_.px(8), y + s_.f.size.digit * k_cap_height / 2};
      s_.add_text(Mark::lane_name, s_.text(name, with_signs(open.pitch_class.name()), TextStyle::regular, Anchor::end),
                  Tone::soft_ink);
    }
  }

  LoomRowState& s_;
};

LoomFrame make_frame(const Loom& loom, const IdeaSheet& idea, const Score& score, int passage, double width,
                     const SheetOptions& options, const MusicFont& font) {
  LoomFrame frame{loom,
                  idea,
                  passage,
                  width,
                  options,
                  font,
                  loom_size(idea, options),
                  written_value(idea.meter, score.notes_per_beat),
                  3,
                  options.paper.is_screen() ? k_lane : k_paper_lane};
  double longest = 1;
  for (const LoomRow& row : loom.rows) longest = std::max(longest, (row.to - row.from).to_double());
  frame.unit = std::min(frame.size.most_unit, (width - frame.size.names) / longest);
  return frame;
}

LoomRowMeasures measures_of(const LoomRowState& s) {
  LoomRowMeasures measures{s.left, s.f.unit, {}};
  for (std::size_t i = 0; i < s.f.loom.lanes.size(); ++i) {
    const LoomLane& lane = s.f.loom.lanes[i];
    const bool open = s.touched[i];
    measures.lanes.push_back({lane.string, open, s.lane_y[i] - (open ? s.f.height_of(lane, 1) : 0),
                              open ? s.f.step_of(lane) : 0, static_cast<int>(std::ceil(lane.low)),
                              static_cast<int>(std::floor(lane.high))});
  }
  return measures;
}

/// The items of a row, moved so that nothing stands above 0.
LoomRowDrawing finished(LoomRowState s) {
  LoomRowDrawing out{std::move(s.ground), 0, measures_of(s)};
  std::move(s.items.begin(), s.items.end(), std::back_inserter(out.items));
  Box box;
  for (const SceneItem& item : out.items) box.add(box_of(item.shape, s.f.font));
  for (SceneItem& item : out.items) item = transformed(item, 1, {0, -box.top});
  for (LaneMeasures& lane : out.measures.lanes) lane.y -= box.top;
  out.height = box.height();
  return out;
}

}  // namespace

void draw_loom_ground(LoomRowState& s) { GroundDrawer(s).draw(); }

std::vector<LoomRowDrawing> draw_loom(const Loom& loom, const IdeaSheet& idea, const Score& score, int passage,
                                      double width, const SheetOptions& options, const MusicFont& font) {
  const LoomFrame frame = make_frame(loom, idea, score, passage, width, options, font);
  std::vector<LoomRowDrawing> rows;
  for (const LoomRow& row : loom.rows) {
    LoomRowState state(frame, row);
    draw_loom_ground(state);
    draw_loom_thread(state);
    draw_loom_words(state);
    rows.push_back(finished(std::move(state)));
  }
  return rows;
}

}  // namespace fretloom::sheet
