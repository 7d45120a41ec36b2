#include "score/rhythm.h"

#include <algorithm>
#include <numeric>

#include "score/limits.h"

namespace fretloom {

namespace {

constexpr std::int64_t k_most_bars = 4096;
constexpr std::int64_t k_finest = 128;          // shortest written value 1/128
constexpr std::int64_t k_finest_division = 96;  // parts of one beat

bool is_power_of_two(std::int64_t n) { return n > 0 && (n & (n - 1)) == 0; }

/// A written value, if one symbol (with at most one dot) has exactly this length of a whole note.
struct Value {
  int log = 0;
  int dots = 0;
};
std::optional<Value> single_value(const Rational& whole) {
  for (int log = 0; log <= 7; ++log) {
    const Rational plain(1, std::int64_t{1} << log);
    if (whole == plain) return Value{log, 0};
    if (whole == plain * Rational(3, 2) && log < 7) return Value{log, 1};
  }
  return std::nullopt;
}

/// How one beat is divided: plainly, or by a tuplet.
struct Division {
  std::optional<TupletRatio> ratio;
  bool split = false;  ///< something begins or ends inside the beat
};

std::optional<TupletRatio> ratio_of(const Meter& meter, std::int64_t parts) {
  if (!meter.is_compound() || parts <= k_max_notes_per_beat) return tuplet_ratio(meter, static_cast<int>(parts));
  std::int64_t normal = 12;
  while (normal * 2 <= parts) normal *= 2;
  if (normal == parts) return std::nullopt;
  return TupletRatio{static_cast<int>(parts), static_cast<int>(normal)};
}

/// A span of one bar, before it is cut into values.
struct Span {
  Rational from;
  Rational to;
  int note = -1;
  bool tie_in = false;
  bool tie_out = false;
};

class BarWriter {
 public:
  BarWriter(const Meter& meter, const Score& score, RhythmBar& bar)
      : meter_(meter), score_(score), bar_(bar), beam_starts_(beam_starts(meter)), counted_(counted_groups(meter)) {}

  /// False if a value would be too short to write.
  bool write(const std::vector<Span>& spans) {
    if (is_empty_bar(spans)) {
      RhythmEvent rest;
      rest.onset = bar_.start;
      rest.duration = Beats(bar_.end.value - bar_.start.value);
      rest.log = 0;
      rest.full_bar = true;
      bar_.events.push_back(rest);
      return true;
    }
    if (!divide(spans)) return false;
    for (const Span& span : spans) {
      if (!write_span(span)) return false;
    }
    set_tuplet_brackets();
    return true;
  }

 private:
  [[nodiscard]] bool is_empty_bar(const std::vector<Span>& spans) const {
    return spans.size() == 1 && spans[0].note < 0 && bar_.start.value == bar_.origin.value;
  }
  [[nodiscard]] Rational place(const Rational& beat) const { return beat - bar_.origin.value; }
  [[nodiscard]] std::size_t beat_index(const Rational& beat) const {
    return static_cast<std::size_t>(place(beat).floor());
  }

  bool divide(const std::vector<Span>& spans) {
    const auto beats = static_cast<std::size_t>(meter_.beats_per_bar());
    std::vector<std::int64_t> parts(beats, 1);
    for (const Span& span : spans) {
      for (const Rational& edge : {span.from, span.to}) {
        const Rational p = place(edge);
        if (p.is_whole()) continue;
        auto& n = parts[static_cast<std::size_t>(p.floor())];
        n = std::lcm(n, p.den());
        if (n > k_finest_division) return false;
      }
    }
    divisions_.assign(beats, {});
    tuplet_of_beat_.assign(beats, -1);
    for (std::size_t i = 0; i < beats; ++i) {
      divisions_[i].split = parts[i] > 1;
      const bool plain =
          meter_.is_compound() ? parts[i] % 3 == 0 && is_power_of_two(parts[i] / 3) : is_power_of_two(parts[i]);
      if (parts[i] > 1 && !plain) divisions_[i].ratio = ratio_of(meter_, parts[i]);
    }
    return true;
  }

