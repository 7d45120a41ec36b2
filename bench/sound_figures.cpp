// What docs/sound.md says in figures, measured from the sound itself and from sampled guitars beside it.
// usage: sound_figures [SOUNDFONT] > FIGURES   one "name<TAB>value<TAB>unit" a line
//        sound_figures --half-hour FOLDER      the memory that half an hour of sound takes
// The sampled guitars are general MIDI programs of a SoundFont, played by FluidSynth; without one their lines are
// absent.

#include <fluidsynth.h>
#include <sys/resource.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <map>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "sound/jobs.h"
#include "sound/kernel/voice.h"
#include "sound/loudness.h"
#include "sound/signal.h"
#include "sound/sound_take.h"

namespace fretloom {
namespace {

using Samples = std::vector<float>;
constexpr std::array<int, 6> k_open = {40, 45, 50, 55, 59, 64};
constexpr std::size_t k_second = k_sample_rate;

void say(const std::string& name, double value, const char* unit) {
  std::printf("%s\t%.3g\t%s\n", name.c_str(), value, unit);
}
double hz_of(int midi) { return 440.0 * std::exp2((midi - 69) / 12.0); }

struct Sides {
  Samples left, right;
};

double power(const Samples& x, std::size_t from, std::size_t count) {
  double sum = 0;
  for (std::size_t i = from; i < std::min(from + count, x.size()); ++i) sum += static_cast<double>(x[i]) * x[i];
  return sum / static_cast<double>(count);
}
double level(const Samples& x, std::size_t from, std::size_t count) {
  return 10.0 * std::log10(power(x, from, count) + 1e-20);
}
double mean(const std::vector<double>& v) {
  double sum = 0;
  for (const double x : v) sum += x;
  return sum / static_cast<double>(v.size());
}
double deviation(const std::vector<double>& v) {
  const double middle = mean(v);
  double sum = 0;
  for (const double x : v) sum += (x - middle) * (x - middle);
  return std::sqrt(sum / static_cast<double>(v.size()));
}

/// Power from `low` to `high` Hz in decibels, under a Hann window.
double band(const Samples& x, std::size_t from, std::size_t size, double low, double high) {
  const auto bins = signal::spectrum(x, from, size);
  double sum = 0;
  for (std::size_t k = 1; k < bins.size(); ++k) {
    const double hz = static_cast<double>(k * k_second) / static_cast<double>(size);
    if (hz >= low && hz < high) sum += bins[k] * bins[k];
  }
  return 10.0 * std::log10(sum + 1e-20);
}

/// Milliseconds from a tenth to nine tenths of the greatest level in the first 60 ms; level: the loudest frame of
/// the last half millisecond.
double rise(const Samples& x, std::size_t onset) {
  std::vector<double> envelope;
  for (std::size_t i = onset; i < onset + 2880; ++i) {
    double most = 0;
    for (std::size_t k = 0; k < 24; ++k) most = std::max(most, std::abs(static_cast<double>(x[i - std::min(i, k)])));
    envelope.push_back(most);
  }
  const double top = *std::max_element(envelope.begin(), envelope.end());
  const auto reach = [&](double part) {
    return std::find_if(envelope.begin(), envelope.end(), [&](double e) { return e >= part * top; }) - envelope.begin();
  };
  return static_cast<double>(reach(0.9) - reach(0.1)) / 48.0;
}

/// How far the first four partials stray from straight lines between 0.1 and 1.6 s, root mean square.
double fluctuation(const Samples& x, std::size_t onset, double f0) {
  std::vector<double> errors;
  for (int n = 1; n <= 4; ++n) {
    const double hz = signal::peak_hz(x, onset + 2400, 16384, n * f0, 30);
    std::vector<std::pair<double, double>> points;
    for (double t = 0.1; t < 1.6; t += 0.05) {
      const double db = signal::decibels(
          signal::tone_level(x, onset + static_cast<std::size_t>(t * static_cast<double>(k_second)), 6000, hz));
      points.emplace_back(t, db);
    }
    double st = 0, sl = 0, stt = 0, stl = 0;
    for (const auto& [t, l] : points) st += t, sl += l, stt += t * t, stl += t * l;
    const auto count = static_cast<double>(points.size());
    const double slope = (count * stl - st * sl) / (count * stt - st * st);
    const double start = (sl - slope * st) / count;
    for (const auto& [t, l] : points) errors.push_back((l - start - slope * t) * (l - start - slope * t));
  }
  return std::sqrt(mean(errors));
}

/// Decibels a second between two times.
double fall(const Samples& x, std::size_t onset, double from, double to) {
  const auto at = [&](double t) {
    return level(x, onset + static_cast<std::size_t>(t * static_cast<double>(k_second)), 4800);
  };
  return (at(from) - at(to)) / (to - from);
}

/// The partials of one instrument, over notes of all registers.
class Tone {
 public:
  void add(const Sides& sound, std::size_t onset, int midi) {
    const Samples& x = sound.left;
    rise_.push_back(rise(x, onset));
    fluctuation_.push_back(fluctuation(x, onset, hz_of(midi)));
    early_.push_back(fall(x, onset, 0.05, 0.45));
    late_.push_back(fall(x, onset, 1.0, 2.2));
    const double at[] = {0.02, 0.3, 1.5};
    for (std::size_t i = 0; i < 3; ++i) {
      const auto from = onset + static_cast<std::size_t>(at[i] * static_cast<double>(k_second));
      centroid_[i].push_back(signal::centroid(x, from, 8192, 10000));
    }
    Samples side(x.size()), middle(x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
      side[i] = 0.5F * (x[i] - sound.right[i]);
      middle[i] = 0.5F * (x[i] + sound.right[i]);
    }
    side_.push_back(level(side, onset, k_second) - level(middle, onset, k_second));
  }
  void tell(const std::string& name) const {
    say(name + "/rise", mean(rise_), "ms");
    say(name + "/strays from a straight decay", mean(fluctuation_), "dB");
    say(name + "/falls at first", mean(early_), "dB/s");
    say(name + "/falls later", mean(late_), "dB/s");
    say(name + "/centroid at 0.02 s", mean(centroid_[0]), "Hz");
    say(name + "/centroid at 0.3 s", mean(centroid_[1]), "Hz");
    say(name + "/centroid at 1.5 s", mean(centroid_[2]), "Hz");
    say(name + "/side to middle", mean(side_), "dB");
  }

