#include "sheet/loom.h"

#include <algorithm>
#include <cmath>

namespace fretloom::sheet {

namespace {

// Costs of a row break, and of each row, so that rows are as few as the breaks allow and then as even as can be.
constexpr double k_row_cost = 1e3;
constexpr double k_unevenness_cost = 100;  // times the share of a row that stays free, squared
constexpr double k_beat_break_cost = 1e6;  // within a repetition
constexpr double k_note_break_cost = 1e7;
constexpr double k_held_break_cost = 1e9;  // within a note or rest

class LoomLayer {
 public:
  LoomLayer(const IdeaSheet& idea, const Score& score)
      : idea_(idea), score_(score), k_(std::max(1, score.notes_per_beat)) {}

  Loom lay(int most_units) {
    lay_knots();
    lay_lanes();
    lay_threads();
    lay_gates();
    lay_rests();
    lay_bands();
    lay_beats();
    lay_rows(std::max(1, most_units));
    return std::move(out_);
  }

 private:
  [[nodiscard]] Rational slot_of(const Beats& beat) const { return beat.value * k_; }
  [[nodiscard]] Rational origin() const {
    if (score_.start.value <= Rational(0)) return slot_of(score_.start);
    return Rational(bar_of(idea_.meter, score_.start) - 1) * Rational(idea_.meter.beats_per_bar()) * k_;
  }
  [[nodiscard]] Rational end() const { return slot_of(score_.end); }
  [[nodiscard]] std::size_t body() const {
    const auto& notes = score_.notes;
    return static_cast<std::size_t>(
        std::find_if(notes.begin(), notes.end(), [](const ScoreNote& n) { return n.role != Role::rule; }) -
        notes.begin());
  }

  void lay_knots() {
    for (const ScoreNote& note : score_.notes) {
      LoomKnot knot;
      knot.slot = slot_of(note.onset);
      knot.units = slot_of(note.duration);
      knot.string = note.string;
      knot.place = place_of(note);
      knot.fret = note.fret;
      knot.kind = !note.stroke ? KnotKind::slurred : *note.stroke == Stroke::down ? KnotKind::down : KnotKind::up;
      knot.accent = note.accent;
      knot.role = note.role;
      out_.knots.push_back(knot);
    }
  }

  /// Ordinal 0 says "the scale note below the first" or "none of the scale's": the latter stands halfway between the
  /// row's frets around it.
  [[nodiscard]] double place_of(const ScoreNote& note) const {
    const Neck& neck = idea_.instrument.neck;
    if (note.ordinal != 0 || idea_.key.contains(neck.open_midi(note.string) + note.fret)) return note.ordinal;
    const auto& frets = idea_.layout[neck.index(note.string)].frets;
    return static_cast<double>(std::lower_bound(frets.begin(), frets.end(), note.fret) - frets.begin()) + 0.5;
  }

  void lay_lanes() {
    for (int string = 1; string <= idea_.instrument.strings(); ++string) {
      LoomLane lane{string, false, 1, 1};
      lane.high =
          std::max<double>(1, static_cast<double>(idea_.layout[idea_.instrument.neck.index(string)].frets.size()));
      for (const LoomKnot& knot : out_.knots) {
        if (knot.string != string) continue;
        lane.touched = true;
        lane.low = std::min(lane.low, knot.place);
        lane.high = std::max(lane.high, knot.place);
      }
      out_.lanes.push_back(lane);
    }
  }

  void lay_threads() {
    Stroke last = idea_.first_stroke;
    for (std::size_t i = 0; i < score_.notes.size(); ++i) {
      last = score_.notes[i].stroke.value_or(last);
      out_.threads.push_back(thread_after(i, last));
    }
  }
  [[nodiscard]] ThreadKind thread_after(std::size_t i, Stroke last) const {
    if (i + 1 == score_.notes.size()) return ThreadKind::none;
    const ScoreNote& next = score_.notes[i + 1];
    if (score_.notes[i].onset.value + score_.notes[i].duration.value < next.onset.value) return ThreadKind::none;
    if (next.attack != Attack::pick) return ThreadKind::arc;
    return last == Stroke::down ? ThreadKind::solid : ThreadKind::dotted;
  }

