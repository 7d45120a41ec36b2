// The endings of the demo lessons against the oracle, a second reading of the design by brute force.

#include <gtest/gtest.h>

#include <filesystem>

#include "hand/plain_endings.h"
#include "lesson/compile.h"
#include "oracle/oracle.h"
#include "outside.h"

namespace fretloom {
namespace {

oracle::Idea plain(const Idea& idea) {
  const Settings& settings = idea.settings;
  oracle::Idea out;
  out.scale.tonic = settings.key().tonic().name();
  for (const Degree& degree : settings.key().degrees()) out.scale.degrees.push_back(degree.name());
  for (const SpelledPitch& open : settings.neck().tuning.open) out.neck.open.push_back(open.midi());
  out.neck.capo = settings.neck().capo;
  out.neck.frets = settings.neck().frets;
  const LayoutRule& layout = settings.layout;
  out.layout.kind = layout.kind == LayoutKind::per_string ? oracle::Kind::per_string
                    : layout.kind == LayoutKind::position ? oracle::Kind::position
                                                          : oracle::Kind::octaves;
  out.layout.notes = layout.kind == LayoutKind::octaves
                         ? std::vector<int>{layout.octave_notes.first, layout.octave_notes.second}
                         : std::vector<int>{layout.notes};
  out.layout.width = layout.width;
  out.layout.from = layout.from;
  const Lick& lick = idea.lick;
  out.sequence = lick.rule.kind == RuleKind::sequence;
  out.rule = lick.rule.text;
  out.carry_strings = lick.carry.strings;
  out.carry_steps = lick.carry.steps;
  out.start_string = lick.start_string;
  out.start_ordinal = lick.start_ordinal;
  out.repeats = lick.repeats.value_or(0);
  out.back = lick.back == Back::none         ? oracle::Back::none
             : lick.back == Back::retrograde ? oracle::Back::retrograde
                                             : oracle::Back::mirrored;
  out.picking = idea.picking == Picking::alternate ? oracle::Picking::alternate
                : idea.picking == Picking::grid    ? oracle::Picking::grid
                                                   : oracle::Picking::economy;
  out.first_stroke = letter(idea.first_stroke);
  out.clear_after = settings.clear_after == Clear::upstroke     ? oracle::Clear::upstroke
                    : settings.clear_after == Clear::downstroke ? oracle::Clear::downstroke
                    : settings.clear_after == Clear::both       ? oracle::Clear::both
                                                                : oracle::Clear::none;
  return out;
}

oracle::EndingSpec plain(const EndingWish& wish) {
  oracle::EndingSpec spec;
  if (wish.on)
    spec.on = *wish.on == EndingOn::beat     ? oracle::On::beat
              : *wish.on == EndingOn::strong ? oracle::On::strong
                                             : oracle::On::bar;
  if (wish.degree) spec.degree = wish.degree->name();
  if (wish.kind) spec.kind = std::string(name(*wish.kind));
  return spec;
}

TEST(Endings, OfEveryDemoAgreeWithTheOracle) {
  int endings = 0;
  for (const auto& entry : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/demos")) {
    const CompiledLesson lesson = compile_lesson(test::bytes_of(entry.path()));
    for (const CompiledIdea& compiled : lesson.ideas) {
      const Idea& idea = lesson.idea(compiled);
      const Settings& settings = idea.settings;
      for (const Feel& feel : compiled.feels) {
        SCOPED_TRACE(entry.path().filename().string() + ", idea " + std::to_string(idea.number) + ", " +
                     std::to_string(feel.notes_per_beat) + " a beat");
        const auto theirs = oracle::endings(
            plain(idea), *oracle::meter(settings.meter.name()), plain(settings.vamp, settings.meter),
            oracle::make(idea.start_beat.num(), idea.start_beat.den()), feel.notes_per_beat, plain(idea.ending));
        EXPECT_EQ(listed(settings.ground, feel.endings), listed(theirs));
        endings += static_cast<int>(feel.endings.size());
      }
    }
  }
  EXPECT_GT(endings, 30);
}

}  // namespace
}  // namespace fretloom
