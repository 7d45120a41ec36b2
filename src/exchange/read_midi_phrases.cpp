#include "exchange/read_midi_phrases.h"

#include <algorithm>
#include <map>
#include <optional>

#include "base/text.h"
#include "exchange/midi_text.h"

namespace fretloom {

namespace {

constexpr int k_percussion_channel = 10;
constexpr int k_first_bass_program = 32;  // General MIDI, from 0
constexpr int k_last_bass_program = 39;

struct Marker {
  std::int64_t tick = 0;
  std::string name;
};

std::vector<Marker> markers_of(const MidiFile& file) {
  std::vector<Marker> markers;
  for (const MidiTrack& track : file.tracks) {
    for (const MidiEvent& event : track.events) {
      if (event.status == 0xFF && event.meta == k_meta_marker) markers.push_back({event.tick, one_line(event.data)});
    }
  }
  std::stable_sort(markers.begin(), markers.end(), [](const Marker& a, const Marker& b) { return a.tick < b.tick; });
  return markers;
}

std::optional<int> fifths_at(const MidiFile& file, std::int64_t tick) {
  std::optional<std::pair<std::int64_t, int>> found;
  for (const MidiTrack& track : file.tracks) {
    for (const MidiEvent& event : track.events) {
      if (event.status != 0xFF || event.meta != k_meta_key || event.data.empty() || event.tick > tick) continue;
      const int fifths = static_cast<signed char>(event.data.front());
      if (fifths >= -7 && fifths <= 7 && (!found || event.tick >= found->first)) found = std::pair(event.tick, fifths);
    }
  }
  return found ? std::optional(found->second) : std::nullopt;
}

/// The last program before a tick that the track calls for is a bass.
bool is_bass(const MidiTrack& track, std::int64_t tick) {
  bool bass = false;
  for (const MidiEvent& event : track.events) {
    if (event.tick > tick) break;
    if (event.status >> 4U != 0xC || event.data.empty()) continue;
    bass = event.data.front() >= k_first_bass_program && event.data.front() <= k_last_bass_program;
  }
  return bass;
}

/// Notes of a melody by ascending tick; how many sounded with another and were dropped.
struct Melody {
  std::vector<MidiNote> notes;
  std::vector<std::int64_t> dropped;  ///< ticks
};

Melody melody_of(const std::vector<MidiNote>& notes, int track) {
  Melody melody;
  for (const MidiNote& note : notes) {
    if (note.track != track || note.channel == k_percussion_channel) continue;
    if (!melody.notes.empty() && melody.notes.back().tick == note.tick) {
      melody.dropped.push_back(note.tick);
      if (note.key > melody.notes.back().key) melody.notes.back() = note;
    } else {
      melody.notes.push_back(note);
    }
  }
  return melody;
}

std::optional<Meter> meter_of(const MidiMeter& meter) {
  const auto read = parse_meter(std::to_string(meter.numerator) + "/" + std::to_string(meter.denominator));
  return read ? std::optional(*read) : std::nullopt;
}

const MidiMeter& meter_at(const MidiMusic& music, std::int64_t tick) {
  const MidiMeter* found = &music.meters.front();
  for (const MidiMeter& meter : music.meters) {
    if (meter.tick <= tick) found = &meter;
  }
  return *found;
}

/// Where the bar of a tick begins, counted from the last meter.
std::int64_t bar_begin(const MidiMusic& music, std::int64_t tick) {
  const MidiMeter& meter = meter_at(music, tick);
  const std::int64_t bar = std::int64_t{4} * music.division * meter.numerator / meter.denominator;
  return bar > 0 ? meter.tick + floor_div(tick - meter.tick, bar) * bar : tick;
}

/// The texts of a track as they hold at a tick.
class TouchReader {
 public:
  explicit TouchReader(const MidiTrack& track) : track_(track) {}

  /// Ticks must not descend from call to call.
  void go_to(std::int64_t tick) {
    if (tick > tick_) touch_ = {std::nullopt, Attack::pick, false};
    tick_ = tick;
    for (; at_ < track_.events.size() && track_.events[at_].tick <= tick; ++at_) {
      const MidiEvent& event = track_.events[at_];
      if (event.status != 0xFF || event.meta != k_meta_text) continue;
      if (auto strings = read_midi_strings(event.data)) {
        strings_ = std::move(strings);
      } else if (const auto touch = strings_ ? read_midi_touch(event.data) : std::nullopt) {
        if (touch->string) string_ = touch->string;
        if (event.tick == tick) touch_ = *touch;
      }
    }
  }
  [[nodiscard]] const std::optional<MidiStrings>& strings() const { return strings_; }
  [[nodiscard]] const MidiTouch& touch() const { return touch_; }
  /// Where a note lies; nothing where its string does not have it.
  [[nodiscard]] std::optional<StringFret> place_of(int key) const {
    if (!strings_ || !string_ || *string_ > strings_->tuning.strings()) return std::nullopt;
    const Neck neck{strings_->tuning, k_max_frets, Millimetres(0), strings_->capo};
    const StringFret place{*string_, key - neck.open_midi(*string_)};
    return neck.has_fret(place.fret) ? std::optional(place) : std::nullopt;
  }

