#include <algorithm>
#include <optional>

#include "base/arithmetic.h"
#include "sheet/loom_row.h"

namespace fretloom::sheet {

using namespace loom_pixels;

namespace {

class WordSetter {
 public:
  explicit WordSetter(LoomRowState& s) : s_(s) {}

  void draw() {
    draw_beats();
    draw_chords();
    draw_band_names();
    draw_gate_words();
  }

 private:
  void draw_beats() {
    for (const LoomBeat& beat : s_.f.loom.beats) {
      if (!s_.has(beat.slot) || beat.bar || !beat.chord.empty()) continue;  // those are drawn up to their chords
      add_time_line(Mark::beat_line, s_.x_of(beat.slot), -s_.px(k_band_over), s_.px(k_beat_line), Tone::line);
    }
  }
  /// Down to below the lanes, open where an accent stands.
  void add_time_line(Mark mark, double x, double top, double width, Tone tone) {
    std::vector<Box> accents;
    for (const Box& box : s_.accents) {
      if (box.left < x && box.right > x) accents.push_back(box.grown(s_.px(1.5)));
    }
    std::sort(accents.begin(), accents.end(), [](const Box& a, const Box& b) { return a.top < b.top; });
    for (const Box& box : accents) {
      if (box.top > top) s_.add_ground(mark, LineShape{{x, top}, {x, box.top}, width}, tone);
      top = std::max(top, box.bottom);
    }
    s_.add_ground(mark, LineShape{{x, top}, {x, s_.bottom + s_.px(k_band_over)}, width}, tone);
  }

  struct ChordName {
    double line;  ///< x of its beat
    std::string text;
    double x = 0;
    double right = 0;
    int level = 0;  ///< 0 stands lowest
  };

  /// Names stand beside their beats' lines. One that reaches over the next line goes higher than that one's name, so
  /// that no line runs through a name.
  [[nodiscard]] std::vector<ChordName> chord_names() const {
    std::vector<ChordName> names;
    for (const LoomBeat& beat : s_.f.loom.beats) {
      if (s_.has(beat.slot) && !beat.chord.empty()) names.push_back({s_.x_of(beat.slot), with_signs(beat.chord)});
    }
    const bool opens = !names.empty() && names.front().line <= s_.x_of(s_.row.from);
    if (!opens && !s_.row.chord.empty()) names.insert(names.begin(), {s_.left, with_signs(s_.row.chord)});
    for (std::size_t i = names.size(); i-- > 0;) {
      ChordName& name = names[i];
      const double width = s_.f.text_width(name.text, TextStyle::bold);
      name.x = std::max(0.0, std::min(name.line + s_.px(k_text_gap), s_.f.width - width));
      name.right = name.x + width;
      for (std::size_t later = i + 1; later < names.size(); ++later) {
        if (name.right + s_.px(k_text_gap) > std::min(names[later].line, names[later].x))
          name.level = std::max(name.level, names[later].level + 1);
      }
    }
    return names;
  }

  void draw_chords() {
    const std::vector<ChordName> names = chord_names();
    double base = -s_.px(k_band_over);
    for (const ChordName& name : names) base = std::min(base, reach_above(name.x, name.right));
    base -= s_.px(k_text_gap - 1);
    for (const LoomBeat& beat : s_.f.loom.beats) {
      if (s_.has(beat.slot) && (beat.bar || !beat.chord.empty())) draw_bar_edge(beat, names, base);
    }
    for (const ChordName& name : names) {
      const Point place{name.x, base - name.level * s_.f.size.digit};
      s_.add_text(Mark::loom_chord, s_.text(place, name.text, TextStyle::bold, Anchor::start), Tone::ink);
    }
  }
  /// Up to the top of the beat's chord, or a little over the lanes. A name that had to move over its line stands on it.
  void draw_bar_edge(const LoomBeat& beat, const std::vector<ChordName>& names, double base) {
    const double x = s_.x_of(beat.slot);
    double top = -s_.px(k_band_over + 2);
    for (const ChordName& name : names) {
      if (beat.chord.empty() || name.line != x) continue;
      const double foot = base - name.level * s_.f.size.digit;
      top = name.x > x ? foot - k_cap_height * s_.f.size.digit : foot + s_.px(1);
    }
    add_time_line(Mark::bar_edge, x, top, s_.px(beat.bar ? k_bar_line : k_beat_line),
                  beat.bar ? Tone::soft_ink : Tone::line);
  }

