#include <algorithm>
#include <cstdlib>
#include <optional>

#include "band/chance.h"
#include "band/song.h"

namespace fretloom {

namespace {

// A root lies within this many semitones of the range's bottom, other tones within the second.
constexpr int k_root_span = 14;
constexpr int k_tone_span = 20;

constexpr int k_velocity_first = 98;
constexpr int k_velocity_pulse = 90;
constexpr int k_velocity_off = 82;
constexpr int k_velocity_ghost = 38;

struct BassNote {
  Hit hit;
  std::size_t span = 0;
  BandNote note;
};

class Bassist {
 public:
  Bassist(const Song& song, const PitchRange& range) : song_(song), range_(range) {}

  BandPart play() {
    find_roots();
    take_hits();
    for (std::size_t i = 0; i < notes_.size(); ++i) choose(i);
    for (std::size_t span = 0; span < song_.spans.size(); ++span) lead_into(span);
    return finished();
  }

 private:
  [[nodiscard]] const Chord& chord(std::size_t span) const { return *song_.spans[span].chord; }
  [[nodiscard]] static PitchClass lowest_of(const Chord& chord) { return chord.bass.value_or(chord.root); }

  /// The bass note of each span, near the one before.
  void find_roots() {
    const int highest = std::min(range_.high, range_.low + k_root_span);
    for (const ChordSpan& span : song_.spans) {
      const auto wanted = floor_mod(lowest_of(*span.chord).semitones(), 12);
      std::optional<int> best;
      for (int midi = range_.low; midi <= highest; ++midi) {
        if (midi % 12 != wanted) continue;
        if (!best || (!roots_.empty() && std::abs(midi - roots_.back()) < std::abs(*best - roots_.back()))) best = midi;
      }
      roots_.push_back(best.value_or(range_.low));
    }
  }

  /// The pattern's hits, with the root on every chord's first moment.
  void take_hits() {
    std::vector<Hit> hits = song_.hits(&Lanes::bass);
    if (hits.empty()) return;
    const Rational step = song_.pattern.plan().pulses.front().step;
    for (const ChordSpan& span : song_.spans) {
      if (!span.is_change) continue;
      const auto at = std::find_if(hits.begin(), hits.end(), [&](const Hit& hit) { return hit.onset >= span.from; });
      if (at != hits.end() && at->onset == span.from) {
        at->letter = 'R';
      } else {
        const int bar = static_cast<int>(bar_of(song_.meter, Beats(span.from))) - 1;
        hits.insert(at, {span.from, step, 'R', bar, true});
      }
    }
    for (const Hit& hit : hits) notes_.push_back({hit, song_.span_at(hit.onset), {}});
  }

  void set_root(BassNote& n) const {
    const Chord& c = chord(n.span);
    n.note.key = roots_[n.span];
    const Degree* tone = c.tone_at(static_cast<int>(floor_mod(n.note.key - c.root.semitones(), 12)));
    n.note.tone = tone == nullptr ? BandTone::slash_bass : BandTone::chord;
    n.note.degree = tone == nullptr ? Degree{} : *tone;
  }

  /// A tone of the chord above its bass note, below where the range ends.
  [[nodiscard]] bool set_tone(BassNote& n, int number) const {
    const Chord& c = chord(n.span);
    const auto tone = std::find_if(c.tones.begin(), c.tones.end(), [&](const Degree& d) { return d.number == number; });
    if (tone == c.tones.end()) return false;
    const int root = roots_[n.span];
    const int above = static_cast<int>(floor_mod(c.root.semitones() + tone->semitones() - root, 12));
    int key = root + above;
    if (key > highest_tone()) key -= 12;
    if (key < range_.low || above == 0) return false;
    n.note.key = key;
    n.note.tone = BandTone::chord;
    n.note.degree = *tone;
    return true;
  }

  [[nodiscard]] int highest_tone() const { return std::min(range_.high, range_.low + k_tone_span); }

  void choose(std::size_t i) {
    BassNote& n = notes_[i];
    set_root(n);
    switch (n.hit.letter) {
      case '5':
      case 'q': (void)set_tone(n, 5); break;
      case '8':
      case 'e':
        if (n.note.key + 12 <= highest_tone()) n.note.key += 12;
        break;
      case 'g':
        if (i > 0 && notes_[i - 1].span == n.span) {
          n.note = notes_[i - 1].note;
        }
        n.note.touch = BandTouch::ghost;
        break;
      case 'w': walk(i); break;
      default: break;
    }
  }