 private:
  std::vector<double> rise_, fluctuation_, early_, late_, side_;
  std::array<std::vector<double>, 3> centroid_;
};

constexpr std::array<std::pair<int, int>, 9> k_places = {
    {{0, 3}, {1, 2}, {2, 2}, {2, 7}, {3, 5}, {3, 9}, {4, 5}, {5, 5}, {5, 12}}};

Sides play(const std::vector<voice::PlayedNote>& notes, int voicing, std::size_t frames,
           const voice::Manner& manner = {}) {
  std::vector<double> open;
  for (const int midi : k_open) open.push_back(hz_of(midi));
  auto instrument = std::make_unique<voice::Voice>();
  instrument->prepare(open.data(), 6, false, voicing, manner);
  std::vector<voice::Event> events(notes.size() * voice::k_events_a_note);
  const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                   static_cast<int>(events.size()));
  instrument->start(events.data(), count);
  Sides out{Samples(frames), Samples(frames)};
  instrument->render(out.left.data(), out.right.data(), static_cast<int>(frames));
  return out;
}

voice::PlayedNote note(std::size_t onset, std::size_t end, int string, int fret, bool up = false,
                       voice::Touch touch = voice::Touch::pick) {
  voice::PlayedNote n;
  n.onset = static_cast<std::int64_t>(onset);
  n.end = static_cast<std::int64_t>(end);
  n.string = string;
  n.fret = fret;
  n.upward = up ? 1 : 0;
  n.touch = touch;
  n.seed = static_cast<std::uint32_t>(onset) + 1U;
  return n;
}

void measure_our_tones() {
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    const std::string name = std::string("ours ") + voice::voicing(voicing).name;
    Tone tone;
    std::vector<double> levels;
    for (const auto& [string, fret] : k_places) {
      tone.add(play({note(4800, 4 * k_second, string, fret)}, voicing, 3 * k_second), 4800,
               k_open[static_cast<std::size_t>(string)] + fret);
    }
    tone.tell(name);
    for (std::size_t i = 0; i < 16; ++i) {
      voice::PlayedNote n = note(4800, k_second, 3, 7);
      n.seed = static_cast<std::uint32_t>(17 * i + 3);
      levels.push_back(level(play({n}, voicing, k_second).left, 4800, 9600));
    }
    say(name + "/repeated strokes spread by", deviation(levels), "dB");
  }
}

