#include "sheet/neck.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "base/arithmetic.h"

namespace fretloom::sheet {

namespace {

constexpr double k_string_gap = 3.4;
constexpr double k_ring = 1.02;
constexpr double k_degree_size = 1.6;
constexpr double k_order_size = 1.35;
constexpr double k_name_size = 1.5;
constexpr double k_widest_order = 5.5;  // order numbers above one ring
constexpr double k_open_room = 3.3;     // above an open string's, beside the nut
constexpr double k_open_half = 0.85;    // from an open string's ring to the nut, less some white
constexpr double k_narrowest_fret = 2.45;
constexpr double k_widest_scale = 150;  // staff spaces for the whole scale length, so that few frets do not sprawl

struct Frame {
  int low = 0;    ///< first fret line drawn
  int high = 12;  ///< last
  double left = 0;
  double width = 0;
  bool mirrored = false;

  [[nodiscard]] double x_of_line(int fret) const {
    const double share = (fret_place(fret) - fret_place(low)) / (fret_place(high) - fret_place(low));
    return left + (mirrored ? 1 - share : share) * width;
  }
  /// Where a finger stands for a fret (from the nut): between its lines, an open string before the nut.
  [[nodiscard]] double x_of_note(int fret) const {
    if (fret <= low) return x_of_line(low) + (mirrored ? 1.3 : -1.3);
    return (x_of_line(fret) + x_of_line(fret - 1)) / 2;
  }
};

/// Order numbers of the first repetition by (string, fret).
std::map<std::pair<int, int>, std::string> orders(const Score& score) {
  std::map<std::pair<int, int>, std::string> found;
  int number = 0;
  for (const ScoreNote& note : first_repetition(score.notes)) {
    ++number;
    std::string& text = found[{note.string, note.fret}];
    text += (text.empty() ? "" : "\u00b7") + std::to_string(number);
  }
  return found;
}

/// "1·3·5·7" cut to a width after a number: "1·3…", at least the first.
std::string orders_within(const std::string& orders, double width, const TextMetrics& metrics) {
  std::string text = orders;
  while (metrics.width(text, TextStyle::bold, k_order_size) > width) {
    const std::size_t dot = text.rfind("\u00b7");
    if (dot == std::string::npos) return text;
    text = text.substr(0, dot) + "\u2026";
  }
  return text;
}

bool fret_range(const IdeaSheet& idea, int& low, int& high) {
  const Neck& neck = idea.instrument.neck;
  low = 1000;
  high = -1;
  for (const LayoutRow& row : idea.layout) {
    for (const int fret : row.frets) {
      low = std::min(low, fret + neck.capo);
      high = std::max(high, fret + neck.capo);
    }
  }
  if (high < 0) return false;
  // One fret of surroundings; line `low` lies before the first note's fret. The capo takes the nut's place.
  low = std::max(neck.capo, low - 2);
  high = std::max(std::min(high + 1, std::max(high, neck.frets)), low + 4);
  return true;
}

struct NeckDrawer {
  const IdeaSheet& idea;
  const MusicFont& font;
  const SheetOptions& options;
  NeckDrawing out;
  Frame frame;
  double top = 1.9;

  void draw(const Shape& shape) { out.items.push_back({Mark::neck, {}, -1, shape}); }
  void words(Point at, const std::string& text, TextStyle style, double size, Anchor anchor) {
    draw(TextShape{at, text, style, size, anchor, options.metrics.width(text, style, size)});
  }
  [[nodiscard]] int capo() const { return idea.instrument.neck.capo; }
  [[nodiscard]] int strings() const { return static_cast<int>(idea.layout.size()); }
  /// Row of a string given thickest first: the thickest stands at the foot.
  [[nodiscard]] double y_of(std::size_t index) const {
    return top + static_cast<double>(strings() - 1 - static_cast<int>(index)) * k_string_gap;
  }
  [[nodiscard]] double bottom() const { return top + std::max(0, strings() - 1) * k_string_gap; }

  void draw_frets() {
    for (int fret = frame.low; fret <= frame.high; ++fret) {
      const double x = frame.x_of_line(fret);
      const bool nut = fret == capo() && frame.low == capo();
      draw(LineShape{{x, top - 0.06}, {x, bottom() + 0.06}, nut ? 0.45 : 0.13, false});
    }
    for (int fret = frame.low + 1; fret <= frame.high; ++fret) {
      words({frame.x_of_note(fret), bottom() + 2.9}, std::to_string(fret - capo()), TextStyle::italic, 1.5,
            Anchor::middle);
    }
  }

