#pragma once
// Audio files: WAV and FLAC with 24 bits, Opus and MP3, all at 48 kHz stereo.

#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "play/audio.h"

namespace fretloom {

enum class AudioFormat { wav, flac, opus, mp3 };

/// Also the file name's extension: "wav", "flac", "opus", "mp3".
[[nodiscard]] std::string_view name(AudioFormat format);
[[nodiscard]] std::optional<AudioFormat> parse_audio_format(std::string_view text);
/// MP3 and Opus change the waveform, and with it its peaks.
[[nodiscard]] constexpr bool is_lossy(AudioFormat format) {
  return format == AudioFormat::opus || format == AudioFormat::mp3;
}

/// UTF-8; empty fields are left out.
struct AudioTags {
  std::string title;
  std::string artist;
  std::string album;
  std::string comment;
  std::string licence;
  int track = 0;  ///< 0 = none
};

/// small: one side alone, the left, which Opus codes for a page in a fifth of the usual size.
enum class AudioSize { usual, small };

/// Writes a file piece by piece; the same sound and tags give the same bytes, and decoding gives back exactly as many
/// frames. WAV and FLAC, which are as long as the sound, can grow on the disk.
class AudioWriter {
 public:
  /// In memory.
  AudioWriter(AudioFormat format, const AudioTags& tags, AudioSize size = AudioSize::usual);
  /// Beside `path`, for WAV and FLAC; finish_file brings it there.
  AudioWriter(AudioFormat format, const AudioTags& tags, const std::string& path);
  AudioWriter(const AudioWriter&) = delete;
  AudioWriter& operator=(const AudioWriter&) = delete;
  ~AudioWriter();

  /// Interleaved left and right. Errors: range (a sample that is no number), limit (encoder), io.
  Result<void> write(const float* samples, std::int64_t frames);
  /// The bytes of a file in memory, complete. Errors: range (no frames), limit (encoder).
  Result<std::string> finish();
  /// Puts the file in its place, from memory too; nothing is left of it on an error. Errors: as finish; io.
  Result<void> finish_file(const std::string& path);

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// The whole file's bytes. Errors: range (no frames, or a sample that is no number), limit (encoder).
[[nodiscard]] Result<std::string> encode(const Audio& audio, AudioFormat format, const AudioTags& tags,
                                         AudioSize size = AudioSize::usual);

/// Reads WAV, FLAC, Ogg or MP3 at 48 kHz with one or two channels (one is doubled).
/// Errors: syntax (no audio), range (other rate or channels), limit (over an hour).
[[nodiscard]] Result<Audio> decode_audio(std::string bytes);
/// The same from a file, its path in the messages. Errors: also io (cannot be read).
[[nodiscard]] Result<Audio> read_audio(const std::string& path);

}  // namespace fretloom
