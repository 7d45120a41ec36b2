#include "play/band_timeline.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <map>
#include <set>

#include "band/random_vamp.h"
#include "play/band_fingers.h"

namespace fretloom {
namespace {

IdeaSheet with_lick(IdeaSheet idea) {
  idea.instrument.neck.tuning = parse_tuning("standard").value();
  idea.layout.resize(6);
  if (idea.feels.empty()) idea.feels.emplace_back();
  return idea;
}

/// A loop of the band's own length, without asking the layout of licks for it.
Timeline loop_of(const IdeaSheet& idea, const BandOptions& options) {
  Timeline timeline;
  const Band band = play_vamp(idea, options).value();
  timeline.frames = frame_of(band.length.value, options.bpm);
  timeline.loop = true;
  timeline.stretches = {{0, options.bpm, band.length}};
  return timeline;
}

/// Two bars behind a second of silence.
Timeline piece_of(const Rational& bpm, const Rational& beats) {
  Timeline timeline;
  timeline.stretches = {{k_sample_rate, bpm, Beats(beats)}};
  timeline.frames = k_sample_rate + frame_of(beats, bpm) + 3 * k_sample_rate;
  return timeline;
}

int midi_of(const BandStrings& strings, const voice::PlayedNote& note) {
  return strings.part.open[static_cast<std::size_t>(note.string)] + note.fret;
}

TEST(BandFingers, NotesLieNearTheHand) {
  const std::vector<int> bass = {28, 33, 38, 43};
  EXPECT_EQ(place_note(bass, 28, 3), (FingerPlace{0, 0}));
  EXPECT_EQ(place_note(bass, 40, 7), (FingerPlace{1, 7}));
  EXPECT_EQ(place_note(bass, 40, 2), (FingerPlace{2, 2}));
  EXPECT_FALSE(place_note(bass, 27, 3));
}

TEST(BandFingers, AChordHasAStringForEachNote) {
  const std::vector<int> guitar = {40, 45, 50, 55, 59, 64};
  const auto places = place_chord(guitar, {55, 62, 67}, 5);  // G D G
  ASSERT_EQ(places.size(), 3U);
  for (std::size_t i = 0; i + 1 < places.size(); ++i) EXPECT_LT(places[i].string, places[i + 1].string);
  EXPECT_TRUE(place_chord(guitar, {30, 60, 64}, 5).empty());
  EXPECT_TRUE(place_chord(guitar, {}, 5).empty());
}

/// Every note of every part is there, at its own frame, and no other.
RC_GTEST_PROP(BandTimeline, HoldsEveryNoteAtItsFrame, ()) {
  RandomVamp random = any_vamp();
  const IdeaSheet idea = with_lick(random.idea);
  const Band band = play_vamp(idea, random.options).value();
  if (frame_of(band.length.value, random.options.bpm) > 600LL * k_sample_rate) return;
  const auto laid = lay_out_band(idea, loop_of(idea, random.options), random.options);
  if (!laid) RC_FAIL(random.text + ": " + laid.error().what);
  for (const BandPart& part : band.parts) {
    std::multiset<std::pair<std::int64_t, int>> wanted;
    std::multiset<std::pair<std::int64_t, int>> found;
    for (const BandNote& note : part.notes) wanted.insert({frame_of(note.onset.value, random.options.bpm), note.key});
    for (const BandStrings& strings : laid->strings) {
      if (strings.role != part.role) continue;
      for (const voice::PlayedNote& note : strings.part.notes) {
        // A strummed string sounds up to 10 ms behind its chord.
        auto at = wanted.lower_bound({note.onset - 480, 0});
        while (at != wanted.end() && at->first <= note.onset && at->second != midi_of(strings, note)) ++at;
        RC_ASSERT(at != wanted.end() && at->first <= note.onset);
        found.insert(*at);
        RC_ASSERT(note.end > note.onset);
        RC_ASSERT(note.fret >= 0 && note.fret <= 24);
      }
    }
    std::set<std::pair<std::int64_t, int>> drone;
    for (const BandHit& hit : laid->hits) {
      const HitSound& sound = laid->sounds[static_cast<std::size_t>(hit.sound)];
      if (sound.role != part.role) continue;
      RC_ASSERT(hit.end > hit.frame);
      RC_ASSERT(hit.level >= 0.001F && hit.level <= 4.0F);
      if (sound.role == BandRole::drone) {
        drone.insert({hit.frame, sound.key});
      } else {
        found.insert({hit.frame, sound.key});
      }
    }
    if (part.role == BandRole::drone) {
      for (const auto& note : wanted) RC_ASSERT(drone.count(note) == 1);
    } else {
      if (found != wanted) RC_FAIL(random.text + ", " + std::string(name(part.role)));
    }
  }
}

RC_GTEST_PROP(BandTimeline, IsTheSameEachTime, ()) {
  const RandomVamp random = any_vamp();
  const IdeaSheet idea = with_lick(random.idea);
  const Timeline loop = loop_of(idea, random.options);
  const auto once = lay_out_band(idea, loop, random.options);
  const auto again = lay_out_band(idea, loop, random.options);
  RC_ASSERT(once.ok() == again.ok());
  if (once) RC_ASSERT(to_text(*once) == to_text(*again));
}

/// No string plays two notes at once, and no chord is wider than a hand.
RC_GTEST_PROP(BandTimeline, CanBeFingered, ()) {
  const RandomVamp random = any_vamp();
  const IdeaSheet idea = with_lick(random.idea);
  const auto laid = lay_out_band(idea, loop_of(idea, random.options), random.options);
  if (!laid) return;
  for (const BandStrings& strings : laid->strings) {
    std::map<int, std::int64_t> last;
    for (const voice::PlayedNote& note : strings.part.notes) {
      const auto before = last.find(note.string);
      if (before != last.end()) RC_ASSERT(before->second < note.onset);
      last[note.string] = note.onset;
    }
  }
}

TEST(BandTimeline, ARunEndsWithOneStrokeThatRings) {
  const IdeaSheet idea = with_lick(vamp_idea("eighths", "4/4", "Em7 | A7"));
  const Rational bpm(97);
  const auto laid = lay_out_band(idea, piece_of(bpm, Rational(8)), {}).value();
  const std::int64_t end = k_sample_rate + frame_of(Rational(8), bpm);
  ASSERT_EQ(laid.strings.size(), 2U);
  for (const BandStrings& strings : laid.strings) {
    EXPECT_EQ(strings.part.notes.front().onset, k_sample_rate);
    EXPECT_GE(strings.part.notes.back().onset, end);
    EXPECT_LT(strings.part.notes.back().onset, end + 480);
    EXPECT_GT(strings.part.notes.back().end, end + k_sample_rate);
  }
  EXPECT_EQ(laid.hits.back().frame, end);
  for (const BandHit& hit : laid.hits) EXPECT_LE(hit.frame, end);
}

/// Each rung of a ladder has the tempo of its run.
TEST(BandTimeline, EveryRunHasItsTempo) {
  const IdeaSheet idea = with_lick(vamp_idea("quarters", "4/4", "Em7 | A7"));
  Timeline timeline;
  timeline.stretches = {{0, Rational(60), Beats(Rational(8))}, {500'000, Rational(120), Beats(Rational(8))}};
  timeline.frames = 900'000;
  const auto laid = lay_out_band(idea, timeline, {}).value();
  std::set<std::int64_t> kicks;
  for (const BandHit& hit : laid.hits) {
    const HitSound& sound = laid.sounds[static_cast<std::size_t>(hit.sound)];
    if (sound.key == static_cast<int>(DrumKey::kick)) kicks.insert(hit.frame);
  }
  for (const Stretch& run : timeline.stretches) {
    for (const int beat : {0, 2, 4, 6, 8}) EXPECT_EQ(kicks.count(run.frame + frame_of(Rational(beat), run.bpm)), 1U);
  }
}

TEST(BandTimeline, AnOpenHatEndsAtTheNextHat) {
  const IdeaSheet idea = with_lick(vamp_idea("eighths", "4/4", "Em7 | A7"));
  BandOptions options;
  options.intensity = Intensity::full;
  const auto laid = lay_out_band(idea, loop_of(idea, options), options).value();
  int open = 0;
  for (std::size_t i = 0; i < laid.hits.size(); ++i) {
    const BandHit& hit = laid.hits[i];
    const auto drum = [&](const BandHit& h) { return laid.sounds[static_cast<std::size_t>(h.sound)].key; };
    if (drum(hit) != static_cast<int>(DrumKey::open_hat)) continue;
    ++open;
    const auto closes = [&](const BandHit& h) { return h.frame == hit.end || h.frame + laid.frames == hit.end; };
    EXPECT_TRUE(std::any_of(laid.hits.begin(), laid.hits.end(), closes)) << hit.frame;
  }
  EXPECT_GT(open, 0);
}

/// Muted where the pattern says so: the gallop's plain strokes, no stroke of a shuffle.
TEST(BandTimeline, ThePalmLiesWhereTheRhythmSaysSo) {
  const auto muted = [](const char* rhythm) {
    const IdeaSheet idea = with_lick(vamp_idea(rhythm, "4/4", "Em7 | A7"));
    const auto laid = lay_out_band(idea, loop_of(idea, {}), {}).value();
    std::size_t count = 0;
    for (const auto& note : laid.strings[1].part.notes) count += note.palm > 0.0F ? 1 : 0;
    return count * 100 / laid.strings[1].part.notes.size();
  };
  EXPECT_EQ(muted("shuffle"), 0U);
  EXPECT_EQ(muted("eighths"), 75U);
  EXPECT_EQ(muted("gallop"), 66U);
}

TEST(BandTimeline, StringsRenderAsLongAsThePiece) {
  const IdeaSheet idea = with_lick(vamp_idea("eighths", "4/4", "Em7 | A7"));
  const auto laid = lay_out_band(idea, piece_of(Rational(180), Rational(8)), {}).value();
  const auto tracks = render_strings(laid).value();
  ASSERT_EQ(tracks.size(), 2U);
  for (const BandTrack& track : tracks) {
    EXPECT_EQ(track.audio.frames(), laid.frames);
    const auto start = track.audio.samples.begin() + k_sample_rate * k_channels;
    // Nothing before the pick touches the string, then sound.
    EXPECT_TRUE(std::all_of(track.audio.samples.begin(), start - 400 * k_channels, [](float x) { return x == 0.0F; }));
    EXPECT_GT(*std::max_element(start, track.audio.samples.end()), 0.05F);
  }
  const StopFlag stop = true;
  EXPECT_EQ(render_strings(laid, &stop).error().kind, ErrorKind::stopped);
}

}  // namespace
}  // namespace fretloom
