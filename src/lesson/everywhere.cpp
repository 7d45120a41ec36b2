#include "lesson/everywhere.h"

#include <algorithm>
#include <cstdlib>

#include "base/decimal.h"
#include "base/text.h"

namespace fretloom {

namespace {

/// The scale on another tonic, spelled with the fewest accidentals (of equals the flat one).
Key transposed(const Key& key, int semitones) {
  if (semitones == 0) return key;
  const int wanted = static_cast<int>(floor_mod(key.tonic().semitones() + semitones, 12));
  std::optional<Key> best;
  int best_accidentals = 0;
  for (int letter = 0; letter < 7; ++letter) {
    for (const int alter : {0, -1, 1}) {
      const PitchClass tonic{letter, alter};
      if (floor_mod(tonic.semitones(), 12) != wanted) continue;
      const Key candidate = key.on(tonic);
      int accidentals = 0;
      for (int step = 0; step < candidate.size(); ++step)
        accidentals += std::abs(candidate.pitch(step).pitch_class.alter);
      if (!best || accidentals < best_accidentals) {
        best = candidate;
        best_accidentals = accidentals;
      }
    }
  }
  return best.value_or(key);
}

std::string millimetres(const Millimetres& length) { return fixed_decimal(length.value, 0) + " mm"; }

/// What an OffNeck or a failed expansion says, short.
std::string off_text(const Neck& neck, const OffNeck& off) {
  const std::string wanted = "string " + std::to_string(off.string) + " would need ";
  if (off.fret < 0) return wanted + "a note below the nut";
  return wanted + "fret " + std::to_string(off.fret) + ", and the neck ends at " + std::to_string(neck.highest_fret());
}

Placement place(const Idea& idea, const Key& key, int from, bool is_home) {
  Placement placement{key, from, is_home, false, "", 0, 0, Millimetres()};
  const Neck neck = idea.settings.neck();
  LayoutRule rule = idea.settings.layout;
  rule.from = from;
  auto layout = make_layout(key, neck, rule);
  if (!layout) {
    placement.reason = layout.error().what;
    return placement;
  }
  const Ground ground{key, neck, *layout};
  placement.reach = widest(neck, layout_frets(key, neck, ground.layout)).span;
  if (const auto off = off_neck(key, neck, ground.layout)) {
    placement.reason = off_text(neck, *off);
    return placement;
  }
  Lick lick = idea.lick;
  if (!is_home) lick.edits.clear();
  std::vector<Remark> remarks;
  const auto phrase = expand(ground, lick, remarks);
  if (!phrase) {
    for (const Remark& remark : remarks) {
      if (remark.level == Level::error) placement.reason = remark.message;
    }
    return placement;
  }
  placement.playable = true;
  placement.repeats = phrase->repeats;
  const Strokes strokes = assign_strokes(phrase->notes, idea.picking, idea.first_stroke);
  placement.blocked = count_blocked(changes(phrase->notes, strokes, idea.settings.clear_after));
  std::vector<std::string> minds;
  if (placement.blocked > 0) minds.push_back(std::to_string(placement.blocked) + " blocked");
  if (placement.reach.value > idea.settings.reach) minds.push_back("reach " + millimetres(placement.reach));
  placement.reason = join(minds, ", ");
  return placement;
}

void add_positions(const Idea& idea, int semitones, std::vector<Placement>& all) {
  const Neck neck = idea.settings.neck();
  const int open = neck.open_midi(neck.strings());
  const Key& home_key = idea.settings.key();
  const int home = idea.settings.layout.kind == LayoutKind::position
                       ? idea.settings.layout.from
                       : home_key.midi(home_key.step_at_or_above(open + idea.settings.layout.from)) - open;
  const Key key = transposed(home_key, semitones);
  for (int from = 0; from <= neck.highest_fret(); ++from) {
    const bool is_home = semitones == 0 && from == home;
    if (is_home || key.contains(open + from)) all.push_back(place(idea, key, from, is_home));
  }
}

}  // namespace

std::vector<Placement> everywhere(const Idea& idea) {
  std::vector<Placement> all;
  for (int semitones = 0; semitones < 12; ++semitones) add_positions(idea, semitones, all);
  return all;
}

Positions positions(const Lesson& lesson, const Idea& idea) {
  const auto own_from = [&](const Idea& i) { return KeyPath{i.number, "layout.from"}; };
  const bool is_own = lesson.source.contains(own_from(idea));
  Positions found{is_own ? own_from(idea) : KeyPath{0, "layout.from"}, {}};
  add_positions(idea, 0, found.placements);
  if (is_own) return found;
  for (Placement& placement : found.placements) {
    for (const Idea& other : lesson.ideas) {
      if (!placement.playable || other.number == idea.number || lesson.source.contains(own_from(other))) continue;
      const Placement there =
          place(other, other.settings.key(), placement.from, placement.from == other.settings.layout.from);
      if (there.playable) continue;
      placement.playable = false;
      placement.reason = "idea " + std::to_string(other.number) + " cannot be played there: " + there.reason;
    }
  }
  return found;
}

std::optional<IdeaSheet> sheet_at(const Idea& idea, const Placement& placement) {
  if (!placement.playable) return std::nullopt;
  Idea moved = idea;
  moved.settings.layout.from = placement.from;
  auto layout = make_layout(placement.key, idea.settings.neck(), moved.settings.layout);
  if (!layout) return std::nullopt;
  moved.settings.ground = {placement.key, idea.settings.neck(), std::move(layout).value()};
  moved.notes_per_beat.resize(1);
  moved.ending.wanted = false;
  if (!placement.is_home) {
    moved.lick.edits.clear();
    moved.fingers.clear();
  }
  Lesson alone;
  alone.ideas.push_back(std::move(moved));
  Handout handout = make_handout(compile_lesson(std::move(alone)));
  if (handout.ideas.empty()) return std::nullopt;
  return std::move(handout.ideas.front());
}

}  // namespace fretloom
