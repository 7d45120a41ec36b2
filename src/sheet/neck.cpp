#include "sheet/neck.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <tuple>

#include "base/arithmetic.h"
#include "sheet/bow.h"

namespace fretloom::sheet {

namespace {

constexpr double k_digit = 1.55;        // em, as the loom's
constexpr double k_widest_scale = 150;  // staff spaces for the whole scale length, so that few frets do not sprawl
// Shares of the digits' em.
constexpr double k_ring = 0.72;
constexpr double k_wide_ring = 0.86;   // for ordinals of two digits
constexpr double k_ring_gap = 0.14;    // between two rings of a string
constexpr double k_hop = 0.4;          // how far a path's hop rises over the rings
constexpr double k_string_gap = 0.94;  // between the rings of two strings: room for a hop on either side
constexpr double k_path = 0.17;
constexpr double k_faint_path = 0.12;
constexpr double k_thin_path = 0.09;
constexpr double k_thin_ring = 0.08;
constexpr double k_heavy_ring = 0.19;
constexpr double k_inlay = 0.2;

using Place = std::pair<int, int>;  // string, fret from the capo

/// A run of frets drawn beside each other, counted from the nut.
struct Piece {
  int low = 0;    ///< first fret line
  int high = 12;  ///< last
};

/// Frets from the nut; line `low` lies before the first fret that is shown. The capo takes the nut's place.
struct FretRanges {
  Piece bare;    ///< as far as the notes lie
  Piece framed;  ///< with one fret of surroundings
};
std::optional<FretRanges> fret_ranges(const IdeaSheet& idea) {
  const Neck& neck = idea.instrument.neck;
  int low = 1000;
  int high = -1;
  for (const LayoutRow& row : idea.layout) {
    for (const int fret : row.frets) {
      low = std::min(low, fret + neck.capo);
      high = std::max(high, fret + neck.capo);
    }
  }
  if (high < 0) return std::nullopt;
  const int first = std::max(neck.capo, low - 2);
  const int before = std::max(neck.capo, low - 1);
  return FretRanges{{before, std::max(high, before + 1)},
                    {first, std::max(std::min(high + 1, std::max(high, neck.frets)), first + 4)}};
}

int highest_ordinal(const IdeaSheet& idea) {
  std::size_t most = 0;
  for (const LayoutRow& row : idea.layout) most = std::max(most, row.frets.size());
  return static_cast<int>(most);
}

class NeckDrawer {
 public:
  NeckDrawer(const IdeaSheet& idea, const Score& score, double width, const MusicFont& font,
             const SheetOptions& options)
      : idea_(idea),
        score_(score),
        font_(font),
        options_(options),
        em_(std::max(k_digit, smallest_text(options))),
        ring_(em_ * (highest_ordinal(idea) > 9 ? k_wide_ring : k_ring)),
        gap_(2 * ring_ + em_ * k_string_gap) {
    for (const ScoreNote& note : score.notes) {
      if (note.role == Role::rule && note.repeat == 1) own_.insert({note.string, note.fret});
    }
    for (const SpelledPitch& open : idea.instrument.neck.tuning.open)
      names_ = std::max(names_, width_of(with_signs(open.pitch_class.name()), TextStyle::regular));
    width_ = width;
  }

  NeckDrawing draw() {
    const auto ranges = fret_ranges(idea_);
    if (!ranges) return {};
    const std::vector<Piece> pieces = pieces_of(*ranges);
    double top = 0;
    for (const Piece& piece : pieces) {
      piece_ = piece;
      out_.rows.push_back(out_.items.size());
      FretPlaces& frets = out_.frets.emplace_back();
      for (int fret = 0; fret <= idea_.instrument.neck.highest_fret(); ++fret)
        frets.push_back(x_of_note(fret + capo()));
      top_ = top + (&piece == &pieces.front() && capo() > 0 ? em_ * 1.5 : 0) + ring_ + em_ * k_hop;
      draw_piece(&piece == &pieces.front());
      top = bottom() + ring_ + em_ * 2.6;
    }
    for (const SceneItem& item : out_.items) out_.box.add(box_of(item.shape, font_));
    return std::move(out_);
  }

