#pragma once
// Swing: what it does to a place in musical time. Lick, band and click use this one function, so that they swing alike.

#include "score/meter.h"
#include "score/score.h"
#include "score/vamp.h"

namespace fretloom {

/// Off-beat pairs in one beat: the halves of a beat, in meters over 2 the halves of each of its quarters; none in
/// compound meters, whose beat divides in three.
[[nodiscard]] int swing_pairs(const Meter& meter);

/// Where a beat falls under swing: the second note of each pair comes late, so that long to short is `swing` (1 to 4;
/// 1 = straight), and all between moves with it. Swing 2 in 4/4: 1/2 falls on 2/3, 1/4 on 1/3, 3/4 on 5/6. Beats
/// themselves stay, order is kept. Equal triplets are swung already and are not sent through here (common practice, no
/// source).
[[nodiscard]] Beats swung(const Meter& meter, const Rational& swing, const Beats& beat);

/// Whether a feel goes along: one, two, four or eight notes a beat. Others, such as three or six, are played as
/// written.
[[nodiscard]] bool can_swing(int notes_per_beat);
/// Whether a vamp's swing is heard in notes that divide the beat by `notes_per_beat`, so that it is written over them,
/// too: not where the vamp is straight, and not in compound meters.
[[nodiscard]] bool swings(const Vamp& vamp, const Meter& meter, int notes_per_beat);
/// A score as it is played: onsets, ends and start moved, or as it is where its feel does not go along.
[[nodiscard]] Score swung(const Meter& meter, const Rational& swing, const Score& score);

}  // namespace fretloom
