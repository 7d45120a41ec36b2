#include "words/settings_words.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "score/instrument.h"
#include "words/english.h"

namespace fretloom {

namespace {

struct TuningWords {
  std::string_view preset;
  std::string_view words;
};
/// Presets that do not read "six strings in NAME".
constexpr std::array k_tunings = {
    TuningWords{"standard", "six strings in standard tuning"},
    TuningWords{"half step down", "six strings tuned a half step down"},
    TuningWords{"whole step down", "six strings tuned a whole step down"},
    TuningWords{"all fourths", "six strings tuned in fourths"},
    TuningWords{"baritone", "a baritone guitar"},
    TuningWords{"seven-string", "seven strings in standard tuning"},
    TuningWords{"seven-string drop A", "seven strings in drop A"},
    TuningWords{"eight-string", "eight strings in standard tuning"},
    TuningWords{"eight-string drop E", "eight strings in drop E"},
    TuningWords{"bass", "a four-string bass"},
    TuningWords{"bass drop D", "a four-string bass in drop D"},
    TuningWords{"five-string bass", "a five-string bass"},
    TuningWords{"six-string bass", "a six-string bass"},
    TuningWords{"ukulele", "a ukulele"},
    TuningWords{"mandolin", "a mandolin"},
    TuningWords{"tenor guitar", "a tenor guitar"},
};

std::string beat_words(const Meter& meter) {
  if (!meter.is_compound()) return "";
  return meter.denominator == 8 ? " (a beat is a dotted quarter note)" : " (a beat is a dotted eighth note)";
}

}  // namespace

MusicalFacts musical_facts(const SettingsDraft& draft) {
  return {draft.key.value,         draft.neck(),      draft.layout.value, draft.meter.value, draft.tempo.value,
          draft.clear_after.value, draft.reach.value, draft.chords};
}

MusicalFacts musical_facts(const Settings& settings) {
  return {settings.key(), settings.neck(),      settings.layout, settings.meter,
          settings.tempo, settings.clear_after, settings.reach,  settings.vamp};
}

std::string tuning_words(const Tuning& tuning) {
  const std::string strings = counted_word(tuning.strings(), "string");
  if (const auto preset = Instrument{{tuning}}.tuning_name()) {
    const auto row =
        std::find_if(k_tunings.begin(), k_tunings.end(), [&](const TuningWords& t) { return t.preset == *preset; });
    return row != k_tunings.end() ? std::string(row->words) : strings + " in " + std::string(*preset);
  }
  std::string names;
  for (const SpelledPitch& open : tuning.open) names += " " + open.name();
  return strings + " tuned" + names + (tuning.strings() > 1 ? " from the thickest" : "");
}

std::string fret_words(int from) { return from == 0 ? "the nut" : "fret " + std::to_string(from); }

std::string capo_words(int capo) { return capo == 0 ? "no fret" : fret_words(capo); }

std::string notes_words(const LayoutRule& layout) {
  switch (layout.kind) {
    case LayoutKind::per_string: return counted_word(layout.notes, "note") + " a string";
    case LayoutKind::octaves:
      return number_word(layout.octave_notes.first) + " and " + counted_word(layout.octave_notes.second, "note");
    case LayoutKind::position: break;
  }
  return "";
}

std::string layout_kind_words(LayoutKind kind) {
  switch (kind) {
    case LayoutKind::per_string: return "string by string";
    case LayoutKind::position: return "in a position";
    case LayoutKind::octaves: return "in octaves";
  }
  return "";
}

std::string width_words(int width) { return counted(static_cast<std::size_t>(width), "fret"); }

std::string clear_words(Clear clear) {
  switch (clear) {
    case Clear::upstroke: return "upstrokes";
    case Clear::downstroke: return "downstrokes";
    case Clear::both: return "both strokes";
    case Clear::none: return "neither stroke";
  }
  return "";
}

std::string swing_text(const Rational& swing) {
  return std::to_string(swing.num()) + ":" + std::to_string(swing.den());
}

std::string millimetres_words(double mm) { return number_text(mm) + " mm"; }

bool is_key_by_degrees(const KeyPlaces& places) {
  const bool own_half = places.is_own("tonic") || places.is_own("scale");
  return own_half || (!places.is_own("key") && places.is_given("scale"));
}

Sentence key_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  add(clause, "in ");
  if (!is_key_by_degrees(places)) {
    add(clause, facts.key.said_name(), places("key"));
    return clause;
  }
  add(clause, facts.key.tonic().name(), places.is_given("tonic") ? places("tonic") : places.own("tonic"));
  add(clause, " ");
  add(clause, facts.key.said_mode(), places.is_given("scale") ? places("scale") : places.own("scale"));
  return clause;
}

