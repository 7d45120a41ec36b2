// The voice on the phone: the same source as WebAssembly, run by node, must give the same bytes.

#include <gtest/gtest.h>

#include <cstdio>
#include <cstring>
#include <memory>

#include "outside.h"
#include "play/timeline.h"
#include "sound/kernel/voice.h"
#include "sound/signal.h"

namespace fretloom {
namespace {

constexpr int k_chunk = 4096;

/// A minute of a demo that does everything: strokes, slurs, slides, accents, rests.
IdeaSheet minute() {
  IdeaSheet idea = demo::empty_idea(demo::tunings().front());
  Score& score = idea.feels.front();
  score.notes_per_beat = 4;
  for (int i = 0; i < 480; ++i) {
    if (i % 31 == 30) continue;  // a rest
    const int string = 6 - (i / 6) % 6;
    const int fret = 5 + (i * 2) % 4 + (i % 12 == 11 ? 4 : 0);
    const bool same = !score.notes.empty() && score.notes.back().string == string && score.notes.back().fret != fret &&
                      score.notes.back().onset.value == Rational(i - 1, 4);
    Attack attack = Attack::pick;
    if (same && i % 5 == 3) attack = score.notes.back().fret < fret ? Attack::hammer : Attack::pull;
    if (same && i % 12 == 11) attack = Attack::slide;
    demo::append(idea, Rational(i, 4), Rational(1, 4), string, fret, attack);
    score.notes.back().accent = i % 6 == 0;
  }
  return idea;
}

std::vector<char> native(const Timeline& timeline, const std::vector<double>& open, int voicing,
                         const voice::Manner& manner, int frames) {
  auto instrument = std::make_unique<voice::Voice>();
  instrument->prepare(open.data(), static_cast<int>(open.size()), false, voicing, manner);
  std::vector<voice::Event> events(timeline.notes.size() * voice::k_events_a_note);
  const int count = voice::perform(timeline.notes.data(), static_cast<int>(timeline.notes.size()), manner,
                                   events.data(), static_cast<int>(events.size()));
  EXPECT_GT(count, 0);
  instrument->start(events.data(), count);
  std::vector<float> side(2 * k_chunk);
  std::vector<char> out;
  for (int done = 0; done < frames; done += k_chunk) {
    instrument->render(side.data(), side.data() + k_chunk, k_chunk);
    const char* bytes = reinterpret_cast<const char*>(side.data());
    out.insert(out.end(), bytes, bytes + side.size() * sizeof(float));
  }
  return out;
}

TEST(WebAssembly, RendersTheSameBitsOverAMinute) {
  const std::string wasm = FRETLOOM_VOICE_WASM;
  if (wasm.empty() || !test::have_tool("node")) GTEST_SKIP() << "no clang for wasm32, or no node";
  const IdeaSheet idea = minute();
  auto timeline = lay_out(idea, idea.feels[0], {.bpm = Rational(120), .count_in_bars = 0}).value();
  // As a rhythm guitar plays: softer strokes, some of them muted.
  for (std::size_t i = 3; i < timeline.notes.size(); i += 7) timeline.notes[i].level = 0.6F;
  for (std::size_t i = 5; i < timeline.notes.size(); i += 9) timeline.notes[i].palm = 0.45F;
  constexpr int frames = 60 * k_sample_rate;
  ASSERT_GE(timeline.frames, frames);
  const std::vector<double> open = {
      82.406889228217482, 110.0, 146.83238395870379, 195.99771799087463, 246.94165062806206, 329.62755691286992};

  const test::Folder folder;
  for (const int voicing : {1, 4, 5}) {
    voice::Manner manner;
    manner.palm = voicing == 4 ? 0.3 : 0.0;
    const std::string plan = folder / "plan";
    const std::string result = folder / "out";
    {
      std::FILE* file = std::fopen(plan.c_str(), "w");
      ASSERT_NE(file, nullptr);
      std::fprintf(file, "begin 0 %d %.17g %.17g %d\n", voicing, manner.palm, manner.stroke_colour, frames);
      for (const double hz : open) std::fprintf(file, "string %.17g\n", hz);
      for (const auto& n : timeline.notes) {
        std::fprintf(file, "note %lld %lld %d %d %d %d %d %u %lld %d %.9g %.9g\n", static_cast<long long>(n.onset),
                     static_cast<long long>(n.end), n.string, n.fret, static_cast<int>(n.touch), n.upward, n.accent,
                     n.seed, static_cast<long long>(n.ring), n.vibrato, static_cast<double>(n.level),
                     static_cast<double>(n.palm));
      }
      std::fclose(file);
    }
    const std::string command = std::string("node ") + FRETLOOM_SOURCE_DIR + "/tests/sound/render_voice.mjs " + wasm +
                                " " + plan + " " + result;
    ASSERT_EQ(test::run_tool(command).code, 0);
    const std::string theirs = test::bytes_of(result);
    const std::vector<char> ours = native(timeline, open, voicing, manner, frames);
    ASSERT_EQ(theirs.size(), ours.size());
    EXPECT_EQ(std::memcmp(theirs.data(), ours.data(), ours.size()), 0) << "voicing " << voicing;
    // And it is no silence that agrees.
    float loudest = 0;
    for (std::size_t i = 0; i + sizeof(float) <= ours.size(); i += sizeof(float)) {
      float x = 0;
      std::memcpy(&x, ours.data() + i, sizeof x);
      loudest = std::max(loudest, x);
    }
    EXPECT_GT(loudest, 0.1F);
  }
}

}  // namespace
}  // namespace fretloom
