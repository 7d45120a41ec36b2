#include "sheet/build.h"

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <cstdlib>

#include "base/text.h"
#include "draw/font_file.h"
#include "theory/scale.h"

namespace fretloom::sheet::test {

namespace {

struct Recipe {
  Score score;
  std::optional<Key> key;
  std::string tuning = "E2 A2 D3 G3 B3 E4";
  std::string vamp;
  std::string notes;
  std::vector<int> feels;
  Rational start{0};
};

Rational fraction(std::string_view text) {
  const auto parts = split(text, '/');
  const auto num = parse_int(parts[0]);
  const auto den = parts.size() > 1 ? parse_int(parts[1]) : std::optional<int>(1);
  return Rational(num.value_or(0), std::max(1, den.value_or(1)));
}

bool read_line(Recipe& r, std::string_view word, std::string_view rest, std::string& why) {
  Score& s = r.score;
  if (word == "title")
    s.title = rest;
  else if (word == "note")
    s.note = rest;
  else if (word == "rule")
    s.rule = rest;
  else if (word == "words")
    s.rule_in_words = rest;
  else if (word == "proof")
    s.proof = rest;
  else if (word == "tuning")
    r.tuning = rest;
  else if (word == "vamp")
    r.vamp = rest;
  else if (word == "notes")
    r.notes += " " + std::string(rest);
  else if (word == "start")
    r.start = fraction(rest);
  else if (word == "capo")
    s.capo = parse_int(rest).value_or(0);
  else if (word == "group")
    s.group = parse_int(rest).value_or(0);
  else if (word == "frets")
    s.frets = parse_int(rest).value_or(24);
  else if (word == "swing") {
    const auto parts = split(rest, ':');
    s.swing = Rational(parse_int(parts[0]).value_or(1), parts.size() > 1 ? parse_int(parts[1]).value_or(1) : 1);
  } else if (word == "feel" || word == "feels") {
    for (const Word& w : words(rest)) r.feels.push_back(parse_int(w.text).value_or(4));
  } else if (word == "key") {
    auto key = parse_key(rest);
    if (!key) {
      why = key.error().what;
      return false;
    }
    r.key = key.value();
  } else if (word == "meter") {
    auto meter = parse_meter(rest);
    if (!meter) {
      why = meter.error().what;
      return false;
    }
    s.meter = meter.value();
  } else {
    why = "unknown line: " + std::string(word);
    return false;
  }
  return true;
}

SpelledPitch spell(const Key& key, int midi) {
  return key.contains(midi) ? key.pitch(key.step_at_or_above(midi)) : spell_sharp(midi);
}

/// Reads the number at text[at..] and moves past it.
int number_at(std::string_view text, std::size_t& at) {
  int value = 0;
  while (at < text.size() && std::isdigit(static_cast<unsigned char>(text[at])) != 0)
    value = value * 10 + (text[at++] - '0');
  return value;
}

struct NoteReader {
  Score& score;
  const Key& key;
  Rational unit;
  Rational at;
  Stroke next = Stroke::down;
  bool ending = false;

  bool read(std::string_view token) {
    if (token == "end") {
      ending = true;
      return true;
    }
    std::size_t i = 0;
    ScoreNote note;
    if (token[0] == 'r') {
      i = 1;
      at += unit * Rational(units(token, i));
      return i == token.size();
    }
    if (token[0] == 'h') note.attack = Attack::hammer;
    if (token[0] == 'p') note.attack = Attack::pull;
    if (token[0] == 's') note.attack = Attack::slide;
    if (note.attack != Attack::pick) ++i;
    note.string = number_at(token, i);
    if (i >= token.size() || token[i] != ':') return false;
    ++i;
    note.fret = number_at(token, i);
    if (note.string < 1 || note.string > static_cast<int>(score.strings.size())) return false;
    if (i < token.size() && token[i] == '!') {
      note.accent = true;
      ++i;
    }
    note.duration = Beats(unit * Rational(units(token, i)));
    if (i < token.size() && token[i] == 'f') note.finger = number_at(token, ++i);
    if (i != token.size()) return false;
    finish(note);
    return true;
  }

  static int units(std::string_view token, std::size_t& i) {
    if (i >= token.size() || token[i] != 'x') return 1;
    ++i;
    return number_at(token, i);
  }

