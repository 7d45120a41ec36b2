#include "exchange/text_tab.h"

#include <algorithm>
#include <map>

#include "base/text.h"

namespace fretloom {

namespace {

/// A place on the page: everything that happens at one onset.
struct Slot {
  Rational beat;
  const ScoreNote* note = nullptr;  ///< nothing on a rest or a bare beat
  std::string chord;
};

/// A bar as text columns: `rows` are strokes, strings thinnest first, counts.
struct BarText {
  std::string chords;
  std::string accents;
  std::string strokes;
  std::vector<std::string> strings;
  std::string counts;
};

std::string fret_text(const ScoreNote& note) {
  const char* sign = "";
  if (note.attack == Attack::hammer) sign = "h";
  if (note.attack == Attack::pull) sign = "p";
  if (note.attack == Attack::slide) sign = "s";
  return sign + std::to_string(note.fret);
}

/// How players count aloud: the beat's number, then the division's syllables where there are any in
/// common use (2, 3 and 4 a beat), else a dot.
std::string count_text(const Score& score, const Rational& beat) {
  const Rational in_bar = beat_in_bar(score.meter, Beats(beat)).value;
  const Rational part = in_bar - Rational(in_bar.floor());
  if (part == Rational(0)) return std::to_string(in_bar.floor() + 1);
  if (part == Rational(1, 2)) return score.notes_per_beat % 3 == 0 && score.notes_per_beat != 6 ? "." : "+";
  if (score.notes_per_beat == 4 && part == Rational(1, 4)) return "e";
  if (score.notes_per_beat == 4 && part == Rational(3, 4)) return "a";
  return ".";
}

class TabWriter {
 public:
  TabWriter(const Score& score, const TextTabOptions& options) : score_(score), options_(options) {}

  std::string write() const {
    const std::vector<std::string> names = string_names();
    std::size_t label = 0;
    for (const std::string& name : names) label = std::max(label, name.size());
    std::string text;
    std::vector<BarText> line;
    std::size_t used = label + 1;
    std::int64_t first_bar = 1;
    std::int64_t number = first_bar_number();
    for (const auto& [bar, slots] : bars()) {
      BarText columns = write_bar(slots);
      const std::size_t width = columns.strings.front().size() + 1;
      if (!line.empty() && used + width > options_.width) {
        text += system(line, names, label, first_bar) + "\n";
        line.clear();
        used = label + 1;
      }
      if (line.empty()) first_bar = number;
      line.push_back(std::move(columns));
      used += width;
      ++number;
    }
    return line.empty() ? text : text + system(line, names, label, first_bar);
  }

 private:
  [[nodiscard]] std::vector<std::string> string_names() const {
    std::vector<std::string> names;
    for (std::size_t i = score_.strings.size(); i-- > 0;) {
      names.push_back(spell_open(score_.strings[i].open).pitch_class.name());
    }
    // The thinnest of two strings with one name is written small, as players do.
    if (names.size() > 1 && names.front() == names.back()) names.front() = lower(names.front());
    return names;
  }
  /// Behind a capo the open strings sound higher.
  [[nodiscard]] SpelledPitch spell_open(const SpelledPitch& open) const {
    return score_.capo == 0 ? open : spell_sharp(open.midi() + score_.capo);
  }

  [[nodiscard]] std::int64_t first_bar_number() const {
    return std::min<std::int64_t>(bar_of(score_.meter, score_.start), 1);
  }

  /// Every onset, rest start and beat, by bar.
  [[nodiscard]] std::map<std::int64_t, std::vector<Slot>> bars() const {
    std::map<Rational, Slot> slots;
    for (const ScoreNote& note : score_.notes) slots[note.onset.value] = {note.onset.value, &note, ""};
    const std::int64_t bar_beats = score_.meter.beats_per_bar();
    const std::int64_t first = score_.start.value.floor();
    const std::int64_t last = (score_.end.value / Rational(bar_beats)).ceil() * bar_beats;
    for (std::int64_t beat = first; beat < std::max(last, first + 1); ++beat)
      slots.try_emplace(Rational(beat), Slot{Rational(beat), nullptr, ""});
    const ScoreChord* before = nullptr;
    std::map<std::int64_t, std::vector<Slot>> bars;
    for (auto& [beat, slot] : slots) {
      if (beat < score_.start.value && beat < Rational(0)) continue;
      const ScoreChord* chord = chord_at(score_, Beats(beat));
      const bool bar_start = beat_in_bar(score_.meter, Beats(beat)).value == Rational(0);
      if (chord != nullptr && (chord != before || (bar_start && score_.vamp.size() > 1)))
        slot.chord = chord->chord.symbol();
      before = chord;
      bars[bar_of(score_.meter, Beats(beat))].push_back(slot);
    }
    return bars;
  }

