#include "sheet/vamp_block.h"

#include <algorithm>
#include <cmath>

#include "score/swing.h"
#include "sheet/chord_setting.h"
#include "sheet/passage.h"
#include "sheet/swing_equation.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

// Heights of a row, from its top.
constexpr double k_chord_line = 2.2;
constexpr double k_beam_line = 3.3;
constexpr double k_slash_line = 6.2;  // middle of the slashes
constexpr double k_bar_top = 3.3;
constexpr double k_bar_bottom = 8.0;
constexpr double k_row = 8.2;
constexpr double k_row_gap = 1.2;

constexpr double k_slash_half = 0.62;
constexpr double k_slash_rise = 0.95;
constexpr double k_slash_thick = 0.5;
constexpr double k_least_step = 1.75;  // between two slashes
constexpr double k_sign_width = 1.6;   // a repeat sign
constexpr double k_cell_lead = 1.5;    // bar line to the first slash's middle
constexpr double k_least_cell = 9;
constexpr double k_widest_cell = 30;
constexpr double k_digit_scale = 0.9;
constexpr TextKind k_label{Mark::heading, TextStyle::bold, 2.1, 2.7};
constexpr TextKind k_rhythm{Mark::prose, TextStyle::italic, 2.0, 2.7};
constexpr TextKind k_tuplet{Mark::vamp, TextStyle::italic, 1.3, 1.3};

/// How the strikes of one bar are written.
struct Strikes {
  int count = 0;   ///< in the bar; 0 = a slash a beat
  int a_beat = 1;  ///< under one beam, where there is any
  int beams = 0;
  bool stem = true;
  bool open = false;                 ///< halves and longer
  std::optional<TupletRatio> ratio;  ///< of a beat
};

/// Of the vamp's rhythm; what is struck once a chord or unevenly is written as a slash a beat, like the bars that
/// follow.
Strikes strikes_of(const IdeaSheet& idea) {
  const Rational rate = idea.vamp.rhythm.strikes_per_beat;
  const int beats = idea.meter.beats_per_bar();
  Strikes strikes;
  if (rate == Rational(0)) return strikes;
  const Rational count = Rational(beats) * rate;
  if (!count.is_whole()) return strikes;
  strikes.count = static_cast<int>(count.num());
  Rational value = idea.meter.beat_value() / rate;
  if (rate >= Rational(1)) {
    strikes.a_beat = static_cast<int>(rate.num());
    value = written_value(idea.meter, strikes.a_beat);
    strikes.ratio = tuplet_ratio(idea.meter, strikes.a_beat);
  }
  strikes.open = value >= Rational(1, 2);
  strikes.stem = value < Rational(1);
  for (Rational shorter(1, 8); value <= shorter && strikes.beams < 5; shorter = shorter * Rational(1, 2))
    ++strikes.beams;
  return strikes;
}

/// "in eighths", "as a shuffle".
std::string rhythm_words(const Vamp& vamp) {
  const bool held = vamp.rhythm.lead.empty() && vamp.rhythm.strikes_per_beat == Rational(0);
  return held ? "each chord held" : std::string(vamp.rhythm.lead) + std::string(vamp.rhythm.name);
}

std::vector<const VampChord*> chords_of(const IdeaSheet& idea, int bar) {
  std::vector<const VampChord*> chords;
  for (const VampChord& chord : idea.vamp.chords) {
    if (bar_of(idea.meter, chord.onset) == bar + 1) chords.push_back(&chord);
  }
  return chords;
}

class VampDrawer {
 public:
  VampDrawer(const IdeaSheet& idea, const SheetOptions& options, const MusicFont& font, double width)
      : idea_(idea),
        options_(options),
        font_(font),
        width_(width),
        setter_(options.metrics, block_),
        beats_(idea.meter.beats_per_bar()),
        strikes_(strikes_of(idea)) {
    left_ = time_width() + 0.8;
  }

  Block run() {
    double y = draw_label();
    plan_cells();
    for (int row = 0; row * cells_ < idea_.vamp.bars; ++row) {
      if (row > 0) y += k_row_gap;
      draw_row(row, y);
      y += k_row;
    }
    block_.height = y;
    block_.gap = k_part_gap;
    return std::move(block_);
  }

 private:
  void put(const Shape& shape) { block_.items.push_back({Mark::vamp, {}, -1, shape}); }