/// One note of a sampled instrument in a fresh synthesiser without its own room.
class Sampler {
 public:
  explicit Sampler(const char* font) : settings_(new_fluid_settings()) {
    fluid_settings_setnum(settings_, "synth.sample-rate", k_sample_rate);
    fluid_settings_setint(settings_, "synth.reverb.active", 0);
    fluid_settings_setint(settings_, "synth.chorus.active", 0);
    synth_ = new_fluid_synth(settings_);
    loaded_ = fluid_synth_sfload(synth_, font, 1) >= 0;
  }
  Sampler(const Sampler&) = delete;
  Sampler& operator=(const Sampler&) = delete;
  ~Sampler() {
    delete_fluid_synth(synth_);
    delete_fluid_settings(settings_);
  }
  [[nodiscard]] bool is_loaded() const { return loaded_; }
  Sides play(int program, int midi, int velocity, std::size_t frames) {
    fluid_synth_all_sounds_off(synth_, -1);
    Sides out{Samples(frames), Samples(frames)};
    Samples rest_left(9600), rest_right(9600);
    fluid_synth_write_float(synth_, 9600, rest_left.data(), 0, 1, rest_right.data(), 0, 1);
    fluid_synth_program_change(synth_, 0, program);
    fluid_synth_noteon(synth_, 0, midi, velocity);
    fluid_synth_write_float(synth_, static_cast<int>(frames), out.left.data(), 0, 1, out.right.data(), 0, 1);
    return out;
  }

 private:
  fluid_settings_t* settings_;
  fluid_synth_t* synth_ = nullptr;
  bool loaded_ = false;
};

void measure_sampled_tones(const char* font) {
  Sampler sampler(font);
  if (!sampler.is_loaded()) return;
  constexpr std::array<std::pair<int, const char*>, 6> programs = {
      {{24, "nylon"}, {25, "steel"}, {26, "jazz"}, {27, "clean"}, {29, "overdriven"}, {30, "distortion"}}};
  for (const auto& [program, name] : programs) {
    Tone tone;
    for (const auto& [string, fret] : k_places) {
      const int midi = k_open[static_cast<std::size_t>(string)] + fret;
      tone.add(sampler.play(program, midi, 96, 3 * k_second), 0, midi);
    }
    tone.tell(std::string("sampled ") + name);
  }
}

void measure_strokes() {
  double worst = -100;
  for (const auto& [string, fret] : k_places) {
    const auto down = play({note(0, k_second, string, fret, false)}, 1, k_second);
    const auto up = play({note(0, k_second, string, fret, true)}, 1, k_second);
    worst = std::max(worst, band(up.left, 0, 16384, 4000, 12000) - band(down.left, 0, 16384, 4000, 12000));
  }
  say("strokes/an upstroke above 4 kHz, at most", worst, "dB");
}

