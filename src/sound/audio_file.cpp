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
  void reset(SNDFILE* file) {
    close();
    file_ = file;
  }
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

struct AudioWriter::State {
  AudioFormat format;
  AudioTags tags;
  std::string path;  ///< empty in memory
  std::optional<FileAside> aside;
  MemoryFile memory;
  SoundFile file{nullptr};
  std::optional<Error> failed;
  std::int64_t frames = 0;
  AudioSize size;

  State(AudioFormat a_format, const AudioTags& all_tags, AudioSize a_size)
      : format(a_format), tags(all_tags), size(a_size) {}

  void open() {
    SF_VIRTUAL_IO io = virtual_io();
    SF_INFO info{};
    info.samplerate = k_sample_rate;
    info.channels = size == AudioSize::small ? 1 : k_channels;
    info.format = k_types[static_cast<std::size_t>(format)];
    file.reset(aside ? sf_open_fd(aside->descriptor(), SFM_WRITE, &info, SF_FALSE)
                     : sf_open_virtual(&io, SFM_WRITE, &info, &memory));
    if (file.get() == nullptr) {
      failed = encoder_error(format, sf_strerror(nullptr));
      return;
    }
    sf_command(file.get(), SFC_SET_CLIPPING, nullptr, SF_TRUE);
    // 0 is best and largest; MP3 at this level is about 190 kbit/s.
    double compression = format == AudioFormat::mp3 ? 0.3 : size == AudioSize::small ? 0.89 : 0.5;
    if (format != AudioFormat::wav) sf_command(file.get(), SFC_SET_COMPRESSION_LEVEL, &compression, sizeof compression);
    set_tag(file.get(), SF_STR_TITLE, tags.title);
    set_tag(file.get(), SF_STR_ARTIST, tags.artist);
    set_tag(file.get(), SF_STR_ALBUM, tags.album);
    // WAV has a place for the copyright and none for a licence; this writer's MP3 has neither, there the comment says
    // it.
    const bool in_comment = format == AudioFormat::mp3 && !tags.licence.empty();
    set_tag(file.get(), SF_STR_COMMENT, tags.comment + (in_comment ? "; licence: " + tags.licence : ""));
    set_tag(file.get(), SF_STR_COPYRIGHT, tags.licence);
    set_tag(file.get(), SF_STR_LICENSE, tags.licence);
    if (tags.track > 0) set_tag(file.get(), SF_STR_TRACKNUMBER, std::to_string(tags.track));
  }

  /// A file that grows on the disk fails with the disk.
  [[nodiscard]] Error write_error(const std::string& why) const {
    return aside ? Error{ErrorKind::io, 0, "cannot write " + path + ": " + why, {}} : encoder_error(format, why);
  }

  Result<void> close() {
    if (failed) return *failed;
    if (frames == 0) return Error{ErrorKind::range, 0, "no sound to write", {}};
    if (file.close() != 0) return write_error("closing");
    if (format == AudioFormat::opus && !set_ogg_serial(memory.bytes, k_ogg_serial))
      return encoder_error(format, "no Ogg pages");
    return {};
  }
};

AudioWriter::AudioWriter(AudioFormat format, const AudioTags& tags, AudioSize size)
    : state_(std::make_unique<State>(format, tags, size)) {
  state_->open();
}

AudioWriter::AudioWriter(AudioFormat format, const AudioTags& tags, const std::string& path)
    : state_(std::make_unique<State>(format, tags, AudioSize::usual)) {
  state_->path = path;
  if (!is_lossy(format)) {
    auto aside = FileAside::open(path);
    if (!aside) {
      state_->failed = aside.error();
      return;
    }
    state_->aside.emplace(std::move(aside).value());
  }
  state_->open();
}

AudioWriter::~AudioWriter() = default;

Result<void> AudioWriter::write(const float* samples, std::int64_t frames) {
  if (state_->failed) return *state_->failed;
  if (!std::all_of(samples, samples + frames * k_channels, [](float x) { return std::isfinite(x); })) {
    return Error{ErrorKind::range, 0, "a sample is not a number", {}};
  }
  std::vector<float> left;
  if (state_->size == AudioSize::small) {
    for (std::int64_t i = 0; i < frames; ++i) left.push_back(samples[i * k_channels]);
    samples = left.data();
  }
  if (sf_writef_float(state_->file.get(), samples, frames) != frames)
    return state_->write_error(sf_strerror(state_->file.get()));
  state_->frames += frames;
  return {};
}

Result<std::string> AudioWriter::finish() {
  if (auto closed = state_->close(); !closed) return closed.error();
  return std::move(state_->memory.bytes);
}

Result<void> AudioWriter::finish_file(const std::string& path) {
  if (auto closed = state_->close(); !closed) return closed;
  return state_->aside ? state_->aside->place() : write_file(path, state_->memory.bytes);
}

Result<std::string> encode(const Audio& audio, AudioFormat format, const AudioTags& tags, AudioSize size) {
  AudioWriter writer(format, tags, size);
  if (auto written = writer.write(audio.samples.data(), audio.frames()); !written) return written.error();
  return writer.finish();
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
