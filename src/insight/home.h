#pragma once
// The lesson that an answer is wanted for: its key and layout cost nothing, others are overrides of the idea.

#include "insight/layouts.h"
#include "lesson/settings.h"

namespace fretloom {

class Home {
 public:
  explicit Home(const Settings& settings);

  [[nodiscard]] const Key& key() const { return settings_.key(); }
  [[nodiscard]] const Neck& neck() const { return settings_.neck(); }
  [[nodiscard]] const LayoutRule& layout() const { return settings_.layout; }
  /// The key's notes.
  [[nodiscard]] PitchSet scale() const { return scale_; }

  [[nodiscard]] ScaleChoice priced(const ScaleChoice& scale) const;
  /// On the lesson's own neck its layout goes before all others; on another neck, or in another key, the layouts by the
  /// same rule.
  void price(const ScaleLine& line, const Neck& neck, std::vector<LayoutShape>& shapes) const;

 private:
  [[nodiscard]] LayoutShape own_shape(const ScaleLine& line) const;

  Settings settings_;
  PitchSet scale_ = 0;
};

}  // namespace fretloom
