// Ties, slurs of hammer-ons and pull-offs, slide lines.

#include <algorithm>
#include <cmath>

#include "sheet/system_state.h"

namespace fretloom::sheet {

namespace {

constexpr double k_tie_inset = 0.3;
constexpr double k_off_head = 0.75;     // from a head's middle to a bow's end
constexpr double k_before_edge = 0.15;  // from a bow that a line's end cuts to that end
constexpr double k_highest_slur = 3.2;
constexpr double k_tallest = 0.45;    // height of a slur by its width
constexpr double k_steepest = 0.3;    // rise of a slur's ends by its width
constexpr double k_least_rise = 0.8;  // which no slur is too short for
constexpr double k_most_off = 1.6;    // a slur's end farther off its head would belong to nothing
constexpr double k_off_beam = 0.25;   // white between a slur and a beam that it passes
constexpr double k_off_tie = 0.3;     // and between a slur and a tie under it
constexpr double k_slide_gap = 0.22;

Side head_side(const PlacedEvent& e) { return e.stem == StemDirection::up ? Side::below : Side::above; }
double sign(Side side) { return side == Side::below ? 1 : -1; }

void draw_bow(SystemState& s, Mark mark, const BowShape& bow, const PlacedEvent& e) {
  s.draw(mark, bow, e, false);
  // The skyline takes the bow in slices: its box alone would claim the empty corners.
  for (int i = 0; i < 8; ++i) {
    Box box;
    for (int k = 0; k <= 2; ++k) {
      const double t = (2 * i + k) / 16.0;
      const double u = 1 - t;
      box.add(Point{u * u * u * bow.from.x + 3 * u * u * t * bow.control_1.x + 3 * u * t * t * bow.control_2.x +
                        t * t * t * bow.to.x,
                    u * u * u * bow.from.y + 3 * u * u * t * bow.control_1.y + 3 * u * t * t * bow.control_2.y +
                        t * t * t * bow.to.y});
    }
    s.above.add(box.grown(0.1));
    s.below.add(box.grown(0.1));
  }
}

/// True if the note after this event's, in the same score, is slurred to it.
bool slurs_on(const PlacedEvent& e) {
  const auto next = static_cast<std::size_t>(e.event->note) + 1;
  return next < e.score->notes.size() && e.score->notes[next].attack != Attack::pick;
}

bool is_slurred(const PlacedEvent& e) {
  return e.note != nullptr && !e.event->tie_in && e.note->attack != Attack::pick;
}

double line_right(const SystemState& s) { return s.bars.back().right - s.bars.back().measured->tail; }

Side run_side(const SystemState& s, int first, int last) {
  bool up = false;
  bool down = false;
  for (int i = first; i <= last; ++i) {
    const PlacedEvent& e = s.events[static_cast<std::size_t>(i)];
    if (e.note == nullptr) continue;
    (e.stem == StemDirection::up ? up : down) = true;
  }
  return up && !down ? Side::below : Side::above;
}

/// Where a bow may touch this event on that side.
double touch(const PlacedEvent& e, Side side) {
  const bool at_stem = e.has_stem && head_side(e) != side;
  if (at_stem) return e.stem_end + sign(side) * 0.35;
  // A tie on the same side begins or ends at the head; the slur keeps outside of it.
  const double tied = e.event->tie_out || e.event->tie_in ? 0.35 : 0;
  return e.y + sign(side) * (k_off_head + tied);
}

/// How far an accidental under a bow pushes it out from its chord.
double sign_need(const SystemState& s, const PlacedEvent& e, Side side, double chord) {
  if (!e.staff->accidental) return 0;
  const Box& box = s.font.box(accidental_symbol(*e.staff->accidental));
  return sign(side) * (e.y + (side == Side::below ? box.bottom : box.top) - chord) + 0.3;
}

Point on_bow(const BowShape& bow, double t) {
  const double u = 1 - t;
  const auto mix = [&](double p, double q, double r, double w) {
    return u * u * u * p + 3 * u * u * t * q + 3 * u * t * t * r + t * t * t * w;
  };
  return {mix(bow.from.x, bow.control_1.x, bow.control_2.x, bow.to.x),
          mix(bow.from.y, bow.control_1.y, bow.control_2.y, bow.to.y)};
}

/// What a bow's inside must clear between two xs: the line from one point to another.
struct Edge {
  Point from;
  Point to;
};

/// The outer edges of the beams under a bow, where it runs on the stems' side.
std::vector<Edge> beam_edges(const SystemState& s, int first, int last, Side side) {
  std::vector<Edge> edges;
  const PlacedEvent* before = nullptr;
  for (int i = first; i <= last; ++i) {
    const PlacedEvent& e = s.events[static_cast<std::size_t>(i)];
    if (e.note == nullptr || e.event->beam < 0 || head_side(e) == side) continue;
    if (before != nullptr && before->bar == e.bar && before->event->beam == e.event->beam) {
      edges.push_back({{before->stem_x, before->stem_end}, {e.stem_x + Engraving::stem / 2, e.stem_end}});
    }
    edges.push_back({{e.stem_x - Engraving::stem / 2, e.stem_end}, {e.stem_x + Engraving::stem / 2, e.stem_end}});
    before = &e;
  }
  return edges;
}

/// The outer edges of the ties that a bow passes on their side.
std::vector<Edge> tie_edges(const SystemState& s, const BowShape& bow, Side side) {
  std::vector<Edge> edges;
  for (const SceneItem& item : s.drawing.items) {
    if (item.mark != Mark::tie) continue;
    const auto& tie = std::get<BowShape>(item.shape);
    if (tie.to.x <= bow.from.x || tie.from.x >= bow.to.x || sign(side) * (tie.control_1.y - tie.from.y) < 0) continue;
    const auto outer = [&](double t) {
      const Point p = on_bow(tie, t);
      return Point{p.x, p.y + sign(side) * tie.middle / 2};
    };
    for (int i = 0; i < 4; ++i) edges.push_back({outer(i / 4.0), outer((i + 1) / 4.0)});
  }
  return edges;
}

/// t of the bow's point over x; bows run from left to right.
double t_over(const BowShape& bow, double x) {
  double low = 0;
  double high = 1;
  for (int i = 0; i < 24; ++i) {
    const double middle = (low + high) / 2;
    (on_bow(bow, middle).x < x ? low : high) = middle;
  }
  return (low + high) / 2;
}

/// What a bow lacks to clear its edges: height where it passes them, a lift of the whole where they stand at its ends.
struct Lack {
  double height = 0;
  double lift = 0;

