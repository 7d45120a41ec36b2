#include "sound/signal.h"

#include <kiss_fftr.h>

#include <algorithm>
#include <cmath>
#include <memory>
#include <type_traits>

namespace fretloom::signal {

namespace {

/// Magnitudes of transforms of `size` frames under a Hann window, padded with silence.
class Analyser {
 public:
  Analyser(std::size_t size, std::size_t padded)
      : in_(padded, 0.0F),
        out_(padded / 2 + 1),
        plan_(kiss_fftr_alloc(static_cast<int>(padded), 0, nullptr, nullptr), kiss_fftr_free) {
    for (std::size_t i = 0; i < size; ++i)
      window_.push_back(0.5 - 0.5 * std::cos(2.0 * M_PI * (static_cast<double>(i) + 0.5) / static_cast<double>(size)));
  }

  std::vector<double> operator()(const std::vector<float>& x, std::size_t from) {
    for (std::size_t i = 0; i < window_.size(); ++i)
      in_[i] = from + i < x.size() ? static_cast<float>(window_[i] * static_cast<double>(x[from + i])) : 0.0F;
    kiss_fftr(plan_.get(), in_.data(), out_.data());
    std::vector<double> magnitudes;
    magnitudes.reserve(out_.size());
    for (const kiss_fft_cpx& c : out_)
      magnitudes.push_back(std::sqrt(static_cast<double>(c.r) * c.r + static_cast<double>(c.i) * c.i));
    return magnitudes;
  }

 private:
  std::vector<double> window_;
  std::vector<float> in_;
  std::vector<kiss_fft_cpx> out_;
  std::unique_ptr<std::remove_pointer_t<kiss_fftr_cfg>, void (*)(void*)> plan_;
};

}  // namespace

std::vector<double> spectrum(const std::vector<float>& x, std::size_t from, std::size_t size) {
  return Analyser(size, size)(x, from);
}

double peak_hz(const std::vector<float>& x, std::size_t from, std::size_t size, double near_hz, double cents) {
  const std::vector<double> bins = Analyser(size, 4 * size)(x, from);
  const double bin = static_cast<double>(k_sample_rate) / static_cast<double>(4 * size);
  const auto level = [&](std::size_t k) { return std::log(bins[k] + 1e-30); };
  const auto low = static_cast<std::size_t>(near_hz * std::pow(2.0, -cents / 1200.0) / bin);
  const auto high = static_cast<std::size_t>(near_hz * std::pow(2.0, cents / 1200.0) / bin) + 1;
  std::size_t best = std::max<std::size_t>(low, 1);
  for (std::size_t k = best; k <= high && k + 1 < bins.size(); ++k) {
    if (level(k) > level(best)) best = k;
  }
  const double a = level(best - 1), b = level(best), c = level(best + 1);
  return (static_cast<double>(best) + 0.5 * (a - c) / (a - 2.0 * b + c)) * bin;
}

double pitch_hz(const std::vector<float>& x, std::size_t from, std::size_t size, double near_hz, double cents) {
  constexpr int k_partials = 8;
  constexpr double k_step = 5.0;
  const std::vector<double> bins = Analyser(size, 4 * size)(x, from);
  const double bin = static_cast<double>(k_sample_rate) / static_cast<double>(4 * size);
  double best = near_hz;
  double most = -1.0;
  for (double off = -cents; off <= cents; off += k_step) {
    const double hz = near_hz * std::exp2(off / 1200.0);
    double sum = 0.0;
    for (int n = 1; n <= k_partials; ++n) {
      const auto k = static_cast<std::size_t>(std::lround(n * hz / bin));
      if (k < bins.size()) sum += std::sqrt(bins[k]);
    }
    if (sum > most) {
      most = sum;
      best = hz;
    }
  }
  return best;
}

namespace {

constexpr std::size_t k_hop = 128;

/// Rise of the log spectrum against that of half a window before, summed over the bins; one value a hop.
std::vector<double> log_flux(const std::vector<float>& x, std::size_t size) {
  const std::size_t lag = size / 256;
  constexpr double k_floor = 1e-3;  // of a full-scale sine: quieter bins hardly count
  std::vector<std::vector<double>> logs;
  std::vector<double> flux;
  Analyser analyse(size, size);
  for (std::size_t from = 0; from + size <= x.size(); from += k_hop) {
    std::vector<double> bins = analyse(x, from);
    for (double& bin : bins) bin = std::log1p(bin / (static_cast<double>(size) / 4.0) / k_floor);
    double rise = 0;
    if (logs.size() >= lag) {
      const std::vector<double>& before = logs[logs.size() - lag];
      for (std::size_t k = 0; k < bins.size(); ++k) rise += std::max(0.0, bins[k] - before[k]);
    }
    logs.push_back(std::move(bins));
    flux.push_back(rise);
  }
  return flux;
}

}  // namespace

std::vector<std::int64_t> onsets(const std::vector<float>& x, double lowest_hz) {
  constexpr double k_threshold = 2.5;
  constexpr std::size_t k_near = 6;     // 16 ms: the closest two onsets
  constexpr std::size_t k_around = 38;  // 100 ms
  std::size_t size = 1024;
  while (static_cast<double>(size) < 1.5 * k_sample_rate / lowest_hz) size *= 2;
  const std::size_t silence = 4 * size;
  std::vector<float> padded(silence, 0.0F);
  padded.insert(padded.end(), x.begin(), x.end());
  padded.insert(padded.end(), size, 0.0F);
  const std::vector<double> flux = log_flux(padded, size);
  std::vector<std::int64_t> found;
  const double loudest = *std::max_element(flux.begin(), flux.end());
  for (std::size_t t = 0; t < flux.size(); ++t) {
    const auto window = [&](std::size_t reach) {
      const std::size_t from = t - std::min(t, reach);
      return std::vector<double>(flux.begin() + static_cast<std::ptrdiff_t>(from),
                                 flux.begin() + static_cast<std::ptrdiff_t>(std::min(flux.size(), t + reach + 1)));
    };
    const std::vector<double> near = window(k_near);
    if (flux[t] < *std::max_element(near.begin(), near.end())) continue;
    std::vector<double> around = window(k_around);
    // Not the median: where notes are dense, half of the frames are near one.
    const std::size_t rank = around.size() * 4 / 10;
    std::nth_element(around.begin(), around.begin() + static_cast<std::ptrdiff_t>(rank), around.end());
    if (flux[t] < k_threshold * (around[rank] + 0.02 * loudest)) continue;
    // The rise is steepest when a stroke stands about half a hop before the later window's middle.
    const std::size_t at = t * k_hop + size / 2 - k_hop / 4;
    found.push_back(static_cast<std::int64_t>(at) - static_cast<std::int64_t>(silence));
  }
  return found;
}

double tone_level(const std::vector<float>& x, std::size_t from, std::size_t size, double hz) {
  std::complex<double> sum = 0;
  double weight = 0;
  for (std::size_t i = 0; i < size && from + i < x.size(); ++i) {
    const double window = 0.5 - 0.5 * std::cos(2.0 * M_PI * (static_cast<double>(i) + 0.5) / static_cast<double>(size));
    sum += window * static_cast<double>(x[from + i]) *
           std::polar(1.0, -2.0 * M_PI * hz * static_cast<double>(i) / k_sample_rate);
    weight += window;
  }
  return 2.0 * std::abs(sum) / weight;
}

double t60_of(const std::vector<float>& x, double hz, double from, double to) {
  const std::size_t size = k_sample_rate / 8;
  double n = 0, st = 0, sl = 0, stt = 0, stl = 0;
  for (double t = from; t + 0.125 <= to; t += std::max(0.03, (to - from) / 24.0)) {
    const double level = decibels(tone_level(x, static_cast<std::size_t>(t * k_sample_rate), size, hz));
    n += 1;
    st += t;
    sl += level;
    stt += t * t;
    stl += t * level;
  }
  return -60.0 / ((n * stl - st * sl) / (n * stt - st * st));
}

double centroid(const std::vector<float>& x, std::size_t from, std::size_t size, double top_hz) {
  const auto magnitude = spectrum(x, from, size);
  double sum = 0;
  double weight = 0;
  for (std::size_t k = 1; k < magnitude.size(); ++k) {
    const double hz = static_cast<double>(k) * k_sample_rate / static_cast<double>(size);
    if (hz > top_hz) break;
    sum += hz * magnitude[k] * magnitude[k];
    weight += magnitude[k] * magnitude[k];
  }
  return sum / weight;
}

std::vector<float> pluck(voice::PluckedString& string, int fret, double mute, double seconds,
                         const voice::Strike& strike) {
  std::vector<float> out(static_cast<std::size_t>(seconds * k_sample_rate) / 64 * 64, 0.0F);
  string.finger(fret, mute, 0);
  string.strike(strike);
  for (std::size_t i = 0; i < out.size(); i += 64) string.render(out.data() + i, 64);
  return out;
}

std::vector<float> left(const Audio& audio) {
  std::vector<float> out;
  for (std::size_t i = 0; i < audio.samples.size(); i += k_channels) out.push_back(audio.samples[i]);
  return out;
}

double decibels(double amplitude) { return 20.0 * std::log10(std::max(amplitude, 1e-15)); }

}  // namespace fretloom::signal