  void draw_string(std::size_t index) {
    const double y = y_of(index);
    std::vector<double> rings;
    for (const int fret : idea.layout[index].frets) rings.push_back(frame.x_of_note(fret + capo()));
    std::sort(rings.begin(), rings.end());
    double x = frame.left;
    // Thicker strings, thicker lines: the neck reads the right way up even without names.
    const double thickness = 0.09 + 0.035 * static_cast<double>(strings() - 1 - static_cast<int>(index));
    for (const double ring : rings) {
      if (ring - k_ring > x) draw(LineShape{{x, y}, {ring - k_ring, y}, thickness, false});
      x = std::max(x, ring + k_ring);
    }
    if (x < frame.left + frame.width) draw(LineShape{{x, y}, {frame.left + frame.width, y}, thickness, false});
    const double off = frame.low == capo() ? 3.35 : 1.3;  // an open string's ring stands before the nut
    const double name_x = frame.mirrored ? frame.left + frame.width + off : frame.left - off;
    words({name_x, y + k_name_size * k_cap_height / 2},
          with_signs(idea.instrument.neck.tuning.open[index].pitch_class.name()), TextStyle::regular, k_name_size,
          Anchor::middle);
  }

  void draw_notes(std::size_t index, const std::map<std::pair<int, int>, std::string>& order) {
    const LayoutRow& row = idea.layout[index];
    const double y = y_of(index);
    for (std::size_t i = 0; i < row.frets.size(); ++i) {
      const double x = frame.x_of_note(row.frets[i] + capo());
      const Degree& degree = row.degrees[i];
      const bool tonic = degree == Degree{1, 0};
      draw(RingShape{{x, y}, k_ring - (tonic ? 0.14 : 0.07), tonic ? 0.28 : 0.12});
      words({x, y + k_degree_size * k_cap_height / 2}, with_signs(degree.name()),
            tonic ? TextStyle::bold : TextStyle::regular, k_degree_size, Anchor::middle);
      const auto found = order.find({strings() - static_cast<int>(index), row.frets[i]});
      if (found != order.end()) draw_order({x, y - k_ring - 0.18}, found->second, index, row.frets[i]);
    }
  }

  /// Order numbers above a ring, no wider than to halfway from the next ring of the string; an open string's beside
  /// the nut.
  void draw_order(Point at, const std::string& orders, std::size_t index, int fret) {
    double room = fret == 0 ? k_open_room : k_widest_order;
    for (const int other : idea.layout[index].frets) {
      if (other != fret) room = std::min(room, std::fabs(frame.x_of_note(other + capo()) - at.x) - 0.4);
    }
    const std::string text = orders_within(orders, room, options.metrics);
    const double half = options.metrics.width(text, TextStyle::bold, k_order_size) / 2;
    if (fret == 0 && half > k_open_half) {
      at.x += frame.mirrored ? half - k_open_half : k_open_half - half;
    }
    words(at, text, TextStyle::bold, k_order_size, Anchor::middle);
  }
};

}  // namespace

double fret_place(int fret) { return 1 - exp2_of(-fret / 12.0); }

NeckDrawing draw_neck(const IdeaSheet& idea, const Score& score, double width, const MusicFont& font,
                      const SheetOptions& options) {
  NeckDrawer drawer{idea, font, options, {}, {}};
  Frame& frame = drawer.frame;
  if (!fret_range(idea, frame.low, frame.high)) return {};
  frame.mirrored = options.hand == Hand::left;
  frame.left = frame.mirrored ? 0.3 : 4;
  const double share = fret_place(frame.high) - fret_place(frame.low);
  const double narrowest = (fret_place(frame.high) - fret_place(frame.high - 1)) / share;
  const double room = width - 4.6;
  // Wide enough for a ring in the narrowest fret, no wider than the scale's largest size. Where that is more
  // than there is, the whole diagram is drawn smaller, so that rings never touch.
  frame.width = std::max(k_narrowest_fret / narrowest, std::min(room, share * k_widest_scale));
  const double scale = std::min(1.0, room / frame.width);
  drawer.out.scale = scale;
  const auto order = orders(score);
  drawer.draw_frets();
  for (std::size_t i = 0; i < idea.layout.size(); ++i) {
    drawer.draw_string(i);
    drawer.draw_notes(i, order);
  }
  if (scale < 1) {
    for (SceneItem& item : drawer.out.items) item.shape = transformed(item.shape, scale, {0, 0});
  }
  for (const SceneItem& item : drawer.out.items) drawer.out.box.add(box_of(item.shape, font));
  return std::move(drawer.out);
}

}  // namespace fretloom::sheet