  double draw_label() {
    const double baseline = k_label.size * 0.85;
    setter_.line(k_label, {0, baseline}, "Vamp");
    double x = options_.metrics.width("Vamp", k_label.style, k_label.size) + 1.2;
    const std::string words = rhythm_words(idea_.vamp);
    setter_.line(k_rhythm, {x, baseline}, words);
    x += options_.metrics.width(words, k_rhythm.style, k_rhythm.size) + 1.6;
    if (swings(idea_.vamp, idea_.meter, strikes_.a_beat))
      draw_swing(idea_.vamp, idea_.meter, {x, baseline}, k_rhythm.size, Mark::vamp, font_, options_, block_);
    return k_label.pitch + 0.4;
  }

  [[nodiscard]] double chord_width(const VampChord& chord) const {
    return set_chord(chord.chord, k_chord_size, options_.metrics).width + 0.9;
  }
  /// What the widest bar needs for its chords.
  [[nodiscard]] double chords_width() const {
    double most = k_least_cell;
    for (int bar = 0; bar < idea_.vamp.bars; ++bar) {
      for (const VampChord* chord : chords_of(idea_, bar)) {
        const double share = chord->duration.value.to_double() / beats_;
        most = std::max(most, chord_width(*chord) / std::min(1.0, share) + 1.6);
      }
    }
    return most;
  }
  /// Cells of a row and their width: all bars in rows as full as each other, none wider than its music wants.
  void plan_cells() {
    const double room = width_ - left_ - 2 * k_sign_width;
    const double slashes = beats_ * k_least_step + k_cell_lead;
    double least = std::max(chords_width(), slashes);
    const double struck = strikes_.count * k_least_step + k_cell_lead;
    if (struck > room) strikes_ = {};
    least = std::min(room, std::max(least, strikes_.count > 0 ? struck : 0));
    const int most = std::clamp(static_cast<int>(room / least), 1, std::max(1, idea_.vamp.bars));
    const int rows = (idea_.vamp.bars + most - 1) / most;
    cells_ = (idea_.vamp.bars + rows - 1) / rows;
    cell_ = std::min(room / cells_, std::max(least, k_widest_cell));
  }

  [[nodiscard]] std::string meter_digits() const {
    std::string text;
    for (const int group : idea_.meter.groups) text += (text.empty() ? "" : "+") + std::to_string(group);
    return text;
  }
  static Symbol digit(char c) {
    return c == '+' ? Symbol::time_plus : static_cast<Symbol>(static_cast<int>(Symbol::time_0) + (c - '0'));
  }
  [[nodiscard]] double digits_width(const std::string& digits) const {
    double width = 0;
    for (const char c : digits) width += font_.box(digit(c)).width() * k_digit_scale + 0.12;
    return width;
  }
  [[nodiscard]] double time_width() const {
    return std::max(digits_width(meter_digits()), digits_width(std::to_string(idea_.meter.denominator)));
  }
  void draw_digits(const std::string& digits, double y) {
    double x = (time_width() - digits_width(digits)) / 2;
    for (const char c : digits) {
      const Box& box = font_.box(digit(c));
      const double level = c == '+' ? y - (box.top + box.bottom) / 2 * k_digit_scale : y;
      block_.items.push_back(
          {Mark::time_signature, {}, -1, GlyphShape{{x - box.left * k_digit_scale, level}, digit(c), k_digit_scale}});
      x += box.width() * k_digit_scale + 0.12;
    }
  }

  void thin(double x, double y) { put(LineShape{{x, y + k_bar_top}, {x, y + k_bar_bottom}, 0.16, false}); }
  void heavy(double left, double y) {
    const double right = left + 0.5;
    put(QuadShape{
        {{{left, y + k_bar_top}, {right, y + k_bar_top}, {right, y + k_bar_bottom}, {left, y + k_bar_bottom}}}});
  }
  void dots(double x, double y) {
    for (const double off : {-0.7, 0.7}) put(RingShape{{x, y + (k_bar_top + k_bar_bottom) / 2 + off}, 0.24, 0});
  }

