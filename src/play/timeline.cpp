#include "play/timeline.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numeric>

#include "base/text.h"
#include "neck/tuning.h"
#include "play/audio.h"
#include "score/ladder.h"
#include "score/limits.h"
#include "score/swing.h"

namespace fretloom {
namespace {

constexpr std::int64_t k_most_frames = 30LL * 60 * k_sample_rate;
constexpr std::int64_t k_least_ring = 5LL * k_sample_rate / 2;
constexpr std::int64_t k_stilling = 3LL * k_sample_rate / 5;
constexpr std::size_t k_most_notes = 20000;
// What the string voice is made for: open strings of 25 Hz to 1000 Hz (MIDI 20 to 83).
constexpr int k_lowest_open = 20;
constexpr int k_highest_open = 83;

constexpr std::array<std::string_view, 5> k_click_names = {"off", "bar", "beat", "subdivision", "backbeat"};
constexpr std::array<std::string_view, 6> k_piece_names = {"demo", "loop", "click", "ladder", "bursts", "band"};

template <class E, std::size_t N>
std::optional<E> parse_name(const std::array<std::string_view, N>& names, std::string_view text) {
  const std::string wanted = lower(trim(text));
  const auto found = std::find(names.begin(), names.end(), wanted);
  if (found == names.end()) return std::nullopt;
  return static_cast<E>(found - names.begin());
}

Error range_error(std::string what, std::string repair = {}) {
  return {ErrorKind::range, 0, std::move(what), std::move(repair)};
}

/// Smallest distance of two successive onsets, in beats; nothing for fewer than two notes.
std::optional<Rational> closest_onsets(const Score& score) {
  std::optional<Rational> least;
  for (std::size_t i = 1; i < score.notes.size(); ++i) {
    const Rational gap = score.notes[i].onset.value - score.notes[i - 1].onset.value;
    if (!least || gap < *least) least = gap;
  }
  return least;
}

/// What the voice cannot play although it can be written.
std::optional<Error> check_voice(const Neck& neck, const Score& score) {
  if (score.notes.size() > k_most_notes)
    return Error{ErrorKind::limit, 0, "more than " + std::to_string(k_most_notes) + " notes", {}};
  if (neck.highest_fret() > k_max_frets)
    return range_error("a string can be played up to fret " + std::to_string(k_max_frets));
  for (int string = 1; string <= neck.strings(); ++string) {
    const int midi = neck.open_midi(string);
    if (midi < k_lowest_open || midi > k_highest_open)
      return range_error("an open string must sound between G#0 and B5");
  }
  return std::nullopt;
}

/// Collects runs of the idea, each at its own tempo, one behind the other.
class Layer {
 public:
  Layer(const IdeaSheet& idea, const Score& score, const TimelineOptions& options)
      : idea_(idea), score_(score), options_(options), bar_(idea.meter.beats_per_bar()) {}

  Timeline take() { return std::move(out_); }

  /// Whole bars from bar 1 that hold the idea.
  [[nodiscard]] Rational body() const {
    const std::int64_t bars = (std::max(score_.end.value, Rational(1)) / bar_).ceil();
    return Rational(std::max<std::int64_t>(bars, 1)) * bar_;
  }

  /// Bars of count-in that also hold a pick-up.
  [[nodiscard]] Rational lead_in(const Rational& start) const {
    const std::int64_t pick_up = start < Rational(0) ? (-start / bar_).ceil() : 0;
    return Rational(std::max<std::int64_t>(options_.count_in_bars, pick_up)) * bar_;
  }

  void add_run(const Rational& bpm, const std::string& name, int times) {
    const Rational lead = lead_in(score_.start.value);
    const std::int64_t base = out_.frames;
    const auto at = [&](const Rational& beat) { return base + frame_of(beat + lead, bpm); };
    count_in(lead, at);
    // Each time starts where bars allow: a pick-up sounds over the last bar of the time before.
    const Rational each = loop_length();
    for (int t = 0; t < times; ++t) {
      const Rational shift = each * Rational(t);
      out_.marks.push_back({at(shift), bpm, name});
      add_notes(score_.notes, 0, shift, at);
      const Rational next = t + 1 < times ? shift + each + std::min(score_.start.value, Rational(0)) : shift + body();
      if (landing_of(score_) != nullptr || t + 1 == times) ring_until(at(next));
    }
    const Rational length = each * Rational(times - 1) + body();
    clicks(Rational(0), length, at);
    out_.stretches.push_back({at(Rational(0)), bpm, Beats(length)});
    out_.frames = at(length);
  }

