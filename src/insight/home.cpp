#include "insight/home.h"

#include "insight/code_length.h"

namespace fretloom {

Home::Home(const Settings& settings) : settings_(settings) {
  for (int step = 0; step < key().size(); ++step)
    scale_ = static_cast<PitchSet>(scale_ | 1U << static_cast<unsigned>(floor_mod(key().midi(step), 12)));
}

ScaleChoice Home::priced(const ScaleChoice& scale) const {
  return {scale.set, scale.set == scale_ ? 0 : scale.bits + k_other_key_bits};
}

LayoutShape Home::own_shape(const ScaleLine& line) const {
  LayoutFamily family;
  LayoutChoice choice{layout(), {}, 0};
  const std::vector<StringRun>& strings = settings_.ground.layout.strings;
  for (std::size_t i = 0; i < strings.size(); ++i) {
    family.first[i] = line.at_or_above(key().midi(strings[i].first));
    choice.counts[i] = strings[i].count;
  }
  LayoutShape shape;
  for (std::size_t i = 0; i < strings.size(); ++i) shape.above[i] = family.first[i] - family.first[0];
  family.choices.push_back(choice);
  shape.families.push_back(std::move(family));
  return shape;
}

void Home::price(const ScaleLine& line, const Neck& neck, std::vector<LayoutShape>& shapes) const {
  for (LayoutShape& shape : shapes) {
    for (LayoutFamily& family : shape.families) {
      for (LayoutChoice& choice : family.choices)
        choice.bits = choice.rule == layout() ? 0 : choice.bits + k_other_layout_bits;
    }
  }
  if (line.set() == scale_ && neck == this->neck()) shapes.insert(shapes.begin(), own_shape(line));
}

}  // namespace fretloom
