#include "sound/sound_take.h"

#include <algorithm>

#include "sound/level.h"

namespace fretloom {
namespace {

constexpr std::int64_t k_chunk = 4096;

/// One walk over a piece's frames, chunk by chunk.
template <class Work>
Result<void> walk(Player& player, std::int64_t frames, const StopFlag* stop, const Work& work) {
  std::vector<float> strings(k_chunk * k_channels);
  std::vector<float> click(k_chunk * k_channels);
  player.rewind();
  for (std::int64_t done = 0; done < frames;) {
    if (stop != nullptr && stop->load(std::memory_order_relaxed)) return stopped();
    const std::int64_t count = player.read(strings.data(), click.data(), k_chunk);
    if (auto worked = work(strings, click, done, count); !worked) return worked;
    done += count;
  }
  return {};
}

void fill(TakePiece& piece, const Levels& levels, const std::vector<float>& strings, const std::vector<float>& click,
          std::int64_t from, std::int64_t count) {
  const auto size = static_cast<std::size_t>(count * k_channels);
  for (std::vector<float>* part : {&piece.mix, &piece.strings, &piece.click}) part->resize(size);
  for (std::size_t i = 0; i < size; ++i) {
    const float gain = levels.music_at(from + static_cast<std::int64_t>(i) / k_channels);
    piece.strings[i] = strings[i] * gain;
    piece.click[i] = click[i] * levels.click;
    piece.mix[i] = piece.strings[i] + piece.click[i];
  }
}

}  // namespace

const std::vector<float>& TakePiece::of(Stem stem) const {
  return stem == Stem::strings ? strings : stem == Stem::click ? click : mix;
}

Result<Timeline> play_take(const SoundJob& job, const TakeListener& listen, const StopFlag* stop,
                           const Progress& progress) {
  auto timeline = lay_out(job.idea, job.score(), job.timeline);
  if (!timeline) return timeline;
  const std::int64_t frames = timeline->frames;
  Player player(job.idea.instrument, *timeline, job.sound);
  const auto report = [&](double part) {
    if (progress) progress(part);
  };

  LevelMeter meter(frames, timeline->loop);
  const auto heard = walk(player, frames, stop, [&](const auto& strings, const auto& click, auto done, auto count) {
    meter.add(strings.data(), click.data(), count);
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
  TakePieces pieces;
  const auto told = walk(player, frames, stop, [&](const auto& strings, const auto& click, auto done, auto count) {
    fill(pieces.lossless, lossless, strings, click, done, count);
    fill(pieces.lossy, lossy, strings, click, done, count);
    report(0.6 + 0.4 * static_cast<double>(done + count) / static_cast<double>(frames));
    return listen(pieces);
  });
  if (!told) return told.error();
  return timeline;
}

Result<SoundTake> make_take(const SoundJob& job, bool for_lossy, const StopFlag* stop, const Progress& progress) {
  SoundTake take;
  const auto add = [](Audio& audio, const std::vector<float>& more) {
    audio.samples.insert(audio.samples.end(), more.begin(), more.end());
  };
  auto timeline = play_take(
      job,
      [&](const TakePieces& pieces) {
        const TakePiece& piece = for_lossy ? pieces.lossy : pieces.lossless;
        add(take.mix, piece.mix);
        add(take.strings, piece.strings);
        add(take.click, piece.click);
        return Result<void>();
      },
      stop, progress);
  if (!timeline) return timeline.error();
  take.timeline = std::move(timeline).value();
  return take;
}

Result<std::string> encode_take(const SoundJob& job, AudioFormat format, const AudioTags& tags, const StopFlag* stop) {
  AudioWriter writer(format, tags);
  const auto played = play_take(
      job,
      [&](const TakePieces& pieces) {
        const std::vector<float>& mix = (is_lossy(format) ? pieces.lossy : pieces.lossless).mix;
        return writer.write(mix.data(), static_cast<std::int64_t>(mix.size()) / k_channels);
      },
      stop);
  if (!played) return played.error();
  return writer.finish();
}

}  // namespace fretloom