  /// The last note of all rings out: to the bar line and 2.5 s at least, then the hand stills it and the room follows.
  void ring_out() {
    if (!out_.notes.empty()) {
      const std::int64_t bar_line = out_.frames + (options_.backing == Backing::band ? k_least_ring : 0);
      ring_until(std::max(bar_line, out_.notes.back().onset + k_least_ring));
      out_.frames = out_.notes.back().end + out_.notes.back().ring;
    }
    out_.frames += k_stilling;
  }

  void add_bursts(const Rational& bpm) {
    std::vector<ScoreNote> group;
    for (std::size_t i = 0; i < score_.notes.size();) {
      group.clear();
      const int repeat = score_.notes[i].repeat;
      for (; i < score_.notes.size() && score_.notes[i].repeat == repeat; ++i) group.push_back(score_.notes[i]);
      add_burst(group, bpm, options_.count_in_bars > 0 && out_.frames == 0);
    }
  }

  void add_loop(const Rational& bpm) {
    const int times = options_.piece == Piece::loop ? options_.times : 1;
    const Rational each = loop_length();
    const Rational length = each * Rational(times);
    start_loop(bpm, length);
    const auto at = [&](const Rational& beat) { return frame_of(beat, bpm); };
    if (options_.piece == Piece::loop) {
      for (int t = 0; t < times; ++t) {
        add_notes(score_.notes, 0, each * Rational(t), at);
        if (t + 1 < times && landing_of(score_) != nullptr)
          ring_until(at(each * Rational(t + 1) + score_.notes.front().onset.value));
      }
      wrap();
      if (landing_of(score_) != nullptr) ring_until(out_.frames + out_.notes.front().onset);
      out_.stretches.push_back({0, bpm, Beats(length)});
    }
    clicks(Rational(0), length, at);
  }

  Result<void> add_band(const Rational& bpm) {
    BandOptions options = options_.band;
    options.bpm = bpm;
    const auto band = play_vamp(idea_, options);
    if (!band) return band.error();
    start_loop(bpm, band->length.value);
    out_.stretches.push_back({0, bpm, band->length});
    return {};
  }

 private:
  void start_loop(const Rational& bpm, const Rational& length) {
    out_.frames = frame_of(length, bpm);
    out_.loop = true;
    out_.marks.push_back({0, bpm, title_of(idea_)});
  }

  void ring_until(std::int64_t frame) {
    if (out_.notes.empty()) return;
    voice::PlayedNote& last = out_.notes.back();
    last.ring = std::max<std::int64_t>(frame - last.end, 0);
  }

  /// Whole bars, at least the body, in which no pick-up of the next time meets the end of this one.
  [[nodiscard]] Rational loop_length() const {
    const Rational needed = score_.end.value - std::min(score_.start.value, Rational(0));
    return std::max(body(), Rational((needed / bar_).ceil()) * bar_);
  }

  /// One repetition moved so that it starts at its own place in the beat, then a rest to the bar line
  /// after next.
  void add_burst(const std::vector<ScoreNote>& group, const Rational& bpm, bool with_count_in) {
    const Rational first = group.front().onset.value;
    const Rational place = first - Rational(first.floor());
    const Rational lead = with_count_in ? Rational(options_.count_in_bars) * bar_ : Rational(0);
    const std::int64_t base = out_.frames;
    const auto at = [&](const Rational& beat) { return base + frame_of(beat + lead, bpm); };
    count_in(lead, at);
    const Rational end = group.back().onset.value + group.back().duration.value - first + place;
    const Rational length = (Rational((end / bar_).ceil()) + Rational(1)) * bar_;
    out_.marks.push_back({at(Rational(0)), bpm, "repetition " + std::to_string(group.front().repeat)});
    add_notes(group, static_cast<int>(out_.notes.size()), place - first, at);
    clicks(Rational(0), length, at);
    out_.frames = at(length);
  }

  template <class At>
  void add_notes(const std::vector<ScoreNote>& notes, int first, const Rational& shift, const At& at) {
    for (const ScoreNote& note : notes) {
      out_.score_notes.push_back(first++);
      voice::PlayedNote played;
      played.onset = at(note.onset.value + shift);
      played.end = at(note.onset.value + shift + note.duration.value);
      played.string = idea_.instrument.strings() - note.string;
      played.fret = note.fret;
      played.touch = static_cast<voice::Touch>(note.attack);
      played.upward = note.stroke == Stroke::up ? 1 : 0;
      played.accent = note.accent ? 1 : 0;
      played.vibrato = note.role == Role::landing ? 1 : 0;
      // No two strokes of a piece are alike, and the same piece is played alike each time.
      played.seed = static_cast<std::uint32_t>(out_.notes.size()) + 2U;
      out_.notes.push_back(played);
    }
  }