void measure_legato() {
  constexpr std::size_t k_gap = 6000;  // an eighth of a second
  using voice::Touch;
  double spread = 0, pulls = 0;
  for (const int string : {1, 2, 3, 4}) {
    const auto x = play({note(4800, 4800 + k_gap, string, 5),
                         note(4800 + k_gap, 4800 + 2 * k_gap, string, 7, false, Touch::hammer),
                         note(4800 + 2 * k_gap, 4800 + 3 * k_gap, string, 5, false, Touch::pull),
                         note(4800 + 3 * k_gap, 4800 + 4 * k_gap, string, 7, false, Touch::hammer)},
                        1, k_second)
                       .left;
    std::vector<double> levels;
    for (std::size_t i = 0; i < 4; ++i) levels.push_back(level(x, 4800 + i * k_gap + 240, 4800));
    spread = std::max(
        spread, *std::max_element(levels.begin(), levels.end()) - *std::min_element(levels.begin(), levels.end()));
    // The same pull-off after a stroke, and after a hammer-on.
    const auto y =
        play({note(4800, 4800 + k_gap, string, 7), note(4800 + k_gap, 4800 + 2 * k_gap, string, 5, false, Touch::pull)},
             1, k_second)
            .left;
    pulls = std::max(pulls, std::abs(levels[2] - level(y, 4800 + k_gap + 240, 4800)));
  }
  say("legato/pick, hammer, pull, hammer lie within", spread, "dB");
  say("legato/the same pull-off after a stroke and after a hammer-on", pulls, "dB");
}

double peak(const Samples& x, std::size_t from, std::size_t count) {
  double most = 0;
  for (std::size_t i = from; i < std::min(x.size(), from + count); ++i)
    most = std::max(most, std::abs(static_cast<double>(x[i])));
  return most;
}

Audio part(const Audio& audio, std::int64_t from, std::int64_t to) {
  Audio out;
  out.samples.assign(audio.samples.begin() + 2 * from, audio.samples.begin() + 2 * std::min(to, audio.frames()));
  return out;
}

SoundJob demo_job(ClickPattern click, int times, int voicing) {
  Handout handout;
  handout.prose.title = "Figures";
  handout.ideas = {demo::weaving(33, 4)};
  SoundChoice choice;
  choice.click = click;
  choice.tempos = {Rational(90)};
  choice.times = times;
  choice.sound.voicing = voicing;
  return plan_sound(handout, choice).value().front();
}

/// The band of a third in which a click stands highest over the strings, in its first 21 ms.
double over_strings(const Samples& click, const Samples& strings, std::size_t at) {
  double best = -100;
  for (double low = 177; low < 12000; low *= std::exp2(1.0 / 3)) {
    const double high = low * std::exp2(1.0 / 3);
    const double level = band(click, at, 1024, low, high);
    if (level > -30) best = std::max(best, level - band(strings, at, 1024, low, high));
  }
  return best;
}

/// Levels of a demo and its click; the worst of all voicings.
void measure_levels() {
  double loudness = 0, ceiling = -100, count_in = 0, spread = 0, heard = 100;
  std::map<voice::Knock, double> off;
  for (int voicing = 0; voicing < voice::k_voicings; ++voicing) {
    const SoundTake take = make_take(demo_job(ClickPattern::subdivision, 1, voicing), false).value();
    const auto all = measure_loudness(take.mix).value();
    loudness = std::max(loudness, std::abs(all.integrated_lufs + 16.0));
    ceiling = std::max(ceiling, all.true_peak_dbtp);
    const std::int64_t start = take.timeline.marks.front().frame;
    const double lick = measure_loudness(part(take.strings, start, take.mix.frames()))->loudest_moment_lufs;
    const double before = measure_loudness(part(take.mix, 0, start))->loudest_moment_lufs;
    if (std::abs(before - lick) > std::abs(count_in)) count_in = before - lick;
    const Samples click = signal::left(take.click), strings = signal::left(take.strings);
    std::map<voice::Knock, std::vector<double>> peaks;
    for (const TimedKnock& knock : take.timeline.knocks) {
      if (knock.count_in) continue;
      const auto at = static_cast<std::size_t>(knock.frame);
      peaks[knock.knock].push_back(signal::decibels(peak(click, at, 480)));
      if (knock.knock != voice::Knock::subdivision) heard = std::min(heard, over_strings(click, strings, at));
    }
    for (auto& [kind, list] : peaks) {
      const auto [least, most] = std::minmax_element(list.begin(), list.end());
      spread = std::max(spread, *most - *least);
      const double against = mean(list) - mean(peaks[voice::Knock::bar]);
      if (std::abs(against) > std::abs(off[kind])) off[kind] = against;
    }
  }
  say("levels/loudness is off by at most", loudness, "LU");
  say("levels/true peak at most", ceiling, "dBTP");
  say("levels/count-in against the lick", count_in, "LU");
  say("click/equal clicks differ by at most", spread, "dB");
  say("click/beat against bar", off[voice::Knock::beat], "dB");
  say("click/subdivision against bar", off[voice::Knock::subdivision], "dB");
  say("click/over the strings in its best third, at least", heard, "dB");
  std::vector<float> knock(voice::k_knock_frames);
  voice::add_knock(voice::Knock::bar, voice::Ring::dry, 1.0F, 0, knock.data(), voice::k_knock_frames);
  say("click/first frame against its peak",
      100 * std::abs(static_cast<double>(knock[0])) / peak(knock, 0, knock.size()), "%");
}