  [[nodiscard]] BarText write_bar(const std::vector<Slot>& slots) const {
    BarText bar;
    bar.strings.assign(score_.strings.size(), "-");
    bar.chords = bar.accents = bar.strokes = bar.counts = " ";
    for (const Slot& slot : slots) {
      const std::string fret = slot.note != nullptr ? fret_text(*slot.note) : "";
      const std::string count = count_text(score_, slot.beat);
      const std::size_t chord_end = bar.chords.size() + (slot.chord.empty() ? 0 : slot.chord.size() + 1);
      const std::size_t width = std::max({fret.size(), count.size(), std::size_t{1}}) + 1;
      for (std::size_t i = 0; i < bar.strings.size(); ++i) {
        const bool here = slot.note != nullptr && i + 1 == static_cast<std::size_t>(slot.note->string);
        append(bar.strings[i], here ? fret : "", width, '-');
      }
      const bool picked = slot.note != nullptr && slot.note->stroke.has_value();
      append(bar.strokes, picked ? std::string(1, letter(*slot.note->stroke)) : "", width, ' ');
      append(bar.accents, slot.note != nullptr && slot.note->accent ? ">" : "", width, ' ');
      append(bar.counts, count, width, ' ');
      if (!slot.chord.empty() &&
          trim(bar.chords.substr(std::min(bar.chords.size(), bar.strokes.size() - width))).empty()) {
        bar.chords.resize(bar.strokes.size() - width, ' ');
        bar.chords += slot.chord + " ";
      }
      (void)chord_end;
    }
    // A chord symbol wider than its bar pushes the bar line.
    const std::size_t wide = std::max(bar.chords.size(), bar.strokes.size());
    for (std::string& row : bar.strings) row.resize(wide, '-');
    bar.strokes.resize(wide, ' ');
    bar.accents.resize(wide, ' ');
    bar.counts.resize(wide, ' ');
    bar.chords.resize(wide, ' ');
    return bar;
  }

  static void append(std::string& row, const std::string& text, std::size_t width, char fill) {
    row += text;
    row.append(width - text.size(), fill);
  }

  static std::string rtrim(std::string line) {
    while (!line.empty() && line.back() == ' ') line.pop_back();
    return line;
  }

  [[nodiscard]] std::string system(const std::vector<BarText>& bars, const std::vector<std::string>& names,
                                   std::size_t label, std::int64_t first_bar) const {
    const std::string margin(label + 1, ' ');
    const auto row = [&](const std::string BarText::*member) {
      std::string line = margin;
      for (const BarText& bar : bars) line += bar.*member + " ";
      return rtrim(line);
    };
    std::string text = "Bar " + std::to_string(std::max<std::int64_t>(first_bar, 0)) + "\n";
    if (first_bar < 1) text = "Pick-up\n";
    for (const std::string BarText::*member : {&BarText::chords, &BarText::accents, &BarText::strokes}) {
      const std::string line = row(member);
      if (!trim(line).empty()) text += line + "\n";
    }
    for (std::size_t i = 0; i < names.size(); ++i) {
      std::string line = std::string(label - names[i].size(), ' ') + names[i] + "|";
      for (const BarText& bar : bars) line += bar.strings[i] + "|";
      text += line + "\n";
    }
    return text + row(&BarText::counts) + "\n";
  }

  const Score& score_;
  const TextTabOptions& options_;
};

void paragraph(std::string& text, const std::string& prose, std::size_t width) {
  if (prose.empty()) return;
  for (const std::string& line : wrap(prose, width)) text += line + "\n";
  text += "\n";
}

/// "6: 12 14 15 | 5: ..." wrapped at bars of strings.
std::string layout_text(const Score& score) {
  std::string text;
  for (std::size_t i = 0; i < score.strings.size(); ++i) {
    text += (i > 0 ? " | " : "") + std::to_string(score.strings.size() - i) + ":";
    for (const int fret : score.strings[i].frets) text += " " + std::to_string(fret);
  }
  return text;
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
  paragraph(text, "Layout: " + layout_text(first), options.width);
  paragraph(text, "Proof: " + first.proof, options.width);
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
            "if it stays, see a "
            "clinician. Start playback quiet.",
            options.width);
  while (text.size() > 1 && text[text.size() - 2] == '\n') text.pop_back();
  return text;
}

}  // namespace fretloom
