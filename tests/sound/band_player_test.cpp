// The band as sound, with the SoundFont of Debian's package fluid-soundfont-gm. Onsets of single strokes are measured
// by a detector of the test's own: the steepest rise of energy in windows of half a millisecond.

#include "sound/band_player.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <functional>

#include "band/random_vamp.h"
#include "sound/audio_file.h"
#include "sound/band_kit.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

/// Rendered once for all tests of a process, since it takes half a second.
BandSamples& samples() {
  static BandSamples all;
  return all;
}

class BandSound : public testing::Test {
 protected:
  void SetUp() override {
    if (!samples().check()) GTEST_SKIP() << "package fluid-soundfont-gm is not installed";
  }
};

/// One sound, struck at these beats of a loop.
BandTimeline strokes(DrumKey key, const Rational& bpm, const std::vector<Rational>& places, int beats) {
  BandTimeline timeline;
  timeline.frames = frame_of(Rational(beats), bpm);
  timeline.loop = true;
  timeline.sounds = {{BandRole::drums, static_cast<int>(key), 108}};
  for (const Rational& place : places) {
    const std::int64_t frame = frame_of(place, bpm);
    timeline.hits.push_back({frame, frame + 8 * k_sample_rate, 0, 240, 0, 1.0F});
  }
  return timeline;
}

/// All parts together.
Audio sound_of(const BandTimeline& timeline, BandSamples* of = &samples(), std::int64_t chunk = 4096) {
  const auto player = BandPlayer::make(timeline, of).value();
  Audio all;
  BandPiece piece;
  for (std::int64_t done = 0; done < timeline.frames;) {
    const std::int64_t count = std::min(chunk, timeline.frames - done);
    player->read(piece, count);
    for (std::size_t i = 0; i < piece.bass.size(); ++i)
      all.samples.push_back(piece.bass[i] + piece.chords[i] + piece.drums[i]);
    done += count;
  }
  return all;
}

IdeaSheet lesson(const std::string& rhythm, const std::string& meter = "4/4", const std::string& chords = "Em7 | A7") {
  IdeaSheet idea = vamp_idea(rhythm, meter, chords);
  idea.instrument.neck.tuning = parse_tuning("standard").value();
  idea.layout.resize(6);
  idea.feels.emplace_back();
  return idea;
}

Timeline loop_of(const IdeaSheet& idea, const Rational& bpm) {
  BandOptions options;
  options.bpm = bpm;
  const Band band = play_vamp(idea, options).value();
  Timeline timeline;
  timeline.frames = frame_of(band.length.value, bpm);
  timeline.loop = true;
  timeline.stretches = {{0, bpm, band.length}};
  return timeline;
}

BandTimeline band_of(const std::string& rhythm, const Rational& bpm) {
  const IdeaSheet idea = lesson(rhythm);
  return lay_out_band(idea, loop_of(idea, bpm), {}).value();
}

/// Frames of windows of half a millisecond whose energy is at least a fourth (half the amplitude) of the loudest one's
/// and at least eight times that of the window 4 ms before.
std::vector<std::int64_t> onsets_of(const Audio& audio) {
  constexpr std::int64_t k_window = k_sample_rate / 2000;
  std::vector<double> energy;
  for (std::int64_t frame = 0; frame + k_window <= audio.frames(); frame += k_window) {
    double sum = 0;
    for (std::int64_t i = frame * k_channels; i < (frame + k_window) * k_channels; ++i)
      sum += std::pow(audio.samples[static_cast<std::size_t>(i)], 2);
    energy.push_back(sum);
  }
  const double loudest = *std::max_element(energy.begin(), energy.end());
  std::vector<std::int64_t> onsets;
  for (std::size_t i = 8; i < energy.size(); ++i) {
    const bool rises = energy[i] >= loudest / 4 && energy[i] >= 8 * energy[i - 8];
    const auto frame = static_cast<std::int64_t>(i) * k_window;
    if (rises && (onsets.empty() || frame - onsets.back() > k_sample_rate / 20)) onsets.push_back(frame);
  }
  return onsets;
}

TEST_F(BandSound, ASoundIsTheSameEachTime) {
  const HitSound sound{BandRole::keys, 60, 72};
  const Sample& first = *samples().sample(sound).value();
  BandSamples again;
  EXPECT_EQ(again.sample(sound).value()->mono, first.mono);
  // Whatever was rendered before it.
  BandSamples third;
  ASSERT_TRUE(third.sample({BandRole::drums, 36, 100}));
  EXPECT_EQ(third.sample(sound).value()->mono, first.mono);
  EXPECT_EQ(third.rendered(), 2U);
}

