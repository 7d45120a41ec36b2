#include "sheet/chord_setting.h"

#include "sheet/text_metrics.h"

namespace fretloom::sheet {

namespace {

// Shares of the symbol's size.
constexpr double k_quality = 0.84;
constexpr double k_raised = 0.68;
constexpr double k_rise = 0.34;
constexpr double k_accidental = 0.74;
constexpr double k_accidental_rise = 0.2;
constexpr double k_bass = 0.88;
constexpr double k_kern = 0.01;

class ChordSetter {
 public:
  ChordSetter(double size, const TextMetrics& metrics) : size_(size), metrics_(metrics) {}

  void note(const PitchClass& note, double share) {
    const std::string name = note.name();
    add(name.substr(0, 1), share, 0);
    if (name.size() > 1) add(with_signs(name).substr(1), share * k_accidental, k_accidental_rise * share);
  }

  void add(const std::string& text, double share, double rise) {
    if (text.empty()) return;
    const double size = share * size_;
    const double width = metrics_.width(text, TextStyle::bold, size);
    setting_.pieces.push_back({{x_, -rise * size_}, text, TextStyle::bold, size, Anchor::start, width});
    setting_.width = x_ + width;
    x_ = setting_.width + k_kern * size_;
  }

  ChordSetting take() { return std::move(setting_); }

 private:
  double size_;
  const TextMetrics& metrics_;
  double x_ = 0;
  ChordSetting setting_;
};

}  // namespace

ChordSetting set_chord(const Chord& chord, double size, const TextMetrics& metrics) {
  const ChordParts parts = chord_parts(chord);
  ChordSetter setter(size, metrics);
  setter.note(chord.root, 1);
  setter.add(parts.quality, k_quality, 0);
  std::string raised = with_signs(parts.extension);
  if (!parts.alterations.empty()) {
    raised += '(';
    for (const std::string& tone : parts.alterations) raised += with_signs(tone);
    raised += ')';
  }
  setter.add(raised, k_raised, k_rise);
  if (chord.bass) {
    setter.add("/", k_bass, 0);
    setter.note(*chord.bass, k_bass);
  }
  return setter.take();
}

}  // namespace fretloom::sheet
