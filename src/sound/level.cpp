#include "sound/level.h"

#include <algorithm>
#include <cmath>

#include "play/audio.h"

namespace fretloom {
namespace {

constexpr int k_phases = 4;
constexpr int k_half = 12;                          ///< taps on either side
constexpr std::int64_t k_reach = 4;                 ///< blocks, 5 ms: the side of a dip
constexpr std::int64_t k_window = 300, k_hop = 75;  ///< blocks: 400 ms and 100 ms
constexpr double k_offset = -0.691;                 ///< of loudness (BS.1770-4, annex 1)
constexpr double k_silent = -70.0;                  ///< LUFS: the absolute gate

static_assert(k_window * Levels::k_block * 10 == 4 * k_sample_rate && k_hop * 4 == k_window);

using Taps = std::array<std::array<float, 2 * k_half>, k_phases>;

/// Windowed-sinc interpolation to four times the rate; phase 0 is the sample itself and left empty.
Taps interpolator() {
  Taps taps{};
  for (std::size_t phase = 1; phase < k_phases; ++phase) {
    double sum = 0;
    std::array<double, 2 * k_half> h{};
    for (int t = 0; t < 2 * k_half; ++t) {
      const double x = t - (k_half - 1) - static_cast<double>(phase) / k_phases;
      h[static_cast<std::size_t>(t)] = std::sin(M_PI * x) / (M_PI * x) * (0.5 + 0.5 * std::cos(M_PI * x / k_half));
      sum += h[static_cast<std::size_t>(t)];
    }
    for (std::size_t t = 0; t < h.size(); ++t) taps[phase][t] = static_cast<float>(h[t] / sum);
  }
  return taps;
}

/// The highest value at and behind each of `count` frames; the first lies k_half - 1 behind the line's start.
void find_peaks(const float* line, std::int64_t count, float* peak) {
  static const Taps taps = interpolator();
  for (std::int64_t i = 0; i < count; ++i) peak[i] = std::abs(line[i + k_half - 1]);
  constexpr std::int64_t k_run = 256;
  for (std::int64_t from = 0; from < count; from += k_run) {
    const std::int64_t run = std::min(k_run, count - from);
    for (std::size_t phase = 1; phase < k_phases; ++phase) {
      std::array<float, k_run> sum{};
      // Tap by tap, so that the compiler may take several frames at a time.
      for (std::int64_t t = 0; t < 2 * k_half; ++t) {
        const float h = taps[phase][static_cast<std::size_t>(t)];
        for (std::int64_t i = 0; i < run; ++i) sum[static_cast<std::size_t>(i)] += h * line[from + i + t];
      }
      for (std::int64_t i = 0; i < run; ++i)
        peak[from + i] = std::max(peak[from + i], std::abs(sum[static_cast<std::size_t>(i)]));
    }
  }
}

double to_lufs(double mean_square) { return k_offset + 10.0 * std::log10(std::max(mean_square, 1e-20)); }
double from_decibels(double db) { return std::pow(10.0, db / 20.0); }

}  // namespace

// The two sections of BS.1770-4, tables 1 and 2, at 48 kHz: a shelf for the head and a high-pass.
double LevelMeter::Weighting::run(double x) {
  const double y = 1.53512485958697 * x + state[0];
  state[0] = -2.69169618940638 * x + 1.69065929318241 * y + state[1];
  state[1] = 1.19839281085285 * x - 0.73248077421585 * y;
  const double z = y + state[2];
  state[2] = -2.0 * y + 1.99004745483398 * z + state[3];
  state[3] = y - 0.99007225036621 * z;
  return z;
}

LevelMeter::LevelMeter(std::int64_t frames, bool loop) : LevelMeter(frames, loop, Listens::to_all) {}

LevelMeter::LevelMeter(std::int64_t frames, bool loop, Listens listens)
    : frames_(frames),
      loop_(loop),
      listens_(listens),
      blocks_(static_cast<std::size_t>((frames + Levels::k_block - 1) / Levels::k_block)) {}

void LevelMeter::add_energies(std::int64_t count) {
  for (std::int64_t i = 0; i < count; ++i) {
    const auto at = static_cast<std::size_t>(k_taps + i);
    const double left = weighting_[0].run(static_cast<double>(line_[0][at]));
    const double right = weighting_[1].run(static_cast<double>(line_[1][at]));
    const double click = weighting_[2].run(static_cast<double>(line_[2][at]));
    Block& block = blocks_[static_cast<std::size_t>((done_ + i) / Levels::k_block)];
    block.music += static_cast<float>(left * left + right * right);
    block.both += static_cast<float>(2.0 * click * (left + right));
    block.click += static_cast<float>(2.0 * click * click);
  }
}

/// Of the frames `k_taps - (k_half - 1)` before the piece and on: those whose surroundings have now come.
void LevelMeter::add_peaks(std::int64_t count) {
  if (listens_ == Listens::to_loudness) return;
  std::array<std::array<float, k_piece>, k_signals> peak{};
  for (std::size_t s = 0; s < k_signals; ++s) {
    const float* line = line_[s].data();
    if (std::all_of(line, line + count + k_taps, [](float x) { return x == 0.0F; })) continue;
    find_peaks(line + 1, count, peak[s].data());
  }
  for (std::int64_t i = 0; i < count; ++i) {
    std::int64_t frame = done_ + i - k_half;
    if (loop_) frame = (frame % frames_ + frames_) % frames_;
    Block& block = blocks_[static_cast<std::size_t>(std::clamp<std::int64_t>(frame, 0, frames_ - 1) / Levels::k_block)];
    const auto at = static_cast<std::size_t>(i);
    block.music_peak = std::max({block.music_peak, peak[0][at], peak[1][at]});
    block.click_peak = std::max(block.click_peak, peak[2][at]);
  }
}

void LevelMeter::add(const float* music, const float* click, std::int64_t count) {
  for (std::int64_t from = 0; from < count; from += k_piece) {
    const std::int64_t piece = std::min(k_piece, count - from);
    for (std::int64_t i = 0; i < piece; ++i) {
      const auto at = static_cast<std::size_t>(k_taps + i);
      line_[0][at] = music[2 * (from + i)];
      line_[1][at] = music[2 * (from + i) + 1];
      line_[2][at] = click != nullptr ? click[2 * (from + i)] : 0.0F;
    }
    add_energies(piece);
    add_peaks(piece);
    for (std::size_t s = 0; s < k_signals; ++s) {
      Line& line = line_[s];
      for (std::int64_t i = 0; i < piece && first_[s].size() < k_taps; ++i)
        first_[s].push_back(line[static_cast<std::size_t>(k_taps + i)]);
      std::copy(line.begin() + piece, line.begin() + piece + k_taps, line.begin());
    }
    done_ += piece;
  }
  if (done_ < frames_) return;
  // What follows the last frame: silence, or the loop's start.
  for (std::size_t s = 0; s < k_signals; ++s) {
    for (std::size_t i = 0; i < k_taps; ++i) line_[s][k_taps + i] = loop_ && i < first_[s].size() ? first_[s][i] : 0.0F;
  }
  add_peaks(k_taps);
}

/// Of the mix with these gains. What plays in a player is a loop again and again: two turns of it are measured.
double LevelMeter::loudness(const std::vector<float>& gain, double click) const {
  const auto turn = static_cast<std::int64_t>(blocks_.size());
  const std::int64_t all = loop_ ? 2 * turn : frames_ / Levels::k_block;
  std::vector<double> sum(static_cast<std::size_t>(all) + 1, 0.0);
  for (std::int64_t i = 0; i < all; ++i) {
    const auto b = static_cast<std::size_t>(i % turn);
    const double g = 0.5 * static_cast<double>(gain[b] + gain[b + 1]);
    const double energy = g * g * static_cast<double>(blocks_[b].music) +
                          g * click * static_cast<double>(blocks_[b].both) +
                          click * click * static_cast<double>(blocks_[b].click);
    sum[static_cast<std::size_t>(i) + 1] = sum[static_cast<std::size_t>(i)] + energy;
  }
  const double frames = static_cast<double>(k_window * Levels::k_block);
  double gate = k_silent;
  double mean = 0;
  for (int pass = 0; pass < 2; ++pass) {  // above the absolute gate, then above the relative one
    double total = 0;
    std::int64_t count = 0;
    for (std::int64_t from = 0; from + k_window <= all; from += k_hop) {
      const double power =
          (sum[static_cast<std::size_t>(from + k_window)] - sum[static_cast<std::size_t>(from)]) / frames;
      if (to_lufs(power) <= gate) continue;
      total += power;
      ++count;
    }
    if (count == 0) return -200.0;
    mean = total / static_cast<double>(count);
    gate = std::max(k_silent, to_lufs(mean) - 10.0);
  }
  return to_lufs(mean);
}

double LevelMeter::music_lufs() const { return loudness(std::vector<float>(blocks_.size() + 1, 1.0F), 0.0); }

/// The gain at the blocks' edges. A dip is the smallest gain within k_reach blocks, averaged
/// over as many: deep enough where the peak is, and smooth at its sides.
void LevelMeter::dip(std::vector<float>& gain, double factor, double click, double ceiling) const {
  const auto count = static_cast<std::int64_t>(blocks_.size());
  std::vector<float> wanted(blocks_.size(), 1.0F);
  bool dips = false;
  for (std::size_t b = 0; b < blocks_.size(); ++b) {
    const double room = std::max(ceiling - click * static_cast<double>(blocks_[b].click_peak), 0.0);
    const double peak = factor * static_cast<double>(blocks_[b].music_peak);
    if (peak <= room) continue;
    wanted[b] = static_cast<float>(room / peak);
    dips = true;
  }
  gain.assign(blocks_.size() + 1, static_cast<float>(factor));
  if (!dips) return;
  const auto at = [&](std::int64_t b) {
    if (loop_) return wanted[static_cast<std::size_t>((b % count + count) % count)];
    return b < 0 || b >= count ? 1.0F : wanted[static_cast<std::size_t>(b)];
  };
  const auto least = [&](std::int64_t edge) {
    float low = 1.0F;
    for (std::int64_t b = edge - k_reach; b < edge + k_reach; ++b) low = std::min(low, at(b));
    return low;
  };
  std::vector<float> low(blocks_.size() + 2 * k_reach + 1);
  for (std::size_t i = 0; i < low.size(); ++i) low[i] = least(static_cast<std::int64_t>(i) - k_reach);
  for (std::int64_t edge = 0; edge <= count; ++edge) {
    float sum = 0;
    for (std::int64_t e = edge + 1; e < edge + 2 * k_reach; ++e) sum += low[static_cast<std::size_t>(e)];
    gain[static_cast<std::size_t>(edge)] *= sum / static_cast<float>(2 * k_reach - 1);
  }
}

Levels LevelMeter::levels(const LevelOptions& options) const {
  // A tenth of a decibel is left for what four-fold interpolation does not see.
  const double ceiling = from_decibels(options.ceiling_dbtp - 0.1);
  double music_peak = 0;
  double click_peak = 0;
  for (const Block& block : blocks_) {
    music_peak = std::max(music_peak, static_cast<double>(block.music_peak));
    click_peak = std::max(click_peak, static_cast<double>(block.click_peak));
  }
  Levels out;
  out.frames = frames_;
  std::vector<float>& gain = out.music;
  double click = from_decibels(options.click_db);
  const std::vector<float> plain(blocks_.size() + 1, 1.0F);
  if (music_peak == 0.0 && click_peak > 0.0) {
    const double heard = loudness(plain, 1.0);
    const double most = ceiling / click_peak;
    out.click =
        static_cast<float>(heard < k_silent ? most : std::min(most, from_decibels(options.target_lufs - heard)));
    gain = plain;
    return out;
  }
  click = std::min(click, click_peak > 0.0 ? ceiling / click_peak : click);
  out.click = static_cast<float>(click);
  const double alone = loudness(plain, 0.0);
  if (alone < k_silent) {
    const double factor = music_peak > 0.0 ? std::min(1.0, from_decibels(-12.0) / music_peak) : 1.0;
    gain.assign(blocks_.size() + 1, static_cast<float>(factor));
    return out;
  }
  double db = options.target_lufs - alone;
  // The click adds a little loudness, the dips take some away; a few rounds make up for both.
  for (int round = 0; round < 12; ++round) {
    dip(gain, from_decibels(db), click, ceiling);
    const double error = options.target_lufs - loudness(gain, click);
    if (std::abs(error) < 0.005) break;
    db += error;
  }
  return out;
}

}  // namespace fretloom