TEST_F(BandSound, EveryDrumAndKeySounds) {
  for (const DrumKey key :
       {DrumKey::kick, DrumKey::side_stick, DrumKey::snare, DrumKey::low_tom, DrumKey::closed_hat, DrumKey::pedal_hat,
        DrumKey::middle_tom, DrumKey::open_hat, DrumKey::high_tom, DrumKey::crash, DrumKey::ride}) {
    const Sample* sample = samples().sample({BandRole::drums, static_cast<int>(key), 108}).value();
    const auto [low, high] = std::minmax_element(sample->mono.begin(), sample->mono.end());
    EXPECT_GT(std::max(-*low, *high), 0.01F) << name(key);
    EXPECT_LT(sample->attack, k_sample_rate / 50) << name(key);
    EXPECT_LE(sample->mono.size(), 8U * k_sample_rate) << name(key);
  }
  for (const BandRole role : {BandRole::keys, BandRole::drone})
    EXPECT_GT(samples().sample({role, 60, 72}).value()->mono.size(), 4U * k_sample_rate) << name(role);
}

TEST_F(BandSound, StrokesLieAtTheirFrames) {
  for (const DrumKey key : {DrumKey::kick, DrumKey::snare, DrumKey::side_stick, DrumKey::closed_hat}) {
    const Rational bpm(97);
    const std::vector<Rational> places = {Rational(1, 3), Rational(1), Rational(7, 4), Rational(17, 6), Rational(7, 2)};
    const Audio loop = sound_of(strokes(key, bpm, places, 5));
    ASSERT_EQ(loop.frames(), frame_of(Rational(5), bpm));
    const auto onsets = onsets_of(loop);
    ASSERT_EQ(onsets.size(), places.size()) << name(key);
    for (std::size_t i = 0; i < places.size(); ++i) {
      const double milliseconds = static_cast<double>(onsets[i] - frame_of(places[i], bpm)) * 1000 / k_sample_rate;
      EXPECT_NEAR(milliseconds, 0.0, 1.0) << name(key) << ' ' << places[i].to_string();
    }
  }
}

/// A loop played twice on end is what many turns of the hits would be: tails and early attacks go round the seam.
TEST_F(BandSound, TheLoopHasNoSeam) {
  const Rational bpm(120);
  const std::vector<Rational> once = {Rational(0), Rational(3, 2)};
  std::vector<Rational> turns;
  for (int turn = 0; turn < 12; ++turn) {
    for (const Rational& place : once) turns.push_back(place + Rational(2 * turn));
  }
  const Audio loop = sound_of(strokes(DrumKey::crash, bpm, once, 2));
  const Audio many = sound_of(strokes(DrumKey::crash, bpm, turns, 24));
  for (std::size_t i = 0; i < loop.samples.size(); ++i)
    ASSERT_NEAR(loop.samples[i], many.samples[loop.samples.size() * 8 + i], 1e-4) << i;
}

/// No step at a seam that is higher than those within, and no click: the flux at the seam is that of the same stroke
/// elsewhere in the loop.
TEST_F(BandSound, EveryRhythmJoinsItsEnd) {
  for (const VampRhythm& rhythm : vamp_rhythms()) {
    const Audio loop = sound_of(band_of(std::string(rhythm.name), Rational(110)));
    float within = 0;
    for (std::size_t i = 2; i < loop.samples.size(); ++i)
      within = std::max(within, std::abs(loop.samples[i] - loop.samples[i - 2]));
    for (std::size_t side = 0; side < 2; ++side) {
      const float seam = std::abs(loop.samples[side] - loop.samples[loop.samples.size() - 2 + side]);
      EXPECT_LE(seam, within) << rhythm.name;
    }
  }
}

TEST_F(BandSound, AHitFallsWhereItEnds) {
  BandTimeline timeline = strokes(DrumKey::crash, Rational(60), {Rational(0)}, 4);
  timeline.hits[0].end = k_sample_rate;
  const Audio audio = sound_of(timeline);
  const auto level = [&](double from) {
    double sum = 0;
    const auto first = static_cast<std::size_t>(from * k_sample_rate) * 2;
    for (std::size_t i = first; i < first + 9600; ++i) sum += std::abs(audio.samples[i]);
    return sum;
  };
  EXPECT_GT(level(0.85), 10 * level(2.5));
}