 private:
  [[nodiscard]] double width_of(const std::string& words, TextStyle style) const {
    return options_.metrics.width(words, style, em_);
  }
  [[nodiscard]] int capo() const { return idea_.instrument.neck.capo; }
  [[nodiscard]] int strings() const { return static_cast<int>(idea_.layout.size()); }
  [[nodiscard]] bool mirrored() const { return options_.hand == Hand::left; }
  /// The thickest string stands at the foot.
  [[nodiscard]] double y_of(int string) const { return top_ + (string - 1) * gap_; }
  [[nodiscard]] double bottom() const { return y_of(strings()); }
  /// Room at the nut's side: the string's name, and an open string's ring.
  [[nodiscard]] double nut_side(const Piece& piece) const {
    return names_ + em_ * 0.5 + (piece.low == capo() ? 2 * ring_ + em_ * 0.3 : 0);
  }
  [[nodiscard]] double board() const { return (fret_place(piece_.high) - fret_place(piece_.low)) * scale_; }
  [[nodiscard]] double x_of_line(int fret) const {
    const double along = (fret_place(fret) - fret_place(piece_.low)) * scale_;
    return mirrored() ? k_edge + board() - along : nut_side(piece_) + along;
  }
  /// Where a finger stands for a fret from the nut: between its lines, an open string before the nut.
  [[nodiscard]] double x_of_note(int fret) const {
    if (fret <= capo()) return x_of_line(capo()) + (mirrored() ? 1 : -1) * (ring_ + em_ * 0.3);
    return (x_of_line(fret) + x_of_line(fret - 1)) / 2;
  }
  [[nodiscard]] Point at(const Place& place) const { return {x_of_note(place.second + capo()), y_of(place.first)}; }
  [[nodiscard]] bool shows(const Place& place) const {
    const int fret = place.second + capo();
    return (fret > piece_.low || (fret == capo() && piece_.low == capo())) && fret <= piece_.high;
  }

  /// The scale is as large as the width allows, so that neither rings nor fret numbers touch. Where that is too much
  /// for one row, the surroundings go first; then the frets go on in the next row at the smallest scale that holds
  /// them.
  std::vector<Piece> pieces_of(const FretRanges& ranges) {
    const Piece above{ranges.framed.low, std::max(ranges.bare.high, ranges.framed.low + 4)};
    for (const Piece& range : {ranges.framed, above, ranges.bare}) {
      if (fits_one_row(range)) return {range};
    }
    return rows_of(ranges.bare);
  }

  /// Sets the scale for the range.
  bool fits_one_row(const Piece& range) {
    const double number = width_of(std::to_string(range.high - capo()), TextStyle::italic) + em_ * 0.25;
    const double narrowest = fret_place(range.high) - fret_place(range.high - 1);
    const double least = std::max(2 * ring_ + em_ * k_ring_gap, number) / narrowest;
    const double share = fret_place(range.high) - fret_place(range.low);
    const double room = width_ - nut_side(range) - k_edge;
    scale_ = std::max(least, std::min(room / share, k_widest_scale));
    return scale_ * share <= room + 1e-9;
  }

  std::vector<Piece> rows_of(const Piece& range) {
    (void)fits_one_row(range);  // the smallest scale
    std::vector<Piece> pieces;
    for (int low = range.low; low < range.high;) {
      int high = low + 1;
      const double here = width_ - nut_side({low, high}) - k_edge;
      while (high < range.high && (fret_place(high + 1) - fret_place(low)) * scale_ <= here) ++high;
      pieces.push_back({low, high});
      low = high;
    }
    return pieces;
  }

  void add(Mark mark, const Shape& shape, Tone tone, std::optional<FretPlace> place = {}) {
    out_.items.push_back({mark, {}, -1, shape, tone, place});
  }
  void words(Mark mark, Point place, const std::string& text, TextStyle style, Anchor anchor, Tone tone,
             std::optional<FretPlace> of = {}) {
    add(mark, TextShape{place, text, style, em_, anchor, width_of(text, style)}, tone, of);
  }

  void draw_piece(bool first) {
    draw_board(first);
    draw_strings();
    draw_later_paths();
    draw_own_path();
    for (int string = 1; string <= strings(); ++string) draw_places(string);
  }

  void draw_board(bool first) {
    for (int fret = piece_.low; fret <= piece_.high; ++fret) {
      const double x = x_of_line(fret);
      const bool nut = fret == capo();
      add(Mark::neck, LineShape{{x, top_ - 0.06}, {x, bottom() + 0.06}, nut ? 0.45 : 0.14},
          nut ? Tone::ink : Tone::line);
    }
    for (int fret = piece_.low + 1; fret <= piece_.high; ++fret) {
      const double x = x_of_note(fret);
      draw_inlay(x, inlay_dots(fret));
      words(Mark::neck, {x, bottom() + ring_ + em_ * (k_hop + 0.75)}, std::to_string(fret - capo()), TextStyle::italic,
            Anchor::middle, Tone::soft_ink);
    }
    if (!first || capo() == 0) return;
    const double x = x_of_line(piece_.low);
    words(Mark::neck, {x, top_ - ring_ - em_ * (k_hop + 0.35)}, "capo " + std::to_string(capo()), TextStyle::italic,
          mirrored() ? Anchor::end : Anchor::start, Tone::ink);
  }