namespace fretloom::demo {

const std::vector<Tuning>& tunings() {
  static const std::vector<Tuning> all = {{"standard", {40, 45, 50, 55, 59, 64}, false},
                                          {"seven strings, drop A", {33, 40, 45, 50, 55, 59, 64}, false},
                                          {"eight strings", {30, 35, 40, 45, 50, 55, 59, 64}, false},
                                          {"bass", {28, 33, 38, 43}, true}};
  return all;
}

IdeaSheet empty_idea(const Tuning& tuning) {
  IdeaSheet idea;
  idea.name = "Weaving";
  idea.key = parse_key("E dorian").value();
  idea.rule.text = "1 3 2 3 + 2 1";
  for (const int midi : tuning.open) idea.instrument.neck.tuning.open.push_back(spell_sharp(midi));
  idea.layout.resize(tuning.open.size());
  idea.feels.emplace_back();
  return idea;
}

void append(IdeaSheet& idea, const Rational& onset, const Rational& duration, int string, int fret, Attack attack) {
  Score& score = idea.feels.front();
  ScoreNote note;
  note.onset = Beats(onset);
  note.duration = Beats(duration);
  note.string = string;
  note.fret = fret;
  note.pitch = spell_sharp(idea.instrument.neck.open_midi(string) + fret);
  note.attack = attack;
  if (attack == Attack::pick) note.stroke = score.notes.size() % 2 == 0 ? Stroke::down : Stroke::up;
  if (score.notes.empty()) score.start = note.onset;
  score.notes.push_back(note);
  score.end = Beats(onset + duration);
}

IdeaSheet weaving(int notes, int notes_per_beat) {
  IdeaSheet idea = empty_idea(tunings().front());
  Score& score = idea.feels.front();
  score.notes_per_beat = notes_per_beat;
  for (int i = 0; i < notes; ++i) {
    append(idea, Rational(i, notes_per_beat), Rational(1, notes_per_beat), 6 - (i / 6) % 6, 5 + (i * 2) % 4);
    score.notes.back().repeat = 1 + i / 6;
    score.notes.back().accent = i % 6 == 0;
  }
  return idea;
}

}  // namespace fretloom::demo
