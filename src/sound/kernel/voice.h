#pragma once
// The whole instrument: strings, amplifier, room. One object, no allocation; about 320 kB.

#include "sound/kernel/amplifier.h"
#include "sound/kernel/perform.h"
#include "sound/kernel/plucked_string.h"
#include "sound/kernel/room.h"

namespace fretloom::voice {

constexpr int k_strings = 12;

/// A string of common make for its pitch: wound or plain, its stiffness and decay.
/// `open_hz` 25 to 1000 sounding (with the capo on); `bass`: the instrument is a bass. One plane, no dead spots: what a
/// string alone does.
[[nodiscard]] StringMake usual_string(double open_hz, bool bass, double pickup_place);
/// The same on the instrument that a voicing stands for: its sustain, second plane and neck.
[[nodiscard]] StringMake string_for(double open_hz, bool bass, const Voicing& voicing);

class Voice {
 public:
  /// `open_hz`: thickest first. Preconditions: 1 <= strings <= k_strings, 0 <= voicing < k_all_voicings.
  void prepare(const double* open_hz, int strings, bool bass, int voicing, const Manner& manner);
  /// Starts a performance at frame 0. The events must outlive it.
  void start(const Event* events, int count);
  /// Writes the next frames to both sides.
  void render(float* left, float* right, int frames);

  [[nodiscard]] const PluckedString& string(int index) const { return strings_[index]; }

 private:
  void act(const Event& event);
  void pluck(PluckedString& string, const Event& event) const;
  void add_hiss(float* frames, int count) const;
  void block(float* left, float* right, int frames);

  PluckedString strings_[k_strings];
  int count_ = 0;
  Manner manner_;
  Amplifier amplifier_;
  Room room_;
  float room_level_ = 0;
  float hiss_ = 0;
  float tick_ = 0;  ///< level of the pick coming to rest
  const Event* next_ = nullptr;
  const Event* end_ = nullptr;
  int64_t frame_ = 0;
};

}  // namespace fretloom::voice
