#include "theory/chord.h"

#include <algorithm>
#include <array>

#include "base/rational.h"
#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, 48> k_suffixes = {
    "",       "m",     "5",       "6",    "m6",    "6/9",    "m6/9",    "7",     "maj7",   "m7",   "mmaj7", "m7b5",
    "dim",    "dim7",  "aug",     "7#5",  "7b5",   "sus2",   "sus4",    "7sus4", "9",      "maj9", "m9",    "9sus4",
    "11",     "m11",   "maj7#11", "9#11", "7#11",  "13",     "m13",     "maj13", "13sus4", "7b9",  "7#9",   "7b13",
    "7b9b13", "7#9#5", "7alt",    "add9", "madd9", "maj7#5", "maj9#11", "13b9",  "13#11",  "m7b9", "maj6",  "add4"};

class SuffixReader {
 public:
  explicit SuffixReader(std::string_view text) : rest_(text) {}

  /// True if the whole suffix was understood; then `tones` is complete.
  bool read() {
    set(1, 0);
    set(3, 0);
    set(5, 0);
    read_quality();
    read_extension();
    while (!rest_.empty()) {
      if (!read_modifier()) return false;
    }
    if (eleventh_ && !minor_ && !major_seventh_) drop(3);
    return true;
  }

  [[nodiscard]] std::vector<Degree> tones() const {
    std::vector<Degree> sorted = tones_;
    std::sort(sorted.begin(), sorted.end(), [](const Degree& a, const Degree& b) {
      return std::pair(a.semitones(), a.number) < std::pair(b.semitones(), b.number);
    });
    return sorted;
  }

 private:
  bool take(std::string_view word) {
    if (rest_.substr(0, word.size()) != word) return false;
    rest_.remove_prefix(word.size());
    return true;
  }
  bool take_any(std::initializer_list<std::string_view> options) {
    return std::any_of(options.begin(), options.end(), [&](std::string_view w) { return take(w); });
  }
  /// Replaces the tone with this number, or adds it.
  void set(int number, int alter) {
    drop(number);
    tones_.push_back({number, alter});
  }
  void add(int number, int alter) {
    if (std::find(tones_.begin(), tones_.end(), Degree{number, alter}) == tones_.end())
      tones_.push_back({number, alter});
  }
  void drop(int number) {
    std::erase_if(tones_, [&](const Degree& d) { return d.number == number; });
  }

  /// "maj" before "m"; "M" is major, "m" minor. The "a" of "madd9" and "Madd9" belongs to "add", the
  /// "M" of "Min7" to "Min".
  bool take_major() {
    for (const std::string_view word : {"maj", "Maj", "MAJ", "ma", "Ma", "M", "\u0394"}) {
      if (!rest_.starts_with(word)) continue;
      const std::string_view after = rest_.substr(word.size());
      if (!after.starts_with("dd") && !after.starts_with("in")) return take(word);
    }
    return false;
  }

  void read_quality() {
    const std::size_t before_quality = rest_.size();
    read_third();
    bare_ = rest_.size() == before_quality;
  }

  void read_third() {
    if (const bool triangle = rest_.starts_with("\u0394"); take_major()) {
      major_seventh_ = true;
      // The triangle means a major seventh by itself.
      if (triangle && (rest_.empty() || rest_.front() < '0' || rest_.front() > '9')) set(7, 0);
    } else if (take_any({"min", "Min", "mi", "m", "-"})) {
      minor_ = true;
      set(3, -1);
      const std::string_view before = rest_;
      const bool bracket = take("(");
      take("/");
      if (take_major()) {
        major_seventh_ = true;
        if (bracket) {  // m(maj7): the number stands inside
          if (take("7")) set(7, 0);
          if (take("9")) {
            set(7, 0);
            set(9, 0);
          }
          take(")");
        } else if (rest_.empty()) {
          set(7, 0);
        }
      } else {
        rest_ = before;
      }
    } else if (take_any({"dim", "\u00B0", "o"})) {
      diminished_ = true;
      minor_ = true;
      set(3, -1);
      set(5, -1);
    } else if (take_any({"\u00F8", "\u00D8"})) {
      minor_ = true;
      set(3, -1);
      set(5, -1);
      set(7, -1);
    } else if (take_any({"aug", "+5", "+"})) {
      set(5, 1);
    }
  }

  void seventh() { set(7, major_seventh_ ? 0 : diminished_ ? -2 : -1); }