  void draw_row(int row, double y) {
    const int first = row * cells_;
    const int end = std::min(first + cells_, idea_.vamp.bars);
    double x = left_;
    if (row == 0) {
      draw_digits(meter_digits(), y + k_slash_line - 0.93);
      draw_digits(std::to_string(idea_.meter.denominator), y + k_slash_line + 0.93);
      heavy(x, y);
      thin(x + 0.8, y);
      dots(x + 1.35, y);
      x += k_sign_width;
    }
    if (row > 0) thin(x += k_sign_width, y);
    for (int bar = first; bar < end; ++bar) {
      draw_cell(bar, x, y);
      x += cell_;
      if (bar + 1 < end || end < idea_.vamp.bars) thin(x, y);
    }
    if (end < idea_.vamp.bars) return;
    dots(x + 0.1, y);
    thin(x + 0.65, y);
    heavy(x + 0.95, y);
  }

  void draw_cell(int bar, double x, double y) {
    for (const VampChord* chord : chords_of(idea_, bar)) {
      const double share = beat_in_bar(idea_.meter, chord->onset).value.to_double() / beats_;
      const Point by{x + 0.6 + share * (cell_ - k_cell_lead), y + k_chord_line};
      for (const TextShape& piece : set_chord(chord->chord, k_chord_size, options_.metrics).pieces)
        block_.items.push_back({Mark::vamp, {}, -1, transformed(Shape(piece), 1, by)});
    }
    const bool struck = bar == 0 && strikes_.count > 0;
    const int count = struck ? strikes_.count : beats_;
    const double step = (cell_ - k_cell_lead) / count;
    if (!struck && step < k_least_step * 0.7) return;
    const double first = x + k_cell_lead;
    for (int i = 0; i < count; ++i) slash({first + i * step, y + k_slash_line}, struck && strikes_.open);
    if (struck && strikes_.stem) draw_stems(first, y, step);
  }

  void slash(Point at, bool open) {
    const double left = at.x - k_slash_half;
    const double right = at.x + k_slash_half;
    const double thick = open ? k_slash_thick * 1.7 : k_slash_thick;
    const std::vector<Point> corners = {{left, at.y + k_slash_rise},
                                        {right - thick / 2, at.y - k_slash_rise},
                                        {right + thick / 2, at.y - k_slash_rise},
                                        {left + thick, at.y + k_slash_rise}};
    put(PolygonShape{{corners}, open ? 0.2 : 0});
  }

  void draw_stems(double first, double y, double step) {
    const double off = k_slash_half + 0.2;  // stems stand at the slash's upper end
    const double top = y + k_beam_line;
    for (int i = 0; i < strikes_.count; ++i) {
      const double x = first + i * step + off;
      put(LineShape{{x, y + k_slash_line - k_slash_rise + 0.1}, {x, top}, 0.12, false});
    }
    for (int i = 0; i + strikes_.a_beat <= strikes_.count; i += strikes_.a_beat) {
      const double left = first + i * step + off - 0.06;
      const double right = first + (i + strikes_.a_beat - 1) * step + off + 0.06;
      const double end = strikes_.a_beat > 1 ? right : left + 0.9;
      for (int beam = 0; beam < strikes_.beams; ++beam) {
        const double at = top + 0.62 * beam;
        put(QuadShape{{{{left, at}, {end, at}, {end, at + 0.4}, {left, at + 0.4}}}});
      }
      if (strikes_.ratio) {
        const std::string number = std::to_string(strikes_.ratio->actual);
        setter_.line(k_tuplet, {(left + right) / 2, top - 0.3}, number, Anchor::middle);
      }
    }
  }

  const IdeaSheet& idea_;
  const SheetOptions& options_;
  const MusicFont& font_;
  double width_;
  Block block_;
  TextSetter setter_;
  int beats_;
  Strikes strikes_;
  double left_ = 0;
  int cells_ = 1;
  double cell_ = k_widest_cell;
};

}  // namespace

Block vamp_block(const IdeaSheet& idea, const SheetOptions& options, const MusicFont& font, double width) {
  if (idea.vamp.chords.empty() || idea.vamp.bars < 1) return {};
  return VampDrawer(idea, options, font, width).run();
}

bool same_vamp(const IdeaSheet& a, const IdeaSheet& b) {
  return a.meter == b.meter && a.vamp.bars == b.vamp.bars && a.vamp.rhythm.name == b.vamp.rhythm.name &&
         a.vamp.swing == b.vamp.swing && chords_text(a.vamp, a.meter) == chords_text(b.vamp, b.meter);
}

}  // namespace fretloom::sheet
