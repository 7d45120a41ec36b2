#include "sound/sound_take.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "sound/band_player.h"
#include "sound/chord_dip.h"
#include "sound/level.h"

namespace fretloom {
namespace {

constexpr std::int64_t k_chunk = 4096;

/// The next frames of all who play, unlevelled.
struct Chunk {
  std::vector<float> strings, click;
  BandPiece band;
  std::vector<float> music;  ///< strings and band
};

/// The lick with its band, if it has one, as often as it is walked through.
class Ensemble {
 public:
  Ensemble(const SoundJob& job, const Timeline& timeline, std::unique_ptr<BandPlayer> band)
      : player_(job.idea.instrument, timeline, job.sound),
        band_(std::move(band)),
        dip_(timeline),
        frames_(timeline.frames) {}

  template <class Work>
  Result<void> walk(const StopFlag* stop, const Work& work) {
    player_.rewind();
    if (band_ != nullptr) band_->rewind();
    Chunk chunk;
    chunk.strings.resize(k_chunk * k_channels);
    chunk.click.resize(k_chunk * k_channels);
    for (std::int64_t done = 0; done < frames_;) {
      if (stop != nullptr && stop->load(std::memory_order_relaxed)) return stopped();
      const std::int64_t count = player_.read(chunk.strings.data(), chunk.click.data(), k_chunk);
      if (band_ != nullptr) {
        band_->read(chunk.band, count);
        balance(chunk, done, count);
      }
      const auto size = static_cast<std::size_t>(count * k_channels);
      chunk.music.assign(chunk.strings.begin(), chunk.strings.begin() + static_cast<std::ptrdiff_t>(size));
      if (band_ != nullptr) {
        for (std::size_t i = 0; i < size; ++i)
          chunk.music[i] += chunk.band.bass[i] + chunk.band.chords[i] + chunk.band.drums[i];
      }
      if (auto worked = work(chunk, done, count); !worked) return worked;
      done += count;
    }
    return {};
  }

  /// Sets the band under the lick, where both sound.
  Result<void> set_balance(bool loop, const StopFlag* stop) {
    LevelMeter lick(frames_, loop, LevelMeter::Listens::to_loudness);
    LevelMeter band(frames_, loop, LevelMeter::Listens::to_loudness);
    std::vector<float> sum;
    const auto heard = walk(stop, [&](const Chunk& chunk, std::int64_t, std::int64_t count) {
      lick.add(chunk.strings.data(), nullptr, count);
      sum.resize(static_cast<std::size_t>(count * k_channels));
      for (std::size_t i = 0; i < sum.size(); ++i) sum[i] = chunk.music[i] - chunk.strings[i];
      band.add(sum.data(), nullptr, count);
      return Result<void>();
    });
    if (!heard) return heard;
    const double above = lick.music_lufs() - band.music_lufs();
    if (std::abs(above) < 100.0) factor_ = static_cast<float>(std::pow(10.0, (above - k_lick_over_band_lu) / 20.0));
    return {};
  }

 private:
  void balance(Chunk& chunk, std::int64_t from, std::int64_t count) {
    for (std::int64_t i = 0; i < count; ++i) {
      const float dip = factor_ * dip_.gain_at(from + i);
      for (std::int64_t side = 0; side < k_channels; ++side) {
        const auto at = static_cast<std::size_t>(i * k_channels + side);
        chunk.band.bass[at] *= factor_;
        chunk.band.chords[at] *= dip;
        chunk.band.drums[at] *= factor_;
      }
    }
  }

  Player player_;
  std::unique_ptr<BandPlayer> band_;
  ChordDip dip_;
  std::int64_t frames_;
  float factor_ = 1.0F;
};

class Filler {
 public:
  explicit Filler(const SoundJob& job) : has_band_(job.has_band()) {
    wanted_ = job.stems;
    wanted_.push_back(Stem::mix);
  }

  void fill(TakePiece& piece, const Levels& levels, const Chunk& chunk, std::int64_t from, std::int64_t count) const {
    const auto size = static_cast<std::size_t>(count * k_channels);
    std::vector<float> gain(static_cast<std::size_t>(count));
    for (std::int64_t i = 0; i < count; ++i) gain[static_cast<std::size_t>(i)] = levels.music_at(from + i);
    for (const Stem stem : wanted_) {
      std::vector<float>& out = piece.stems[static_cast<std::size_t>(stem)];
      out.resize(size);
      for (std::size_t i = 0; i < size; ++i) {
        const float click = chunk.click[i] * levels.click;
        const float level = gain[i / k_channels];
        out[i] = stem == Stem::click ? click : music_of(stem, chunk, i) * level + (stem == Stem::mix ? click : 0.0F);
      }
    }
  }

