#include "play/band_timeline.h"

#include <algorithm>
#include <array>
#include <map>
#include <optional>

#include "play/band_fingers.h"
#include "sound/kernel/amplifier.h"
#include "sound/kernel/math.h"

namespace fretloom {
namespace {

constexpr std::size_t k_most_notes = 200'000;
const std::vector<int> k_four_strings = {28, 33, 38, 43};      // E1 A1 D2 G2
const std::vector<int> k_five_strings = {23, 28, 33, 38, 43};  // with B0
const std::vector<int> k_six_strings = {40, 45, 50, 55, 59, 64};
constexpr int k_first_position = 3;

// A strum: frames from string to string, and how much of the time to the next stroke all of it may take.
constexpr std::int64_t k_strum = 150;  // 3.1 ms
constexpr std::int64_t k_quick_strum = 96;
constexpr std::int64_t k_strum_part = 4;

constexpr std::int64_t k_rings = 8LL * k_sample_rate;  ///< longer than any sound of the drums
constexpr std::int64_t k_ending = 3LL * k_sample_rate;
constexpr std::int32_t k_choke = k_sample_rate / 200;
constexpr std::int32_t k_let_go = 12 * k_sample_rate / 100;
constexpr std::int64_t k_drone_again = 4LL * k_sample_rate;
constexpr std::int32_t k_drone_swell = k_sample_rate;

constexpr std::array k_drum_layers = {44, 76, 108};
constexpr int k_keys_layer = 72;
constexpr int k_drone_layer = 64;

/// Plain strokes of the parts, whose level is 1.
constexpr double k_plain_bass = 88.0;
constexpr double k_plain_guitar = 78.0;

bool is_hat(int key) {
  const auto drum = static_cast<DrumKey>(key);
  return drum == DrumKey::closed_hat || drum == DrumKey::open_hat || drum == DrumKey::pedal_hat;
}

/// A note of the band where it falls in a piece.
struct Placed {
  const BandNote* note;
  std::int64_t onset;
  std::int64_t end;
  bool rings;  ///< the last stroke of a stretch
};

class Layer {
 public:
  explicit Layer(const Timeline& timeline) {
    out_.frames = timeline.frames;
    out_.loop = timeline.loop;
  }

  void add(const Band& band, const Stretch& stretch) {
    for (const BandPart& part : band.parts) {
      const std::vector<Placed> notes = place(part, band, stretch);
      if (notes.empty()) continue;
      switch (part.role) {
        case BandRole::bass: bass(notes); break;
        case BandRole::guitar: guitar(notes); break;
        case BandRole::keys: keys(notes); break;
        case BandRole::drone: drone(notes); break;
        case BandRole::drums: drums(notes); break;
      }
    }
  }

  BandTimeline take() {
    std::stable_sort(hits_.begin(), hits_.end(), [](const Hit& a, const Hit& b) { return a.hit.frame < b.hit.frame; });
    for (const Hit& hit : hits_) out_.sounds.push_back(hit.sound);
    std::sort(out_.sounds.begin(), out_.sounds.end());
    out_.sounds.erase(std::unique(out_.sounds.begin(), out_.sounds.end()), out_.sounds.end());
    for (Hit& hit : hits_) {
      hit.hit.sound = static_cast<std::int32_t>(std::lower_bound(out_.sounds.begin(), out_.sounds.end(), hit.sound) -
                                                out_.sounds.begin());
      out_.hits.push_back(hit.hit);
    }
    for (BandStrings& strings : out_.strings) {
      std::stable_sort(strings.part.notes.begin(), strings.part.notes.end(),
                       [](const auto& a, const auto& b) { return a.onset < b.onset; });
    }
    return std::move(out_);
  }

  [[nodiscard]] std::size_t notes() const { return notes_; }

 private:
  struct Hit {
    BandHit hit;
    HitSound sound;
  };