  /// First beat of the counted group after the one that holds `beat`.
  [[nodiscard]] int group_end(int beat) const {
    const auto next = std::upper_bound(counted_.begin(), counted_.end(), beat);
    return next == counted_.end() ? meter_.beats_per_bar() : *next;
  }

  /// Longest run of whole beats (perhaps with half a beat) from beat `p` that one symbol may show.
  [[nodiscard]] Rational whole_beats(int p, const Rational& length, bool rest) const {
    const int beats = meter_.beats_per_bar();
    const int most = static_cast<int>(std::min<std::int64_t>(length.floor(), beats - p));
    const bool small_beats = !meter_.is_compound() && meter_.denominator >= 8;
    if (!rest && p == 0 && most == beats && single_value(meter_.beat_value() * Rational(beats))) return {beats};
    if (!rest && !small_beats && !meter_.is_compound() && length == Rational(3, 2) && p + 1 < beats &&
        !divisions_[static_cast<std::size_t>(p) + 1].ratio) {
      return length;
    }
    for (int n = most; n > 1; --n) {
      if (may_join(p, n, rest, small_beats) && single_value(meter_.beat_value() * Rational(n))) return {n};
    }
    return {1};
  }

  [[nodiscard]] bool may_join(int p, int n, bool rest, bool small_beats) const {
    const int beats = meter_.beats_per_bar();
    const bool even_bar = beats % 2 == 0;
    if (small_beats || meter_.is_additive() || (!even_bar && beats > 3)) {
      const bool inside = p + n <= group_end(p);
      if (rest) return inside && n == 2 && std::binary_search(counted_.begin(), counted_.end(), p);
      // Three beats that start an uneven bar read as well as its first group and a tie.
      return inside || (!small_beats && !meter_.is_additive() && p == 0 && n == 3);
    }
    if (rest) return even_bar && n == 2 && p % 2 == 0;
    // The middle of an even bar stays visible, except under a value that starts the bar.
    if (even_bar && p > 0 && p % 2 != 0) return false;
    return !even_bar || p == 0 || p % n == 0;
  }

  bool write_span(const Span& span) {
    Rational from = span.from;
    bool tie_in = span.tie_in;
    while (from < span.to) {
      const std::size_t beat = beat_index(from);
      const Rational beat_start = bar_.origin.value + Rational(static_cast<std::int64_t>(beat));
      const Rational beat_end = beat_start + Rational(1);
      Rational to = span.to;
      if (from == beat_start && span.to >= beat_end) {
        to = from + whole_beats(static_cast<int>(beat), span.to - from, span.note < 0);
        add(from, to, span, tie_in, {}, meter_.beat_value() * (to - from));
      } else {
        if (to > beat_end) to = beat_end;
        if (!write_inside(beat, from, to, span, tie_in)) return false;
      }
      from = to;
      tie_in = true;
    }
    return true;
  }

  /// Cuts a span that lies inside one beat into values.
  bool write_inside(std::size_t beat, Rational from, const Rational& to, const Span& span, bool tie_in) {
    const auto& ratio = divisions_[beat].ratio;
    Rational scale = meter_.beat_value();
    if (ratio) scale = scale * Rational(ratio->actual, ratio->normal);
    const Rational beat_start = bar_.origin.value + Rational(static_cast<std::int64_t>(beat));
    while (from < to) {
      const Rational written = (to - from) * scale;
      const Rational offset = (from - beat_start) * scale;
      Rational piece = written;
      if (span.note < 0 || !single_value(written)) piece = aligned(offset, written);
      if (piece < Rational(1, k_finest) || !single_value(piece)) return false;
      const Rational end = from + piece / scale;
      if (ratio) open_tuplet(beat, *ratio);
      add(from, end, span, tie_in, ratio ? std::optional<int>(tuplet_of_beat_[beat]) : std::nullopt, piece);
      if (ratio)
        bar_.tuplets[static_cast<std::size_t>(tuplet_of_beat_[beat])].last = static_cast<int>(bar_.events.size()) - 1;
      from = end;
      tie_in = true;
    }
    return true;
  }