  void read_extension() {
    if (take("13")) {
      seventh();
      set(9, 0);
      set(13, 0);
    } else if (take("11")) {
      seventh();
      set(9, 0);
      set(11, 0);
      eleventh_ = true;
    } else if (take_any({"6/9", "69", "6add9"})) {
      set(6, 0);
      set(9, 0);
    } else if (take("9")) {
      seventh();
      set(9, 0);
    } else if (take("7")) {
      seventh();
    } else if (take("6")) {
      set(6, 0);
    } else if (bare_ && take("5")) {  // "m5" is no power chord
      drop(3);
    } else if (take("2")) {
      add(9, 0);
    }
  }

  bool read_modifier() {
    if (take_any({"(", ")", ",", " "})) return true;
    if (take("sus")) {
      drop(3);
      if (take("24")) {
        add(2, 0);
        add(4, 0);
      } else if (take("2")) {
        add(2, 0);
      } else {
        take("4");
        add(4, 0);
      }
      return true;
    }
    if (take("alt")) {
      set(7, -1);
      set(5, 1);
      set(9, 1);
      return true;
    }
    if (take_any({"no", "omit"})) {
      if (take("3")) return drop(3), true;
      if (take("5")) return drop(5), true;
      return false;
    }
    if (take_any({"maj7", "Maj7", "M7"})) return set(7, 0), true;
    const bool added = take("add");
    int alter = 0;
    if (take_any({"b", "-"})) {
      alter = -1;
    } else if (take_any({"#", "+"})) {
      alter = 1;
    }
    if (take("13")) return change(13, alter), true;
    if (take("11")) return change(11, alter), true;
    if (take("9")) return change(9, alter), true;
    if (take("6")) return add(6, alter), true;
    if (alter != 0 && take("5")) return set(5, alter), true;
    if (alter == 1 && take("4")) return add(11, 1), true;
    if (added && take("2")) return add(9, alter), true;
    if (added && take("4")) return add(4, alter), true;
    if (!added && alter == 1 && rest_.empty()) return set(5, 1), true;  // "7+"
    return false;
  }
  /// An altered ninth stands beside another altered one (7b9#9) but replaces a plain one.
  void change(int number, int alter) {
    if (alter != 0) std::erase(tones_, Degree{number, 0});
    add(number, alter);
  }

  std::string_view rest_;
  std::vector<Degree> tones_;
  bool bare_ = false;  ///< no quality stands before the number
  bool minor_ = false;
  bool diminished_ = false;
  bool major_seventh_ = false;
  bool eleventh_ = false;
};

/// The usual quality that is nearest, else as much of this one as can be read: of "min7th" min7.
std::string near_suffix(std::string_view suffix) {
  std::string near = nearest(suffix, k_suffixes);
  for (std::size_t size = suffix.size(); near.empty() && size > 0; --size) {
    if (SuffixReader(suffix.substr(0, size)).read()) near = suffix.substr(0, size);
  }
  return near;
}

/// Splits "F#m7" after the root; the root's letter is a capital (a lower-case "b" is a flat).
std::size_t root_length(std::string_view text) {
  std::size_t n = text.empty() ? 0 : 1;
  while (n < text.size() && n < 3 && (text[n] == '#' || text[n] == 'b')) ++n;
  return n;
}

/// Takes a suffix apart for the typesetter.
class PartsReader {
 public:
  explicit PartsReader(std::string_view suffix) : rest_(suffix) {}

  ChordParts read() {
    read_quality();
    while (!rest_.empty()) {
      if (rest_.find_first_of("(), ") == 0) {
        rest_.remove_prefix(1);
      } else if (!read_alteration() && !read_omission() && !read_minor_major()) {
        parts_.extension += rest_.front();
        rest_.remove_prefix(1);
      }
    }
    return std::move(parts_);
  }

 private:
  static bool is_digit(char c) { return c >= '0' && c <= '9'; }

  bool take(std::string_view word, std::string& into) {
    if (!rest_.starts_with(word)) return false;
    into += word;
    rest_.remove_prefix(word.size());
    return true;
  }
  void take_digits(std::string& into) {
    while (!rest_.empty() && is_digit(rest_.front())) {
      into += rest_.front();
      rest_.remove_prefix(1);
    }
  }

