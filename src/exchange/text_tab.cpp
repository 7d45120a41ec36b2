#include "exchange/text_tab.h"

#include <algorithm>
#include <map>

#include "base/text.h"

namespace fretloom {

namespace {

/// A column of the page: what happens at one time.
struct Slot {
  Rational beat;
  const ScoreNote* note = nullptr;  ///< nothing on a rest, within a held note or on a bare beat
  std::string chord;
};

/// A bar as rows of text of one length.
struct BarText {
  std::string chords = " ";
  std::string accents = " ";
  std::string strokes = " ";
  std::vector<std::string> strings;  ///< thinnest first
  std::string counts = " ";

  [[nodiscard]] std::size_t width() const { return counts.size(); }
  void pad(std::size_t columns) {
    for (std::string& row : strings) row.resize(columns, '-');
    for (std::string* row : {&accents, &strokes, &counts}) row->resize(columns, ' ');
  }
};

/// What stands before a slurred note's fret, in the column that separates it from the note before.
char slur_sign(Attack attack) {
  switch (attack) {
    case Attack::hammer: return 'h';
    case Attack::pull: return 'p';
    case Attack::slide: return 's';
    case Attack::pick: break;
  }
  return '-';
}

/// How players count aloud (common practice, no source): the beats' numbers, in compound meters the
/// denominator's notes; between them "+" on the half, "e" and "a" on the quarters of four and eight a
/// beat, else a dot.
std::string count_text(const Score& score, const Rational& beat) {
  const bool is_compound = score.meter.is_compound();
  const Rational place = beat_in_bar(score.meter, Beats(beat)).value * Rational(is_compound ? 3 : 1);
  const Rational part = place - Rational(place.floor());
  const int k = score.notes_per_beat;
  if (part == Rational(0)) return std::to_string(place.floor() + 1);
  if (part == Rational(1, 2)) return "+";
  if (!is_compound && (k == 4 || k == 8) && part == Rational(1, 4)) return "e";
  if (!is_compound && (k == 4 || k == 8) && part == Rational(3, 4)) return "a";
  return ".";
}

std::string trimmed_right(std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

/// The strings' names, thinnest first. The thinnest of several strings of one name is written small,
/// as players do.
std::vector<std::string> string_names(const Score& score) {
  std::vector<std::string> names;
  for (std::size_t i = score.strings.size(); i-- > 0;) names.push_back(score.strings[i].open.pitch_class.name());
  if (std::count(names.begin(), names.end(), names.empty() ? "" : names.front()) > 1)
    names.front() = lower(names.front());
  return names;
}

class TabWriter {
 public:
  TabWriter(const Score& score, const TextTabOptions& options)
      : score_(score), options_(options), names_(string_names(score)) {
    for (const std::string& name : names_) label_ = std::max(label_, name.size());
    for (const ScoreNote& note : score_.notes) column_ = std::max(column_, std::to_string(note.fret).size() + 1);
    if (score_.meter.beats_per_bar() > 9 || score_.meter.numerator() > 9) column_ = std::max(column_, std::size_t{3});
  }

  [[nodiscard]] std::string write() const {
    std::string text = score_.capo > 0 ? "Capo " + std::to_string(score_.capo) + "\n" : "";
    std::vector<BarText> line;
    std::size_t used = label_ + 1;
    std::int64_t first_bar = 1;
    for (const auto& [number, slots] : bars()) {
      BarText bar = write_bar(slots);
      const std::size_t width = bar.width() + 1;
      if (!line.empty() && used + width > options_.width) {
        text += system(line, first_bar) + "\n";
        line.clear();
        used = label_ + 1;
      }
      if (line.empty()) first_bar = number;
      used += width;
      line.push_back(std::move(bar));
    }
    return line.empty() ? text : text + system(line, first_bar);
  }

 private:
  [[nodiscard]] Rational first_time() const {
    return score_.notes.empty() ? score_.start.value : std::min(score_.start.value, score_.notes.front().onset.value);
  }

  /// One slot a note of the feel from the first to the last sounded one, so that distance is time; from
  /// there to the bar's end, and before it in the first bar, one a beat.
  [[nodiscard]] std::map<Rational, Slot> slots() const {
    const Rational bar(score_.meter.beats_per_bar());
    const Rational first = first_time();
    const Rational last = score_.notes.empty() ? first : score_.notes.back().onset.value;
    const Rational unit(1, score_.notes_per_beat);
    std::map<Rational, Slot> slots;
    for (Rational time = first; time < last; time += unit) slots[time].beat = time;
    // A pick-up starts where it sounds, a bar from 1 on at its bar line.
    const Rational from = first < Rational(0) ? Rational(first.ceil()) : Rational((first / bar).floor()) * bar;
    const Rational to = std::max(Rational((score_.end.value / bar).ceil()), Rational((from / bar).floor() + 1)) * bar;
    for (Rational beat = from; beat < to; beat += Rational(1)) slots[beat].beat = beat;
    for (const ScoreNote& note : score_.notes) slots[note.onset.value] = {note.onset.value, &note, ""};
    return slots;
  }

  /// The slots by bar, with the chords: where they change and, if there are several, in every bar.
  [[nodiscard]] std::map<std::int64_t, std::vector<Slot>> bars() const {
    const ScoreChord* before = nullptr;
    std::map<std::int64_t, std::vector<Slot>> bars;
    for (auto& [beat, slot] : slots()) {
      std::vector<Slot>& bar = bars[bar_of(score_.meter, Beats(beat))];
      const ScoreChord* chord = chord_at(score_, Beats(beat));
      const bool again = bar.empty() && score_.vamp.size() > 1;
      bar.push_back(slot);
      if (chord != nullptr && (chord != before || again)) bar.back().chord = chord->chord.symbol();
      before = chord;
    }
    return bars;
  }

  [[nodiscard]] BarText write_bar(const std::vector<Slot>& slots) const {
    BarText bar;
    bar.strings.assign(score_.strings.size(), "-");
    for (const Slot& slot : slots) {
      if (!slot.chord.empty()) {
        // A chord symbol that reaches to the next one pushes it on.
        bar.pad(std::max(bar.width(), bar.chords.size()));
        bar.chords.resize(bar.width(), ' ');
        bar.chords += slot.chord + " ";
      }
      write_slot(bar, slot);
    }
    bar.pad(std::max(bar.width(), bar.chords.size()));
    bar.chords.resize(bar.width(), ' ');
    return bar;
  }

  void write_slot(BarText& bar, const Slot& slot) const {
    const std::size_t end = bar.width() + column_;
    bar.counts += count_text(score_, slot.beat);
    if (slot.note != nullptr) {
      const ScoreNote& note = *slot.note;
      if (note.accent) bar.accents += '>';
      if (note.stroke) bar.strokes += letter(*note.stroke);
      std::string& row = bar.strings[static_cast<std::size_t>(note.string - 1)];
      row.back() = slur_sign(note.attack);
      row += std::to_string(note.fret);
    }
    bar.pad(end);
  }

  [[nodiscard]] std::string system(const std::vector<BarText>& bars, std::int64_t first_bar) const {
    const auto row = [&](const std::string BarText::*member) {
      std::string line(label_ + 1, ' ');
      for (const BarText& bar : bars) line += bar.*member + " ";
      return trimmed_right(line);
    };
    std::string text = first_bar < 1 ? "Pick-up\n" : "Bar " + std::to_string(first_bar) + "\n";
    for (const std::string BarText::*member : {&BarText::chords, &BarText::accents, &BarText::strokes}) {
      const std::string line = row(member);
      if (!line.empty()) text += line + "\n";
    }
    for (std::size_t i = 0; i < names_.size(); ++i) {
      text += std::string(label_ - names_[i].size(), ' ') + names_[i] + "|";
      for (const BarText& bar : bars) text += bar.strings[i] + "|";
      text += "\n";
    }
    return text + row(&BarText::counts) + "\n";
  }

  const Score& score_;
  const TextTabOptions& options_;
  std::vector<std::string> names_;
  std::size_t label_ = 0;   ///< columns of the longest string name
  std::size_t column_ = 2;  ///< columns of a slot
};

void paragraph(std::string& text, const std::string& prose, std::size_t width) {
  if (prose.empty()) return;
  for (const std::string& line : wrap(prose, width)) text += line + "\n";
  text += "\n";
}

/// "Layout: 6: 12 14 15 | 5: ...", broken only between strings.
std::string layout_text(const Score& score, std::size_t width) {
  std::string text;
  std::string line = "Layout:";
  for (std::size_t i = 0; i < score.strings.size(); ++i) {
    std::string part = " " + std::to_string(score.strings.size() - i) + ":";
    for (const int fret : score.strings[i].frets) part += " " + std::to_string(fret);
    if (i + 1 < score.strings.size()) part += " |";
    if (line.size() + part.size() > width) {
      text += line + "\n";
      line = " ";
    }
    line += part;
  }
  return text + line + "\n\n";
}

std::string tuning_text(const Score& score) {
  std::string text;
  for (const ScoreString& string : score.strings) text += (text.empty() ? "" : " ") + string.open.name();
  return text;
}

std::string bpm_text(const Score& score) {
  return number_text(score.slow_bpm.to_double()) + " to " + number_text(score.goal_bpm.to_double()) + " beats a minute";
}

void idea_text(std::string& text, const ScoreSet& set, std::size_t number, const TextTabOptions& options) {
  if (set.feels.empty()) return;
  const Score& first = set.feels.front();
  const std::string heading = std::to_string(number) + ". " + (first.title.empty() ? "Idea" : first.title);
  text += heading + "\n" + std::string(display_width(heading), '-') + "\n";
  paragraph(text, first.note, options.width);
  paragraph(text, "Rule: " + first.rule, options.width);
  paragraph(text, first.rule_in_words, options.width);
  paragraph(text,
            "Key: " + first.key + ". Tuning: " + tuning_text(first) +
                (first.capo > 0 ? ", capo " + std::to_string(first.capo) : "") + ".",
            options.width);
  text += layout_text(first, options.width);
  if (!first.proof.empty()) paragraph(text, "Proof: " + first.proof, options.width);
  for (const Score& score : set.feels) {
    text += counted(static_cast<std::size_t>(score.notes_per_beat), "note") + " a beat" +
            (score.ratio ? " (" + score.ratio->name() + ")" : "") + ", " + score.meter.name() + ", " + bpm_text(score) +
            "\n\n" + text_tab(score, options) + "\n";
  }
}

}  // namespace

std::string text_tab(const Score& score, const TextTabOptions& options) { return TabWriter(score, options).write(); }

std::string text_handout(const Handout& handout, const TextTabOptions& options) {
  std::string text =
      handout.title + "\n" + std::string(std::max<std::size_t>(display_width(handout.title), 1), '=') + "\n";
  if (!handout.author.empty()) text += handout.author + "\n";
  text += handout.key + "\n\n";
  paragraph(text, handout.intro, options.width);
  paragraph(text, "D is a downstroke, U an upstroke; h, p and s before a fret are a hammer-on, a pull-off and a slide.",
            options.width);
  for (std::size_t i = 0; i < handout.ideas.size(); ++i) idea_text(text, handout.ideas[i], i + 1, options);
  for (const std::string& link : handout.links) text += link + "\n";
  if (!handout.licence.empty()) text += handout.licence + "\n";
  text += "\n";
  paragraph(text,
            "Warm up before you play, take a break every 20 to 30 minutes, and stop when anything hurts or goes numb; "
            "if it stays, see a clinician. Start playback quiet.",
            options.width);
  while (text.size() > 1 && text[text.size() - 2] == '\n') text.pop_back();
  return text;
}

}  // namespace fretloom