  /// The proof's changes as far as the feel plays them (a trimmed one ends earlier), and the ending's.
  void lay_gates() {
    for (const Change& change : idea_.proof.changes) {
      const auto after = static_cast<std::size_t>(change.after_note);
      if (after < body()) out_.gates.push_back({after, change.free});
    }
    if (!score_.ending) return;
    for (const Change& change : score_.ending->changes) {
      const auto after = static_cast<std::size_t>(change.after_note);
      if (after > 0 && after < out_.knots.size()) out_.gates.push_back({after, change.free});
    }
  }

  void lay_rests() {
    Rational silent_from = origin();
    for (const LoomKnot& knot : out_.knots) {
      if (silent_from < knot.slot) out_.rests.push_back({silent_from, knot.slot - silent_from});
      silent_from = knot.slot + knot.units;
    }
    if (silent_from < end()) out_.rests.push_back({silent_from, end() - silent_from});
  }

  void lay_bands() {
    const std::size_t notes = body();
    const bool lands = notes < out_.knots.size();
    const Rational body_end = lands ? out_.knots[notes].slot : end();
    const int repeats = notes == 0 ? 0 : score_.notes[notes - 1].repeat;
    const Rational units(std::max(1, idea_.rule.units()));
    for (int r = 1; r <= repeats; ++r) {
      LoomBand band;
      band.kind = r == 1 ? BandKind::rule : r > idea_.repeats ? BandKind::back : BandKind::again;
      band.repeat = r;
      band.from = slot_of(score_.start) + Rational(r - 1) * units;
      band.to = r == repeats ? body_end : band.from + units;
      const auto first =
          std::find_if(score_.notes.begin(), score_.notes.end(), [&](const ScoreNote& n) { return n.repeat == r; });
      band.first = static_cast<std::size_t>(first - score_.notes.begin());
      out_.bands.push_back(band);
    }
    if (lands) out_.bands.push_back({BandKind::ending, score_.notes[notes].repeat, body_end, end(), notes});
  }

  void lay_beats() {
    std::string before;
    for (std::int64_t beat = (origin() / k_).ceil(); Rational(beat) * k_ < end(); ++beat) {
      LoomBeat& laid = out_.beats.emplace_back();
      const Beats at{Rational(beat)};
      laid.slot = slot_of(at);
      laid.bar = beat_in_bar(idea_.meter, at).value == Rational(0);
      const std::string chord = chord_name(at);
      if (chord != before) laid.chord = chord;
      before = chord;
    }
  }
  /// Empty before bar 1, as in the music, and without a vamp.
  [[nodiscard]] std::string chord_name(const Beats& at) const {
    const VampChord* chord = at.value < Rational(0) ? nullptr : chord_at(idea_, at);
    return chord == nullptr ? "" : chord->chord.symbol();
  }

  void lay_rows(int most_units) {
    const std::vector<std::pair<Rational, double>> breaks = possible_breaks();
    // best[i]: the least cost of rows up to break i, and where the last of them starts.
    std::vector<double> best(breaks.size(), 1e300);
    std::vector<std::size_t> from(breaks.size(), 0);
    best[0] = 0;
    for (std::size_t i = 1; i < breaks.size(); ++i) {
      for (std::size_t j = i; j-- > 0;) {
        const double units = (breaks[i].first - breaks[j].first).to_double();
        if (units > most_units && j + 1 < i) break;
        const double free = std::max(0.0, 1 - units / most_units);
        const double cost = best[j] + breaks[j].second + k_row_cost + k_unevenness_cost * free * free;
        if (cost >= best[i]) continue;
        best[i] = cost;
        from[i] = j;
      }
    }
    for (std::size_t i = breaks.size() - 1; i > 0; i = from[i]) {
      const Rational start = breaks[from[i]].first;
      out_.rows.push_back({start, breaks[i].first, chord_name(Beats(start / k_))});
    }
    std::reverse(out_.rows.begin(), out_.rows.end());
  }