TEST_F(BandSound, TheLengthOfAReadDoesNotShow) {
  const BandTimeline band = band_of("sixteenths", Rational(140));
  EXPECT_EQ(sound_of(band, &samples(), 4096).samples, sound_of(band, &samples(), 1000).samples);
}

TEST_F(BandSound, EveryPassIsTheSame) {
  const BandTimeline band = band_of("shuffle", Rational(140));
  const auto player = BandPlayer::make(band, &samples()).value();
  BandPiece first;
  BandPiece second;
  player->read(first, 48000);
  player->rewind();
  player->read(second, 48000);
  EXPECT_EQ(first.bass, second.bass);
  EXPECT_EQ(first.chords, second.chords);
  EXPECT_EQ(first.drums, second.drums);
}

TEST_F(BandSound, StopsWhenAsked) {
  const StopFlag stop = true;
  EXPECT_EQ(BandPlayer::make(band_of("eighths", Rational(90)), &samples(), &stop).error().kind, ErrorKind::stopped);
}

/// Where a stroke has a third of its height: the first half millisecond from 8 ms before a frame on with a fourth of
/// the energy of the loudest one up to 8 ms behind it, of the differences from sample to sample, in which low strings
/// begin as sharply as high ones.
std::int64_t third_of_height(const Audio& audio, std::int64_t near) {
  constexpr std::int64_t k_window = k_sample_rate / 2000;
  const auto energy = [&](std::int64_t from) {
    double sum = 0;
    for (std::int64_t i = from; i < from + k_window; ++i) {
      const auto at = static_cast<std::size_t>(2 * i);
      sum += std::pow(audio.samples[at] + audio.samples[at + 1] - audio.samples[at - 2] - audio.samples[at - 1], 2);
    }
    return sum;
  };
  double loudest = 0;
  for (std::int64_t at = near - 384; at <= near + 384; at += 6) loudest = std::max(loudest, energy(at));
  std::int64_t at = near - 384;
  while (energy(at) < loudest / 9) at += 6;
  return at + k_window / 2;
}

/// Each string of bass and guitar, played alone, begins within a millisecond of its frame.
TEST_F(BandSound, EveryStringBeginsAtItsFrame) {
  for (const char* rhythm : {"sixteenths", "gallop", "two-beat"}) {
    const BandTimeline band = band_of(rhythm, Rational(97));
    for (const BandStrings& strings : band.strings) {
      for (std::size_t i = 0; i < std::min<std::size_t>(strings.part.notes.size(), 20); ++i) {
        BandTimeline one;
        one.strings = {strings};
        voice::PlayedNote note = strings.part.notes[i];
        // Behind half a second of silence, so that the pick can come to rest on the string.
        note.end += k_sample_rate / 2 - note.onset;
        note.onset = k_sample_rate / 2;
        one.strings[0].part.notes = {note};
        one.frames = k_sample_rate;
        const Audio audio = sound_of(one);
        const double milliseconds =
            static_cast<double>(third_of_height(audio, note.onset) - note.onset) * 1000 / k_sample_rate;
        EXPECT_NEAR(milliseconds, 0.0, 1.0) << rhythm << ' ' << name(strings.role) << ' ' << i << " string "
                                            << note.string << " fret " << note.fret << " palm " << note.palm;
      }
    }
  }
}

/// Number behind a key of the index, from `at` on.
double number_behind(const std::string& json, const std::string& key, std::size_t at) {
  return std::stod(json.substr(json.find("\"" + key + "\":", at) + key.size() + 3));
}