  /// Between two strings: one dot nearest the board's middle, two in the gaps beside that.
  void draw_inlay(double x, int dots) {
    const double middle = top_ + (strings() - 1) * gap_ / 2;
    const double between = strings() % 2 == 0 ? middle : middle + gap_ / 2;
    for (int dot = 0; dot < dots; ++dot) {
      const double y = dots == 1 ? between : between + (2 * dot - 1) * gap_;
      if (strings() > 1 && (y < top_ || y > bottom())) continue;
      add(Mark::inlay, RingShape{{x, strings() == 1 ? top_ + gap_ / 2 : y}, em_ * k_inlay, 0}, Tone::line);
    }
  }

  void draw_strings() {
    for (int string = 1; string <= strings(); ++string) {
      const double y = y_of(string);
      // Thicker strings, thicker lines: the neck reads the right way up even without names.
      const double thickness = 0.09 + 0.022 * (string - 1);
      const double nut = x_of_line(piece_.low);
      const double end = x_of_line(piece_.high);
      add(Mark::neck, LineShape{{std::min(nut, end), y}, {std::max(nut, end), y}, thickness}, Tone::string);
      const double x = mirrored() ? nut + nut_side(piece_) : nut - nut_side(piece_);
      const SpelledPitch& open = idea_.instrument.neck.tuning.open[idea_.instrument.neck.index(string)];
      words(Mark::neck, {x, y + em_ * k_cap_height / 2}, with_signs(open.pitch_class.name()), TextStyle::regular,
            mirrored() ? Anchor::end : Anchor::start, Tone::soft_ink);
    }
  }

  void draw_places(int string) {
    const LayoutRow& row = idea_.layout[idea_.instrument.neck.index(string)];
    for (std::size_t i = 0; i < row.frets.size(); ++i) {
      const Place place{string, row.frets[i]};
      if (shows(place)) draw_place(place, static_cast<int>(i) + 1, row.degrees[i] == Degree{1, 0});
    }
  }

  void draw_place(const Place& place, int ordinal, bool tonic) {
    const bool own = own_.contains(place);
    const Point p = at(place);
    const FretPlace of{place.first, place.second};
    const double line = em_ * (own ? k_heavy_ring : k_thin_ring);
    const Tone tone = own ? Tone::ink : Tone::soft_ink;
    add(Mark::place, RingShape{p, ring_, 0}, Tone::paper, of);
    add(Mark::place, RingShape{p, ring_ - line / 2, line}, tone, of);
    // Filled within its ring, which stays apart.
    if (tonic) add(Mark::place, RingShape{p, ring_ - (own ? line + em_ * 0.05 : 0), 0}, tone, of);
    words(Mark::place_ordinal, {p.x, p.y + em_ * k_cap_height / 2}, std::to_string(ordinal),
          own || tonic ? TextStyle::bold : TextStyle::regular, Anchor::middle, tonic ? Tone::paper : tone, of);
  }

  enum class Way { solid, dotted, slur };
  struct Move {
    Place from;
    Place to;
    Way way = Way::solid;
    bool own = false;

    auto operator<=>(const Move&) const = default;
  };

  /// The moves of the rule's notes that lead to another place, each once, those of the first repetition apart.
  [[nodiscard]] std::vector<Move> moves() const {
    std::vector<Move> found;
    std::set<Move> known;
    Stroke last = idea_.first_stroke;
    const ScoreNote* before = nullptr;
    for (const ScoreNote& note : score_.notes) {
      if (note.role != Role::rule) break;
      if (before != nullptr) {
        Move move{{before->string, before->fret}, {note.string, note.fret}, Way::solid, note.repeat == 1};
        move.way = note.attack != Attack::pick ? Way::slur : last == Stroke::down ? Way::solid : Way::dotted;
        if (move.from != move.to && known.insert(move).second) found.push_back(move);
      }
      last = note.stroke.value_or(last);
      before = &note;
    }
    return found;
  }

  void draw_own_path() {
    for (const Move& move : moves()) {
      if (move.own) draw_move(move);
    }
  }
  void draw_later_paths() {
    for (const Move& move : moves()) {
      if (move.own) continue;
      draw_move(move);
      for (const Place& place : {move.from, move.to}) {
        if (shows(place) && !in_layout(place)) add(Mark::path, RingShape{at(place), em_ * k_inlay, 0}, Tone::string);
      }
    }
  }
  [[nodiscard]] bool in_layout(const Place& place) const {
    const auto& frets = idea_.layout[idea_.instrument.neck.index(place.first)].frets;
    return std::find(frets.begin(), frets.end(), place.second) != frets.end();
  }