  void wrap() {
    for (voice::PlayedNote& note : out_.notes) {
      if (note.onset >= 0) continue;
      note.onset += out_.frames;
      note.end += out_.frames;
    }
    std::vector<std::size_t> order(out_.notes.size());
    std::iota(order.begin(), order.end(), std::size_t{0});
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return out_.notes[a].onset < out_.notes[b].onset; });
    const Timeline before = out_;
    for (std::size_t i = 0; i < order.size(); ++i) {
      out_.notes[i] = before.notes[order[i]];
      out_.score_notes[i] = before.score_notes[order[i]];
    }
  }

  template <class At>
  void count_in(const Rational& lead, const At& at) {
    if (options_.count_in_bars == 0) return;
    for (Rational beat = -lead; beat < Rational(0); beat += Rational(1)) {
      out_.knocks.push_back({at(beat), counted(beat_in_bar(idea_.meter, Beats(beat)).value), true});
    }
  }

  template <class At>
  void clicks(const Rational& from, const Rational& to, const At& at) {
    if (options_.click == ClickPattern::off) return;
    const bool fine = options_.click == ClickPattern::subdivision;
    const Rational step(1, fine ? std::max(score_.notes_per_beat, 1) : 1);
    for (Rational beat = from; beat < to; beat += step) {
      const auto knock = knock_at(beat);
      const bool swing = swings(idea_.vamp, idea_.meter, score_.notes_per_beat);
      if (knock)
        out_.knocks.push_back(
            {at(swing ? swung(idea_.meter, idea_.vamp.swing, Beats(beat)).value : beat), *knock, false});
    }
  }

  [[nodiscard]] std::optional<voice::Knock> knock_at(const Rational& beat) const {
    const Rational place = beat_in_bar(idea_.meter, Beats(beat)).value;
    if (!place.is_whole()) return voice::Knock::subdivision;
    if (options_.click == ClickPattern::backbeat) {
      return place.num() % 2 == 1 ? std::optional(voice::Knock::beat) : std::nullopt;
    }
    if (place != Rational(0) && options_.click == ClickPattern::bar) return std::nullopt;
    return counted(place);
  }

  /// The bar's first beat, a beat, or in additive meters the starts of groups before the beats within them.
  [[nodiscard]] voice::Knock counted(const Rational& place) const {
    if (place == Rational(0)) return voice::Knock::bar;
    if (!idea_.meter.is_additive()) return voice::Knock::beat;
    const std::vector<int> starts = idea_.meter.strong_beats();
    const bool is_start = std::find(starts.begin(), starts.end(), place.num()) != starts.end();
    return is_start ? voice::Knock::beat : voice::Knock::subdivision;
  }

  const IdeaSheet& idea_;
  const Score& score_;
  const TimelineOptions& options_;
  Rational bar_;
  Timeline out_;
};

Result<void> check_options(const Score& score, const TimelineOptions& options) {
  if (options.times < 1 || options.times > 64) return range_error("times must be 1 to 64", "1");
  if (options.count_in_bars < 0 || options.count_in_bars > 4) return range_error("a count-in has 0 to 4 bars", "1");
  if (options.piece == Piece::ladder) {
    if (auto legal = check_tempo(score, options.ladder_from); !legal) return legal;
  }
  return check_tempo(score, options.bpm);
}

/// Minutes asked for, before anything is laid out; doubles are enough for a bound.
double rough_minutes(const Meter& meter, const Score& score, const TimelineOptions& options) {
  const double bar = meter.beats_per_bar();
  const double idea = score.end.value.to_double() - score.start.value.to_double() + 2.0 * bar;
  const bool is_ladder = options.piece == Piece::ladder;
  const double beats = is_ladder ? static_cast<double>(ladder(options.ladder_from, options.bpm).size()) *
                                       (idea + options.count_in_bars * bar)
                                 : options.times * idea + 4.0 * bar;
  const Rational slowest = is_ladder ? std::min(options.bpm, options.ladder_from) : options.bpm;
  return beats / slowest.to_double();
}

}  // namespace

std::int64_t frame_of(const Rational& beats, const Rational& bpm) {
  return (beats * Rational(60LL * k_sample_rate) / bpm).round_half_up();
}