  /// Where a row may begin and at what cost, ascending: at the start, at every unit after it, and the end.
  [[nodiscard]] std::vector<std::pair<Rational, double>> possible_breaks() const {
    std::vector<std::pair<Rational, double>> breaks;
    std::size_t knot = 0;
    std::size_t band = 0;
    for (Rational slot = origin(); slot < end(); slot += Rational(1)) {
      while (knot < out_.knots.size() && out_.knots[knot].slot < slot) ++knot;
      while (band < out_.bands.size() && out_.bands[band].from < slot) ++band;
      const bool at_band = slot == origin() || (band < out_.bands.size() && out_.bands[band].from == slot);
      const bool at_knot = knot < out_.knots.size() && out_.knots[knot].slot == slot;
      const bool at_beat = (slot / k_).is_whole();
      breaks.emplace_back(slot, at_band              ? 0
                                : at_knot && at_beat ? k_beat_break_cost
                                : at_knot            ? k_note_break_cost
                                                     : k_held_break_cost);
    }
    breaks.emplace_back(end(), 0);
    return breaks;
  }

  const IdeaSheet& idea_;
  const Score& score_;
  Rational k_;
  Loom out_;
};

std::string decimal(double value) {
  const bool half = value != static_cast<int>(value);
  return std::to_string(static_cast<int>(std::floor(value))) + (half ? ".5" : "");
}

}  // namespace

Loom lay_loom(const IdeaSheet& idea, const Score& score, int most_units) {
  return LoomLayer(idea, score).lay(most_units);
}

Loom blank_loom(const IdeaSheet& idea, const Score& score, int units) {
  Loom loom;
  for (int string = 1; string <= idea.instrument.strings(); ++string) {
    const std::size_t notes = idea.layout[idea.instrument.neck.index(string)].frets.size();
    loom.lanes.push_back({string, false, 1, std::max<double>(1, static_cast<double>(notes))});
  }
  for (int unit = 0; unit < units; unit += score.notes_per_beat) {
    const Beats beat{Rational(unit / score.notes_per_beat)};
    loom.beats.push_back({Rational(unit), beat_in_bar(idea.meter, beat).value == Rational(0), ""});
  }
  loom.bands.push_back({BandKind::rule, 1, Rational(0), Rational(units), 0});
  loom.rows.push_back({Rational(0), Rational(units), ""});
  return loom;
}

std::string to_text(const Loom& loom) {
  constexpr std::string_view k_kinds[] = {"down", "up", "slurred"};
  constexpr std::string_view k_threads[] = {"", " solid", " dotted", " arc"};
  constexpr std::string_view k_bands[] = {"the rule", "again", "back", "ending"};
  const auto span = [](const Rational& from, const Rational& to) { return from.to_string() + " to " + to.to_string(); };
  std::string out;
  for (const LoomLane& lane : loom.lanes) {
    out += "lane " + std::to_string(lane.string);
    out += lane.touched ? " places " + decimal(lane.low) + " to " + decimal(lane.high) + "\n" : " untouched\n";
  }
  for (std::size_t i = 0; i < loom.knots.size(); ++i) {
    const LoomKnot& knot = loom.knots[i];
    out += "knot " + knot.slot.to_string() + " +" + knot.units.to_string() + " " + std::to_string(knot.string) + ":" +
           std::to_string(knot.fret) + " place " + decimal(knot.place) + " ";
    out += k_kinds[static_cast<std::size_t>(knot.kind)];
    if (knot.accent) out += " accent";
    if (knot.role != Role::rule) out += knot.role == Role::fill ? " fill" : " landing";
    out += k_threads[static_cast<std::size_t>(loom.threads[i])];
    out += '\n';
  }
  for (const LoomGate& gate : loom.gates)
    out += "gate after " + std::to_string(gate.after) + (gate.free ? " free\n" : " blocked\n");
  for (const LoomRest& rest : loom.rests) out += "rest " + span(rest.slot, rest.slot + rest.units) + "\n";
  for (const LoomBand& band : loom.bands) {
    out += "band " + span(band.from, band.to) + " ";
    out += k_bands[static_cast<std::size_t>(band.kind)];
    out += " " + std::to_string(band.repeat) + "\n";
  }
  for (const LoomBeat& beat : loom.beats)
    out += "beat " + beat.slot.to_string() + (beat.bar ? " bar" : "") + (beat.chord.empty() ? "" : " " + beat.chord) +
           "\n";
  for (const LoomRow& row : loom.rows)
    out += "row " + span(row.from, row.to) + (row.chord.empty() ? "" : " " + row.chord) + "\n";
  return out;
}

}  // namespace fretloom::sheet
