#include "exchange/read_text_tab.h"

#include <algorithm>
#include <array>
#include <cstdint>
#include <cstdlib>
#include <optional>
#include <string>

#include "base/text.h"
#include "theory/chord.h"

namespace fretloom {

namespace {

bool is_digit(char c) { return c >= '0' && c <= '9'; }

/// One character a column: dashes and bars of every kind made plain, tabs to the next eighth column, any other sign a
/// '?'.
std::string columns_of(std::string_view line) {
  const std::string plain = plain_accidentals(line);
  std::string columns;
  for (std::size_t i = 0; i < plain.size(); ++i) {
    const auto byte = static_cast<unsigned char>(plain[i]);
    if (byte == '\t') {
      columns.append(8 - columns.size() % 8, ' ');
    } else if (byte == '\r') {
      continue;
    } else if (byte < 0x80) {
      columns += plain[i];
    } else if (byte >= 0xC0) {
      const std::string_view rest = std::string_view(plain).substr(i);
      const bool dash = rest.starts_with("\xE2\x80\x90") || rest.starts_with("\xE2\x80\x93") ||
                        rest.starts_with("\xE2\x80\x94") || rest.starts_with("\xE2\x94\x80");
      const bool bar = rest.starts_with("\xE2\x94\x82") || rest.starts_with("\xE2\x94\x83") ||
                       rest.starts_with("\xE2\x94\x9C") || rest.starts_with("\xE2\x94\xA4");
      columns += dash ? '-' : bar ? '|' : '?';
    }
  }
  return columns;
}

/// A line of tab: the label before it, and where its body begins.
struct TabLine {
  std::string label;
  std::string body;  ///< from the first bar line or dash
  std::size_t begin = 0;
};

std::optional<TabLine> tab_line(const std::string& line) {
  const std::size_t begin = line.find_first_of("|-");
  if (begin == std::string::npos) return std::nullopt;
  TabLine tab{std::string(trim(std::string_view(line).substr(0, begin))), line.substr(begin), begin};
  if (tab.label.ends_with(':')) tab.label.pop_back();
  constexpr std::size_t k_longest_label = 5;
  if (tab.label.size() > k_longest_label || tab.label.find(' ') != std::string::npos) return std::nullopt;
  tab.body.erase(tab.body.find_last_not_of(' ') + 1);
  std::size_t dashes = 0;
  std::size_t strange = 0;
  for (const char c : tab.body) {
    if (c == '-') ++dashes;
    if (std::string_view("-|0123456789hHpPsSbBrRtTxXvV/\\~^()<>[]{}.:*=oO ").find(c) == std::string_view::npos)
      ++strange;
  }
  constexpr std::size_t k_fewest_dashes = 3;
  if (dashes < k_fewest_dashes || strange * 10 > tab.body.size() || dashes * 5 < tab.body.size()) return std::nullopt;
  return tab;
}

/// A fret on a string at a column.
struct TabNote {
  std::size_t column = 0;
  std::size_t end = 0;
  int string = 1;
  int fret = 0;
  Attack attack = Attack::pick;
};

std::optional<Attack> attack_of(char c) {
  switch (c) {
    case 'h':
    case 'H': return Attack::hammer;
    case 'p':
    case 'P': return Attack::pull;
    case 's':
    case 'S':
    case '/':
    case '\\': return Attack::slide;
    default: return std::nullopt;
  }
}

/// Digits side by side: one fret, or where that is on no neck several.
std::vector<std::size_t> fret_sizes(std::string_view digits) {
  const auto legal = [](std::string_view text) { return parse_int(text).value_or(k_max_frets + 1) <= k_max_frets; };
  if (digits.size() <= 2 && legal(digits)) return {digits.size()};
  const auto is_pair = [&](std::size_t i) {
    return (digits[i] == '1' || digits[i] == '2') && legal(digits.substr(i, 2));
  };
  bool pairs = digits.size() % 2 == 0;
  for (std::size_t i = 0; pairs && i < digits.size(); i += 2) pairs = is_pair(i);
  return std::vector<std::size_t>(pairs ? digits.size() / 2 : digits.size(), pairs ? 2 : 1);
}

/// Adds the notes of one string's line; columns count from the body's begin.
void add_notes(const std::string& body, int string, std::vector<TabNote>& notes) {
  for (std::size_t i = 0; i < body.size();) {
    if (!is_digit(body[i])) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < body.size() && is_digit(body[end])) ++end;
    const char before = i > 0 ? body[i - 1] : '-';
    const bool bent = before == 'b' || before == 'B' || before == 'r' || before == 'R';  // where a bend goes to
    std::size_t at = i;
    for (const std::size_t size : fret_sizes(std::string_view(body).substr(i, end - i))) {
      const int fret = parse_int(std::string_view(body).substr(at, size)).value_or(0);
      const auto attack = at == i ? attack_of(before) : std::nullopt;
      if (!bent) notes.push_back({at, at + size, string, fret, attack.value_or(Attack::pick)});
      at += size;
    }
    i = end;
  }
}

/// What a count says: whole numbers, and parts between them.
struct Count {
  std::size_t column = 0;
  int number = 0;  ///< 0 for a part
};

/// The counts of a line, nothing where it is another line.
std::vector<Count> counts_of(const std::string& line) {
  std::vector<Count> counts;
  constexpr int k_highest = 32;
  for (const Word& word : words(line)) {
    const auto number = parse_int(word.text);
    const bool part = word.text == "+" || word.text == "&" || word.text == "e" || word.text == "a" || word.text == ".";
    if (!part && (!number || *number < 1 || *number > k_highest)) return {};
    counts.push_back({word.at, part ? 0 : *number});
  }
  return counts.size() < 2 ? std::vector<Count>() : counts;
}

/// Counting through the bars: a number that is not above the one before begins a bar.
struct Counting {
  Rational bar;                       ///< where the bar begins
  int before = 0;                     ///< the number that was counted last; 0 at the beginning
  std::optional<Rational> first_bar;  ///< where the first new bar began