  /// The part round and round for the whole of a stretch.
  std::vector<Placed> place(const BandPart& part, const Band& band, const Stretch& stretch) {
    std::vector<Placed> placed;
    const auto at = [&](const Rational& beat) { return stretch.frame + frame_of(beat, stretch.bpm); };
    for (Rational turn(0); turn <= stretch.length.value; turn += band.length.value) {
      for (const BandNote& note : part.notes) {
        const Rational onset = turn + note.onset.value;
        const bool last = onset == stretch.length.value && !out_.loop;
        if (onset >= stretch.length.value && !last) continue;
        if (++notes_ > k_most_notes) return {};
        const std::int64_t frame = at(onset);
        const std::int64_t end = at(std::min(onset + note.duration.value, stretch.length.value));
        placed.push_back({&note, frame, last ? frame + k_ending : std::max(end, frame + 1), last});
      }
    }
    return placed;
  }

  StringPart& strings(BandRole role) {
    for (BandStrings& strings : out_.strings) {
      if (strings.role == role) return strings.part;
    }
    StringPart part;
    part.is_bass = role == BandRole::bass;
    part.open = part.is_bass ? k_four_strings : k_six_strings;
    part.voicing = part.is_bass ? voice::k_finger_bass : voice::k_rhythm_guitar;
    // Fingers, not a pick, on the bass; a loose wrist on the guitar. The mix has the room.
    part.manner.palm = part.is_bass ? 0.12 : 0.0;
    part.manner.stroke_colour = part.is_bass ? 0.0 : 0.6;
    part.manner.dynamics = part.is_bass ? 0.7 : 0.6;
    part.manner.hiss = 0.0;
    part.manner.room = 0.0;
    return out_.strings.emplace_back(BandStrings{role, std::move(part)}).part;
  }

  static voice::PlayedNote played(const Placed& p, const FingerPlace& place, double plain, std::size_t seed) {
    voice::PlayedNote note;
    note.onset = p.onset;
    note.end = p.end;
    note.string = place.string;
    note.fret = place.fret;
    note.upward = p.note->stroke == Stroke::up ? 1 : 0;
    note.level = static_cast<float>(voice::pow_of(p.note->velocity / plain, 1.5));
    note.seed = static_cast<std::uint32_t>(seed) * 2654435761U;
    note.ring = p.rings ? 1 : 0;
    return note;
  }

  void bass(const std::vector<Placed>& notes) {
    StringPart& part = strings(BandRole::bass);
    const bool is_low = std::any_of(notes.begin(), notes.end(), [](const Placed& p) { return p.note->key < 28; });
    if (is_low && part.open.size() == k_four_strings.size()) {
      part.open = k_five_strings;
      for (voice::PlayedNote& note : part.notes) ++note.string;
    }
    int hand = k_first_position;
    for (const Placed& p : notes) {
      const auto place = place_note(part.open, p.note->key, hand);
      if (!place) continue;
      if (place->fret > 0) hand = place->fret;
      voice::PlayedNote note = played(p, *place, k_plain_bass, part.notes.size() + 7);
      if (p.note->touch == BandTouch::ghost) note.palm = 1.0F;
      part.notes.push_back(note);
    }
  }

  void guitar(const std::vector<Placed>& notes) {
    StringPart& part = strings(BandRole::guitar);
    int hand = k_first_position;
    for (std::size_t i = 0; i < notes.size();) {
      std::size_t next = i;
      std::vector<int> keys;
      while (next < notes.size() && notes[next].onset == notes[i].onset) keys.push_back(notes[next++].note->key);
      std::sort(keys.begin(), keys.end());
      keys.erase(std::unique(keys.begin(), keys.end()), keys.end());
      std::vector<FingerPlace> places = place_chord(part.open, keys, hand);
      const bool is_up = notes[i].note->stroke == Stroke::up;
      if (is_up) std::reverse(places.begin(), places.end());
      for (const FingerPlace& p : places) {
        if (p.fret > 0) hand = p.fret;
      }
      const BandTouch touch = notes[i].note->touch;
      const bool is_quick = touch == BandTouch::brief || touch == BandTouch::muted;
      const std::int64_t gap = (next < notes.size() ? notes[next].onset : notes[i].end) - notes[i].onset;
      const auto count = static_cast<std::int64_t>(places.size());
      const std::int64_t step =
          std::min(is_quick ? k_quick_strum : k_strum, gap / (k_strum_part * std::max<std::int64_t>(count, 1)));
      for (std::int64_t k = 0; k < count; ++k) {
        voice::PlayedNote note =
            played(notes[i], places[static_cast<std::size_t>(k)], k_plain_guitar, part.notes.size() + 1'000'003);
        note.onset += k * step;
        note.end = std::max(note.end, note.onset + 1);
        if (touch == BandTouch::muted) {
          note.palm = 0.55F;
          note.level *= 1.7F;  // the palm takes that much
        }
        part.notes.push_back(note);
      }
      i = next;
    }
  }