Result<Rational> legal_tempo(double bpm) {
  const std::string range = "a tempo must be a number from " + std::to_string(k_slowest_bpm) + " to " +
                            std::to_string(k_fastest_bpm) + " beats a minute";
  if (!std::isfinite(bpm)) return range_error(range, "120");
  if (bpm < k_slowest_bpm) return range_error(range, std::to_string(k_slowest_bpm));
  if (bpm > k_fastest_bpm) return range_error(range, std::to_string(k_fastest_bpm));
  Rational out;
  if (nearest_fraction(bpm, 1000, out)) return out;
  return Rational(std::llround(bpm * 1000.0), 1000);
}

Result<void> check_tempo(const Score& score, const Rational& bpm) {
  const auto bound = [](const char* which, int limit) {
    return range_error("a tempo must be at " + std::string(which) + " " + std::to_string(limit) + " beats a minute",
                       std::to_string(limit));
  };
  if (bpm < Rational(k_slowest_bpm)) return bound("least", k_slowest_bpm);
  if (bpm > Rational(k_fastest_bpm)) return bound("most", k_fastest_bpm);
  const auto gap = closest_onsets(score);
  if (!gap) return {};
  const Rational fastest = *gap * Rational(60LL * k_most_notes_per_second);
  if (bpm <= fastest) return {};
  return range_error(number_text((bpm / *gap / Rational(60)).to_double()) + " notes a second are more than the " +
                         std::to_string(k_most_notes_per_second) + " that can be played",
                     std::to_string(fastest.floor()));
}

std::string_view name(ClickPattern pattern) { return k_click_names[static_cast<std::size_t>(pattern)]; }
std::string_view name(Piece piece) { return k_piece_names[static_cast<std::size_t>(piece)]; }
std::optional<ClickPattern> parse_click_pattern(std::string_view text) {
  return parse_name<ClickPattern>(k_click_names, text);
}
std::optional<Piece> parse_piece(std::string_view text) { return parse_name<Piece>(k_piece_names, text); }

Result<Timeline> lay_out(const IdeaSheet& idea, const Score& score, const TimelineOptions& options) {
  if (const auto bad = fault_of(idea, score)) return *bad;
  if (const auto bad = check_voice(idea.instrument.neck, score)) return *bad;
  const Score played = swung(idea.meter, idea.vamp.swing, score);
  if (const auto legal = check_options(played, options); !legal) return legal.error();
  const Error too_long{ErrorKind::limit, 0, "more than 30 minutes of sound", {}};
  if (rough_minutes(idea.meter, score, options) > 60.0) return too_long;

  Layer layer(idea, played, options);
  switch (options.piece) {
    case Piece::demo: layer.add_run(options.bpm, title_of(idea), options.times); break;
    case Piece::loop:
    case Piece::click: layer.add_loop(options.bpm); break;
    case Piece::bursts: layer.add_bursts(options.bpm); break;
    case Piece::band:
      if (auto added = layer.add_band(options.bpm); !added) return added.error();
      break;
    case Piece::ladder:
      for (const Rational& bpm : ladder(options.ladder_from, options.bpm)) {
        layer.add_run(bpm, number_text(bpm.to_double()) + " bpm", 1);
      }
      break;
  }
  const bool loops = options.piece == Piece::loop || options.piece == Piece::click || options.piece == Piece::band;
  if (!loops) layer.ring_out();
  Timeline out = layer.take();
  if (out.frames > k_most_frames) return too_long;
  return out;
}

std::string to_text(const Timeline& timeline) {
  std::string text = std::to_string(timeline.frames) + " frames" + (timeline.loop ? ", loop" : "") + "\n";
  for (const Mark& mark : timeline.marks) {
    text += "mark " + std::to_string(mark.frame) + " " + mark.bpm.to_string() + " bpm " + mark.name + "\n";
  }
  for (const voice::PlayedNote& note : timeline.notes) {
    text += "note " + std::to_string(note.onset) + " to " + std::to_string(note.end) + " string " +
            std::to_string(note.string) + " fret " + std::to_string(note.fret) + (note.upward != 0 ? " U" : " D") +
            "\n";
  }
  constexpr std::array<std::string_view, 3> names = {"bar", "beat", "subdivision"};
  for (const TimedKnock& knock : timeline.knocks) {
    text +=
        "click " + std::to_string(knock.frame) + " " + std::string(names[static_cast<std::size_t>(knock.knock)]) + "\n";
  }
  return text;
}

}  // namespace fretloom
