#include "sheet/passage.h"

#include <algorithm>
#include <numeric>

#include "sheet/chord_setting.h"
#include "sheet/counting.h"
#include "sheet/number.h"
#include "sheet/pages.h"
#include "sheet/row_marks.h"
#include "sheet/system.h"

namespace fretloom::sheet {

namespace {

constexpr double k_head_gap = 0.35;
constexpr double k_fret_gap = 0.5;
constexpr double k_slide_room = 1.1;
constexpr double k_before_bar_line = 0.7;
constexpr double k_slur_before_bar_line = 1.4;  // a slur or slide over it begins before it, a line's end may lie there
constexpr double k_counting_gap = 0.4;
constexpr double k_stiff = 1e-9;  // the spring of a gap that never stretches

bool has_ledgers(const StaffNote& note) { return note.position >= 6 || note.position <= -6; }

Extent head_extent(const RhythmEvent& event, const StaffNote& note, const MusicFont& font) {
  const double half = font.box(symbol_of(event)).width() / 2;
  Extent extent{half, half};
  if (event.full_bar) return {half + 1, half + 1};
  if (event.dots > 0) extent.right += 0.35 + font.box(Symbol::dot).width();
  if (event.is_rest()) return extent;
  if (has_ledgers(note)) {
    extent.left = std::max(extent.left, half + Engraving::ledger_extension - 0.1);
    extent.right = std::max(extent.right, half + Engraving::ledger_extension - 0.1);
  }
  if (note.accidental) extent.left = std::max(extent.left, half + accidental_width(note, font));
  if (event.log >= 3 && event.beam < 0 && note.position < 0) extent.right += font.box(Symbol::flag_8_up).width();
  return extent;
}

/// Half the width of an event's digits; a tie that a line break may cut shows them again in parentheses.
double fret_half(const RhythmEvent& event, bool first_in_bar, const Score& score, const SheetOptions& options) {
  if (event.is_rest() || (event.tie_in && !first_in_bar)) return 0;
  const std::string fret = std::to_string(score.notes[static_cast<std::size_t>(event.note)].fret);
  return options.metrics.width(event.tie_in ? "(" + fret + ")" : fret, TextStyle::regular, k_fret_size) / 2;
}

bool is_slurred(const RhythmEvent& event, const Score& score) {
  return !event.is_rest() && !event.tie_in && score.notes[static_cast<std::size_t>(event.note)].attack != Attack::pick;
}

bool slides_into(const RhythmEvent& event, const Score& score) {
  return is_slurred(event, score) && score.notes[static_cast<std::size_t>(event.note)].attack == Attack::slide;
}

double counted_half(const PassageScore& ps, const RhythmEvent& event, const SheetOptions& options) {
  return options.metrics.width(counted(ps, event), TextStyle::bold, k_counting_size) / 2;
}

/// For each note of the score: whether the change behind it is blocked.
std::vector<bool> blocked_after(const ScoreAt& at) {
  std::vector<bool> blocked(at.score->notes.size(), false);
  for (const Change& change : changes_of(*at.idea, *at.score)) {
    const auto before = static_cast<std::size_t>(change.after_note) - 1;
    if (!change.free && change.after_note > 0 && before + 1 < blocked.size()) blocked[before] = true;
  }
  return blocked;
}

/// Least width of an event's gap by which every chord symbol over it clears the next: the gap's share of
/// the room of the chord that needs most a beat.
double chord_rod(const RhythmEvent& event, const RhythmBar& bar, const IdeaSheet& idea, const SheetOptions& options) {
  if (idea.vamp.chords.size() < 2) return 0;
  double most = 0;
  const Rational end = event.onset.value + event.duration.value;
  for (const auto& [onset, chord] : chords_in(idea.vamp, idea.meter, bar)) {
    const Rational chord_end = onset.value + chord->duration.value;
    if (chord_end <= event.onset.value || onset.value >= end) continue;
    const double width = set_chord(chord->chord, k_chord_size, options.metrics).width + 0.9;
    most = std::max(most, width * (event.duration.value / chord->duration.value).to_double());
  }
  return most;
}

Rational shortest_of(const PassagePlan& plan) {
  Rational shortest(1, 8);
  for (const PassageScore& ps : plan.scores) {
    for (const RhythmBar& bar : ps.rhythm.bars) {
      for (const RhythmEvent& event : bar.events) {
        shortest = std::min(shortest, event.duration.value * ps.at.idea->meter.beat_value());
      }
    }
  }
  return shortest;
}

/// What a bar's or piece's last column needs up to where it ends.
double rod_to_end(const PassageScore& ps, const MeasuredBar& bar, int last, double half) {
  const RhythmBar& rhythm = ps.rhythm.bars[static_cast<std::size_t>(bar.bar)];
  const auto after = static_cast<std::size_t>(bar.bar) + 1;
  const RhythmEvent* next = nullptr;
  if (static_cast<std::size_t>(last) + 1 < rhythm.events.size()) {
    next = &rhythm.events[static_cast<std::size_t>(last) + 1];
  } else if (after < ps.rhythm.bars.size()) {
    next = &ps.rhythm.bars[after].events.front();
  }
  const bool slurs =
      next != nullptr && !rhythm.events[static_cast<std::size_t>(last)].is_rest() && is_slurred(*next, *ps.at.score);
  return half + (slurs ? k_slur_before_bar_line : k_before_bar_line);
}

/// Events from bar.first up to `end`; all that stands in the bar's other fields is given.
void measure_gaps(const PassageScore& ps, MeasuredBar& bar, int end, const Rational& shortest, const MusicFont& font,
                  const SheetOptions& options) {
  const Score& score = *ps.at.score;
  const IdeaSheet& idea = *ps.at.idea;
  const RhythmBar& rhythm = ps.rhythm.bars[static_cast<std::size_t>(bar.bar)];
  const auto& staff = ps.notes.bars[static_cast<std::size_t>(bar.bar)];
  const auto first = static_cast<std::size_t>(bar.first);
  for (std::size_t i = first; i < static_cast<std::size_t>(end); ++i) {
    const RhythmEvent& event = rhythm.events[i];
    const Extent here = head_extent(event, staff[i], font);
    Gap gap;
    gap.spring = spring_width(event.duration.value * idea.meter.beat_value(), shortest, k_shortest_width);
    const double fret = fret_half(event, i == first, score, options);
    const bool closing = i + 1 == static_cast<std::size_t>(end);
    if (closing) {
      gap.rod = rod_to_end(ps, bar, static_cast<int>(i), std::max(here.right, fret));
    } else {
      const RhythmEvent& next = rhythm.events[i + 1];
      const double slide = slides_into(next, score) ? k_slide_room : 0;
      gap.rod = std::max(here.right + head_extent(next, staff[i + 1], font).left + std::max(k_head_gap, slide),
                         fret + fret_half(next, false, score, options) + std::max(k_fret_gap, slide));
    }
    if (options.counting) {
      const double next = closing ? 0 : counted_half(ps, rhythm.events[i + 1], options);
      gap.rod = std::max(gap.rod, counted_half(ps, event, options) + next + k_counting_gap);
    }
    gap.rod = std::max(gap.rod, chord_rod(event, rhythm, idea, options));
    bar.gaps.push_back(gap);
  }
  bar.lead = k_bar_lead + std::max(head_extent(rhythm.events[first], staff[first], font).left,
                                   fret_half(rhythm.events[first], true, score, options));
  if (bar.repeat_start) bar.lead += k_before_repeat + k_repeat_width;
}

/// Events at which a bar may go on in another line: they begin a beat and stand under no beam of the one before.
std::vector<int> places_to_cut(const Meter& meter, const RhythmBar& bar, const std::vector<int>& beats) {
  std::vector<int> places;
  for (std::size_t i = 1; i < bar.events.size(); ++i) {
    const RhythmEvent& event = bar.events[i];
    const Rational place = beat_in_bar(meter, event.onset).value;
    if (!place.is_whole() || !std::binary_search(beats.begin(), beats.end(), static_cast<int>(place.floor()))) continue;
    if (event.beam < 0 || event.beam != bar.events[i - 1].beam) places.push_back(static_cast<int>(i));
  }
  return places;
}

class BarMeasurer {
 public:
  BarMeasurer(const PassagePlan& plan, const MusicFont& font, const SheetOptions& options)
      : font_(font), options_(options), shortest_(shortest_of(plan)) {}

