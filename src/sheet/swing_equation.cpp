#include "sheet/swing_equation.h"

#include "score/swing.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr double k_note_scale = 0.3;  // of the text's size
constexpr double k_stem = 0.075;
constexpr double k_beam = 0.17;

/// Small notes on one baseline, stems up. Lengths are shares of the text's size.
class SmallNotes {
 public:
  SmallNotes(Block& block, const MusicFont& font, Mark mark, Point at, double size)
      : block_(block), font_(font), mark_(mark), at_(at), size_(size) {}

  /// Two notes under `beams` beams.
  void pair(int beams) {
    const double first = head();
    at_.x += 0.28 * size_;
    const double second = head();
    for (int i = 0; i < beams; ++i) beam(first, second, top() + i * 1.6 * k_beam * size_);
    stem(first);
    stem(second);
  }
  /// A note under `flags` beams of its own, 0 for a quarter; a dot behind it.
  void single(int flags, bool dotted) {
    const double x = head();
    stem(x);
    for (int i = 0; i < flags; ++i) beam(x, x + 0.22 * size_, top() + i * 1.6 * k_beam * size_);
    if (dotted) {
      at_.x += 0.1 * size_;
      put(RingShape{{at_.x, at_.y - 0.28 * size_}, 0.06 * size_, 0});
      at_.x += 0.1 * size_;
    }
  }
  void space(double share) { at_.x += share * size_; }
  [[nodiscard]] double x() const { return at_.x; }
  [[nodiscard]] double top() const { return at_.y - 0.92 * size_; }

 private:
  void put(const Shape& shape) { block_.items.push_back({mark_, {}, -1, shape}); }
  /// x of its stem.
  double head() {
    const double scale = k_note_scale * size_;
    const Box& box = font_.box(Symbol::head_black);
    put(GlyphShape{{at_.x - box.left * scale, at_.y - 0.13 * size_}, Symbol::head_black, scale});
    at_.x += box.width() * scale;
    return at_.x - k_stem * size_ / 2;
  }
  void stem(double x) { put(LineShape{{x, at_.y - 0.16 * size_}, {x, top()}, k_stem * size_, false}); }
  void beam(double left, double right, double y) {
    const double l = left - k_stem * size_ / 2;
    const double r = right + k_stem * size_ / 2;
    put(QuadShape{{{{l, y}, {r, y}, {r, y + k_beam * size_}, {l, y + k_beam * size_}}}});
  }

  Block& block_;
  const MusicFont& font_;
  Mark mark_;
  Point at_;
  double size_;
};

}  // namespace

double draw_swing(const Vamp& vamp, const Meter& meter, Point at, double size, Mark mark, const MusicFont& font,
                  const SheetOptions& options, Block& block) {
  const bool triplet = vamp.swing == Rational(2);
  if (!triplet && vamp.swing != Rational(3)) {
    const std::string text = "swing " + std::to_string(vamp.swing.num()) + ":" + std::to_string(vamp.swing.den());
    TextSetter(options.metrics, block).line({mark, TextStyle::italic, size, size}, at, text);
    return at.x + options.metrics.width(text, TextStyle::italic, size);
  }
  // The notes of a pair: eighths, or sixteenths where the beat is an eighth.
  const int beams = meter.beat_value() / Rational(2 * swing_pairs(meter)) == Rational(1, 8) ? 1 : 2;
  SmallNotes notes(block, font, mark, at, size);
  notes.pair(beams);
  notes.space(0.25);
  TextSetter setter(options.metrics, block);
  setter.line({mark, TextStyle::regular, size, size}, {notes.x(), at.y}, "=");
  notes.space(0.85);
  const double left = notes.x();
  notes.single(triplet ? beams - 1 : beams, !triplet);
  notes.space(0.3);
  notes.single(triplet ? beams : beams + 1, false);
  if (triplet) {
    const double middle = (left + notes.x()) / 2 + 0.1 * size;
    setter.line({mark, TextStyle::italic, 0.68 * size, size}, {middle, notes.top() - 0.1 * size}, "3", Anchor::middle);
  }
  return notes.x() + 0.25 * size;
}

}  // namespace fretloom::sheet