  void count(int number) {
    if (before > 0 && number <= before) {
      bar += Rational(before);
      if (!first_bar) first_bar = bar;
    }
    before = number;
  }
};

/// The beat of every count, from the first bar's beginning.
std::vector<Rational> beats_of(const std::vector<Count>& counts, Counting& counting) {
  std::vector<Rational> beats(counts.size());
  for (std::size_t i = 0; i < counts.size();) {
    std::size_t end = i + 1;
    while (end < counts.size() && counts[end].number == 0) ++end;
    Rational start;
    if (counts[i].number > 0) {
      counting.count(counts[i].number);
      start = counting.bar + Rational(counting.before - 1);
    } else {
      start = counting.bar + Rational(counting.before);  // parts before the first number
    }
    const Rational part(1, static_cast<std::int64_t>(end - i));
    for (std::size_t k = i; k < end; ++k) beats[k] = start + part * Rational(static_cast<std::int64_t>(k - i));
    i = end;
  }
  return beats;
}

class TabReader {
 public:
  explicit TabReader(std::string_view text) {
    for (const std::string_view line : split(text, '\n')) lines_.push_back(columns_of(line));
  }

  Result<std::vector<GivenPhrase>> read() {
    for (std::size_t i = 0; i < lines_.size();) {
      const std::size_t end = system_end(i);
      if (end == i) {
        between_.push_back(i++);
        continue;
      }
      if (auto error = take_system(i, end)) return *error;
      i = end;
    }
    finish();
    if (phrases_.empty()) return Error{ErrorKind::syntax, 0, "there are no notes on lines of tab here", ""};
    return std::move(phrases_);
  }

 private:
  /// Behind the lines of tab that begin at `first`; `first` where these are too few or too many for strings.
  [[nodiscard]] std::size_t system_end(std::size_t first) const {
    std::size_t end = first;
    while (end < lines_.size() && tab_line(lines_[end])) ++end;
    const std::size_t strings = end - first;
    constexpr std::size_t k_fewest_strings = 3;
    return strings >= k_fewest_strings && strings <= static_cast<std::size_t>(k_max_strings) ? end : first;
  }

  [[nodiscard]] static bool is_mark_line(std::string_view line) {
    return line.find_first_not_of(" DUVvn>.!|") == std::string_view::npos;
  }
  [[nodiscard]] static bool is_chord_line(const std::string& line) {
    const auto all = words(line);
    return std::all_of(all.begin(), all.end(), [](const Word& word) {
      return word.text == "%" || word.text == "|" || word.text == "N.C." || parse_chord(word.text).ok();
    });
  }

