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
std::string count_text(const Meter& meter, int notes_per_beat, const Rational& beat) {
  const bool is_compound = meter.is_compound();
  const Rational place = beat_in_bar(meter, Beats(beat)).value * Rational(is_compound ? 3 : 1);
  const Rational part = place - Rational(place.floor());
  const bool in_quarters = !is_compound && (notes_per_beat == 4 || notes_per_beat == 8);
  if (part == Rational(0)) return std::to_string(place.floor() + 1);
  if (part == Rational(1, 2)) return "+";
  if (in_quarters && part == Rational(1, 4)) return "e";
  if (in_quarters && part == Rational(3, 4)) return "a";
  return ".";
}

std::string trimmed_right(std::string line) {
  line.erase(line.find_last_not_of(' ') + 1);
  return line;
}

/// The strings' names, thinnest first. The thinnest of several strings of one name is written small,
/// as players do.
std::vector<std::string> string_names(const Tuning& tuning) {
  std::vector<std::string> names;
  for (const SpelledPitch& open : tuning.open) names.insert(names.begin(), open.pitch_class.name());
  if (std::count(names.begin(), names.end(), names.front()) > 1) names.front() = lower(names.front());
  return names;
}

class TabWriter {
 public:
  TabWriter(const IdeaSheet& idea, const Score& score, const TextTabOptions& options)
      : idea_(idea), score_(score), options_(options), names_(string_names(idea.instrument.neck.tuning)) {
    for (const std::string& name : names_) label_ = std::max(label_, name.size());
    for (const ScoreNote& note : score_.notes) column_ = std::max(column_, std::to_string(note.fret).size() + 1);
    if (idea_.meter.numerator() > 9) column_ = std::max(column_, std::size_t{3});
  }

  [[nodiscard]] std::string write() const {
    const int capo = idea_.instrument.neck.capo;
    std::string text = capo > 0 ? "Capo " + std::to_string(capo) + "\n" : "";
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
    const Rational bar(idea_.meter.beats_per_bar());
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
    const VampChord* before = nullptr;
    std::map<std::int64_t, std::vector<Slot>> bars;
    for (auto& [beat, slot] : slots()) {
      std::vector<Slot>& bar = bars[bar_of(idea_.meter, Beats(beat))];
      const VampChord* chord = chord_at(idea_, Beats(beat));
      const bool again = bar.empty() && idea_.vamp.chords.size() > 1;
      bar.push_back(slot);
      if (chord != nullptr && (chord != before || again)) bar.back().chord = chord->chord.symbol();
      before = chord;
    }
    return bars;
  }

  [[nodiscard]] BarText write_bar(const std::vector<Slot>& slots) const {
    BarText bar;
    bar.strings.assign(names_.size(), "-");
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
    bar.counts += count_text(idea_.meter, score_.notes_per_beat, slot.beat);
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

  const IdeaSheet& idea_;
  const Score& score_;
  const TextTabOptions& options_;
  std::vector<std::string> names_;
  std::size_t label_ = 0;   ///< columns of the longest string name
  std::size_t column_ = 2;  ///< columns of a slot
};

/// The page of a lesson, written from top to bottom.
class PageWriter {
 public:
  PageWriter(const Handout& handout, const LessonSentences& sentences, const TextTabOptions& options)
      : handout_(handout), sentences_(sentences), options_(options) {}

  std::string write() {
    const Prose& prose = handout_.prose;
    heading(prose.title, '=');
    lines(prose.author);
    text_ += "\n";
    paragraph(prose.intro);
    paragraph(sentences_.lesson);
    paragraph(
        "D is a downstroke, U an upstroke, > an accent; h, p and s before a fret are a hammer-on, a pull-off and "
        "a slide.");
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) write_idea(i);
    for (const std::string& link : prose.links) lines(link);
    lines(prose.copyright);
    lines(prose.licence);
    if (!prose.version.empty()) lines("Version " + prose.version);
    text_ += "\n";
    paragraph(sentences_.cautions);
    while (text_.ends_with("\n\n")) text_.pop_back();
    return std::move(text_);
  }

