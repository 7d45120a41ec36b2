// Draws the pictures of docs/sound.md from the voice itself.
// usage: sound_pictures FOLDER

#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <functional>
#include <memory>
#include <string>

#include "play/render.h"
#include "sound/kernel/voice.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

constexpr double k_left = 56, k_top = 26, k_bottom = 34, k_right = 20;

/// A plot with its two axes; all in axis units.
class Plot {
 public:
  Plot(cairo_t* cr, double x, double y, double w, double h, double x0, double x1, double y0, double y1)
      : cr_(cr),
        x_(x + k_left),
        y_(y + k_top),
        w_(w - k_left - k_right),
        h_(h - k_top - k_bottom),
        x0_(x0),
        x1_(x1),
        y0_(y0),
        y1_(y1) {}

  [[nodiscard]] double px(double x) const { return x_ + w_ * (x - x0_) / (x1_ - x0_); }
  [[nodiscard]] double py(double y) const { return y_ + h_ * (1 - (y - y0_) / (y1_ - y0_)); }

  void frame(const std::string& title, const std::string& x_name, const std::string& y_name, double x_step,
             double y_step) {
    cairo_set_source_rgb(cr_, 0, 0, 0);
    cairo_set_line_width(cr_, 1);
    cairo_rectangle(cr_, x_, y_, w_, h_);
    cairo_stroke(cr_);
    text(x_, y_ - 8, title);
    text(x_ + w_ - 6.0 * static_cast<double>(x_name.size()), y_ + h_ + 28, x_name);
    text(x_ - 50, y_ - 8, y_name);
    for (double x = std::ceil(x0_ / x_step) * x_step; x <= x1_ + 1e-9; x += x_step) label(px(x), y_ + h_ + 14, x, 0.5);
    for (double y = std::ceil(y0_ / y_step) * y_step; y <= y1_ + 1e-9; y += y_step) label(x_ - 6, py(y) + 4, y, 1.0);
  }
  void curve(const std::vector<std::pair<double, double>>& points, double r, double g, double b) {
    cairo_save(cr_);
    cairo_rectangle(cr_, x_, y_, w_, h_);
    cairo_clip(cr_);
    cairo_set_source_rgb(cr_, r, g, b);
    cairo_set_line_width(cr_, 1.1);
    for (const auto& [x, y] : points) cairo_line_to(cr_, px(x), py(y));
    cairo_stroke(cr_);
    cairo_restore(cr_);
  }
  void dot(double x, double y, double r, double g, double b) {
    cairo_set_source_rgb(cr_, r, g, b);
    cairo_arc(cr_, px(x), py(y), 2.5, 0, 2 * M_PI);
    cairo_fill(cr_);
  }
  void line(double x0, double y0, double x1, double y1) {
    cairo_set_source_rgb(cr_, 0.85, 0.3, 0.1);
    cairo_set_line_width(cr_, 0.8);
    cairo_move_to(cr_, px(x0), py(y0));
    cairo_line_to(cr_, px(x1), py(y1));
    cairo_stroke(cr_);
  }
  void text(double x, double y, const std::string& words) {
    cairo_set_source_rgb(cr_, 0, 0, 0);
    cairo_select_font_face(cr_, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr_, 11);
    cairo_move_to(cr_, x, y);
    cairo_show_text(cr_, words.c_str());
  }
  [[nodiscard]] double width() const { return w_; }
  [[nodiscard]] double height() const { return h_; }
  [[nodiscard]] double left() const { return x_; }
  [[nodiscard]] double top() const { return y_; }

 private:
  /// `before`: the share of the label that lies left of x.
  void label(double x, double y, double value, double before) {
    char buffer[32];
    std::snprintf(buffer, sizeof buffer, "%g", std::abs(value) < 1e-9 ? 0.0 : value);
    cairo_text_extents_t extents;
    cairo_set_font_size(cr_, 11);
    cairo_text_extents(cr_, buffer, &extents);
    text(x - before * extents.x_advance, y, buffer);
  }
  cairo_t* cr_;
  double x_, y_, w_, h_, x0_, x1_, y0_, y1_;
};

void picture(const std::string& path, int width, int height, const std::function<void(cairo_t*)>& draw) {
  cairo_surface_t* surface = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
  cairo_t* cr = cairo_create(surface);
  cairo_set_source_rgb(cr, 1, 1, 1);
  cairo_paint(cr);
  draw(cr);
  cairo_destroy(cr);
  const cairo_status_t status = cairo_surface_write_to_png(surface, path.c_str());
  cairo_surface_destroy(surface);
  std::printf("%s: %s\n", path.c_str(), cairo_status_to_string(status));
}