  /// The bar whole, or the fewest kinds of pieces that a line holds.
  std::vector<MeasuredBar> measure(const PassageScore& ps, const MeasuredBar& empty, bool opens_section) const {
    const RhythmBar& rhythm = ps.rhythm.bars[static_cast<std::size_t>(empty.bar)];
    const Meter& meter = ps.at.idea->meter;
    std::vector<MeasuredBar> pieces = cut(ps, empty, {});
    if (options_.paper.is_strip() || fits(ps, pieces, opens_section)) return pieces;
    const int beats = meter.beats_per_bar();
    std::vector<int> halves = counted_groups(meter);
    if (!meter.is_additive() && beats == 4) halves = {0, 2};
    std::vector<int> every(static_cast<std::size_t>(beats));
    std::iota(every.begin(), every.end(), 0);
    for (const std::vector<int>& starts : {halves, every}) {
      pieces = cut(ps, empty, places_to_cut(meter, rhythm, starts));
      if (fits(ps, pieces, opens_section)) break;
    }
    return pieces;
  }

 private:
  [[nodiscard]] std::vector<MeasuredBar> cut(const PassageScore& ps, const MeasuredBar& empty,
                                             const std::vector<int>& places) const {
    const auto events = static_cast<int>(ps.rhythm.bars[static_cast<std::size_t>(empty.bar)].events.size());
    std::vector<MeasuredBar> pieces;
    for (std::size_t i = 0; i <= places.size(); ++i) {
      MeasuredBar piece = empty;
      piece.first = i == 0 ? 0 : places[i - 1];
      piece.ends_bar = i == places.size();
      if (!piece.begins_bar()) piece.repeat_start = false;
      if (!piece.ends_bar) {
        piece.repeat_end = piece.closing = piece.joins = false;
        piece.tail = piece.courtesy = 0;
      }
      measure_gaps(ps, piece, piece.ends_bar ? events : places[i], shortest_, font_, options_);
      pieces.push_back(std::move(piece));
    }
    return pieces;
  }