 private:
  void write_idea(std::size_t index) {
    const IdeaSheet& idea = handout_.ideas[index];
    const IdeaSentences none;
    const IdeaSentences& said = index < sentences_.ideas.size() ? sentences_.ideas[index] : none;
    heading(heading_of(idea), '-');
    paragraph(idea.note);
    if (!idea.rule.text.empty()) paragraph("Rule: " + idea.rule.text);
    paragraph(said.rule);
    paragraph(said.idea);
    if (index == 0 || !has_same_ground(handout_.ideas[index - 1], idea)) write_ground(idea);
    if (!said.proof.empty()) paragraph("Proof: " + said.proof);
    for (std::size_t feel = 0; feel < idea.feels.size(); ++feel) {
      write_feel(idea, idea.feels[feel]);
      if (feel < said.endings.size()) paragraph(said.endings[feel]);
    }
  }

  static bool has_same_ground(const IdeaSheet& a, const IdeaSheet& b) {
    return a.key == b.key && a.instrument == b.instrument && a.layout == b.layout;
  }

  void write_ground(const IdeaSheet& idea) {
    const Neck& neck = idea.instrument.neck;
    std::string tuning;
    for (const SpelledPitch& open : neck.tuning.open) tuning += " " + open.name();
    // The lesson's and the idea's sentences name the key, where there are any.
    const std::string key = sentences_.lesson.empty() ? "Key: " + idea.key.said_name() + ". " : "";
    paragraph(key + "Tuning:" + tuning + (neck.capo > 0 ? ", capo " + std::to_string(neck.capo) : "") + ".");
    write_layout(idea.layout);
  }

  /// "Layout: 6: 12 14 15 | 5: ...", broken only between strings.
  void write_layout(const std::vector<LayoutRow>& layout) {
    std::string line = "Layout:";
    for (std::size_t i = 0; i < layout.size(); ++i) {
      std::string part = " " + std::to_string(layout.size() - i) + ":";
      for (const int fret : layout[i].frets) part += " " + std::to_string(fret);
      if (i + 1 < layout.size()) part += " |";
      if (line.size() + part.size() > options_.width) {
        text_ += line + "\n";
        line = " ";
      }
      line += part;
    }
    text_ += line + "\n\n";
  }

  void write_feel(const IdeaSheet& idea, const Score& score) {
    const auto bpm = [](const Rational& tempo) { return number_text(tempo.to_double()); };
    paragraph(counted(static_cast<std::size_t>(score.notes_per_beat), "note") + " a beat" +
              (score.ratio ? " (" + score.ratio->name() + ")" : "") + ", " + idea.meter.name() + ", " +
              bpm(idea.slow_bpm) + " to " + bpm(idea.goal_bpm) + " beats a minute");
    text_ += text_tab(idea, score, options_) + "\n";
  }

  /// Underlined.
  void heading(const std::string& title, char line) {
    std::size_t width = 1;
    for (const std::string& part : wrap(title, options_.width)) {
      text_ += part + "\n";
      width = std::max(width, display_width(part));
    }
    text_ += std::string(width, line) + "\n";
  }

  void lines(const std::string& prose) {
    if (prose.empty()) return;
    for (const std::string& line : wrap(prose, options_.width)) text_ += line + "\n";
  }

  void paragraph(const std::string& prose) {
    if (prose.empty()) return;
    lines(prose);
    text_ += "\n";
  }

  const Handout& handout_;
  const LessonSentences& sentences_;
  const TextTabOptions& options_;
  std::string text_;
};

}  // namespace

std::string text_tab(const IdeaSheet& idea, const Score& score, const TextTabOptions& options) {
  return TabWriter(idea, score, options).write();
}

Result<std::string> text_handout(const Handout& handout, const LessonSentences& sentences,
                                 const TextTabOptions& options) {
  if (const auto fault = fault_of(handout)) return *fault;
  return PageWriter(handout, sentences, options).write();
}

}  // namespace fretloom