/// The kit of every rhythm is small enough for a page, and its sounds lie where the index says.
TEST_F(BandSound, TheKitIsSmallAndDecodes) {
  std::vector<std::pair<std::string, std::string>> vamps;
  for (const VampRhythm& row : vamp_rhythms()) vamps.emplace_back(row.name, "Em7 | A7");
  vamps.emplace_back("held", "Cmaj7 | F#m7b5 | Bb13 | Ebmaj9");  // many keys
  for (const auto& [rhythm, chords] : vamps) {
    Handout handout;
    handout.ideas = {lesson(rhythm, "4/4", chords)};
    const auto sounds = kit_sounds(handout, {}).value();
    const BandKit kit = make_kit(sounds, samples()).value();
    EXPECT_LT(kit.audio.size(), 130'000U) << rhythm << ' ' << chords;
    RecordProperty(rhythm, static_cast<int>(kit.audio.size()));
    // A page moves what is left out by no more than two semitones.
    const auto laid = lay_out_band(handout.ideas[0], loop_of(handout.ideas[0], Rational(120)), {}).value();
    for (const HitSound& hit : laid.sounds) {
      EXPECT_TRUE(std::any_of(sounds.begin(), sounds.end(), [&](const HitSound& kept) {
        return kept.role == hit.role && std::abs(kept.key - hit.key) <= (hit.role == BandRole::drums ? 0 : 2);
      })) << name(hit);
    }
    const Audio audio = decode_audio(kit.audio).value();
    for (const HitSound& sound : sounds) {
      const std::size_t at =
          kit.index.find("\"role\":\"" + std::string(name(sound.role)) + "\",\"key\":" + std::to_string(sound.key) +
                         ",\"velocity\":" + std::to_string(sound.velocity) + ",");
      ASSERT_NE(at, std::string::npos) << name(sound);
      const auto first = static_cast<std::int64_t>(number_behind(kit.index, "first", at));
      const auto frames = static_cast<std::int64_t>(number_behind(kit.index, "frames", at));
      const double gain = number_behind(kit.index, "gain", at);
      ASSERT_LE(first + frames, audio.frames());
      // Against the sound itself: as loud, and no later or earlier than a millisecond.
      const Sample& sample = *samples().sample(sound).value();
      double best = 0;
      std::int64_t shift = 0;
      const std::int64_t length = std::min<std::int64_t>(frames, 9600);
      for (std::int64_t by = -96; by <= 96; by += 4) {
        double sum = 0;
        for (std::int64_t i = std::max<std::int64_t>(0, -by - first); i < length; ++i)
          sum += static_cast<double>(audio.samples[static_cast<std::size_t>(2 * (first + i + by))]) *
                 sample.mono[static_cast<std::size_t>(i)];
        if (std::abs(sum) > best) {
          best = std::abs(sum);
          shift = by;
        }
      }
      double power = 0;
      for (std::int64_t i = 0; i < length; ++i) power += std::pow(sample.mono[static_cast<std::size_t>(i)], 2);
      EXPECT_LE(std::abs(shift), 48) << name(sound);
      EXPECT_GT(best * gain, 0.3 * power) << name(sound);
    }
  }
  EXPECT_FALSE(make_kit({}, samples()));
}

/// A lick that leaves no octave to the chords, and to the bass none at all.
TEST_F(BandSound, AChordOutsideEveryRegisterSoundsAllTheSame) {
  for (const char* rhythm : {"eighths", "held"}) {
    const IdeaSheet idea = lesson(rhythm, "4/4", "Abmaj13 | C#m7b5/B");
    BandOptions options;
    options.lick = PitchRange{24, 96};
    const Band band = play_vamp(idea, options).value();
    EXPECT_EQ(band.part(BandRole::bass), nullptr);
    for (const BandPart& part : band.parts) {
      EXPECT_EQ(part.registers, part.role == BandRole::drums ? RegisterUse::apart : RegisterUse::shared) << rhythm;
    }
    const BandTimeline laid = lay_out_band(idea, loop_of(idea, options.bpm), options).value();
    const auto player = BandPlayer::make(laid, &samples()).value();
    BandPiece piece;
    player->read(piece, k_sample_rate);
    EXPECT_GT(*std::max_element(piece.chords.begin(), piece.chords.end()), 0.01F) << rhythm;
    EXPECT_EQ(*std::max_element(piece.bass.begin(), piece.bass.end()), 0.0F) << rhythm;
  }
}

/// Without the SoundFont bass and guitar play on.
TEST(BandSamplesMissing, NamesItsPackageAndTheStringsPlayOn) {
  BandSamples missing("/nowhere/none.sf2");
  ASSERT_FALSE(missing.check());
  EXPECT_NE(missing.check().error().what.find("fluid-soundfont-gm"), std::string::npos);
  EXPECT_FALSE(missing.sample({BandRole::drums, 36, 76}));
  EXPECT_FALSE(BandSamples(FRETLOOM_SOURCE_DIR "/README.md").check());
  const BandTimeline band = band_of("eighths", Rational(90));
  EXPECT_FALSE(BandPlayer::make(band, &missing));
  const auto player = BandPlayer::make(band, nullptr).value();
  BandPiece piece;
  player->read(piece, 48000);
  const auto peak = [](const std::vector<float>& x) { return *std::max_element(x.begin(), x.end()); };
  EXPECT_GT(peak(piece.bass), 0.05F);
  EXPECT_GT(peak(piece.chords), 0.02F);
  EXPECT_EQ(peak(piece.drums), 0.0F);
}

}  // namespace
}  // namespace fretloom
