#include "band/part_score.h"

#include <algorithm>
#include <map>
#include <numeric>

#include "theory/pitch.h"

namespace fretloom {

namespace {

struct Row {
  std::string label;
  std::map<Rational, std::string> marks;  // by place in the bar
};

std::string mark_of(const BandNote& note) {
  switch (note.touch) {
    case BandTouch::accent: return "X";
    case BandTouch::ghost: return "o";
    case BandTouch::muted: return "p";
    case BandTouch::fill: return "f";
    default: return "x";
  }
}

/// The drum rows in the order of a drum part: cymbals above, kick below.
std::string drum_row(DrumKey key) {
  switch (key) {
    case DrumKey::crash:
    case DrumKey::ride:
    case DrumKey::closed_hat:
    case DrumKey::open_hat: return "cymbal";
    case DrumKey::kick: return "kick";
    case DrumKey::pedal_hat: return "pedal hat";
    default: return "snare, toms";
  }
}

std::string drum_mark(const BandNote& note) {
  switch (static_cast<DrumKey>(note.key)) {
    case DrumKey::crash: return "C";
    case DrumKey::open_hat: return "O";
    case DrumKey::high_tom: return "h";
    case DrumKey::middle_tom: return "m";
    case DrumKey::low_tom: return "l";
    default: return mark_of(note);
  }
}

std::string padded(const std::string& text, std::size_t width) {
  return text + std::string(width > text.size() ? width - text.size() : 0, ' ');
}

std::string bass_mark(const BandNote& note) {
  if (note.touch == BandTouch::ghost) return "o";
  const bool leads = note.tone == BandTone::chromatic_approach || note.tone == BandTone::scale_approach ||
                     note.tone == BandTone::fifth_approach;
  return spell_sharp(note.key).pitch_class.name() + (leads ? ">" : "");
}

/// The bar's voices from the cymbals down, those that rest as well.
std::vector<Row> rows_of(const Band& band, const Meter& meter, int bar) {
  std::vector<Row> rows;
  for (const char* label : {"cymbal", "snare, toms", "pedal hat", "kick", "guitar", "keys", "bass", "drone"})
    rows.push_back({label, {}});
  for (const BandPart& part : band.parts) {
    for (const BandNote& note : part.notes) {
      if (bar_of(meter, note.onset) != bar + 1) continue;
      const bool drums = part.role == BandRole::drums;
      const bool chords = part.role == BandRole::guitar || part.role == BandRole::keys;
      const std::string label = drums ? drum_row(static_cast<DrumKey>(note.key)) : std::string(name(part.role));
      const auto row = std::find_if(rows.begin(), rows.end(), [&](const Row& r) { return r.label == label; });
      row->marks.emplace(beat_in_bar(meter, note.onset).value, drums    ? drum_mark(note)
                                                               : chords ? mark_of(note)
                                                                        : bass_mark(note));
    }
  }
  return rows;
}

}  // namespace

std::string part_score(const Band& band, const Meter& meter, const std::vector<ScoreBar>& bars) {
  std::int64_t columns = 1;  // in a beat
  std::vector<std::vector<Row>> pages;
  for (const ScoreBar& bar : bars) {
    pages.push_back(rows_of(band, meter, bar.bar));
    for (const Row& row : pages.back()) {
      for (const auto& [place, mark] : row.marks) columns = std::lcm(columns, place.den());
    }
  }
  std::string text;
  for (std::size_t i = 0; i < bars.size(); ++i) {
    text += (i == 0 ? "" : "\n") + bars[i].heading + "\n";
    const auto line = [&](const std::string& label, const auto& cell) {
      std::string out = padded(label, 12);
      for (std::int64_t step = 0; step < columns * meter.beats_per_bar(); ++step)
        out += padded(cell(Rational(step, columns)), 4);
      text += out.substr(0, out.find_last_not_of(' ') + 1) + "\n";
    };
    line("", [](const Rational& place) { return place.is_whole() ? std::to_string(place.num() + 1) : std::string(); });
    for (const Row& row : pages[i]) {
      if (row.marks.empty()) continue;
      line(row.label, [&](const Rational& place) {
        const auto mark = row.marks.find(place);
        return mark == row.marks.end() ? std::string(".") : mark->second;
      });
    }
  }
  return text;
}

}  // namespace fretloom