  void add(const BowShape& bow, const std::vector<Edge>& edges, Side side, double white) {
    for (const Edge& edge : edges) {
      for (int i = 0; i <= 4; ++i) {
        const Point at{edge.from.x + i / 4.0 * (edge.to.x - edge.from.x),
                       edge.from.y + i / 4.0 * (edge.to.y - edge.from.y)};
        const double t = t_over(bow, at.x);
        if (t < 0.01 || t > 0.99) continue;
        const double need = sign(side) * (at.y - on_bow(bow, t).y) + white + bow.middle / 2;
        if (need <= 0) continue;
        const double share = 4 * t * (1 - t);
        if (share < 0.4) lift = std::max(lift, need);
        if (share >= 0.4) height = std::max(height, need / share);
      }
    }
  }
};

/// Raises the bow off the beams and ties that it passes.
void clear_edges(const SystemState& s, BowShape& bow, double& height, int first, int last, Side side) {
  const std::vector<Edge> beams = beam_edges(s, first, last, side);
  for (int round = 0; round < 4; ++round) {
    Lack lack;
    lack.add(bow, beams, side, k_off_beam);
    lack.add(bow, tie_edges(s, bow, side), side, k_off_tie);
    if (lack.height <= 0 && lack.lift <= 0) return;
    const double highest = std::clamp(k_tallest * (bow.to.x - bow.from.x), 1.2, k_highest_slur);
    const double grown = std::min(lack.height, std::max(0.0, highest - height));
    height += grown;
    const double out = sign(side) * std::max(lack.lift, lack.height - grown);
    bow = make_bow({bow.from.x, bow.from.y + out}, {bow.to.x, bow.to.y + out}, height, side);
  }
}

/// How far the whole bow must move out so that it clears every head and accidental that it passes.
double lift_of(const SystemState& s, const BowShape& bow, int first, int last, Side side) {
  double lift = 0;
  const auto clear = [&](const Box& box) {
    for (int i = 2; i <= 46; ++i) {
      const Point p = on_bow(bow, i / 48.0);
      if (p.x < box.left || p.x > box.right) continue;
      lift = std::max(lift, sign(side) * ((side == Side::below ? box.bottom : box.top) - p.y) + 0.12);
    }
  };
  for (int i = first; i <= last; ++i) {
    const PlacedEvent& e = s.events[static_cast<std::size_t>(i)];
    if (e.note == nullptr) continue;
    clear({e.x - 0.55, e.y - 0.45, e.x + 0.55, e.y + 0.45});
    if (!e.staff->accidental) continue;
    Box sign_box = s.font.box(accidental_symbol(*e.staff->accidental));
    if (e.staff->courtesy) sign_box.add(s.font.box(Symbol::paren_left));
    const double right = e.x - 0.59;
    clear({right - accidental_width(*e.staff, s.font), e.y + sign_box.top, right, e.y + sign_box.bottom});
  }
  return lift;
}

struct SlurEnds {
  Point from;
  Point to;
};

SlurEnds ends_on(const SystemState& s, const SlurRun& run, const PlacedEvent& a, const PlacedEvent& b, Side side) {
  Point from{a.x, touch(a, side)};
  Point to{b.x, touch(b, side)};
  if (run.first < 0) from = {s.bars.front().left + k_before_edge, to.y + sign(side) * 0.2};
  if (run.last < 0) to = {line_right(s) - k_before_edge, from.y + sign(side) * 0.2};
  return {from, to};
}

/// By how much a bow between these ends would stand steeper than a slur may.
double steepness(const SlurEnds& ends) {
  return std::fabs(ends.to.y - ends.from.y) - std::max(k_least_rise, k_steepest * (ends.to.x - ends.from.x));
}

/// A bow from a stem's end to a head far below it would stand like a ladder: its inner end moves out until the
/// bow rises no more than k_steepest of its width.
void flatten(SlurEnds& ends, Side side) {
  const double excess = steepness(ends);
  if (excess <= 0) return;
  const bool right_is_out = sign(side) * (ends.to.y - ends.from.y) > 0;
  (right_is_out ? ends.from : ends.to).y += sign(side) * excess;
}

void draw_slur(SystemState& s, const SlurRun& run) {
  const int first = std::max(run.first, 0);
  const int last = run.last >= 0 ? run.last : static_cast<int>(s.events.size()) - 1;
  const PlacedEvent& a = s.events[static_cast<std::size_t>(first)];
  const PlacedEvent& b = s.events[static_cast<std::size_t>(last)];
  Side side = run_side(s, first, last);
  SlurEnds ends = ends_on(s, run, a, b, side);
  if (steepness(ends) > k_most_off) {  // an end so far off its head would belong to nothing; beams lie level
    const Side back = side == Side::above ? Side::below : Side::above;
    const SlurEnds others = ends_on(s, run, a, b, back);
    if (steepness(others) < steepness(ends)) {
      side = back;
      ends = others;
    }
  }
  flatten(ends, side);
  auto [from, to] = ends;
  const double width = std::max(0.5, to.x - from.x);
  double height = std::clamp(0.45 + 0.09 * width, 0.6, 1.6);
  for (int i = first + 1; i < last; ++i) {
    const PlacedEvent& e = s.events[static_cast<std::size_t>(i)];
    if (e.note == nullptr) continue;
    const double t = std::clamp((e.x - from.x) / width, 0.12, 0.88);
    const double chord = from.y + t * (to.y - from.y);
    const double need = std::max(sign(side) * (touch(e, side) - chord) - 0.1, sign_need(s, e, side, chord));
    height = std::max(height, need / (4 * t * (1 - t)));
  }
  // Lift the whole bow rather than make a tower of it.
  const double highest = std::clamp(k_tallest * width, 1.2, k_highest_slur);
  if (height > highest) {
    from.y += sign(side) * (height - highest);
    to.y += sign(side) * (height - highest);
    height = highest;
  }
  BowShape bow = make_bow(from, to, height, side);
  clear_edges(s, bow, height, first, last, side);
  for (int round = 0; round < 4; ++round) {
    const double lift = lift_of(s, bow, first, last, side);
    if (lift <= 0) break;
    const double out = sign(side) * lift;
    bow = make_bow({bow.from.x, bow.from.y + out}, {bow.to.x, bow.to.y + out}, height, side);
  }
  draw_bow(s, Mark::slur, bow, b);
}

void draw_slide(SystemState& s, std::size_t i) {
  const PlacedEvent& to = s.events[i];
  const double half = 0.59;
  const double end = to.x - half - accidental_width(*to.staff, s.font) - k_slide_gap;
  const double start = i > 0 ? s.events[i - 1].x + half + k_slide_gap + 0.4 * s.events[i - 1].event->dots : to.x - 2.2;
  double y0 = i > 0 ? s.events[i - 1].y : to.y;
  double y1 = to.y;
  if (i == 0 || y0 == y1) {
    const bool rises =
        to.event->note == 0 || to.score->notes[static_cast<std::size_t>(to.event->note) - 1].fret < to.note->fret;
    y0 += rises ? 0.3 : -0.3;
    y1 -= rises ? 0.3 : -0.3;
  } else {
    // Off the heads' middles by the same slope as between them.
    const double slope = (y1 - y0) / (to.x - s.events[i - 1].x);
    y0 += slope * (half + k_slide_gap);
    y1 -= slope * (to.x - end);
  }
  if (end > start + 0.2) s.draw(Mark::slide, LineShape{{start, y0}, {end, y1}, 0.15, false}, to);
}

/// The first part of a slide that goes on in the next system, from the last head to before the bar line.
void draw_slide_off(SystemState& s, const ScoreNote& next) {
  const PlacedEvent& e = s.events.back();
  const double start = e.x + 0.59 + k_slide_gap + 0.4 * e.event->dots;
  const double end = line_right(s) - k_slide_gap;
  const double rise = next.fret > e.note->fret ? -0.5 : 0.5;
  if (end > start + 0.2) s.draw(Mark::slide, LineShape{{start, e.y}, {end, e.y + rise}, 0.15, false}, e);
}

}  // namespace

BowShape make_bow(Point from, Point to, double height, Side side) {
  const double lift = sign(side) * height / 0.75;  // a cubic reaches three quarters of its controls
  const double width = to.x - from.x;
  const double inset = width > 6 ? 0.22 : 0.28;
  BowShape bow;
  bow.from = from;
  bow.to = to;
  bow.control_1 = {from.x + inset * width, from.y + inset * (to.y - from.y) + lift};
  bow.control_2 = {to.x - inset * width, to.y - inset * (to.y - from.y) + lift};
  bow.middle = Engraving::slur_middle;
  bow.end = Engraving::slur_end;
  return bow;
}

std::vector<SlurRun> slur_runs(const SystemState& s) {
  std::vector<SlurRun> runs;
  int before = -1;  // the note event that a slurred one hangs on
  int last = -1;    // the last note event of the line
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (e.note == nullptr) continue;
    if (is_slurred(e)) {
      if (!runs.empty() && runs.back().last == before && before >= 0) {
        runs.back().last = static_cast<int>(i);
      } else {
        runs.push_back({before, static_cast<int>(i)});
      }
    }
    // A tied note hangs its slur on its first head, where its digit stands.
    const bool same = before >= 0 && s.events[static_cast<std::size_t>(before)].ref == e.ref;
    if (!same) before = static_cast<int>(i);
    last = static_cast<int>(i);
  }
  if (last < 0) return runs;
  const PlacedEvent& closing = s.events[static_cast<std::size_t>(last)];
  if (slurs_on(closing) && !closing.event->tie_out) {
    if (!runs.empty() && runs.back().last == before) {
      runs.back().last = -1;
    } else {
      runs.push_back({before, -1});
    }
  }
  return runs;
}

