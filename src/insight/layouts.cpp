#include "insight/layouts.h"

#include <algorithm>

#include "insight/code_length.h"

namespace fretloom {

namespace {

constexpr int k_most_per_string = 7;
constexpr int k_most_per_octave_string = 6;

class ShapeMaker {
 public:
  ShapeMaker(const ScaleLine& line, const Neck& neck) : line_(line), neck_(neck) {
    for (int string = neck.strings(); string >= 1; --string) open_.push_back(neck.open_midi(string));
  }

  std::vector<LayoutShape> make() {
    if (neck_.tuning.ascends()) {
      for (int notes = 1; notes <= k_most_per_string; ++notes) {
        for (int first = lowest(); fret(0, first) <= neck_.highest_fret(); ++first) add_per_string(first, notes);
        end_shape();
      }
    }
    for (int notes = 1; notes <= k_most_per_octave_string; ++notes) {
      for (int first = lowest(); fret(0, first) <= neck_.highest_fret(); ++first) add_octaves(first, notes);
      end_shape();
    }
    for (int from = 0; from <= neck_.highest_fret(); ++from) {
      add_position(from);
      end_shape();
    }
    return std::move(shapes_);
  }

 private:
  [[nodiscard]] int lowest() const { return line_.at_or_above(open_[0]); }
  [[nodiscard]] int fret(std::size_t index, int number) const { return line_.midi(number) - open_[index]; }

  [[nodiscard]] bool on_neck(const PerString& first, const PerString& counts) const {
    for (std::size_t i = 0; i < open_.size(); ++i) {
      if (counts[i] > 0 && (!neck_.has_fret(fret(i, first[i])) || !neck_.has_fret(fret(i, first[i] + counts[i] - 1))))
        return false;
    }
    return true;
  }

  void add_choice(LayoutFamily& family, const LayoutRule& rule, const PerString& counts) const {
    if (!on_neck(family.first, counts)) return;
    const LayoutChoice choice{rule, counts, layout_bits(rule, line_.size())};
    // A wider position without a further note is the same layout.
    if (family.choices.empty() || family.choices.back().counts != counts) {
      family.choices.push_back(choice);
    } else if (choice.bits < family.choices.back().bits) {
      family.choices.back() = choice;
    }
  }

  void keep(LayoutFamily family) {
    if (family.choices.empty()) return;
    std::stable_sort(family.choices.begin(), family.choices.end(),
                     [](const LayoutChoice& a, const LayoutChoice& b) { return a.bits < b.bits; });
    families_.push_back(std::move(family));
  }

  void end_shape() {
    if (families_.empty()) return;
    LayoutShape shape;
    for (std::size_t i = 0; i < open_.size(); ++i)
      shape.above[i] = families_.front().first[i] - families_.front().first[0];
    shape.families = std::move(families_);
    families_.clear();
    shapes_.push_back(std::move(shape));
  }

  void add_per_string(int first, int notes) {
    LayoutFamily family;
    LayoutRule rule;
    rule.notes = notes;
    rule.from = fret(0, first);
    for (std::size_t i = 0; i < open_.size(); ++i) family.first[i] = first + static_cast<int>(i) * notes;
    PerString counts{};
    std::fill_n(counts.begin(), open_.size(), notes);
    add_choice(family, rule, counts);
    keep(std::move(family));
  }

  void add_octaves(int first, int thick) {
    LayoutFamily family;
    LayoutRule rule;
    rule.kind = LayoutKind::octaves;
    rule.from = fret(0, first);
    for (std::size_t i = 0; i < open_.size(); ++i)
      family.first[i] = first + (i % 2 == 0 ? 0 : thick) + static_cast<int>(i) / 2 * line_.size();
    for (int thin = 1; thin <= k_most_per_octave_string; ++thin) {
      rule.octave_notes = {thick, thin};
      PerString counts{};
      for (std::size_t i = 0; i < open_.size(); ++i) counts[i] = i % 2 == 0 ? thick : thin;
      add_choice(family, rule, counts);
    }
    keep(std::move(family));
  }

  void add_position(int from) {
    LayoutFamily family;
    LayoutRule rule;
    rule.kind = LayoutKind::position;
    rule.from = from;
    bool has_note_here = false;  // or the position from the next fret begins on the same notes
    for (std::size_t i = 0; i < open_.size(); ++i) {
      family.first[i] = line_.at_or_above(open_[i] + from);
      has_note_here = has_note_here || fret(i, family.first[i]) == from;
    }
    if (!has_note_here && from < neck_.highest_fret()) {
      ++empty_below_;
      return;
    }
    for (int width = 1; width <= k_max_layout_size; ++width) {
      PerString counts{};
      for (std::size_t i = 0; i < open_.size(); ++i)
        counts[i] = line_.at_or_above(open_[i] + from + width) - family.first[i];
      // A position may begin on a fret below without a note: whichever is the more usual.
      for (int below = 0; below <= empty_below_ && width + below <= k_max_layout_size; ++below) {
        rule.from = from - below;
        rule.width = width + below;
        add_choice(family, rule, counts);
      }
    }
    empty_below_ = 0;
    keep(std::move(family));
  }

  const ScaleLine& line_;
  const Neck& neck_;
  std::vector<int> open_;
  int empty_below_ = 0;                 ///< frets just below that have no note on any string
  std::vector<LayoutFamily> families_;  ///< of the shape that is being made
  std::vector<LayoutShape> shapes_;
};

}  // namespace

std::vector<LayoutShape> layout_shapes(const ScaleLine& line, const Neck& neck) {
  return ShapeMaker(line, neck).make();
}

void price_height(std::vector<LayoutShape>& shapes) {
  for (LayoutShape& shape : shapes) {
    for (LayoutFamily& family : shape.families) {
      for (LayoutChoice& choice : family.choices) choice.bits += k_height_bits * choice.rule.from;
    }
  }
}

}  // namespace fretloom