  void finish(ScoreNote& note) {
    note.onset = Beats(at);
    at += note.duration.value;
    const ScoreString& string = score.strings[score.strings.size() - static_cast<std::size_t>(note.string)];
    note.pitch = spell(key, string.open.midi() + score.capo + note.fret);
    if (key.contains(note.pitch.midi())) note.degree = key.degree(key.step_at_or_above(note.pitch.midi())).name();
    if (note.attack == Attack::pick) {
      note.stroke = next;
      next = other(next);
    }
    note.role = ending ? Role::fill : Role::rule;
    const int group = std::max(1, score.group);
    note.repeat = static_cast<int>(score.notes.size()) / group + 1;
    score.notes.push_back(note);
  }
};

void set_layout(Score& score) {
  for (ScoreNote& note : score.notes) {
    ScoreString& string = score.strings[score.strings.size() - static_cast<std::size_t>(note.string)];
    if (std::find(string.frets.begin(), string.frets.end(), note.fret) == string.frets.end())
      string.frets.push_back(note.fret);
  }
  for (ScoreString& string : score.strings) std::sort(string.frets.begin(), string.frets.end());
  for (ScoreNote& note : score.notes) {
    ScoreString& string = score.strings[score.strings.size() - static_cast<std::size_t>(note.string)];
    const auto place = std::find(string.frets.begin(), string.frets.end(), note.fret) - string.frets.begin();
    note.ordinal = static_cast<int>(place) + 1;
    if (string.degrees.size() < string.frets.size()) string.degrees.resize(string.frets.size());
    string.degrees[static_cast<std::size_t>(place)] = note.degree;
  }
}

bool set_vamp(Score& score, std::string_view text, std::string& why) {
  const int beats = score.meter.beats_per_bar();
  int bar = 0;
  for (const std::string_view part : split(text, '|')) {
    const auto symbols = words(part);
    for (std::size_t i = 0; i < symbols.size(); ++i) {
      auto chord = parse_chord(symbols[i].text);
      if (!chord) {
        why = chord.error().what;
        return false;
      }
      const auto k = static_cast<std::int64_t>(symbols.size());
      const auto place = [&](std::int64_t n) { return Rational(n * beats, k).ceil() + bar * beats; };
      const auto n = static_cast<std::int64_t>(i);
      score.vamp.push_back({Beats(place(n)), Beats(Rational(place(n + 1) - place(n))), chord.value()});
    }
    ++bar;
  }
  score.vamp_length = Beats(Rational(bar * beats));
  score.vamp_rhythm = "sixteenths";
  return true;
}

bool finish(Recipe& r, int feel, Score& out, std::string& why) {
  out = r.score;
  const Key key = r.key.value_or(parse_key("E dorian").value());
  out.key = key.name();
  out.fifths = key_signature(key);
  for (const Word& w : words(r.tuning)) {
    auto pitch = parse_pitch(w.text);
    if (!pitch) {
      why = pitch.error().what;
      return false;
    }
    out.strings.push_back({pitch.value(), {}, {}});
  }
  if (!r.vamp.empty() && !set_vamp(out, r.vamp, why)) return false;
  out.notes_per_beat = feel;
  out.ratio = tuplet_ratio(out.meter, feel);
  out.start = Beats(r.start);
  NoteReader reader{out, key, Rational(1, feel), r.start};
  for (const Word& w : words(r.notes)) {
    if (!reader.read(w.text)) {
      why = "no note: " + std::string(w.text);
      return false;
    }
  }
  if (!out.notes.empty() && reader.ending) out.notes.back().role = Role::landing;
  out.end = Beats(reader.at);
  set_layout(out);
  return true;
}

bool read_recipe(std::string_view text, Recipe& recipe, std::string& why) {
  for (const std::string_view line : split(text, '\n')) {
    const std::string_view whole = trim(line);
    if (whole.empty()) continue;
    const std::size_t space = whole.find(' ');
    const std::string_view rest = space == std::string_view::npos ? std::string_view() : trim(whole.substr(space));
    if (!read_line(recipe, whole.substr(0, space), rest, why)) return false;
  }
  if (recipe.feels.empty()) recipe.feels.push_back(4);
  return true;
}

[[noreturn]] void stop(const std::string& why) {
  std::fprintf(stderr, "test input: %s\n", why.c_str());
  std::abort();
}

}  // namespace

std::optional<Score> build_score(std::string_view text, std::string& why) {
  Recipe recipe;
  Score score;
  if (!read_recipe(text, recipe, why) || !finish(recipe, recipe.feels.front(), score, why)) return std::nullopt;
  return score;
}

Score score_of(std::string_view text) {
  std::string why;
  const auto score = build_score(text, why);
  if (!score) stop(why);
  return *score;
}

Handout handout_of(const std::vector<std::string>& ideas) {
  Handout handout;
  handout.title = "Climbing sixes";
  handout.author = "Demo Teacher";
  for (const std::string& text : ideas) {
    Recipe recipe;
    std::string why;
    if (!read_recipe(text, recipe, why)) stop(why);
    ScoreSet set;
    for (const int feel : recipe.feels) {
      Score score;
      if (!finish(recipe, feel, score, why)) stop(why);
      set.feels.push_back(std::move(score));
    }
    if (handout.key.empty()) handout.key = set.feels.front().key;
    handout.ideas.push_back(std::move(set));
  }
  return handout;
}

Handout demo_handout() {
  Handout handout = handout_of({
      // The worked example of DESIGN.md section 5, at both of its feels (its endings differ, so none here).
      "title Six that folds back\nrule 1 3 2 3 + 2 1\nkey E dorian\nvamp Em7 | A7\ngroup 6\nfeels 4 6\n"
      "words First, third, second and third note of a string, then second and first of the next thinner one.\n"
      "proof Every string change follows an upstroke, because every visit between the first and the last has an even "
      "number of picked notes.\n"
      "note Keep the wrist quiet.\n"
      "notes 6:12f1 6:15f3 6:14f2 6:15f3 5:14f2 5:12f1 5:12f1 5:16f4 5:14f2 5:16f4 4:14f2 4:12f1 4:12f1 4:16f4 4:14f2 "
      "4:16f4 3:14f2 3:12f1 "
      "3:12f1 3:16f4 3:14f2 3:16f4 2:15f2 2:14f1 2:14f1 2:17f4 2:15f2 2:17f4 1:15f2 1:14f1 end 1:15f2 1:17f4 1:19x2f4",
      "title Pull and roll\nrule 3 p1 2 + 1 h2 h3\nkey E dorian\nvamp Em7 | A7\ngroup 6\nfeels 4 3\n"
      "words Third note pulled off to the first, then the second; on the next string all three, hammered.\n"
      "proof Three picked notes in six keep every change on a downstroke.\n"
      "notes 6:15!f4 p6:12f1 6:14f3 5:12f1 h5:14f3 h5:16f4 5:16!f4 p5:12f1 5:14f3 4:12f1 h4:14f3 h4:16f4 4:16!f4 "
      "p4:12f1 4:14f3 3:12f1 h3:14f3 h3:16f4 "
      "3:16!f4 p3:12f1 3:14f3 2:14f1 h2:15f2 h2:17f4 end 2:15x4f2",
      "title Fives in the stairwell\nrule 1 2 3 2 + 1\nkey E dorian\nvamp Em7 | A7\ngroup 5\nfeels 5 4\nstart -1\n"
      "words Up three notes of a string and back one, then the first note of the next thinner string.\n"
      "notes 6:12 6:14 6:15 6:14 5:12 5:12 5:14 5:16 5:14 4:12 4:12 4:14 4:16 4:14 3:12 3:12 3:14 3:16 3:14 2:14 2:14 "
      "2:15 2:17 2:15 1:14 end 1:15x5",
      "title Slide into the third\nrule 1 s2 3 r + 3 2 1 r\nkey E dorian\nvamp Em7 A7 | Bm7 A7\ngroup 6\nfeels 4 8\n"
      "notes 6:12f1 s6:14f1 6:15f2 r 5:16f4 5:14f2 5:12f1 r 5:12f1 s5:14f1 5:16f3 r 4:16f4 4:14f2 4:12f1 r 4:12f1 "
      "s4:14f1 4:16f3 r 3:16f4 3:14f2 3:12f1 r "
      "3:12f1 s3:14f1 3:16f3 r 2:17f4 2:15f2 2:14f1 r end 2:14x8f1",
      "title Over the top\nrule 1 2 3 ++ 3 2 1\nkey E dorian\nvamp Em7 | A7\ngroup 6\nfeels 6 9\n"
      "notes 3:16 3:18 3:19 1:19 1:17 1:15 3:18 3:19 3:21 1:21 1:19 1:17 3:19 3:21 3:23 1:22 1:21 1:19 3:21 3:23 3:24 "
      "1:24 1:22 1:21 end 1:24x6",
  });
  handout.intro =
      "Five short rules for one position. Play each slowly enough that every string change is clean, then climb.";
  handout.licence = "Demo, free to copy";
  return handout;
}

const MusicFont& music_font() {
  static const MusicFont font = [] {
    auto loaded = draw::find_music_font(FRETLOOM_SOURCE_DIR);
    if (!loaded) stop(loaded.error().what + " (" + loaded.error().repair + ")");
    return std::move(loaded).value();
  }();
  return font;
}

std::string png_head(unsigned width, unsigned height) {
  std::string png("\x89PNG\r\n\x1a\n\0\0\0\rIHDR", 16);
  for (const unsigned side : {width, height}) {
    for (const unsigned shift : {24U, 16U, 8U, 0U}) png += static_cast<char>(side >> shift & 0xffU);
  }
  return png + std::string("\x8\x6\0\0\0", 5);  // 8 bits, RGBA
}

}  // namespace fretloom::sheet::test
