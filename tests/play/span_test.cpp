#include "play/span.h"

#include <gtest/gtest.h>

#include "sound/signal.h"

namespace fretloom {
namespace {

TEST(Span, StartsInBarOneAtItsOwnPlace) {
  const IdeaSheet idea = demo::weaving(32, 4);
  const Score& score = idea.feels[0];
  const auto span = span_of(score, idea.meter, 18, 21);
  ASSERT_TRUE(span);
  ASSERT_EQ(span->notes.size(), 4U);
  for (std::size_t i = 0; i < 4; ++i) {
    EXPECT_EQ(span->notes[i].onset.value, score.notes[18 + i].onset.value - Rational(4));
    EXPECT_EQ(span->notes[i].fret, score.notes[18 + i].fret);
  }
  EXPECT_EQ(span->start, span->notes.front().onset);
  EXPECT_EQ(span->end.value, span->notes.back().onset.value + span->notes.back().duration.value);
  EXPECT_FALSE(span->ending);
}

TEST(Span, OfAPickUpLiesInBarOne) {
  IdeaSheet idea = demo::weaving(8, 4);
  Score score = idea.feels[0];
  for (ScoreNote& note : score.notes) note.onset = Beats(note.onset.value - Rational(1));
  const auto span = span_of(score, idea.meter, 0, 1);
  ASSERT_TRUE(span);
  EXPECT_EQ(span->notes.front().onset.value, Rational(3));
}

TEST(Span, PicksANoteThatLostTheOneItHungOn) {
  IdeaSheet idea = demo::weaving(8, 4);
  Score score = idea.feels[0];
  score.notes[2].stroke = Stroke::up;
  for (const std::size_t slurred : {3U, 4U}) {
    score.notes[slurred].attack = Attack::hammer;
    score.notes[slurred].stroke.reset();
  }
  const auto span = span_of(score, idea.meter, 4, 6);
  ASSERT_TRUE(span);
  EXPECT_EQ(span->notes.front().attack, Attack::pick);
  EXPECT_EQ(span->notes.front().stroke, Stroke::up);
  EXPECT_FALSE(fault_of(idea, *span));
}

TEST(Span, RefusesNotesThatAreNotThere) {
  const IdeaSheet idea = demo::weaving(8, 4);
  EXPECT_FALSE(span_of(idea.feels[0], idea.meter, -1, 2));
  EXPECT_FALSE(span_of(idea.feels[0], idea.meter, 3, 2));
  EXPECT_FALSE(span_of(idea.feels[0], idea.meter, 0, 8));
  EXPECT_TRUE(span_of(idea.feels[0], idea.meter, 0, 7));
}

}  // namespace
}  // namespace fretloom
