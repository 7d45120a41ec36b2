#include "score/vamp.h"

#include <algorithm>
#include <array>
#include <cstdlib>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::size_t k_max_bars = 64;
constexpr std::size_t k_most_mends = 256;  ///< faults of one text that a repair mends

const std::array k_rhythms = {
    VampRhythm{"held", "", Rational(0), 1, "once, when the chord begins"},
    VampRhythm{"whole notes", "in ", Rational(1, 4), 1, "once a bar"},
    VampRhythm{"halves", "in ", Rational(1, 2), 1, "twice a bar, over a backbeat"},
    VampRhythm{"quarters", "in ", Rational(1), 1, "short, on every beat"},
    VampRhythm{"eighths", "in ", Rational(2), 1, "twice a beat, with a driving bass"},
    VampRhythm{"triplets", "in ", Rational(3), 1, "three times a beat"},
    VampRhythm{"sixteenths", "in ", Rational(4), 1, "short, in accents and gaps of sixteenths"},
    VampRhythm{"off-beats", "on the ", Rational(0), 1, "short, between the beats"},
    VampRhythm{"half time", "in ", Rational(0), 1, "twice a bar, the snare drum only in its middle"},
    VampRhythm{"two-beat", "as a ", Rational(0), 1, "after the bass, which goes from root to fifth"},
    VampRhythm{"waltz", "as a ", Rational(0), 1, "on every beat but the first"},
    VampRhythm{"gallop", "as a ", Rational(0), 1, "one long and two short to a beat"},
    VampRhythm{"shuffle", "as a ", Rational(0), 2, "long and short in turn"},
    VampRhythm{"walking bass", "over a ", Rational(0), 2, "now and then, over a bass note on every beat"},
    VampRhythm{"drone", "as a ", Rational(0), 1, "never: the key's root and fifth sound throughout"},
};

/// A bar's words with their byte offsets in the whole text, and where its own text stands.
struct Bar {
  std::vector<Word> words;
  std::size_t at = 0;
  std::size_t size = 0;
};

std::vector<Bar> split_bars(std::string_view text) {
  std::vector<Bar> bars;
  std::size_t at = 0;
  for (const std::string_view part : split(text, '|')) {
    Bar bar{words(part), at, part.size()};
    for (Word& word : bar.words) word.at += at;
    bars.push_back(std::move(bar));
    at += part.size() + 1;
  }
  // Bar lines at the very start and end close no empty bar.
  if (bars.size() > 1 && bars.back().words.empty()) bars.pop_back();
  if (bars.size() > 1 && bars.front().words.empty()) bars.erase(bars.begin());
  return bars;
}

/// At the space between the bar lines, or at the closing line of a bar without any.
Error empty_bar(std::string_view text, const std::vector<Bar>& bars, const Bar& empty, std::string_view root) {
  std::string mended(text);
  for (std::size_t i = bars.size(); i-- > 0;) {
    const Bar& bar = bars[i];
    if (!bar.words.empty()) continue;
    std::string filling = i == 0 ? std::string(root) : "%";
    if (bar.at > 0) filling.insert(0, " ");
    if (bar.at + bar.size < text.size()) filling += ' ';
    mended.replace(bar.at, bar.size, filling);
  }
  const bool spaced = empty.at > 0 && empty.size > 1;
  return {ErrorKind::syntax, empty.at + (spaced ? 1 : 0),
          "a bar of the vamp is empty; write a chord in it, or % to play the bar before again", mended};
}

std::string replaced(std::string_view text, const Word& word, std::string_view with) {
  std::string mended(text);
  mended.replace(word.at, word.text.size(), with);
  return mended;
}

/// "N.C.", as songbooks write a bar in which nobody plays a chord.
bool is_no_chord(std::string_view word) {
  std::string letters = lower(word);
  std::erase(letters, '.');
  return letters == "nc";
}

/// A vamp always sounds: the chord before goes on, at the beginning the chord behind or the root stands there.
Error no_chord(std::string_view text, const std::vector<Word>& bar, std::size_t i, bool has_bar_before,
               std::string_view root) {
  const bool alone = bar.size() == 1;
  const std::string_view beside =
      alone ? std::string_view(has_bar_before ? "%" : root) : bar[i > 0 ? i - 1 : i + 1].text;
  const std::string with(is_no_chord(beside) ? root : beside);
  return {ErrorKind::syntax, bar[i].at,
          "a vamp plays a chord in every bar, so \"" + std::string(bar[i].text) +
              "\" (no chord) cannot stand in it; write % to let the bar before go on",
          replaced(text, bar[i], with)};
}

/// The root by the next letter where its own would need three accidentals, which no chord symbol has.
PitchClass writable(PitchClass root) {
  while (std::abs(root.alter) > 2) {
    const int semitones = root.semitones();
    const int letter = root.letter + (root.alter > 0 ? 1 : -1);
    root = {static_cast<int>(floor_mod(letter, 7)), 0};
    root.alter = semitones - 12 * static_cast<int>(floor_div(letter, 7)) - root.semitones();
  }
  return root;
}

}  // namespace

std::span<const VampRhythm> vamp_rhythms() { return k_rhythms; }