  /// Largest plain value not longer than `length` that starts on a multiple of itself.
  static Rational aligned(const Rational& offset, const Rational& length) {
    Rational value(1);
    while (value > Rational(1, k_finest) && (value > length || !(offset / value).is_whole()))
      value = value * Rational(1, 2);
    return value;
  }

  void open_tuplet(std::size_t beat, TupletRatio ratio) {
    if (tuplet_of_beat_[beat] >= 0) return;
    tuplet_of_beat_[beat] = static_cast<int>(bar_.tuplets.size());
    const int next = static_cast<int>(bar_.events.size());
    bar_.tuplets.push_back({ratio, next, next, true});
  }

  void add(const Rational& from, const Rational& to, const Span& span, bool tie_in, std::optional<int> tuplet,
           const Rational& written) {
    const auto value = single_value(written);
    RhythmEvent event;
    event.onset = Beats(from);
    event.duration = Beats(to - from);
    event.note = span.note;
    event.log = value ? value->log : 2;
    event.dots = value ? value->dots : 0;
    event.tie_in = span.note >= 0 && tie_in;
    event.tie_out = span.note >= 0 && (to < span.to || span.tie_out);
    event.tuplet = tuplet.value_or(-1);
    bar_.events.push_back(event);
  }

  void set_tuplet_brackets() {
    write_beams();
    for (TupletGroup& tuplet : bar_.tuplets) {
      for (const BeamGroup& beam : bar_.beams) {
        if (beam.events.front() == tuplet.first && beam.events.back() == tuplet.last) tuplet.bracket = false;
      }
    }
  }

  void write_beams() {
    for (int half = 0; half < meter_.beats_per_bar(); half += 2) {
      if (is_half_of_eighths(half)) halves_.push_back(half);
    }
    std::vector<int> run;
    int run_group = -1;
    for (int i = 0; i < static_cast<int>(bar_.events.size()); ++i) {
      const RhythmEvent& event = bar_.events[static_cast<std::size_t>(i)];
      const int group = beam_group(static_cast<int>(place(event.onset.value).floor()));
      if (group != run_group || event.log < 3) close_beam(run);
      run_group = group;
      if (event.log >= 3 && !event.is_rest()) run.push_back(i);
    }
    close_beam(run);
  }

  /// First beat of the beam that `beat` belongs to.
  [[nodiscard]] int beam_group(int beat) const {
    const int half = beat - beat % 2;
    if (std::find(halves_.begin(), halves_.end(), half) != halves_.end()) return half;
    return *(std::upper_bound(beam_starts_.begin(), beam_starts_.end(), beat) - 1);
  }

  /// True for a half bar of 2/4 or 4/4 from this beat that eighths fill, while no repetition of the rule begins
  /// inside it.
  [[nodiscard]] bool is_half_of_eighths(int half) const {
    const int beats = meter_.beats_per_bar();
    if (meter_.is_additive() || meter_.denominator != 4 || (beats != 2 && beats != 4)) return false;
    const RhythmEvent* before = nullptr;
    int eighths = 0;
    for (const RhythmEvent& event : bar_.events) {
      const Rational p = place(event.onset.value);
      if (p < Rational(half) || p >= Rational(half + 2)) continue;
      if (event.is_rest() || event.log != 3 || event.dots > 0 || event.tuplet >= 0) return false;
      if (before != nullptr && starts_group(*before, event)) return false;
      before = &event;
      ++eighths;
    }
    return eighths == 4;
  }

  /// True where the rule begins again, or the ending begins, with the second of two notes.
  [[nodiscard]] bool starts_group(const RhythmEvent& before, const RhythmEvent& event) const {
    if (before.is_rest() || event.is_rest()) return false;
    const ScoreNote& a = score_.notes[static_cast<std::size_t>(before.note)];
    const ScoreNote& b = score_.notes[static_cast<std::size_t>(event.note)];
    return a.repeat != b.repeat || (a.role == Role::rule) != (b.role == Role::rule);
  }

