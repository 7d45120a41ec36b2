#include "sheet/skyline.h"

namespace fretloom::sheet {

namespace {

constexpr double k_origin = -64;  // systems start near x = 0; signs left of it reach a few spaces out

std::size_t bin_of(double x, double size) {
  const double place = (x - k_origin) / size;
  return place <= 0 ? 0 : static_cast<std::size_t>(place);
}

}  // namespace

void Skyline::add(const Box& box) {
  if (box.empty()) return;
  const double y = side_ == Side::above ? box.top : box.bottom;
  const std::size_t last = bin_of(box.right, k_bin);
  if (bins_.size() <= last) bins_.resize(last + 1);
  for (std::size_t bin = bin_of(box.left, k_bin); bin <= last; ++bin) bins_[bin].push_back({box.left, box.right, y});
}

double Skyline::reach(double left, double right) const {
  double y = base_;
  const std::size_t last = bin_of(right, k_bin);
  for (std::size_t bin = bin_of(left, k_bin); bin <= last && bin < bins_.size(); ++bin) {
    for (const Step& step : bins_[bin]) {
      if (step.left >= right || step.right <= left) continue;
      y = side_ == Side::above ? std::min(y, step.y) : std::max(y, step.y);
    }
  }
  return y;
}

}  // namespace fretloom::sheet