  /// Whether the lines since the last system begin another phrase.
  [[nodiscard]] bool begins_phrase() const {
    for (const std::size_t i : between_) {
      const std::string line = lower(trim(lines_[i]));
      if (line == "bar 1" || line == "pick-up") return true;
      if (line.empty() || line.starts_with("bar ")) continue;
      if (is_mark_line(lines_[i]) || is_chord_line(lines_[i]) || !counts_of(lines_[i]).empty()) continue;
      if (line.starts_with("capo")) continue;
      constexpr std::size_t k_prose_words = 3;
      if (words(line).size() >= k_prose_words) return true;
    }
    return false;
  }

  void read_headings() {
    for (const std::size_t i : between_) {
      const std::string line = lower(trim(lines_[i]));
      if (line == "pick-up") in_pick_up_ = true;
      if (!line.starts_with("capo")) continue;
      std::string digits;
      for (const char c : line) {
        if (is_digit(c) && digits.size() < 2) digits += c;
      }
      capo_ = std::min(parse_int(digits).value_or(0), k_max_frets / 2);
    }
  }

  [[nodiscard]] std::vector<std::size_t> accents() const {
    if (between_.empty()) return {};
    std::vector<std::size_t> columns;
    const std::size_t nearest = between_.size() < 3 ? 0 : between_.size() - 3;
    for (std::size_t k = nearest; k < between_.size(); ++k) {
      const std::string& line = lines_[between_[k]];
      if (line.find('>') == std::string::npos || line.find_first_not_of(" >") != std::string::npos) continue;
      for (std::size_t c = 0; c < line.size(); ++c) {
        if (line[c] == '>') columns.push_back(c);
      }
    }
    return columns;
  }

  std::optional<Error> take_system(std::size_t first, std::size_t end) {
    std::vector<std::string> labels;
    std::vector<TabNote> notes;
    std::size_t begin = 0;
    bool labelled = true;
    for (std::size_t i = first; i < end; ++i) {
      const TabLine tab = *tab_line(lines_[i]);
      if (i == first) begin = tab.begin;
      labelled = labelled && !tab.label.empty();
      labels.push_back(tab.label);
      add_notes(tab.body, static_cast<int>(i - first) + 1, notes);
    }
    const bool other_strings = strings_ != end - first;
    if (begins_phrase()) capo_ = 0;
    if (begins_phrase() || other_strings) finish();
    read_headings();
    strings_ = end - first;
    if (phrase_.notes.empty()) {
      phrase_.place = {static_cast<std::uint32_t>(first + 1), 1};
      if (labelled) phrase_.tuning = tuning_from_labels(labels);
      phrase_.capo = capo_;
    }
    std::stable_sort(notes.begin(), notes.end(), [](const TabNote& a, const TabNote& b) {
      return a.column != b.column ? a.column < b.column : a.string < b.string;
    });
    const std::vector<Count> counts = end < lines_.size() ? counts_of(lines_[end]) : std::vector<Count>();
    add_system(notes, counts, begin, accents());
    between_.clear();
    if (phrase_.notes.size() > k_max_given_notes)
      return Error{ErrorKind::limit, 0, "more than " + std::to_string(k_max_given_notes) + " notes in one phrase", ""};
    if (phrases_.size() > k_max_given_phrases)
      return Error{ErrorKind::limit, 0, "more than " + std::to_string(k_max_given_phrases) + " phrases", ""};
    return std::nullopt;
  }

  void add_system(const std::vector<TabNote>& notes, const std::vector<Count>& counts, std::size_t begin,
                  const std::vector<std::size_t>& accents) {
    const std::vector<Rational> beats = beats_of(counts, counting_);
    std::size_t taken_to = 0;
    for (const TabNote& note : notes) {
      if (note.column < taken_to) {  // above or below another
        ++phrase_.left_out;
        continue;
      }
      taken_to = note.end;
      GivenNote given;
      given.at = StringFret{note.string, note.fret};
      const bool same = !phrase_.notes.empty() && phrase_.notes.back().at->string == note.string;
      given.attack = same ? note.attack : Attack::pick;
      const std::size_t column = note.column + begin;
      given.accent = std::find(accents.begin(), accents.end(), column) != accents.end();
      const auto count = std::find_if(counts.begin(), counts.end(), [&](const Count& c) { return c.column == column; });
      if (count == counts.end()) {
        has_time_ = false;
      } else {
        given.time = GivenTime{beats[static_cast<std::size_t>(count - counts.begin())], Rational(1)};
      }
      phrase_.notes.push_back(given);
    }
  }