const ScoreNote* slides_off(const SystemState& s) {
  const PlacedEvent& e = s.events.back();
  if (e.note == nullptr || e.event->tie_out) return nullptr;
  const auto next = static_cast<std::size_t>(e.event->note) + 1;
  if (next >= e.score->notes.size() || e.score->notes[next].attack != Attack::slide) return nullptr;
  return &e.score->notes[next];
}

void draw_ties(SystemState& s) {
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    const PlacedEvent& e = s.events[i];
    if (i == 0 && e.event->tie_in) {
      const Side side = head_side(e);
      const double y = e.y + sign(side) * 0.65;
      draw_bow(s, Mark::tie,
               make_bow({std::max(e.x - 2.1, s.bars.front().left + 0.1), y}, {e.x - k_tie_inset, y}, 0.45, side), e);
    }
    if (!e.event->tie_out) continue;
    const Side side = head_side(e);
    const double y = e.y + sign(side) * 0.65;
    const PlacedEvent* next = s.event_after(i);
    const double right = next != nullptr ? next->x - k_tie_inset : line_right(s) - 0.2;
    const double left = e.x + (e.event->dots > 0 ? 1.5 : k_tie_inset);
    draw_bow(s, Mark::tie, make_bow({left, y}, {right, y}, std::clamp(0.28 + 0.05 * (right - left), 0.35, 0.9), side),
             e);
  }
}

void draw_slurs(SystemState& s) {
  for (std::size_t i = 0; i < s.events.size(); ++i) {
    if (is_slurred(s.events[i]) && s.events[i].note->attack == Attack::slide) draw_slide(s, i);
  }
  if (const ScoreNote* next = slides_off(s); next != nullptr) draw_slide_off(s, *next);
  for (const SlurRun& run : slur_runs(s)) draw_slur(s, run);
}

}  // namespace fretloom::sheet
