#include "sheet/signs_block.h"

#include <array>

#include "sheet/loom_drawing.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_label{Mark::heading, TextStyle::bold, 2.1, 2.7};
constexpr TextKind k_meaning{Mark::sign, TextStyle::regular, 1.75, 2.9};
constexpr TextKind k_letter{Mark::sign, TextStyle::italic, 1.75, 2.9};
constexpr double k_after_label = 1.2;
constexpr double k_after_sign = 0.55;
constexpr double k_between = 1.7;
constexpr double k_glyph_scale = 0.8;
constexpr double k_finger_scale = 1.3;
constexpr double k_ring = 0.55;
constexpr double k_knot_pixel = 0.075;  // of the loom's own measures
constexpr double k_knot_width = 19 * k_knot_pixel;

/// A sign as it is drawn: a symbol of the music font, letters, or a shape of the loom.
struct SignRow {
  Sign sign;
  std::string_view meaning;
  std::optional<Symbol> symbol;
  std::string_view letters;
};

constexpr std::array k_rows = {
    SignRow{Sign::downstroke, "downstroke", Symbol::down_stroke, ""},
    SignRow{Sign::upstroke, "upstroke", Symbol::up_stroke, ""},
    SignRow{Sign::free_change, "free change of string", std::nullopt, ""},
    SignRow{Sign::blocked_change, "blocked", std::nullopt, ""},
    SignRow{Sign::hammer_on, "hammer-on", std::nullopt, "H"},
    SignRow{Sign::pull_off, "pull-off", std::nullopt, "P"},
    SignRow{Sign::slide, "slide", std::nullopt, "sl."},
    SignRow{Sign::accent, "accent", Symbol::accent_above, ""},
    SignRow{Sign::fingers, "fingers, 1 is the index", Symbol::finger_1, ""},
    SignRow{Sign::ordinals, "string notes under the tab, 1 is the lowest", std::nullopt, "1 2 3"},
    SignRow{Sign::landing, "where it lands", std::nullopt, ""},
};

class SignDrawer {
 public:
  SignDrawer(const SheetOptions& options, const MusicFont& font, double width)
      : options_(options), font_(font), width_(width), setter_(options.metrics, block_) {}

  Block run(const std::set<Sign>& signs) {
    setter_.line(k_label, {0, y_}, "Signs");
    left_ = x_ = options_.metrics.width("Signs", k_label.style, k_label.size) + k_after_label;
    for (const SignRow& row : k_rows) {
      if (signs.count(row.sign) > 0) add(row);
    }
    block_.height = y_ + 0.25 * k_meaning.size;
    block_.gap = k_part_gap;
    return std::move(block_);
  }

 private:
  void put(const Shape& shape) { block_.items.push_back({Mark::sign, {}, -1, shape}); }
  [[nodiscard]] static bool is_stroke(const SignRow& row) {
    return row.sign == Sign::downstroke || row.sign == Sign::upstroke;
  }
  /// Finger figures are the font's smallest.
  [[nodiscard]] static double scale_of(const SignRow& row) {
    return row.sign == Sign::fingers ? k_finger_scale : k_glyph_scale;
  }
  [[nodiscard]] double sign_width(const SignRow& row) const {
    const double knot = is_stroke(row) && options_.loom ? k_after_sign + k_knot_width : 0;
    if (row.symbol) return font_.box(*row.symbol).width() * scale_of(row) + knot;
    if (!row.letters.empty()) return options_.metrics.width(row.letters, k_letter.style, k_letter.size);
    return 2 * k_ring;
  }

  void add(const SignRow& row) {
    const double sign = sign_width(row);
    const double words = options_.metrics.width(row.meaning, k_meaning.style, k_meaning.size);
    if (x_ > left_ && x_ + sign + k_after_sign + words > width_) {
      x_ = left_;
      y_ += k_meaning.pitch;
    }
    draw(row);
    x_ += sign + k_after_sign;
    setter_.line(k_meaning, {x_, y_}, std::string(row.meaning));
    x_ += words + k_between;
  }

  void draw(const SignRow& row) {
    const double middle = y_ - k_meaning.size * k_cap_height / 2;
    if (row.symbol) {
      const Box& box = font_.box(*row.symbol);
      const double scale = scale_of(row);
      const double level = middle - (box.top + box.bottom) / 2 * scale;
      put(GlyphShape{{x_ - box.left * scale, level}, *row.symbol, scale});
      if (is_stroke(row) && options_.loom)
        draw_knot({x_ + sign_width(row) - k_knot_width / 2, middle}, row.sign == Sign::downstroke);
      return;
    }
    if (!row.letters.empty()) return setter_.line(k_letter, {x_, y_}, std::string(row.letters));
    const Point centre{x_ + k_ring, middle};
    if (row.sign == Sign::blocked_change) {
      const double arm = 0.8 * k_ring;
      put(LineShape{{centre.x - arm, centre.y - arm}, {centre.x + arm, centre.y + arm}, 0.22, false});
      return put(LineShape{{centre.x - arm, centre.y + arm}, {centre.x + arm, centre.y - arm}, 0.22, false});
    }
    put(RingShape{centre, row.sign == Sign::landing ? 1.25 * k_ring : 0.7 * k_ring, 0.16});
  }

  /// As the loom draws it: filled for a downstroke, outlined for an upstroke.
  void draw_knot(Point middle, bool down) {
    put(knot_outline(middle, down ? Stroke::down : Stroke::up, k_knot_pixel, down ? 0 : 2 * k_knot_pixel));
  }

  const SheetOptions& options_;
  const MusicFont& font_;
  double width_;
  Block block_;
  TextSetter setter_;
  double left_ = 0;
  double x_ = 0;
  double y_ = k_label.size * 0.85;
};

void add_note_signs(const ScoreNote& note, const SheetOptions& options, std::set<Sign>& signs) {
  if (note.stroke && (options.strokes || options.loom))
    signs.insert(*note.stroke == Stroke::down ? Sign::downstroke : Sign::upstroke);
  if (note.attack == Attack::hammer) signs.insert(Sign::hammer_on);
  if (note.attack == Attack::pull) signs.insert(Sign::pull_off);
  if (note.attack == Attack::slide) signs.insert(Sign::slide);
  if (note.accent) signs.insert(Sign::accent);
  if (note.finger && options.fingers) signs.insert(Sign::fingers);
}

}  // namespace

std::set<Sign> signs_of(const std::vector<ScoreAt>& scores, const SheetOptions& options) {
  std::set<Sign> signs;
  for (const ScoreAt& at : scores) {
    for (const ScoreNote& note : at.score->notes) add_note_signs(note, options, signs);
    for (const Change& change : at.idea->proof.changes) {
      if (options.loom || !change.free) signs.insert(change.free ? Sign::free_change : Sign::blocked_change);
    }
    if (options.loom && landing_of(*at.score) != nullptr) signs.insert(Sign::landing);
  }
  if (options.ordinals) signs.insert(Sign::ordinals);
  return signs;
}

Block signs_block(const std::set<Sign>& signs, const SheetOptions& options, const MusicFont& font, double width) {
  if (signs.empty()) return {};
  return SignDrawer(options, font, width).run(signs);
}

}  // namespace fretloom::sheet