  void draw_move(const Move& move) {
    if (shows(move.from) && shows(move.to) && move.from.first == move.to.first) return draw_hop(move);
    Point from = at(move.from);
    Point to = at(move.to);
    if (!cut_to_board(from, to)) return;
    switch (move.way) {
      case Way::solid: add(Mark::path, LineShape{from, to, thickness(move)}, tone(move)); break;
      case Way::dotted: add(Mark::path, DotsShape{from, to, thickness(move)}, tone(move)); break;
      case Way::slur: add(Mark::path, LineShape{from, to, em_ * k_thin_path}, tone(move)); break;
    }
  }
  [[nodiscard]] double thickness(const Move& move) const {
    return em_ * (move.way == Way::slur ? k_thin_path : move.own ? k_path : k_faint_path);
  }
  static Tone tone(const Move& move) {
    if (!move.own) return Tone::line;
    return move.way == Way::slur ? Tone::ink : move.way == Way::solid ? Tone::downstroke : Tone::upstroke;
  }

  /// Leaves the part of a line that lies on this piece of the board; false where there is none.
  [[nodiscard]] bool cut_to_board(Point& from, Point& to) const {
    const double open = 2 * ring_ + em_ * 0.3;
    const double nut = x_of_line(piece_.low);
    const double end = x_of_line(piece_.high);
    const double left = std::min(nut, end) - (piece_.low == capo() && !mirrored() ? open : 0);
    const double right = std::max(nut, end) + (piece_.low == capo() && mirrored() ? open : 0);
    const auto on = [&](double x) { return Point{x, from.y + (to.y - from.y) * (x - from.x) / (to.x - from.x)}; };
    if (std::max(from.x, to.x) <= left || std::min(from.x, to.x) >= right) return false;
    const Point a = from.x < left ? on(left) : from.x > right ? on(right) : from;
    const Point b = to.x < left ? on(left) : to.x > right ? on(right) : to;
    from = a;
    to = b;
    return true;
  }

  /// Along a string over the rings: above them toward the bridge, below them toward the nut.
  void draw_hop(const Move& move) {
    const double side = move.to.second > move.from.second ? -1 : 1;
    const double way = at(move.to).x > at(move.from).x ? 1 : -1;
    const double inset = ring_ * 0.45 * way;
    const double lift = std::sqrt(ring_ * ring_ - inset * inset) + em_ * 0.12;
    const Point from{at(move.from).x + inset, at(move.from).y + side * lift};
    const Point to{at(move.to).x - inset, at(move.to).y + side * lift};
    const double rise = side * (ring_ + em_ * (k_hop - 0.08) - lift) / 0.75;
    const double third = (to.x - from.x) / 4;
    const BowShape bow{
        from, {from.x + third, from.y + rise}, {to.x - third, to.y + rise}, to, thickness(move), thickness(move)};
    if (move.way != Way::dotted) return add(Mark::path, bow, tone(move));
    const double length = std::abs(to.x - from.x) + std::abs(rise);
    const int dots = std::max(2, static_cast<int>(std::lround(length / (2.2 * thickness(move)))));
    for (int dot = 0; dot <= dots; ++dot)
      add(Mark::path, RingShape{point_of(bow, dot / static_cast<double>(dots)), thickness(move) / 2, 0}, tone(move));
  }

  static constexpr double k_edge = 0.3;  ///< beyond the last fret line

  const IdeaSheet& idea_;
  const Score& score_;
  const MusicFont& font_;
  const SheetOptions& options_;
  double em_;
  double ring_;  ///< radius
  double gap_;   ///< between strings
  double names_ = 0;
  double width_ = 0;
  double scale_ = k_widest_scale;  ///< staff spaces for the scale length
  std::set<Place> own_;            ///< of the first repetition
  Piece piece_;
  double top_ = 0;  ///< of the thinnest string
  NeckDrawing out_;
};

}  // namespace

double fret_place(int fret) { return 1 - exp2_of(-fret / 12.0); }

int inlay_dots(int fret) {
  if (fret <= 0) return 0;
  const int in_octave = fret % 12;
  if (in_octave == 0) return 2;
  return in_octave == 3 || in_octave == 5 || in_octave == 7 || in_octave == 9 ? 1 : 0;
}

NeckDrawing draw_neck(const IdeaSheet& idea, const Score& score, double width, const MusicFont& font,
                      const SheetOptions& options) {
  return NeckDrawer(idea, score, width, font, options).draw();
}

bool share_neck(const IdeaSheet& a, const IdeaSheet& b) { return a.instrument == b.instrument && a.layout == b.layout; }

}  // namespace fretloom::sheet