 private:
  [[nodiscard]] float music_of(Stem stem, const Chunk& chunk, std::size_t i) const {
    if (stem == Stem::mix) return chunk.music[i];
    if (stem == Stem::strings) return chunk.strings[i];
    if (!has_band_) return 0.0F;
    const BandPiece& band = chunk.band;
    switch (stem) {
      case Stem::band: return band.bass[i] + band.chords[i] + band.drums[i];
      case Stem::no_bass: return band.chords[i] + band.drums[i];
      case Stem::drums: return band.drums[i];
      case Stem::bass: return band.bass[i];
      default: return band.chords[i];
    }
  }

  bool has_band_;
  std::vector<Stem> wanted_;
};

}  // namespace

Result<Timeline> play_take(const SoundJob& job, const TakeListener& listen, const StopFlag* stop,
                           const Progress& progress) {
  auto timeline = lay_out(job.idea, job.score(), job.timeline);
  if (!timeline) return timeline;
  std::unique_ptr<BandPlayer> band;
  if (job.has_band()) {
    const auto laid_out = lay_out_band(job.idea, *timeline, job.timeline.band);
    if (!laid_out) return laid_out.error();
    auto made = BandPlayer::make(*laid_out, job.samples.get(), stop);
    if (!made) return made.error();
    band = std::move(made).value();
  }
  const std::int64_t frames = timeline->frames;
  const bool balances = band != nullptr && !timeline->notes.empty();
  Ensemble ensemble(job, *timeline, std::move(band));
  const auto report = [&](double part) {
    if (progress) progress(part);
  };

  if (balances) {
    if (const auto set = ensemble.set_balance(timeline->loop, stop); !set) return set.error();
  }
  LevelMeter meter(frames, timeline->loop);
  const auto heard = ensemble.walk(stop, [&](const Chunk& chunk, std::int64_t done, std::int64_t count) {
    meter.add(chunk.music.data(), chunk.click.data(), count);
    report(0.6 * static_cast<double>(done + count) / static_cast<double>(frames));
    return Result<void>();
  });
  if (!heard) return heard.error();

  LevelOptions options;
  options.loop = timeline->loop;
  options.click_db = job.click_db;
  const Levels lossless = meter.levels(options);
  options.ceiling_dbtp = k_lossy_ceiling_dbtp;
  const Levels lossy = meter.levels(options);
  const Filler filler(job);
  TakePieces pieces;
  const auto told = ensemble.walk(stop, [&](const Chunk& chunk, std::int64_t done, std::int64_t count) {
    filler.fill(pieces.lossless, lossless, chunk, done, count);
    filler.fill(pieces.lossy, lossy, chunk, done, count);
    report(0.6 + 0.4 * static_cast<double>(done + count) / static_cast<double>(frames));
    return listen(pieces);
  });
  if (!told) return told.error();
  return timeline;
}

Result<SoundTake> make_take(const SoundJob& job, bool for_lossy, const StopFlag* stop, const Progress& progress) {
  SoundTake take;
  SoundJob all = job;
  all.stems = {Stem::strings, Stem::click};
  if (job.has_band()) all.stems.push_back(Stem::band);
  const auto add = [](Audio& audio, const std::vector<float>& more) {
    audio.samples.insert(audio.samples.end(), more.begin(), more.end());
  };
  auto timeline = play_take(
      all,
      [&](const TakePieces& pieces) {
        const TakePiece& piece = for_lossy ? pieces.lossy : pieces.lossless;
        add(take.mix, piece.of(Stem::mix));
        add(take.strings, piece.of(Stem::strings));
        add(take.click, piece.of(Stem::click));
        add(take.band, piece.of(Stem::band));
        return Result<void>();
      },
      stop, progress);
  if (!timeline) return timeline.error();
  take.timeline = std::move(timeline).value();
  return take;
}

Result<std::string> encode_take(const SoundJob& job, AudioFormat format, const AudioTags& tags, const StopFlag* stop) {
  SoundJob whole = job;
  whole.stems = {Stem::mix};
  AudioWriter writer(format, tags);
  const auto played = play_take(
      whole,
      [&](const TakePieces& pieces) {
        const std::vector<float>& mix = (is_lossy(format) ? pieces.lossy : pieces.lossless).of(Stem::mix);
        return writer.write(mix.data(), static_cast<std::int64_t>(mix.size()) / k_channels);
      },
      stop);
  if (!played) return played.error();
  return writer.finish();
}

}  // namespace fretloom