/// Two passes of the same idea frame by frame, and the landing.
void measure_demo() {
  const SoundTake take = make_take(demo_job(ClickPattern::off, 2, 1), false).value();
  const std::int64_t start = take.timeline.marks.front().frame;
  const std::int64_t second = take.timeline.marks.back().frame;
  const Samples strings = signal::left(take.strings);
  double difference = 0, whole = 0;
  for (std::int64_t i = 0; i < second - start && second + i < take.timeline.notes.back().onset; ++i) {
    const auto a = static_cast<double>(strings[static_cast<std::size_t>(start + i)]);
    const auto b = static_cast<double>(strings[static_cast<std::size_t>(second + i)]);
    difference += (a - b) * (a - b);
    whole += a * a;
  }
  say("demo/second pass less the first", 10 * std::log10(difference / whole + 1e-12), "dB");

  const auto landing = static_cast<std::size_t>(take.timeline.notes.back().onset);
  const double loud = level(strings, landing, 9600);
  std::size_t silent = 0;
  for (std::size_t at = strings.size(); at > landing && level(strings, at - 480, 480) < loud - 50; at -= 480)
    silent += 480;
  std::size_t half = landing + 9600;
  while (half + 480 < strings.size() && level(strings, half, 480) > loud - 20) half += 480;
  say("landing/falls by 20 dB in", static_cast<double>(half - landing) / k_sample_rate, "s");
  say("landing/silence at the end", static_cast<double>(silent) / k_sample_rate, "s");
}

void measure_sustain() {
  std::vector<double> t60;
  for (int fret = 1; fret <= 19; ++fret) {
    const auto x = play({note(0, 4 * k_second, 3, fret)}, 1, 3 * k_second).left;
    t60.push_back(signal::t60_of(x, hz_of(55 + fret), 0.2, 2.5));
  }
  say("sustain/G string, mean of frets 1 to 19", mean(t60), "s");
  std::vector<double> steps;
  for (std::size_t i = 1; i < t60.size(); ++i) steps.push_back(std::abs(std::log2(t60[i] / t60[i - 1])));
  say("sustain/from fret to fret it changes by", 100 * (std::exp2(mean(steps)) - 1), "%");
}

/// 29 minutes as WAV and MP3, on two threads as the program would.
void measure_half_hour(const std::string& folder) {
  Handout handout;
  handout.prose.title = "Half an hour";
  handout.ideas = {demo::weaving(108, 4)};
  SoundChoice choice;
  choice.tempos = {Rational(62)};
  choice.times = 64;
  choice.formats = {AudioFormat::wav, AudioFormat::mp3};
  const auto files = run_sound_jobs(plan_sound(handout, choice).value(), folder, 2).value();
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  say("half an hour/sound", static_cast<double>(files.front().frames) / k_sample_rate / 60, "min");
  say("half an hour/memory at most", static_cast<double>(usage.ru_maxrss) / 1024.0, "MB");
}

}  // namespace
}  // namespace fretloom

int main(int argc, char** argv) {
  if (argc == 3 && std::string(argv[1]) == "--half-hour") {
    fretloom::measure_half_hour(argv[2]);
    return 0;
  }
  fretloom::measure_levels();
  fretloom::measure_demo();
  fretloom::measure_strokes();
  fretloom::measure_legato();
  fretloom::measure_sustain();
  fretloom::measure_our_tones();
  if (argc > 1) fretloom::measure_sampled_tones(argv[1]);
  return 0;
}