 private:
  const MidiTrack& track_;
  std::size_t at_ = 0;
  std::int64_t tick_ = -1;
  std::optional<MidiStrings> strings_;
  std::optional<int> string_;
  MidiTouch touch_;
};

class PhraseMaker {
 public:
  PhraseMaker(const MidiFile& file, const MidiMusic& music, const Melody& melody, int track)
      : file_(file),
        music_(music),
        melody_(melody),
        track_(track),
        touches_(file.tracks[static_cast<std::size_t>(track)]) {}

  /// Phrase after phrase.
  [[nodiscard]] GivenPhrase make(std::int64_t from, std::int64_t to, const Marker* marker) {
    GivenPhrase phrase;
    const auto in = [&](std::int64_t tick) { return tick >= from && tick < to; };
    const auto first =
        std::find_if(melody_.notes.begin(), melody_.notes.end(), [&](const MidiNote& note) { return in(note.tick); });
    if (first == melody_.notes.end()) return phrase;
    if (marker != nullptr) phrase.name = marker->name;
    phrase.meter = meter_of(meter_at(music_, first->tick));
    phrase.fifths = fifths_at(file_, first->tick);
    phrase.is_bass = is_bass(file_.tracks[static_cast<std::size_t>(track_)], first->tick);
    phrase.left_out = static_cast<int>(std::count_if(melody_.dropped.begin(), melody_.dropped.end(), in));
    const Rational beat = phrase.meter ? phrase.meter->beat_value() * Rational(4) : Rational(1);
    const std::int64_t origin = bar_begin(music_, marker != nullptr ? from : first->tick);
    for (auto note = first; note != melody_.notes.end() && in(note->tick); ++note) {
      GivenNote given;
      given.midi = note->key;
      given.time = GivenTime{music_.quarters_at(note->tick - origin) / beat,
                             music_.quarters_at(std::max<std::int64_t>(note->length, 1)) / beat};
      touches_.go_to(note->tick);
      given.at = touches_.place_of(note->key);
      given.attack = touches_.touch().attack;
      given.accent = touches_.touch().accent;
      phrase.notes.push_back(given);
    }
    settle_places(touches_.strings(), phrase);
    return phrase;
  }

 private:
  /// All notes have a place or none has; a slur comes from the note before on its string.
  static void settle_places(const std::optional<MidiStrings>& strings, GivenPhrase& phrase) {
    if (!strings) return;
    phrase.tuning = strings->tuning;
    phrase.capo = strings->capo;
    const bool placed = std::all_of(phrase.notes.begin(), phrase.notes.end(),
                                    [](const GivenNote& note) { return note.at.has_value(); });
    int string = 0;
    for (GivenNote& note : phrase.notes) {
      if (!placed) note.at.reset();
      if (!placed || note.at->string != string) note.attack = Attack::pick;
      string = placed ? note.at->string : 0;
    }
  }

  const MidiFile& file_;
  const MidiMusic& music_;
  const Melody& melody_;
  int track_;
  TouchReader touches_;
};

}  // namespace

Result<std::vector<GivenPhrase>> read_midi_phrases(const MidiFile& file) {
  const MidiMusic music = midi_notes(file);
  Melody best;
  int best_track = 0;
  std::int64_t best_alone = 0;
  for (std::size_t t = 0; t < file.tracks.size(); ++t) {
    Melody melody = melody_of(music.notes, static_cast<int>(t));
    const auto alone =
        static_cast<std::int64_t>(melody.notes.size()) - 2 * static_cast<std::int64_t>(melody.dropped.size());
    if (alone <= best_alone) continue;
    best = std::move(melody);
    best_track = static_cast<int>(t);
    best_alone = alone;
  }
  if (best.notes.empty()) return Error{ErrorKind::syntax, 0, "no track of the file is a melody", ""};
  std::vector<Marker> markers = markers_of(file);
  if (markers.size() >= k_max_given_phrases)
    return Error{ErrorKind::limit, 0, "the file has more than " + std::to_string(k_max_given_phrases) + " markers", ""};
  PhraseMaker maker(file, music, best, best_track);
  std::vector<GivenPhrase> phrases;
  const std::int64_t end = best.notes.back().tick + 1;
  for (std::size_t i = 0; i <= markers.size(); ++i) {
    const std::int64_t from = i == 0 ? 0 : markers[i - 1].tick;
    const std::int64_t to = i < markers.size() ? markers[i].tick : end;
    GivenPhrase phrase = maker.make(from, to, i == 0 ? nullptr : &markers[i - 1]);
    if (phrase.notes.size() > k_max_given_notes)
      return Error{ErrorKind::limit, 0, "more than " + std::to_string(k_max_given_notes) + " notes in one phrase", ""};
    if (!phrase.notes.empty()) phrases.push_back(std::move(phrase));
  }
  return phrases;
}

}  // namespace fretloom