  /// Ends the phrase that is being read.
  void finish() {
    std::vector<GivenNote>& notes = phrase_.notes;
    for (std::size_t i = 0; i < notes.size() && has_time_; ++i) {
      // A note lasts to the next; columns do not tell a rest from a held note.
      Rational& duration = notes[i].time->duration;
      if (i + 1 < notes.size()) duration = notes[i + 1].time->onset - notes[i].time->onset;
      if (i + 1 == notes.size() && i > 0) duration = notes[i - 1].time->duration;
      has_time_ = Rational(0) < duration;
    }
    for (GivenNote& note : notes) {
      if (!has_time_) note.time.reset();
      if (has_time_ && in_pick_up_) note.time->onset -= counting_.first_bar.value_or(Rational(0));
    }
    if (!notes.empty()) phrases_.push_back(std::move(phrase_));
    phrase_ = {};
    has_time_ = true;
    counting_ = {};
    in_pick_up_ = false;
  }

  std::vector<std::string> lines_;
  std::vector<GivenPhrase> phrases_;
  GivenPhrase phrase_;
  std::vector<std::size_t> between_;  ///< lines since the last system
  std::size_t strings_ = 0;
  int capo_ = 0;
  bool has_time_ = true;
  Counting counting_;
  bool in_pick_up_ = false;
};

/// The open string of this name nearest to a MIDI note.
SpelledPitch nearest_octave(const PitchClass& name, int midi) {
  SpelledPitch best{name, 0};
  for (int octave = 0; octave <= 6; ++octave) {
    const SpelledPitch pitch{name, octave};
    if (std::abs(pitch.midi() - midi) < std::abs(best.midi() - midi)) best = pitch;
  }
  return best;
}

/// About where the open strings of a usual instrument lie, thinnest first: a guitar, with more strings below.
int usual_open(std::size_t index) {
  constexpr std::array k_thin_to_thick = {64, 59, 55, 50, 45, 40, 35, 30};
  return index < k_thin_to_thick.size() ? k_thin_to_thick[index] : k_thin_to_thick.back();
}

}  // namespace

std::optional<Tuning> tuning_from_labels(const std::vector<std::string>& labels) {
  std::vector<PitchClass> names;
  std::vector<SpelledPitch> pitches;
  for (const std::string& label : labels) {
    if (const auto pitch = parse_pitch(label)) pitches.push_back(*pitch);
    const auto name = parse_pitch_class(std::string_view(label).substr(0, label.find_first_of("0123456789")));
    if (!name) return std::nullopt;
    names.push_back(*name);
  }
  if (pitches.size() == labels.size()) {
    std::reverse(pitches.begin(), pitches.end());
    return Tuning{pitches};
  }
  std::reverse(names.begin(), names.end());
  for (const TuningPreset& preset : tuning_presets()) {
    const auto tuning = parse_tuning(preset.name);
    if (!tuning || tuning->open.size() != names.size()) continue;
    const bool same = std::equal(names.begin(), names.end(), tuning->open.begin(),
                                 [](const PitchClass& a, const SpelledPitch& b) { return a == b.pitch_class; });
    if (same) return *tuning;
  }
  Tuning tuning;
  for (std::size_t i = 0; i < names.size(); ++i)
    tuning.open.push_back(nearest_octave(names[i], usual_open(names.size() - 1 - i)));
  return tuning;
}

Result<std::vector<GivenPhrase>> read_text_tab(std::string_view text) {
  if (text.size() > k_max_tab_bytes)
    return Error{ErrorKind::limit, 0, "the text is larger than " + byte_text(k_max_tab_bytes), ""};
  return TabReader(text).read();
}

}  // namespace fretloom
