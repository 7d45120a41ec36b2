#pragma once
// From a Timeline to sound: the strings and the click, each on its own, in pieces.

#include <atomic>
#include <functional>
#include <memory>
#include <optional>
#include <string_view>

#include "base/result.h"
#include "play/audio.h"
#include "play/string_track.h"
#include "play/timeline.h"
#include "score/instrument.h"

namespace fretloom {

/// Set by another thread to end work early; nothing waits for it.
using StopFlag = std::atomic<bool>;
/// Told how much of a job is done, 0 to 1, ascending; called from the thread that works.
using Progress = std::function<void(double)>;

/// The voicings, named by what is heard: plain, bright, dark, gritty, singing, woody, deep.
[[nodiscard]] std::vector<std::string_view> voicing_names();
/// Its index, case ignored; nothing if there is none of that name.
[[nodiscard]] std::optional<int> parse_voicing(std::string_view name);

/// What a voicing of earlier versions is called now: "clean" is "bright". Nothing for other names.
[[nodiscard]] std::optional<std::string_view> renamed_voicing(std::string_view name);

struct RenderOptions {
  std::optional<int> voicing;  ///< nothing: "deep" for a bass, "bright" for a guitar
  voice::Manner manner;
};

/// Plays a timeline, not yet levelled. A loop is played until its beginning rings with its end, then one turn of it is
/// given: the same in every turn to come.
class Player {
 public:
  Player(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options);
  Player(const Player&) = delete;
  Player& operator=(const Player&) = delete;
  ~Player();

  /// Back to the first frame; the same frames come again. Short pieces are kept, long ones played anew.
  void rewind();
  /// Writes the next frames, `count` or as many as are left, interleaved, and returns how many.
  std::int64_t read(float* strings, float* click, std::int64_t count);

 private:
  class Clicks;
  std::unique_ptr<StringTrack> strings_;
  std::unique_ptr<Clicks> clicks_;
  std::int64_t frames_;
  std::int64_t done_ = 0;
};

/// Two tracks of equal length that sum to the mix, not yet levelled.
struct Tracks {
  Audio strings;
  Audio click;
};

/// The whole of what a Player plays. Error stopped if `stop` was set.
[[nodiscard]] Result<Tracks> render(const Instrument& instrument, const Timeline& timeline,
                                    const RenderOptions& options, const StopFlag* stop = nullptr,
                                    const Progress& progress = {});

}  // namespace fretloom