  void close_beam(std::vector<int>& run) {
    if (run.size() >= 2) {
      BeamGroup beam;
      for (const int i : run) bar_.events[static_cast<std::size_t>(i)].beam = static_cast<int>(bar_.beams.size());
      const bool grouped = shows_groups(run);
      for (std::size_t i = 0; i + 1 < run.size(); ++i) beam.joined.push_back(join_level(run[i], run[i + 1], grouped));
      beam.events = run;
      bar_.beams.push_back(std::move(beam));
    }
    run.clear();
  }

  /// True if repetitions begin under the beam. Where every note is a group of its own there is nothing to show.
  [[nodiscard]] bool shows_groups(const std::vector<int>& run) const {
    std::size_t groups = 1;
    for (std::size_t i = 1; i < run.size(); ++i) {
      const RhythmEvent& before = bar_.events[static_cast<std::size_t>(run[i - 1])];
      if (starts_group(before, bar_.events[static_cast<std::size_t>(run[i])])) ++groups;
    }
    return groups > 1 && groups < run.size();
  }

  /// Level at which two neighbours join. Where repetitions of the rule begin under the beam, each has secondary beams
  /// of its own (ours, as sub-groups are shown). Elsewhere thirty-seconds and shorter show the beat's half (simple) or
  /// its eighths (compound) by a single beam (Gould, "secondary beams", from memory).
  [[nodiscard]] int join_level(int left, int right, bool grouped) const {
    const RhythmEvent& a = bar_.events[static_cast<std::size_t>(left)];
    const RhythmEvent& b = bar_.events[static_cast<std::size_t>(right)];
    const int level = std::min(a.log, b.log) - 2;
    if (level <= 1) return level;
    if (right != left + 1) return 1;  // a rest between them
    if (grouped) return starts_group(a, b) ? 1 : level;
    const Rational p = place(b.onset.value);
    if (b.tuplet >= 0) {
      const auto& ratio = bar_.tuplets[static_cast<std::size_t>(b.tuplet)].ratio;
      const Rational part = (p - Rational(p.floor())) * Rational(3);
      return ratio.actual == 12 && part.is_whole() ? 1 : level;
    }
    const Rational eighths = p * meter_.beat_value() * Rational(8);
    const bool long_beat = meter_.beat_value() >= Rational(1, 8);
    return level >= 3 && long_beat && eighths.is_whole() ? 1 : level;
  }