const VampRhythm* find_rhythm(std::string_view name) {
  const auto* const row =
      std::find_if(k_rhythms.begin(), k_rhythms.end(), [&](const VampRhythm& r) { return r.name == name; });
  return row == k_rhythms.end() ? nullptr : &*row;
}

Beats Vamp::length(const Meter& meter) const {
  return Beats(Rational(static_cast<std::int64_t>(bars) * meter.beats_per_bar()));
}

const VampChord* chord_at(const Vamp& vamp, const Meter& meter, const Beats& beat) {
  const Rational length = vamp.length(meter).value;
  if (vamp.chords.empty() || length <= Rational(0)) return nullptr;
  const Rational place = beat.value - Rational((beat.value / length).floor()) * length;
  const VampChord* sounding = &vamp.chords.front();
  for (const VampChord& chord : vamp.chords) {
    if (chord.onset.value <= place) sounding = &chord;
  }
  return sounding;
}

namespace {

/// As parse_vamp, but the repair mends one fault alone.
Result<Vamp> read_vamp(std::string_view text, const Meter& meter, std::string_view root_for_repair) {
  const std::vector<Bar> bars = split_bars(text);
  if (bars.size() > k_max_bars)
    return Error{ErrorKind::range, 0, "the vamp has " + counted(bars.size(), "bar") + "; write 1 to 64", ""};
  const auto beats = static_cast<std::size_t>(meter.beats_per_bar());
  Vamp vamp;
  std::vector<Chord> before;
  for (const auto& [bar, at, size] : bars) {
    if (bar.empty()) return empty_bar(text, bars, {bar, at, size}, root_for_repair);
    std::vector<Chord> chords;
    if (bar.size() == 1 && bar.front().text == "%" && !before.empty()) {
      chords = before;
    } else {
      for (std::size_t i = 0; i < bar.size(); ++i) {
        const Word& word = bar[i];
        if (is_no_chord(word.text)) return no_chord(text, bar, i, vamp.bars > 0, root_for_repair);
        auto chord = parse_chord(word.text, root_for_repair);
        if (!chord)
          return Error{ErrorKind::syntax, word.at, chord.error().what, replaced(text, word, chord.error().repair)};
        chords.push_back(std::move(chord).value());
      }
    }
    if (chords.size() > beats) {
      const Word& extra = bar[beats];
      return Error{ErrorKind::range, extra.at,
                   "a bar of " + counted(beats, "beat") + " has " + counted(chords.size(), "chord") +
                       "; write at most one for each beat",
                   replaced(text, extra, "| " + std::string(extra.text))};
    }
    const Rational bar_start(static_cast<std::int64_t>(beats) * vamp.bars);
    const auto place = [&](std::size_t i) {
      return bar_start +
             Rational(Rational(static_cast<std::int64_t>(i * beats), static_cast<std::int64_t>(chords.size())).ceil());
    };
    for (std::size_t i = 0; i < chords.size(); ++i) {
      vamp.chords.push_back({Beats(place(i)), Beats(place(i + 1) - place(i)), chords[i]});
    }
    ++vamp.bars;
    before = std::move(chords);
  }
  return vamp;
}

}  // namespace

Result<Vamp> parse_vamp(std::string_view text, const Meter& meter, std::string_view root_for_repair) {
  auto vamp = read_vamp(text, meter, root_for_repair);
  if (vamp.ok()) return vamp;
  Error error = vamp.error();
  for (std::size_t round = 0; round < k_most_mends && !error.repair.empty(); ++round) {
    const auto mended = read_vamp(error.repair, meter, root_for_repair);
    if (mended.ok()) return error;
    error.repair = mended.error().repair;
  }
  error.repair.clear();
  return error;
}

std::string chords_text(const Vamp& vamp, const Meter& meter) {
  std::vector<std::string> bars(vamp.chords.empty() ? 0 : static_cast<std::size_t>(std::max(vamp.bars, 0)), "%");
  for (const VampChord& chord : vamp.chords) {
    const auto bar = static_cast<std::size_t>(std::max<std::int64_t>(bar_of(meter, chord.onset), 1));
    if (bars.size() < bar) bars.resize(bar, "%");
    std::string& text = bars[bar - 1];
    text = text == "%" ? chord.chord.symbol() : text + " " + chord.chord.symbol();
  }
  return join(bars, " | ");
}

std::string default_vamp(const Key& key) {
  const Mode* mode = find_mode(key.mode());
  if (mode == nullptr) {
    const auto has = [&](const Degree& d) {
      return std::find(key.degrees().begin(), key.degrees().end(), d) != key.degrees().end();
    };
    const bool minor = !has({3, 0}) && has({3, -1});
    const bool flat_five = minor && has({5, -1}) && !has({5, 0});
    const std::string seventh = has({7, -1}) ? "7" : has({7, 0}) ? (minor ? "(maj7)" : "maj7") : "";
    return key.tonic().name() + (minor ? "m" : "") + seventh + (flat_five ? "b5" : "");
  }
  std::string text;
  for (const Word& word : words(mode->vamp)) {
    const bool is_quality = !text.empty() && text.back() != ' ';
    if (word.text == "|") {
      text += " | ";
    } else if (is_quality) {
      text += word.text;
    } else {
      text += writable(parse_degree(word.text).value_or(Degree{}).above(key.tonic())).name();
    }
  }
  return text;
}

}  // namespace fretloom
