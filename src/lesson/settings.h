#pragma once
// The musical keys, which the lesson gives and an idea may override.

#include <optional>
#include <string>

#include "lick/expand.h"
#include "score/vamp.h"

namespace fretloom {

/// A value of the file. One in error keeps what was there before (the default, or the lesson's own).
template <class T>
struct Checked {
  T value{};
  bool sound = true;
};

struct Tempo {
  Rational slow_bpm{60};  ///< 10 to 600
  Rational goal_bpm{120};
};

/// What the file says of the vamp.
struct VampWish {
  std::string chords;  ///< empty = the mode's own
  VampRhythm rhythm = Vamp{}.rhythm;
  std::optional<Rational> swing;  ///< long to short, 1 to 4; nothing = the rhythm's own
};

/// The musical keys as read, sound or not.
struct SettingsDraft {
  Checked<Key> key;
  Checked<Tuning> tuning;
  Checked<int> frets{24};             ///< 1 to 48
  Checked<double> scale_length{648};  ///< mm, 200 to 1400
  Checked<int> capo;                  ///< 0 to frets - 1
  Checked<Meter> meter;
  Checked<Tempo> tempo;
  Checked<Clear> clear_after;
  Checked<double> reach{110};  ///< mm, 20 to 400
  Checked<LayoutRule> layout;
  bool notes_given = false;  ///< layout.notes stands in the file
  Checked<VampWish> vamp;

  // What follows from them.
  std::optional<Ground> ground;  ///< nothing where no layout can be made
  bool layout_fits = true;       ///< every note of the layout lies on the neck
  std::optional<Vamp> chords;    ///< nothing where no vamp can be made

  [[nodiscard]] Neck neck() const { return {tuning.value, frets.value, Millimetres(scale_length.value), capo.value}; }
  /// The keys that a layout stands on are sound, the layout's own left out.
  [[nodiscard]] bool has_sound_neck() const {
    return key.sound && tuning.sound && frets.sound && capo.sound && scale_length.sound;
  }
};

/// The musical keys, all sound and fitting together.
struct Settings {
  Ground ground;  ///< key, neck and layout
  LayoutRule layout;
  Meter meter;
  Tempo tempo;
  Clear clear_after = Clear::upstroke;
  double reach = 110;  ///< mm
  Vamp vamp;

  [[nodiscard]] const Key& key() const { return ground.key; }
  [[nodiscard]] const Neck& neck() const { return ground.neck; }
};

/// Nothing where anything in the draft is in error.
[[nodiscard]] std::optional<Settings> settled(const SettingsDraft& draft);

}  // namespace fretloom
