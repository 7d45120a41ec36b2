#pragma once
// One player of strings: notes on an instrument become sound, in pieces.

#include <cstdint>
#include <memory>
#include <vector>

#include "play/audio.h"
#include "sound/kernel/perform.h"

namespace fretloom {

/// What is played and on which strings.
struct StringPart {
  std::vector<int> open;  ///< MIDI notes of the open strings, thickest first; 1 to 12 of them, 20 to 83
  bool is_bass = false;   ///< heavier strings
  int voicing = 0;        ///< 0 to voice::k_all_voicings - 1
  voice::Manner manner;
  std::vector<voice::PlayedNote> notes;  ///< ascending
};

/// Plays a part, not yet levelled. A loop is played until its beginning rings with its end, then one turn of it is
/// given: the same in every turn to come. A piece that ends goes to nothing in its last 0.2 s.
class StringTrack {
 public:
  /// Whether what was played is kept for the next time.
  enum class Keeps { short_pieces, nothing };
  StringTrack(const StringPart& part, std::int64_t frames, bool loop, Keeps keeps = Keeps::short_pieces);
  StringTrack(const StringTrack&) = delete;
  StringTrack& operator=(const StringTrack&) = delete;
  ~StringTrack();

  /// Back to the first frame; the same frames come again. Short pieces are kept, long ones played anew.
  void rewind();
  /// Writes the next `count` frames, interleaved left and right. Precondition: they are left.
  void read(float* out, std::int64_t count);

 private:
  class Strings;
  std::unique_ptr<Strings> strings_;
};

}  // namespace fretloom