  /// A chord tone not far from the note before; a bar begins on the root or the fifth.
  void walk(std::size_t i) {
    BassNote& n = notes_[i];
    const bool first = i == 0 || notes_[i - 1].span != n.span;
    if (first) return;
    const Chord& c = chord(n.span);
    const int before = notes_[i - 1].note.key;
    const bool bar_start = notes_[i - 1].hit.bar != n.hit.bar;
    std::vector<std::pair<int, Degree>> choices;
    for (int key = std::max(range_.low, before - 7); key <= std::min(highest_tone(), before + 7); ++key) {
      const Degree* tone = c.tone_at(static_cast<int>(floor_mod(key - c.root.semitones(), 12)));
      if (tone == nullptr || tone->number > 7 || key == before) continue;
      if (bar_start && tone->number != 1 && tone->number != 5) continue;
      choices.emplace_back(key, *tone);
    }
    if (choices.empty()) return;
    const int pick =
        chance(song_.options.seed, Question::walk, static_cast<std::int64_t>(i), static_cast<int>(choices.size()));
    n.note.key = choices[static_cast<std::size_t>(pick)].first;
    n.note.degree = choices[static_cast<std::size_t>(pick)].second;
    n.note.tone = BandTone::chord;
  }

  /// The approach into a span: the last note before it, or one put on the last off-beat.
  void lead_into(std::size_t span) {
    const ChordSpan& next = song_.spans[span];
    const std::size_t before = (span + song_.spans.size() - 1) % song_.spans.size();
    const int target = roots_[span];
    if (!next.is_change || notes_.empty() || floor_mod(target - roots_[before], 12) == 0) return;
    const Rational change = next.from == Rational(0) ? song_.length : next.from;
    const Rational pulse = song_.pulse_beats();
    const auto after =
        std::find_if(notes_.begin(), notes_.end(), [&](const BassNote& n) { return n.hit.onset >= change; });
    const auto last = after - 1;  // the span before begins with a note
    const bool walks = last->hit.letter == 'w';
    if (song_.options.intensity == Intensity::sparse && !walks) return;
    if (last->hit.onset > song_.spans[before].from && change - last->hit.onset <= pulse) {
      approach(*last, target, span, (last - 1)->note.key);
      return;
    }
    const Rational half = pulse * Rational(1, 2);
    const bool may_add = song_.pattern.table().name != "held" && change - half > song_.spans[before].from &&
                         half * Rational(60) / song_.options.bpm >= Rational(1, 12) && !song_.pattern.plan().coarse;
    if (!may_add) return;
    const int bar = static_cast<int>(bar_of(song_.meter, Beats(change - half))) - 1;
    BassNote added{{change - half, half, 'r', bar, false}, before, {}};
    set_root(added);
    approach(added, target, span, last->note.key);
    notes_.insert(after, added);
  }

  void approach(BassNote& n, int target, std::size_t span, int before) const {
    struct Choice {
      int key;
      BandTone tone;
    };
    std::vector<Choice> choices;
    for (const int by : {-1, 1, -2, 2, 7, -5}) {
      const int key = target + by;
      const BandTone tone = std::abs(by) == 1   ? BandTone::chromatic_approach
                            : std::abs(by) == 2 ? BandTone::scale_approach
                                                : BandTone::fifth_approach;
      if (!range_.contains(key)) continue;
      if (tone == BandTone::scale_approach && !song_.key.contains(key)) continue;
      choices.push_back({key, tone});
    }
    // Not the note that sounds already, where another leads in.
    const auto is_stale = [&](const Choice& c) { return c.key == before; };
    if (!std::all_of(choices.begin(), choices.end(), is_stale)) std::erase_if(choices, is_stale);
    const int pick = chance(song_.options.seed, Question::approach, static_cast<std::int64_t>(span),
                            static_cast<int>(choices.size()));
    n.note.key = choices[static_cast<std::size_t>(pick)].key;
    n.note.tone = choices[static_cast<std::size_t>(pick)].tone;
    n.note.degree = {};
    n.note.touch = BandTouch::plain;
  }

  BandPart finished() {
    BandPart part{BandRole::bass, RegisterUse::apart, {}};
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      const BassNote& n = notes_[i];
      const Rational next = i + 1 < notes_.size() ? notes_[i + 1].hit.onset : song_.length;
      BandNote note = n.note;
      const bool ghost = note.touch == BandTouch::ghost;
      const bool first = beat_in_bar(song_.meter, Beats(n.hit.onset)).value == Rational(0);
      note.onset = song_.sounding(n.hit.onset);
      note.duration = song_.sounding(ghost ? std::min(next, n.hit.onset + n.hit.step) : next) + -note.onset;
      const int base = ghost            ? k_velocity_ghost
                       : first          ? k_velocity_first
                       : n.hit.is_pulse ? k_velocity_pulse
                                        : k_velocity_off;
      note.velocity = song_.velocity(base, BandRole::bass, i);
      part.notes.push_back(note);
    }
    return part;
  }

  const Song& song_;
  const PitchRange& range_;
  std::vector<int> roots_;  ///< of each span
  std::vector<BassNote> notes_;
};

}  // namespace

BandPart play_bass(const Song& song, const PitchRange& range) { return Bassist(song, range).play(); }

}  // namespace fretloom