  const Meter& meter_;
  const Score& score_;
  RhythmBar& bar_;
  std::vector<int> beam_starts_;
  std::vector<int> counted_;  ///< first beats of the groups that values and rests keep to
  std::vector<int> halves_;   ///< first beats of half bars under one beam of eighths
  std::vector<Division> divisions_;
  std::vector<int> tuplet_of_beat_;
};

Error finely_divided(std::int64_t bar) {
  return {ErrorKind::range, 0,
          "bar " + std::to_string(bar) + " divides a beat so finely that it would need values under 1/128",
          "fewer notes per beat"};
}

/// The first place that is written: the start of the beat that holds the first unit.
Rational first_place(const Score& score) {
  Rational first = score.start.value;
  if (!score.notes.empty()) first = std::min(first, score.notes.front().onset.value);
  return first;
}

Rational last_place(const Score& score) {
  if (score.notes.empty()) return score.end.value;
  return std::max(score.end.value, score.notes.back().onset.value + score.notes.back().duration.value);
}

/// The notes and gaps of one bar, in order and without holes.
std::vector<Span> spans_of(const Score& score, const RhythmBar& bar, std::size_t& next) {
  std::vector<Span> spans;
  Rational at = bar.start.value;
  for (std::size_t i = next; i < score.notes.size() && at < bar.end.value; ++i) {
    const ScoreNote& note = score.notes[i];
    const Rational from = std::max(note.onset.value, bar.start.value);
    if (from >= bar.end.value) break;
    const Rational note_end = note.onset.value + note.duration.value;
    const Rational to = std::min(note_end, bar.end.value);
    if (from > at) spans.push_back({at, from, -1, false, false});
    spans.push_back({from, to, static_cast<int>(i), note.onset.value < from, to < note_end});
    at = to;
    if (to == note_end) next = i + 1;
  }
  if (at < bar.end.value) spans.push_back({at, bar.end.value, -1, false, false});
  return spans;
}

/// Twos with a closing three where the number is odd.
std::vector<int> twos(int beats) {
  std::vector<int> starts;
  for (int i = 0; i < beats; i += 2) {
    if (i + 1 < beats || beats == 1) starts.push_back(i);
  }
  return starts;
}

}  // namespace

std::vector<int> beam_starts(const Meter& meter) {
  const int beats = meter.beats_per_bar();
  if (meter.is_additive()) return meter.strong_beats();
  if (!meter.is_compound() && meter.denominator > 4) return twos(beats);
  std::vector<int> starts(static_cast<std::size_t>(beats));
  std::iota(starts.begin(), starts.end(), 0);
  return starts;
}

std::vector<int> counted_groups(const Meter& meter) {
  return meter.is_additive() ? meter.strong_beats() : twos(meter.beats_per_bar());
}

Result<Rhythm> write_rhythm(const Meter& meter, const Score& score) {
  Rhythm rhythm;
  const Rational end = last_place(score);
  const Rational first = first_place(score);
  const int beats = meter.beats_per_bar();
  const std::int64_t first_bar = bar_of(meter, Beats(first));
  const std::int64_t bars = (end / Rational(beats)).ceil() - first_bar + 1;
  if (bars > k_most_bars) return Error{ErrorKind::limit, 0, "the idea is longer than 4096 bars", ""};
  std::size_t next = 0;
  for (std::int64_t number = first_bar; number < first_bar + std::max<std::int64_t>(bars, 1); ++number) {
    RhythmBar bar;
    bar.number = number;
    bar.origin = Beats(Rational((number - 1) * beats));
    bar.start = bar.origin;
    bar.end = Beats(bar.origin.value + Rational(beats));
    if (number <= 0 && number == first_bar) bar.start = Beats(Rational(first.floor()));
    if (!BarWriter(meter, score, bar).write(spans_of(score, bar, next))) return finely_divided(number);
    rhythm.bars.push_back(std::move(bar));
  }
  return rhythm;
}

std::vector<std::pair<Beats, const VampChord*>> chords_in(const Vamp& vamp, const Meter& meter, const RhythmBar& bar) {
  std::vector<std::pair<Beats, const VampChord*>> found;
  const Rational length = vamp.length(meter).value;
  if (vamp.chords.empty() || bar.number <= 0 || length <= Rational(0)) return found;
  const Rational cycle = Rational((bar.origin.value / length).floor()) * length;
  for (const Rational& base : {cycle, cycle + length}) {
    for (const VampChord& chord : vamp.chords) {
      const Rational onset = base + chord.onset.value;
      if (onset >= bar.origin.value && onset < bar.end.value) found.emplace_back(Beats(onset), &chord);
    }
  }
  return found;
}

std::string to_text(const Rhythm& rhythm) {
  std::string out;
  for (const RhythmBar& bar : rhythm.bars) {
    out += "bar " + std::to_string(bar.number) + "\n";
    for (const RhythmEvent& e : bar.events) {
      out += "  " + e.onset.value.to_string() + " +" + e.duration.value.to_string();
      out += e.is_rest() ? " rest" : " n" + std::to_string(e.note);
      out +=
          e.full_bar ? " bar" : " 1/" + std::to_string(1 << e.log) + std::string(static_cast<std::size_t>(e.dots), '.');
      if (e.tie_in) out += " )tie";
      if (e.tie_out) out += " tie(";
      if (e.beam >= 0) out += " beam" + std::to_string(e.beam);
      if (e.tuplet >= 0) {
        const TupletGroup& t = bar.tuplets[static_cast<std::size_t>(e.tuplet)];
        out += ' ' + t.ratio.name() + (t.bracket ? " bracket" : "");
      }
      out += "\n";
    }
    for (const BeamGroup& beam : bar.beams) {
      out += "  beam";
      for (std::size_t i = 0; i < beam.events.size(); ++i) {
        out += ' ' + std::to_string(beam.events[i]);
        if (i < beam.joined.size()) out += " =" + std::to_string(beam.joined[i]);
      }
      out += "\n";
    }
  }
  return out;
}

}  // namespace fretloom
