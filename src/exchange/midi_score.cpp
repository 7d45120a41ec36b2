#include "exchange/midi_score.h"

#include <algorithm>
#include <cassert>
#include <map>
#include <optional>
#include <set>
#include <tuple>

#include "exchange/midi_text.h"
#include "score/swing.h"

namespace fretloom {

namespace {

// General MIDI, programs from 0, percussion keys.
constexpr int k_high_wood_block = 76;
constexpr int k_low_wood_block = 77;

Rational quarters_a_beat(const Meter& meter) { return meter.beat_value() * Rational(4); }

std::int64_t ticks_a_bar(const Meter& meter) {
  return (Rational(meter.beats_per_bar()) * quarters_a_beat(meter) * Rational(k_midi_division)).round_half_up();
}

Beats first_sound(const Score& score) {
  return score.notes.empty() ? score.start : std::min(score.start, score.notes.front().onset);
}

Beats last_sound(const Score& score) {
  return score.notes.empty() ? score.end : std::max(score.end, score.notes.back().onset + score.notes.back().duration);
}

std::string big_endian(std::int64_t value, int count) {
  std::string bytes;
  for (int shift = 8 * (count - 1); shift >= 0; shift -= 8) bytes += static_cast<char>(value >> shift & 0xFF);
  return bytes;
}

/// Events in the order in which one tick needs them: what is said of the passage, note-offs, programs,
/// note-ons.
class TrackWriter {
 public:
  explicit TrackWriter(std::string_view name) { meta(0, k_meta_track_name, std::string(name)); }

  void meta(std::int64_t tick, std::uint8_t type, std::string data) { add(0, {tick, 0xFF, type, std::move(data)}); }
  void program(std::int64_t tick, int channel, int program) {
    add(2, {tick, status(0xC0, channel), 0, big_endian(program, 1)});
  }
  void note(std::int64_t on, std::int64_t off, int channel, int key, int velocity) {
    add(3, {on, status(0x90, channel), 0, big_endian(key, 1) + big_endian(velocity, 1)});
    add(1, {std::max(off, on + 1), status(0x80, channel), 0, big_endian(key, 1) + big_endian(0x40, 1)});
  }

  [[nodiscard]] MidiTrack finish(std::int64_t end) {
    std::stable_sort(events_.begin(), events_.end(), [](const Ranked& a, const Ranked& b) {
      return std::tie(a.event.tick, a.rank) < std::tie(b.event.tick, b.rank);
    });
    MidiTrack track;
    for (Ranked& ranked : events_) track.events.push_back(std::move(ranked.event));
    track.end = end;
    return track;
  }

 private:
  struct Ranked {
    int rank = 0;
    MidiEvent event;
  };
  static std::uint8_t status(int kind, int channel) { return static_cast<std::uint8_t>(kind | (channel - 1)); }
  void add(int rank, MidiEvent event) { events_.push_back({rank, std::move(event)}); }