  void hit(const Placed& p, const HitSound& sound, std::int64_t end, std::int32_t fall) {
    // FluidSynth, after the SoundFont standard 2.4 (8.4.1), turns velocity into a level of 40 log10(v / 127) dB.
    const double part = static_cast<double>(p.note->velocity) / sound.velocity;
    hits_.push_back({{p.onset, end, 0, fall, 0, static_cast<float>(part * part)}, sound});
  }

  void drums(const std::vector<Placed>& notes) {
    for (std::size_t i = 0; i < notes.size(); ++i) {
      const Placed& p = notes[i];
      const int velocity = p.note->velocity;
      const int layer = *std::min_element(k_drum_layers.begin(), k_drum_layers.end(), [&](int a, int b) {
        return std::abs(a - velocity) < std::abs(b - velocity);
      });
      const auto choked = static_cast<DrumKey>(p.note->key) == DrumKey::open_hat ? next_hat(notes, i) : std::nullopt;
      hit(p, {BandRole::drums, p.note->key, layer}, choked.value_or(p.onset + k_rings), k_choke);
    }
  }

  /// Frame of the next stroke of any hat, round a loop.
  [[nodiscard]] std::optional<std::int64_t> next_hat(const std::vector<Placed>& notes, std::size_t from) const {
    for (std::size_t i = 1; i < notes.size(); ++i) {
      const Placed& next = notes[(from + i) % notes.size()];
      const bool wraps = from + i >= notes.size();
      if (wraps && !out_.loop) return std::nullopt;
      if (is_hat(next.note->key) && next.onset != notes[from].onset) return next.onset + (wraps ? out_.frames : 0);
    }
    return std::nullopt;
  }

  void keys(const std::vector<Placed>& notes) {
    for (const Placed& p : notes) hit(p, {BandRole::keys, p.note->key, k_keys_layer}, p.end, k_let_go);
  }

  void drone(const std::vector<Placed>& notes) {
    for (const Placed& p : notes) {
      if (p.rings) continue;
      const HitSound sound{BandRole::drone, p.note->key, k_drone_layer};
      const std::int64_t length = p.end - p.onset;
      const std::int64_t pieces = std::max<std::int64_t>(1, length / k_drone_again);
      for (std::int64_t k = 0; k < pieces; ++k) {
        Placed piece = p;
        piece.onset = p.onset + length * k / pieces;
        const std::int64_t end = p.onset + length * (k + 1) / pieces;
        const auto swell = static_cast<std::int32_t>(std::min<std::int64_t>(k_drone_swell, length / pieces / 2));
        hit(piece, sound, end, swell);
        hits_.back().hit.rise = swell;
      }
    }
  }