Sentence instrument_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  add(clause, "on ");
  add(clause, tuning_words(facts.neck.tuning), places("tuning"));
  std::vector<Sentence> more;
  if (facts.neck.capo != 0) {
    add(more.emplace_back(), "a capo at ");
    add(more.back(), capo_words(facts.neck.capo), places("capo"));
  }
  if (facts.neck.frets != Neck{}.frets)
    add(more.emplace_back(), counted(static_cast<std::size_t>(facts.neck.frets), "fret"), places("frets"));
  if (facts.neck.scale_length != Neck{}.scale_length) {
    add(more.emplace_back(), "a scale length of ");
    add(more.back(), millimetres_words(facts.neck.scale_length.value), places("scale_length"));
  }
  for (std::size_t i = 0; i < more.size(); ++i) {
    add(clause, i == 0 ? " with " : i + 1 < more.size() ? ", " : " and ");
    add(clause, more[i]);
  }
  return clause;
}

Sentence layout_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  switch (facts.layout.kind) {
    case LayoutKind::per_string: add(clause, notes_words(facts.layout), places("layout.notes")); break;
    case LayoutKind::position:
      add(clause, layout_kind_words(facts.layout.kind), places("layout.kind"));
      add(clause, " of ");
      add(clause, width_words(facts.layout.width), places("layout.width"));
      break;
    case LayoutKind::octaves:
      add(clause, layout_kind_words(facts.layout.kind), places("layout.kind"));
      add(clause, " with ");
      add(clause, notes_words(facts.layout), places("layout.notes"));
      add(clause, " on each pair of strings");
      break;
  }
  add(clause, " from ");
  add(clause, fret_words(facts.layout.from), places("layout.from"));
  return clause;
}

Sentence vamp_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  if (!facts.vamp || facts.vamp->chords.empty()) return clause;
  add(clause, "over ");
  add(clause, chords_text(*facts.vamp, facts.meter), places("vamp.chords"));
  return clause;
}

Sentence meter_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  add(clause, "in ");
  add(clause, facts.meter.name(), places("meter"));
  return clause;
}

Sentence tempo_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  const Rational& slow = facts.tempo.slow_bpm;
  const Rational& goal = facts.tempo.goal_bpm;
  Sentence clause;
  add(clause, slow == goal ? "at " : "from ");
  if (slow != goal) {
    add(clause, tempo_text(slow), places("tempo.slow"));
    add(clause, slow < goal ? " up to " : " down to ");
  }
  add(clause, tempo_text(goal), places("tempo.goal"));
  add(clause, " beats a minute" + beat_words(facts.meter));
  return clause;
}

Sentence clear_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  add(clause, "the pick stands clear after ");
  add(clause, clear_words(facts.clear), places("clear_after"));
  return clause;
}

Sentence rhythm_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  if (!facts.vamp) return clause;
  const VampRhythm& rhythm = facts.vamp->rhythm;
  const bool swings = facts.vamp->swing != Rational(1);
  if (rhythm.name == Vamp{}.rhythm.name && !swings) return clause;
  add(clause, rhythm.lead.empty() ? "the chords are " : "the chords are played " + std::string(rhythm.lead));
  add(clause, rhythm.name, places("vamp.rhythm"));
  if (swings) {
    add(clause, ", with a swing of ");
    add(clause, swing_text(facts.vamp->swing), places("vamp.swing"));
  }
  return clause;
}

Sentence reach_clause(const MusicalFacts& facts, const KeyPlaces& places) {
  Sentence clause;
  add(clause, "the fretting hand spans ");
  add(clause, millimetres_words(facts.reach), places("reach"));
  add(clause, " without strain");
  return clause;
}

}  // namespace fretloom