  [[nodiscard]] bool fits(const PassageScore& ps, const std::vector<MeasuredBar>& pieces, bool opens_section) const {
    const double width = page_size(options_).inner_width();
    return std::all_of(pieces.begin(), pieces.end(), [&](const MeasuredBar& piece) {
      const bool opens = opens_section && &piece == &pieces.front();
      return prefix_width(ps, opens, font_, options_) + width_at(piece.all_gaps(), 0) <= width;
    });
  }

  const MusicFont& font_;
  const SheetOptions& options_;
  Rational shortest_;
};

bool same_signatures(const PassageScore& a, const PassageScore& b) {
  const Neck& neck_a = a.at.idea->instrument.neck;
  const Neck& neck_b = b.at.idea->instrument.neck;
  return a.clef == b.clef && a.fifths == b.fifths && a.at.idea->meter == b.at.idea->meter &&
         neck_a.capo == neck_b.capo && neck_a.tuning == neck_b.tuning;
}

/// An idea that loops: no ending of its own, whole bars from the first bar line on, and whole turns of the
/// vamp, since other chords would sound the second time than stand over the notes.
bool loops(const IdeaSheet& idea, const Score& score) {
  if (score.notes.empty() || score.start.value != Rational(0)) return false;
  if (score.notes.back().role != Role::rule) return false;
  if (!idea.vamp.chords.empty() && !(score.end.value / idea.vamp.length(idea.meter).value).is_whole()) return false;
  return (score.end.value / Rational(idea.meter.beats_per_bar())).is_whole();
}

}  // namespace

std::vector<Gap> MeasuredBar::all_gaps() const {
  std::vector<Gap> all;
  all.reserve(gaps.size() + 2);
  all.push_back({k_stiff, lead});
  all.insert(all.end(), gaps.begin(), gaps.end());
  if (tail > 0) all.push_back({k_stiff, tail});
  return all;
}

Symbol symbol_of(const RhythmEvent& event) {
  if (!event.is_rest())
    return event.log == 0 ? Symbol::head_whole : event.log == 1 ? Symbol::head_half : Symbol::head_black;
  return static_cast<Symbol>(static_cast<int>(Symbol::rest_whole) + event.log);
}

Symbol accidental_symbol(int alter) {
  constexpr Symbol k_symbols[] = {Symbol::triple_flat, Symbol::double_flat,  Symbol::flat,        Symbol::natural,
                                  Symbol::sharp,       Symbol::double_sharp, Symbol::triple_sharp};
  return k_symbols[std::clamp(alter, -3, 3) + 3];
}

double accidental_width(const StaffNote& note, const MusicFont& font) {
  if (!note.accidental) return 0;
  double width = k_accidental_gap + font.box(accidental_symbol(*note.accidental)).width();
  if (note.courtesy) width += font.box(Symbol::paren_left).width() + font.box(Symbol::paren_right).width() + 0.1;
  return width;
}

std::string counted(const PassageScore& score, const RhythmEvent& event) {
  const std::string said = counting_syllable(score.at.idea->meter, score.at.score->notes_per_beat, event.onset);
  return said.empty() || (!event.is_rest() && !event.tie_in) ? said : "(" + said + ")";
}

Result<PassagePlan> plan_passage(const std::vector<ScoreAt>& scores, const std::string& id, const MusicFont& font,
                                 const SheetOptions& options) {
  PassagePlan plan;
  plan.id = id;
  int notes = 0;
  for (const ScoreAt& at : scores) {
    auto rhythm = write_rhythm(at.idea->meter, *at.score);
    if (!rhythm) return rhythm.error();
    PassageScore ps;
    ps.at = at;
    ps.first_note = notes;
    ps.clef = clef_of(*at.idea);
    ps.fifths = key_signature(at.idea->key);
    ps.repeated = options.repeats == RepeatSigns::automatic && scores.size() == 1 && loops(*at.idea, *at.score);
    ps.blocked = blocked_after(at);
    ps.rhythm = std::move(rhythm).value();
    ps.notes = place_on_staff(*at.idea, *at.score, ps.rhythm);
    notes += static_cast<int>(at.score->notes.size());
    plan.scores.push_back(std::move(ps));
  }
  const BarMeasurer measurer(plan, font, options);
  int index = 0;
  for (std::size_t s = 0; s < plan.scores.size(); ++s) {
    const PassageScore& ps = plan.scores[s];
    if (s == 0 || !same_signatures(plan.scores[s - 1], ps)) plan.sections.emplace_back();
    for (std::size_t b = 0; b < ps.rhythm.bars.size(); ++b) {
      MeasuredBar bar;
      bar.score = static_cast<int>(s);
      bar.bar = static_cast<int>(b);
      bar.index = index++;
      bar.repeat_start = ps.repeated && b == 0;
      bar.repeat_end = ps.repeated && b + 1 == ps.rhythm.bars.size();
      bar.closing = s + 1 == plan.scores.size() && b + 1 == ps.rhythm.bars.size();
      bar.joins = !bar.closing && b + 1 == ps.rhythm.bars.size();
      bar.tail = bar.repeat_end ? k_repeat_width
                 : bar.closing  ? k_final_width
                 : bar.joins    ? Engraving::bar_line_gap
                                : 0;
      if (bar.joins) bar.courtesy = courtesy_width(ps, plan.scores[s + 1], font);
      bar.tail += bar.courtesy;
      auto& bars = plan.sections.back().bars;
      for (MeasuredBar& piece : measurer.measure(ps, bar, bars.empty())) bars.push_back(std::move(piece));
    }
  }
  return plan;
}

std::string to_text(const PassagePlan& plan) {
  std::string out = plan.id + "\n";
  for (const Section& section : plan.sections) {
    out += "section\n";
    for (const MeasuredBar& bar : section.bars) {
      out += "  bar lead " + fixed(bar.lead);
      for (const Gap& gap : bar.gaps) out += ' ' + fixed(gap.spring) + '/' + fixed(gap.rod);
      if (bar.tail > 0) out += " tail " + fixed(bar.tail);
      if (bar.repeat_start) out += " |:";
      if (bar.repeat_end) out += " :|";
      if (!bar.ends_bar) out += " goes on";
      out += "\n";
    }
  }
  return out;
}

}  // namespace fretloom::sheet
