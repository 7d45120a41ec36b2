#include "sound/audio_file.h"

#include <sndfile.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstring>

#include "base/text.h"
#include "files/files.h"
#include "sound/ogg_serial.h"

namespace fretloom {
namespace {

constexpr std::array<std::string_view, 4> k_names = {"wav", "flac", "opus", "mp3"};
constexpr std::array<int, 4> k_types = {SF_FORMAT_WAV | SF_FORMAT_PCM_24, SF_FORMAT_FLAC | SF_FORMAT_PCM_24,
                                        SF_FORMAT_OGG | SF_FORMAT_OPUS, SF_FORMAT_MPEG | SF_FORMAT_MPEG_LAYER_III};
constexpr sf_count_t k_longest = 3600LL * k_sample_rate;

/// A file in memory for libsndfile.
struct MemoryFile {
  std::string bytes;
  sf_count_t at = 0;

  static MemoryFile& of(void* user) { return *static_cast<MemoryFile*>(user); }
  static sf_count_t length(void* user) { return static_cast<sf_count_t>(of(user).bytes.size()); }
  static sf_count_t tell(void* user) { return of(user).at; }
  static sf_count_t seek(sf_count_t offset, int whence, void* user) {
    MemoryFile& file = of(user);
    const sf_count_t from = whence == SEEK_SET ? 0 : whence == SEEK_CUR ? file.at : length(user);
    if (from + offset < 0) return -1;
    file.at = from + offset;
    return file.at;
  }
  static sf_count_t read(void* out, sf_count_t count, void* user) {
    MemoryFile& file = of(user);
    const sf_count_t left = std::clamp<sf_count_t>(length(user) - file.at, 0, count);
    std::memcpy(out, file.bytes.data() + file.at, static_cast<std::size_t>(left));
    file.at += left;
    return left;
  }
  static sf_count_t write(const void* in, sf_count_t count, void* user) {
    MemoryFile& file = of(user);
    const auto end = static_cast<std::size_t>(file.at + count);
    if (file.bytes.size() < end) file.bytes.resize(end);
    std::memcpy(file.bytes.data() + file.at, in, static_cast<std::size_t>(count));
    file.at += count;
    return count;
  }
};

SF_VIRTUAL_IO virtual_io() {
  return {&MemoryFile::length, &MemoryFile::seek, &MemoryFile::read, &MemoryFile::write, &MemoryFile::tell};
}

class SoundFile {
 public:
  explicit SoundFile(SNDFILE* file) : file_(file) {}
  SoundFile(const SoundFile&) = delete;
  SoundFile& operator=(const SoundFile&) = delete;
  ~SoundFile() { close(); }
  [[nodiscard]] SNDFILE* get() const { return file_; }
  int close() {
    const int result = file_ != nullptr ? sf_close(file_) : 0;
    file_ = nullptr;
    return result;
  }

 private:
  SNDFILE* file_;
};

void set_tag(SNDFILE* file, int key, const std::string& value) {
  if (!value.empty()) sf_set_string(file, key, value.c_str());
}

Error encoder_error(AudioFormat format, std::string_view why) {
  return {ErrorKind::limit, 0, "the " + std::string(name(format)) + " encoder failed: " + std::string(why), {}};
}

}  // namespace

std::string_view name(AudioFormat format) { return k_names[static_cast<std::size_t>(format)]; }

std::optional<AudioFormat> parse_audio_format(std::string_view text) {
  const std::string wanted = lower(trim(text));
  const auto found = std::find(k_names.begin(), k_names.end(), wanted);
  if (found == k_names.end()) return std::nullopt;
  return static_cast<AudioFormat>(found - k_names.begin());
}

Result<std::string> encode(const Audio& audio, AudioFormat format, const AudioTags& tags) {
  if (audio.frames() == 0) return Error{ErrorKind::range, 0, "no sound to write", {}};
  if (!std::all_of(audio.samples.begin(), audio.samples.end(), [](float x) { return std::isfinite(x); })) {
    return Error{ErrorKind::range, 0, "a sample is not a number", {}};
  }
  MemoryFile memory;
  SF_VIRTUAL_IO io = virtual_io();
  SF_INFO info{};
  info.samplerate = k_sample_rate;
  info.channels = k_channels;
  info.format = k_types[static_cast<std::size_t>(format)];
  SoundFile file(sf_open_virtual(&io, SFM_WRITE, &info, &memory));
  if (file.get() == nullptr) return encoder_error(format, sf_strerror(nullptr));

  sf_command(file.get(), SFC_SET_CLIPPING, nullptr, SF_TRUE);
  // 0 is best and largest; MP3 at this level is about 190 kbit/s.
  double compression = format == AudioFormat::mp3 ? 0.3 : 0.5;
  if (format != AudioFormat::wav) sf_command(file.get(), SFC_SET_COMPRESSION_LEVEL, &compression, sizeof compression);
  set_tag(file.get(), SF_STR_TITLE, tags.title);
  set_tag(file.get(), SF_STR_ARTIST, tags.artist);
  set_tag(file.get(), SF_STR_ALBUM, tags.album);
  set_tag(file.get(), SF_STR_COMMENT, tags.comment);
  set_tag(file.get(), SF_STR_LICENSE, tags.licence);
  if (tags.track > 0) set_tag(file.get(), SF_STR_TRACKNUMBER, std::to_string(tags.track));

  const sf_count_t written = sf_writef_float(file.get(), audio.samples.data(), audio.frames());
  if (written != audio.frames()) return encoder_error(format, sf_strerror(file.get()));
  if (file.close() != 0) return encoder_error(format, "closing");
  if (format == AudioFormat::opus && !set_ogg_serial(memory.bytes, k_ogg_serial))
    return encoder_error(format, "no Ogg pages");
  return std::move(memory.bytes);
}

Result<Audio> decode_audio(std::string bytes) {
  MemoryFile memory{std::move(bytes)};
  SF_VIRTUAL_IO io = virtual_io();
  SF_INFO info{};
  const SoundFile file(sf_open_virtual(&io, SFM_READ, &info, &memory));
  if (file.get() == nullptr) return Error{ErrorKind::syntax, 0, "not an audio file", {}};
  if (info.samplerate != k_sample_rate || info.channels < 1 || info.channels > 2) {
    return Error{ErrorKind::range, 0, "only 48 kHz with one or two channels", {}};
  }
  const Error too_long{ErrorKind::limit, 0, "longer than an hour", {}};
  if (info.frames > k_longest) return too_long;
  Audio out;
  std::vector<float> chunk(4096 * static_cast<std::size_t>(info.channels));
  for (;;) {
    const sf_count_t got = sf_readf_float(file.get(), chunk.data(), 4096);
    if (got <= 0) break;
    for (sf_count_t f = 0; f < got; ++f) {
      const auto at = static_cast<std::size_t>(f * info.channels);
      out.samples.push_back(chunk[at]);
      out.samples.push_back(chunk[at + (info.channels == 2 ? 1 : 0)]);
    }
    if (out.frames() > k_longest) return too_long;
  }
  return out;
}

Result<Audio> read_audio(const std::string& path) {
  constexpr std::size_t k_largest_file = std::size_t{2} << 30U;  // an hour of 24-bit stereo is 1 GB
  auto bytes = read_file(path, k_largest_file);
  if (!bytes) return bytes.error();
  auto audio = decode_audio(std::move(bytes).value());
  if (audio) return audio;
  Error error = audio.error();
  error.what = path + ": " + error.what;
  return error;
}

}  // namespace fretloom