/// Grey by level: white at -90 dB, black at 0, in cells of 2 by 2 points and 16 steps (a small file).
void spectrogram(Plot& plot, cairo_t* cr, const std::vector<float>& x, double seconds, double top_hz,
                 std::size_t size) {
  double loudest = 1e-12;
  std::vector<std::vector<double>> columns;
  for (double c = 0; c < plot.width(); c += 2) {
    const double middle = c / plot.width() * seconds * k_sample_rate;
    columns.push_back(
        signal::spectrum(x, static_cast<std::size_t>(std::max(0.0, middle - static_cast<double>(size) / 2)), size));
    loudest = std::max(loudest, *std::max_element(columns.back().begin(), columns.back().end()));
  }
  for (std::size_t c = 0; c < columns.size(); ++c) {
    for (double r = 0; r < plot.height(); r += 2) {
      const double hz = (1 - (r + 1) / plot.height()) * top_hz;
      const auto bin = static_cast<std::size_t>(hz * static_cast<double>(size) / k_sample_rate);
      const double db = signal::decibels(std::max(columns[c][bin], columns[c][bin + 1]) / loudest);
      const double grey = std::round(std::clamp(-db / 90.0, 0.0, 1.0) * 15.0) / 15.0;
      cairo_set_source_rgb(cr, grey, grey, grey);
      cairo_rectangle(cr, plot.left() + 2.0 * static_cast<double>(c), plot.top() + r, 2, 2);
      cairo_fill(cr);
    }
  }
}

double open_hz(int midi) { return 440.0 * std::pow(2.0, (midi - 69) / 12.0); }

std::vector<float> play(const std::vector<voice::PlayedNote>& notes, const voice::Manner& manner, int voicing,
                        int frames) {
  std::vector<double> open;
  for (const int midi : {40, 45, 50, 55, 59, 64}) open.push_back(open_hz(midi));
  auto instrument = std::make_unique<voice::Voice>();
  instrument->prepare(open.data(), 6, false, voicing, manner);
  std::vector<voice::Event> events(notes.size() * voice::k_events_a_note);
  const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                   static_cast<int>(events.size()));
  instrument->start(events.data(), count);
  std::vector<float> left(static_cast<std::size_t>(frames));
  std::vector<float> right(left.size());
  instrument->render(left.data(), right.data(), frames);
  return left;
}

voice::PlayedNote note(int onset, int end, int string, int fret, bool up, voice::Touch touch = voice::Touch::pick) {
  voice::PlayedNote n;
  n.onset = onset;
  n.end = end;
  n.string = string;
  n.fret = fret;
  n.upward = up ? 1 : 0;
  n.touch = touch;
  n.seed = static_cast<std::uint32_t>(onset) + 1;
  return n;
}

/// Spectrum of an A2 plucked at 1/8 of its length, with the stiff string's partials marked.
void draw_comb(const std::string& folder) {
  picture(folder + "/comb.png", 760, 300, [](cairo_t* cr) {
    voice::PluckedString string;
    string.prepare(voice::usual_string(110.0, false, 0.17));
    voice::Strike strike;
    strike.position = 0.125;
    strike.noise = 0;
    const auto sound = signal::pluck(string, 0, 0.0, 1.0, strike);
    const auto magnitude = signal::spectrum(sound, 0, 32768);
    const double loudest = *std::max_element(magnitude.begin(), magnitude.end());
    Plot plot(cr, 0, 0, 760, 300, 0, 2200, -100, 0);
    std::vector<std::pair<double, double>> points;
    for (std::size_t k = 1; k < 1520; ++k)
      points.emplace_back(static_cast<double>(k) * 48000 / 32768, signal::decibels(magnitude[k] / loudest));
    const double b = string.asked_stiffness(0);
    for (int n = 1; n < 20; ++n) {
      const double hz = 110.0 * n * std::sqrt((1 + b * n * n) / (1 + b));
      if (n % 8 == 0) plot.line(hz, -100, hz, 0);
    }
    plot.curve(points, 0.1, 0.2, 0.5);
    plot.frame("A2 plucked at 1/8 of its length; red: partials 8 and 16", "Hz", "dB", 220, 20);
  });
}

void draw_decay(const std::string& folder) {
  picture(folder + "/decay.png", 760, 300, [](cairo_t* cr) {
    Plot plot(cr, 0, 0, 760, 300, 26, 90, 0, 10);
    for (const auto& tuning : {demo::tunings()[0], demo::tunings()[3]}) {
      for (const int midi : tuning.open) {
        voice::PluckedString string;
        string.prepare(voice::usual_string(open_hz(midi), tuning.bass, 0.13));
        for (int fret = 0; fret <= 24; fret += 2) {
          const auto sound = signal::pluck(string, fret, 0.0, 2.0);
          const double t60 = signal::t60_of(sound, open_hz(midi + fret), 0.2, 1.9);
          if (tuning.bass) {
            plot.dot(midi + fret, t60, 0.1, 0.5, 0.3);
          } else {
            plot.dot(midi + fret, t60, 0.1, 0.2, 0.5);
          }
        }
      }
    }
    plot.frame("Decay of the first partial (T60), measured; guitar blue, bass green", "MIDI note", "s", 12, 1);
  });
}