  BandTimeline out_;
  std::vector<Hit> hits_;
  std::size_t notes_ = 0;
};

}  // namespace

std::string name(const HitSound& sound) {
  const std::string velocity = std::to_string(sound.velocity);
  if (sound.role != BandRole::drums)
    return std::string(name(sound.role)) + "-" + std::to_string(sound.key) + "-" + velocity;
  std::string drum(name(static_cast<DrumKey>(sound.key)));
  std::replace(drum.begin(), drum.end(), ' ', '-');
  return drum + "-" + velocity;
}

Result<BandTimeline> lay_out_band(const IdeaSheet& idea, const Timeline& timeline, const BandOptions& options) {
  Layer layer(timeline);
  std::map<Rational, Band> bands;  // of each tempo
  for (const Stretch& stretch : timeline.stretches) {
    auto known = bands.find(stretch.bpm);
    if (known == bands.end()) {
      BandOptions at_tempo = options;
      at_tempo.bpm = stretch.bpm;
      auto band = play_vamp(idea, at_tempo);
      if (!band) return in_idea(idea, band.error());
      known = bands.emplace(stretch.bpm, std::move(band).value()).first;
    }
    layer.add(known->second, stretch);
    if (layer.notes() > k_most_notes) return Error{ErrorKind::limit, 0, "the band has more than 200,000 notes", {}};
  }
  return layer.take();
}

// Set by measurement (docs/band.md): how loud each is in the band, with kick and bass in the middle and what shares a
// register on either side.
Seat seat_of(BandRole role, int key) {
  switch (role) {
    case BandRole::bass: return {0.0, -3.5, 0.0};
    case BandRole::guitar: return {-0.55, -3.0, 0.2};
    case BandRole::keys: return {0.5, 0.0, 0.2};
    case BandRole::drone: return {0.0, -2.0, 0.3};
    case BandRole::drums: break;
  }
  switch (static_cast<DrumKey>(key)) {
    case DrumKey::kick: return {0.0, 6.5, 0.05};
    case DrumKey::side_stick:
    case DrumKey::snare: return {0.08, 5.5, 0.2};
    case DrumKey::closed_hat:
    case DrumKey::pedal_hat:
    case DrumKey::open_hat: return {0.35, 4.0, 0.1};
    case DrumKey::high_tom: return {0.25, 4.5, 0.2};
    case DrumKey::middle_tom: return {-0.05, 4.5, 0.2};
    case DrumKey::low_tom: return {-0.35, 4.5, 0.2};
    case DrumKey::crash: return {-0.4, 3.0, 0.2};
    case DrumKey::ride: return {-0.35, 10.5, 0.15};
  }
  return {};
}

std::string to_text(const BandTimeline& timeline) {
  std::string text = std::to_string(timeline.frames) + " frames" + (timeline.loop ? ", loop" : "") + "\n";
  for (const BandStrings& strings : timeline.strings) {
    for (const voice::PlayedNote& note : strings.part.notes) {
      text += std::string(name(strings.role)) + " " + std::to_string(note.onset) + " to " + std::to_string(note.end) +
              " string " + std::to_string(note.string) + " fret " + std::to_string(note.fret) +
              (note.upward != 0 ? " U" : " D") + (note.palm > 0.0F ? " muted" : "") + "\n";
    }
  }
  for (const BandHit& hit : timeline.hits) {
    text += name(timeline.sounds[static_cast<std::size_t>(hit.sound)]) + " " + std::to_string(hit.frame) + " to " +
            std::to_string(hit.end) + "\n";
  }
  return text;
}

Result<std::vector<BandTrack>> render_strings(const BandTimeline& timeline, const StopFlag* stop) {
  constexpr std::int64_t k_chunk = 4096;
  std::vector<BandTrack> tracks;
  for (const BandStrings& strings : timeline.strings) {
    StringTrack track(strings.part, timeline.frames, timeline.loop);
    BandTrack& out = tracks.emplace_back(BandTrack{strings.role, {}});
    out.audio.samples.resize(static_cast<std::size_t>(timeline.frames) * k_channels);
    for (std::int64_t done = 0; done < timeline.frames;) {
      if (stop != nullptr && stop->load(std::memory_order_relaxed)) return stopped();
      const std::int64_t count = std::min(k_chunk, timeline.frames - done);
      track.read(out.audio.samples.data() + done * k_channels, count);
      done += count;
    }
  }
  return tracks;
}

}  // namespace fretloom