  std::vector<Ranked> events_;
};

/// Minor where the signature is that of the tonic's minor key; anything else (E dorian) is told as major, since
/// a file can say no more.
std::string key_data(const Key& key) {
  const int fifths = key_signature(key);
  const bool is_minor = fifths == major_signature(key.tonic()) - 3;
  return big_endian(fifths, 1) + big_endian(is_minor ? 1 : 0, 1);
}

std::string meter_data(const Meter& meter) {
  int power = 0;
  while (1 << power < meter.denominator) ++power;
  // The third byte is the metronome's click in 24ths of a quarter note: our beat.
  const std::int64_t clocks = (quarters_a_beat(meter) * Rational(24)).round_half_up();
  return big_endian(meter.numerator(), 1) + big_endian(power, 1) + big_endian(clocks, 1) + big_endian(8, 1);
}

Result<MidiTrack> conductor_track(const std::string& title, const std::vector<MidiPassage>& passages, MidiSpeed speed,
                                  std::int64_t end) {
  TrackWriter track(title);
  std::map<std::uint8_t, std::string> said;
  const auto say = [&](std::int64_t tick, MidiMeta type, const std::string& data) {
    if (said[type] == data) return;
    track.meta(tick, type, data);
    said[type] = data;
  };
  for (const MidiPassage& passage : passages) {
    const IdeaSheet& idea = *passage.feel.idea;
    const auto tempo = midi_tempo(idea.meter, speed == MidiSpeed::slow ? idea.slow_bpm : idea.goal_bpm);
    if (!tempo) return in_idea(idea, tempo.error());
    say(passage.begin, k_meta_tempo, big_endian(*tempo, 3));
    say(passage.begin, k_meta_meter, meter_data(idea.meter));
    say(passage.begin, k_meta_key, key_data(idea.key));
    track.meta(passage.first, k_meta_marker,
               heading_of(idea) + ", " + std::to_string(passage.feel.score->notes_per_beat) + " a beat");
  }
  return track.finish(end);
}

/// String n on the n-th channel, percussion's left out.
int channel_of(int string, MidiChannels channels) {
  if (channels == MidiChannels::one) return 1;
  return string < k_midi_click_channel ? string : string + 1;
}

int lick_velocity(const ScoreNote& note) {
  return (note.attack == Attack::pick ? k_velocity_picked : k_velocity_slurred) + (note.accent ? k_velocity_accent : 0);
}

/// What the notes do not say: the open strings where they change, and each note's string and attack where they do.
void tell_strings(const MidiPassage& passage, const Score& score, std::optional<MidiStrings>& told,
                  TrackWriter& track) {
  const Neck& neck = passage.feel.idea->instrument.neck;
  const MidiStrings strings{neck.tuning, neck.capo};
  if (told != strings) track.meta(passage.begin, k_meta_text, to_text(strings));
  told = strings;
  int string = 0;  // an idea names its first one, so that it can be read alone
  for (const ScoreNote& note : score.notes) {
    MidiTouch touch{std::nullopt, note.attack, note.accent};
    if (note.string != string) touch.string = note.string;
    string = note.string;
    if (touch != MidiTouch{}) track.meta(passage.tick_of(note.onset), k_meta_text, to_text(touch));
  }
}

MidiTrack lick_track(const std::vector<MidiPassage>& passages, MidiChannels channels, std::int64_t end) {
  TrackWriter track("Lick");
  std::map<int, int> programs;  // by channel
  std::optional<MidiStrings> told;
  for (const MidiPassage& passage : passages) {
    const IdeaSheet& idea = *passage.feel.idea;
    const Score score = swung(idea.meter, idea.vamp.swing, *passage.feel.score);
    tell_strings(passage, score, told, track);
    const int program = passage.feel.idea->instrument.midi_program();
    std::set<int> used = {channel_of(1, channels)};
    for (const ScoreNote& note : score.notes) used.insert(channel_of(note.string, channels));
    for (const int channel : used) {
      const auto [known, is_new] = programs.try_emplace(channel, program);
      if (is_new || known->second != program) track.program(passage.begin, channel, program);
      known->second = program;
    }
    for (const ScoreNote& note : score.notes) {
      track.note(passage.tick_of(note.onset), passage.tick_of(note.onset + note.duration),
                 channel_of(note.string, channels), note.pitch.midi(), lick_velocity(note));
    }
  }
  return track.finish(end);
}

int channel_of(BandRole role) {
  switch (role) {
    case BandRole::bass: return 15;
    case BandRole::guitar:
    case BandRole::keys: return 16;
    case BandRole::drone: return 14;
    case BandRole::drums: break;
  }
  return k_midi_click_channel;
}

std::string capitalised(std::string_view word) {
  std::string text(word);
  text.front() = static_cast<char>(text.front() - 'a' + 'A');
  return text;
}

/// One role of the band under every passage whose band has it, from its first bar on; nothing where none has.
std::optional<MidiTrack> band_track(BandRole role, const std::vector<MidiPassage>& passages, const Handout& handout,
                                    std::span<const Band> bands, std::int64_t end) {
  TrackWriter track(capitalised(name(role)));
  bool plays = false;
  for (const MidiPassage& passage : passages) {
    const Band& band = bands[static_cast<std::size_t>(passage.feel.idea - handout.ideas.data())];
    const BandPart* part = band.part(role);
    if (part == nullptr) continue;
    plays = true;
    if (const auto program = midi_program(role)) track.program(passage.begin, channel_of(role), *program);
    // Whole loops from the one that covers the room before bar 1.
    const std::int64_t bars_before = (passage.origin - passage.first) / ticks_a_bar(passage.feel.idea->meter);
    Beats loop = Beats(Rational(-((bars_before + band.bars - 1) / band.bars)) * band.length.value);
    for (; passage.tick_of(loop) < passage.end; loop += band.length) {
      for (const BandNote& note : part->notes) {
        const std::int64_t on = passage.tick_of(loop + note.onset);
        const std::int64_t off = passage.tick_of(loop + note.onset + note.duration);
        if (on < passage.first || on >= passage.end) continue;
        track.note(on, std::min(off, passage.end), channel_of(role), note.key, note.velocity);
      }
    }
  }
  return plays ? std::optional(track.finish(end)) : std::nullopt;
}

MidiTrack click_track(const std::vector<MidiPassage>& passages, std::int64_t end) {
  TrackWriter track("Click");
  for (const MidiPassage& passage : passages) {
    const Meter& meter = passage.feel.idea->meter;
    const std::vector<int> strong = meter.strong_beats();
    const int beats = meter.beats_per_bar();
    const std::int64_t bar = ticks_a_bar(meter);
    for (std::int64_t i = 0; i < (passage.end - passage.begin) / bar * beats; ++i) {
      const int beat = static_cast<int>(i % beats);
      const std::int64_t on = passage.begin + i / beats * bar + bar * beat / beats;
      const bool is_strong = std::find(strong.begin(), strong.end(), beat) != strong.end();
      track.note(on, on + bar / beats / 4, k_midi_click_channel, beat == 0 ? k_high_wood_block : k_low_wood_block,
                 beat == 0   ? k_velocity_click_first
                 : is_strong ? k_velocity_click_strong
                             : k_velocity_click);
    }
  }
  return track.finish(end);
}

}  // namespace

std::int64_t MidiPassage::tick_of(const Beats& beat) const {
  return origin + (beat.value * quarters_a_beat(feel.idea->meter) * Rational(k_midi_division)).round_half_up();
}

std::vector<MidiPassage> midi_passages(const Handout& handout) {
  std::vector<MidiPassage> passages;
  std::int64_t now = 0;
  for (const FeelRef& feel : feels_of(handout)) {
    const Rational bar_beats(feel.idea->meter.beats_per_bar());
    const std::int64_t bar = ticks_a_bar(feel.idea->meter);
    const std::int64_t before = std::max<std::int64_t>(0, (-first_sound(*feel.score).value / bar_beats).ceil());
    const std::int64_t after = std::max<std::int64_t>(1, (last_sound(*feel.score).value / bar_beats).ceil());
    MidiPassage passage{feel, now, now + bar, 0, 0};
    passage.origin = passage.first + before * bar;
    passage.end = now = passage.origin + after * bar;
    passages.push_back(passage);
  }
  return passages;
}

Result<std::int64_t> midi_tempo(const Meter& meter, const Rational& bpm) {
  const Rational quarters_a_minute = bpm * quarters_a_beat(meter);
  const std::int64_t microseconds = (Rational(60'000'000) / quarters_a_minute).round_half_up();
  if (microseconds < 1 || microseconds > k_max_midi_tempo)
    return Error{ErrorKind::range, 0,
                 bpm.to_string() + " beats a minute in " + meter.name() +
                     " cannot be written in a MIDI file, which takes 3.58 to 60000000 quarter notes a minute",
                 ""};
  return microseconds;
}

Result<MidiFile> midi_of(const Handout& handout, const MidiOptions& options, std::span<const Band> bands) {
  assert(bands.empty() || bands.size() == handout.ideas.size());
  if (const auto fault = fault_of(handout)) return *fault;
  const std::vector<MidiPassage> passages = midi_passages(handout);
  const std::int64_t end = passages.empty() ? 0 : passages.back().end;
  auto conductor = conductor_track(handout.prose.title, passages, options.speed, end);
  if (!conductor) return conductor.error();
  MidiFile file{1, k_midi_division, {}};
  file.tracks.push_back(std::move(conductor).value());
  file.tracks.push_back(lick_track(passages, options.channels, end));
  file.tracks.push_back(click_track(passages, end));
  for (const BandRole role : k_band_roles) {
    if (bands.empty()) break;
    if (auto track = band_track(role, passages, handout, bands, end)) file.tracks.push_back(*std::move(track));
  }
  return file;
}

}  // namespace fretloom