void draw_strokes(const std::string& folder) {
  picture(folder + "/strokes.png", 760, 420, [](cairo_t* cr) {
    const auto down = play({note(0, 24000, 2, 7, false)}, {}, 1, 24000);
    const auto up = play({note(0, 24000, 2, 7, true)}, {}, 1, 24000);
    Plot waves(cr, 0, 0, 760, 190, 0, 40, -1.1, 1.1);
    Plot spectra(cr, 0, 195, 760, 225, 0, 6000, -80, 0);
    int index = 0;
    for (const auto* sound : {&down, &up}) {
      std::vector<std::pair<double, double>> points;
      for (std::size_t i = 0; i < 1920; ++i) points.emplace_back(static_cast<double>(i) / 48.0, (*sound)[i]);
      waves.curve(points, index == 0 ? 0.1 : 0.85, index == 0 ? 0.2 : 0.3, index == 0 ? 0.5 : 0.1);
      const auto magnitude = signal::spectrum(*sound, 0, 8192);
      const auto reference = signal::spectrum(down, 0, 8192);
      const double loudest = *std::max_element(reference.begin(), reference.end());
      points.clear();
      for (std::size_t k = 1; k < 1030; ++k)
        points.emplace_back(static_cast<double>(k) * 48000 / 8192, signal::decibels(magnitude[k] / loudest));
      spectra.curve(points, index == 0 ? 0.1 : 0.85, index == 0 ? 0.2 : 0.3, index == 0 ? 0.5 : 0.1);
      ++index;
    }
    waves.frame("A3 on the D string, clean; downstroke blue, upstroke red", "ms", "", 5, 0.5);
    spectra.frame("The same two strokes, first 170 ms", "Hz", "dB", 500, 20);
  });
}

void draw_articulation(const std::string& folder) {
  picture(folder + "/articulation.png", 760, 330, [](cairo_t* cr) {
    voice::Manner manner;
    manner.slide_seconds = 0.25;
    const std::vector<voice::PlayedNote> notes = {
        note(0, 24000, 3, 5, false), note(24000, 48000, 3, 7, false, voice::Touch::hammer),
        note(48000, 72000, 3, 5, false, voice::Touch::pull), note(72000, 96000, 3, 12, false, voice::Touch::slide)};
    auto sound = play(notes, manner, 0, 96000);
    manner.palm = 1.0;
    const auto muted = play({note(0, 24000, 3, 5, false), note(24000, 48000, 3, 5, true)}, manner, 0, 48000);
    sound.insert(sound.end(), muted.begin(), muted.end());
    Plot plot(cr, 0, 0, 760, 330, 0, 3, 0, 3000);
    spectrogram(plot, cr, sound, 3.0, 3000, 2048);
    plot.frame("Pick, hammer-on (0.5 s), pull-off (1 s), slide through the frets to 1.5 s, two palm-muted strokes", "s",
               "Hz", 0.5, 500);
  });
}

void draw_seam(const std::string& folder) {
  picture(folder + "/seam.png", 760, 220, [](cairo_t* cr) {
    const IdeaSheet idea = demo::weaving(32, 4);
    const auto timeline = lay_out(idea, idea.feels[0], {.piece = Piece::loop, .bpm = Rational(132)}).value();
    const auto sound = signal::left(render(idea.instrument, timeline, {}).value().strings);
    Plot plot(cr, 0, 0, 760, 220, -20, 20, -1, 1);
    std::vector<std::pair<double, double>> before;
    std::vector<std::pair<double, double>> after;
    for (int i = 0; i < 960; ++i) {
      before.emplace_back((i - 960) / 48.0, sound[sound.size() - 960 + static_cast<std::size_t>(i)]);
      after.emplace_back(i / 48.0, sound[static_cast<std::size_t>(i)]);
    }
    plot.curve(before, 0.1, 0.2, 0.5);
    plot.curve(after, 0.85, 0.3, 0.1);
    plot.frame(
        "A loop's end (blue) and its start (red), joined; a stroke falls on the seam, the last note rings into it",
        "ms", "", 5, 0.5);
  });
}

}  // namespace
}  // namespace fretloom

int main(int argc, char** argv) {
  if (argc != 2) {
    std::fprintf(stderr, "usage: sound_pictures FOLDER\n");
    return 2;
  }
  const std::string folder = argv[1];
  fretloom::draw_comb(folder);
  fretloom::draw_decay(folder);
  fretloom::draw_strokes(folder);
  fretloom::draw_articulation(folder);
  fretloom::draw_seam(folder);
  return 0;
}