  void read_quality() {
    for (const std::string_view major : {"maj", "Maj", "MAJ", "ma", "Ma", "M", "\u0394"}) {
      if (rest_.starts_with(major) && !rest_.substr(major.size()).starts_with("dd") &&
          !rest_.substr(major.size()).starts_with("in")) {
        take(major, parts_.extension);
        return;
      }
    }
    for (const std::string_view word :
         {"min", "Min", "mi", "m", "-", "dim", "\u00B0", "o", "\u00F8", "\u00D8", "aug"}) {
      if (word == "o" && rest_.starts_with("omit")) continue;
      if (take(word, parts_.quality)) return;
    }
    if (!rest_.starts_with("+5")) take("+", parts_.quality);
  }

  bool read_alteration() {
    const char sign = rest_.front() == '-' ? 'b' : rest_.front() == '+' ? '#' : rest_.front();
    if (sign != 'b' && sign != '#') return false;
    if (parts_.extension.ends_with("add")) return false;
    rest_.remove_prefix(1);
    std::string tone(1, sign);
    take_digits(tone);
    parts_.alterations.push_back(tone.size() > 1 ? tone : tone + "5");  // "7+"
    return true;
  }

  bool read_omission() {
    std::string tone;
    if (!take("no", tone) && !take("omit", tone)) return false;
    tone = "no";
    take_digits(tone);
    parts_.alterations.push_back(tone);
    return true;
  }

  /// The stroke of "m/maj7" sets nothing apart once the seventh is raised; that of "6/9" does.
  bool read_minor_major() {
    if (rest_.front() != '/' || parts_.extension.ends_with('6')) return false;
    rest_.remove_prefix(1);
    return true;
  }

  std::string_view rest_;
  ChordParts parts_;
};

}  // namespace

ChordParts chord_parts(const Chord& chord) { return PartsReader(chord.suffix).read(); }

std::span<const std::string_view> chord_qualities() { return k_suffixes; }

std::string Chord::symbol() const { return root.name() + suffix + (bass ? "/" + bass->name() : std::string()); }

const Degree* Chord::tone_at(int semitones_above_root) const {
  const auto match = std::find_if(tones.begin(), tones.end(), [&](const Degree& d) {
    return floor_mod(d.semitones() - semitones_above_root, 12) == 0;
  });
  return match == tones.end() ? nullptr : &*match;
}

Result<Chord> parse_chord(std::string_view text, std::string_view root_for_repair) {
  const std::string plain = plain_accidentals(trim(text));
  std::string_view rest = plain;
  const std::string quoted = "\"" + std::string(text) + "\"";
  if (rest.empty()) return Error{ErrorKind::syntax, 0, "the chord symbol is empty", std::string(root_for_repair)};

  const std::string_view root_text = rest.substr(0, root_length(rest));
  const Result<PitchClass> root = parse_pitch_class(root_text);
  std::string_view suffix = rest.substr(root_text.size());
  Chord chord;
  // A slash before a capital letter is the bass; "6/9" and "m/maj7" are not.
  const std::size_t slash = suffix.rfind('/');
  if (slash != std::string_view::npos) {
    if (const auto bass = parse_pitch_class(suffix.substr(slash + 1))) {
      chord.bass = *bass;
      suffix = suffix.substr(0, slash);
    }
  }
  SuffixReader reader(suffix);
  const bool understood = reader.read();
  const std::string near = understood ? std::string(suffix) : near_suffix(suffix);
  if (!root) {
    // "m7": only the root is missing.
    if (SuffixReader(plain).read()) {
      return Error{ErrorKind::syntax, 0, quoted + " is not a chord symbol: its root, a letter from A to G, is missing",
                   std::string(root_for_repair) + plain};
    }
    const std::string english = rest.front() == 'H' ? english_note(root_text) : std::string();
    return Error{ErrorKind::syntax, 0,
                 quoted + " is not a chord symbol: it must begin with a letter from A to G, with # or b behind it",
                 (english.empty() ? std::string(root_for_repair) : english) + near};
  }
  if (!understood) {
    return Error{ErrorKind::syntax, root_text.size(),
                 quoted + " is not a chord symbol that can be read: what does \"" + std::string(suffix) +
                     "\" mean? `fretloom list chords` shows the usual ones",
                 root->name() + near};
  }
  chord.root = *root;
  chord.tones = reader.tones();
  chord.suffix = std::string(suffix);
  return chord;
}

}  // namespace fretloom