  [[nodiscard]] double reach_above(double left, double right) const {
    double top = 1e9;
    for (const Box& box : s_.taken) {
      if (box.left < right && box.right > left) top = std::min(top, box.top);
    }
    return top;
  }
  [[nodiscard]] double reach_below() const {
    double bottom = s_.bottom + s_.px(k_band_over);
    for (const Box& box : s_.taken) bottom = std::max(bottom, box.bottom);
    return bottom;
  }

  /// "the rule"; "again, 5 : 12", "back, 1 : 15" with the string and fret of the first note; "lands".
  [[nodiscard]] std::string words_of(const LoomBand& band) const {
    if (band.kind == BandKind::rule) return "the rule";
    if (band.kind == BandKind::ending) return "lands";
    return (band.kind == BandKind::again ? "again, " : "back, ") + place_text(band);
  }
  [[nodiscard]] std::string place_text(const LoomBand& band) const {
    const LoomKnot& knot = s_.f.loom.knots[band.first];
    return std::to_string(knot.string) + "\u2009:\u2009" + std::to_string(knot.fret);
  }

  void draw_band_names() {
    const double y = reach_below() + s_.px(2) + s_.f.size.digit * k_ascent;
    double free_from = -1e9;
    for (const LoomBand& band : s_.f.loom.bands) {
      if (band.from >= s_.row.to || band.to <= s_.row.from) continue;
      const double from = s_.edge_of(std::max(band.from, s_.row.from));
      const double to = s_.edge_of(std::min(band.to, s_.row.to));
      const bool strong = band.kind == BandKind::rule || band.kind == BandKind::ending;
      const TextStyle style = strong ? TextStyle::bold : TextStyle::regular;
      std::string words = words_of(band);
      if (!strong && s_.f.text_width(words, style) > to - from) words = place_text(band);
      const double width = s_.f.text_width(words, style);
      // Over the middle of its band; a wider one starts where its band does.
      double x = width <= to - from ? (from + to - width) / 2 : from;
      x = std::max(0.0, std::min(x, s_.f.width - width));
      if (x < free_from) continue;
      free_from = x + width + s_.px(k_text_gap);
      const Tone tone = band.kind == BandKind::rule     ? Tone::ink
                        : band.kind == BandKind::ending ? Tone::good_text
                                                        : Tone::soft_ink;
      s_.add_text(Mark::band_name, s_.text({x, y}, words, style, Anchor::start), tone);
    }
  }

  void draw_gate_words() {
    for (const LoomGate& gate : s_.f.loom.gates) {
      const auto place = s_.place_of(gate);
      if (!gate.free && place) draw_gate_word(*place);
    }
  }

  /// "blocked" beside its cross, where nothing else stands: the nearest of the places around it. Where the knots leave
  /// no room, the cross speaks for itself.
  void draw_gate_word(Point cross) {
    const TextShape word = s_.text({0, 0}, "blocked", TextStyle::italic, Anchor::start);
    const double cap = s_.f.size.digit * k_cap_height;
    double best = 1e9;
    std::optional<Point> found;
    for (const double side : {1.0, -1.0}) {
      for (int row = -6; row <= 6; ++row) {
        for (int step = 0; step < 6; ++step) {
          const double gap = s_.px(k_cross + 3) + step * s_.px(4);
          const Point p{side > 0 ? cross.x + gap : cross.x - gap - word.width, cross.y + cap / 2 + row * s_.px(5)};
          const double distance = hypotenuse(gap, (row + (row < 0 ? 0.2 : 0)) * s_.px(5)) + (side < 0 ? s_.px(1) : 0) +
                                  (crosses_string(p.y - cap, p.y) ? s_.px(8) : 0);
          if (distance >= best || !is_free(p, word)) continue;
          best = distance;
          found = p;
        }
      }
    }
    if (!found) return;
    TextShape placed = word;
    placed.at = *found;
    s_.add_text(Mark::gate_word, placed, Tone::blocked);
  }
  /// A string through a word makes it harder to read, so that a place a little farther off is better.
  [[nodiscard]] bool crosses_string(double top, double bottom) const {
    return std::any_of(s_.lane_y.begin(), s_.lane_y.end(), [&](double y) { return y > top && y < bottom; });
  }
  [[nodiscard]] bool is_free(Point p, TextShape word) const {
    word.at = p;
    const Box box = box_of(word, s_.f.font);
    if (box.left < s_.left || box.right > s_.f.width || box.top < -s_.px(k_band_over) || box.bottom > s_.bottom)
      return false;
    return std::none_of(s_.taken.begin(), s_.taken.end(), [&](const Box& other) { return other.overlaps(box); });
  }

  LoomRowState& s_;
};

}  // namespace

void draw_loom_words(LoomRowState& s) { WordSetter(s).draw(); }

}  // namespace fretloom::sheet
