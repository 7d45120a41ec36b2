#include "sheet/build.h"

#include <algorithm>
#include <cctype>
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include "base/text.h"
#include "draw/font_file.h"
#include "outside.h"
#include "sheet/engrave.h"

namespace fretloom::sheet::test {

namespace {

struct Recipe {
  IdeaSheet idea;
  std::string tuning = "E2 A2 D3 G3 B3 E4";
  std::string vamp;
  int group = 1;  ///< notes of one repetition
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
  IdeaSheet& idea = r.idea;
  if (word == "name")
    idea.name = rest;
  else if (word == "note")
    idea.note = rest;
  else if (word == "rule")
    idea.rule.text = rest;
  else if (word == "tuning")
    r.tuning = rest;
  else if (word == "vamp")
    r.vamp = rest;
  else if (word == "notes")
    r.notes += " " + std::string(rest);
  else if (word == "start")
    r.start = fraction(rest);
  else if (word == "capo")
    idea.instrument.neck.capo = parse_int(rest).value_or(0);
  else if (word == "group")
    r.group = std::max(1, parse_int(rest).value_or(1));
  else if (word == "blocked") {
    for (const Word& w : words(rest)) {
      Change change;
      change.after_note = parse_int(w.text).value_or(1);
      idea.proof.changes.push_back(change);
    }
  } else if (word == "frets")
    idea.instrument.neck.frets = parse_int(rest).value_or(24);
  else if (word == "swing") {
    const auto parts = split(rest, ':');
    idea.vamp.swing = Rational(parse_int(parts[0]).value_or(1), parts.size() > 1 ? parse_int(parts[1]).value_or(1) : 1);
  } else if (word == "feel" || word == "feels") {
    for (const Word& w : words(rest)) r.feels.push_back(parse_int(w.text).value_or(4));
  } else if (word == "key") {
    auto key = parse_key(rest);
    if (!key) {
      why = key.error().what;
      return false;
    }
    idea.key = key.value();
  } else if (word == "meter") {
    auto meter = parse_meter(rest);
    if (!meter) {
      why = meter.error().what;
      return false;
    }
    idea.meter = meter.value();
  } else {
    why = "unknown line: " + std::string(word);
    return false;
  }
  return true;
}

SpelledPitch spell(const Key& key, int midi) {
  return key.contains(midi) ? key.pitch(key.step_at_or_above(midi)) : spell_sharp(midi);
}

/// Against the major scale on the tonic, by letters.
Degree degree_of(const Key& key, const SpelledPitch& pitch) {
  const PitchClass note = pitch.pitch_class;
  Degree degree{(note.letter - key.tonic().letter + 7) % 7 + 1, 0};
  while (degree.above(key.tonic()).alter < note.alter) ++degree.alter;
  while (degree.above(key.tonic()).alter > note.alter) --degree.alter;
  return degree;
}

/// Reads the number at text[at..] and moves past it.
int number_at(std::string_view text, std::size_t& at) {
  int value = 0;
  while (at < text.size() && std::isdigit(static_cast<unsigned char>(text[at])) != 0)
    value = value * 10 + (text[at++] - '0');
  return value;
}

struct NoteReader {
  const IdeaSheet& idea;
  int group;
  Score& score;
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
    if (!idea.instrument.neck.has_string(note.string)) return false;
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
    note.pitch = spell(idea.key, idea.instrument.neck.open_midi(note.string) + note.fret);
    note.degree = degree_of(idea.key, note.pitch);
    if (note.attack == Attack::pick) {
      note.stroke = next;
      next = other(next);
    }
    note.role = ending ? Role::fill : Role::rule;
    note.repeat = static_cast<int>(score.notes.size()) / group + 1;
    score.notes.push_back(note);
  }
};

/// The layout that the notes themselves make, and their places in it.
void set_layout(IdeaSheet& idea) {
  idea.layout.resize(idea.instrument.neck.tuning.open.size());
  const auto row_of = [&](const ScoreNote& note) -> LayoutRow& {
    return idea.layout[idea.instrument.neck.index(note.string)];
  };
  for (const ScoreNote& note : idea.feels.front().notes) {
    LayoutRow& row = row_of(note);
    const auto place = std::lower_bound(row.frets.begin(), row.frets.end(), note.fret);
    if (place != row.frets.end() && *place == note.fret) continue;
    row.degrees.insert(row.degrees.begin() + (place - row.frets.begin()), note.degree);
    row.frets.insert(place, note.fret);
  }
  for (Score& score : idea.feels) {
    for (ScoreNote& note : score.notes) {
      const LayoutRow& row = row_of(note);
      note.ordinal =
          static_cast<int>(std::lower_bound(row.frets.begin(), row.frets.end(), note.fret) - row.frets.begin()) + 1;
    }
  }
}

bool add_feel(Recipe& r, int feel, std::string& why) {
  Score score;
  score.notes_per_beat = feel;
  score.ratio = tuplet_ratio(r.idea.meter, feel);
  score.start = Beats(r.start);
  NoteReader reader{r.idea, r.group, score, Rational(1, feel), r.start};
  for (const Word& w : words(r.notes)) {
    if (!reader.read(w.text)) {
      why = "no note: " + std::string(w.text);
      return false;
    }
  }
  if (!score.notes.empty() && reader.ending) score.notes.back().role = Role::landing;
  score.end = Beats(reader.at);
  r.idea.feels.push_back(std::move(score));
  return true;
}

bool finish(Recipe& r, std::string& why) {
  for (const Word& w : words(r.tuning)) {
    auto pitch = parse_pitch(w.text);
    if (!pitch) {
      why = pitch.error().what;
      return false;
    }
    r.idea.instrument.neck.tuning.open.push_back(pitch.value());
  }
  if (!r.vamp.empty()) {
    auto vamp = parse_vamp(r.vamp, r.idea.meter);
    if (!vamp) {
      why = vamp.error().what;
      return false;
    }
    r.idea.vamp.chords = vamp->chords;
    r.idea.vamp.bars = vamp->bars;
  }
  for (const int feel : r.feels) {
    if (!add_feel(r, feel, why)) return false;
  }
  set_layout(r.idea);
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

std::optional<IdeaSheet> build_idea(std::string_view text, std::string& why) {
  Recipe recipe;
  recipe.idea.key = parse_key("E dorian").value();
  if (!read_recipe(text, recipe, why) || !finish(recipe, why)) return std::nullopt;
  return std::move(recipe.idea);
}

IdeaSheet idea_of(std::string_view text) {
  std::string why;
  auto idea = build_idea(text, why);
  if (!idea) stop(why);
  return *std::move(idea);
}

Handout handout_of(const std::vector<std::string>& ideas) {
  Handout handout;
  handout.prose.title = "Climbing sixes";
  handout.prose.author = "Demo Teacher";
  for (const std::string& text : ideas) {
    IdeaSheet idea = idea_of(text);
    idea.number = static_cast<int>(handout.ideas.size()) + 1;
    if (idea.number == 1) handout.key = idea.key;
    handout.ideas.push_back(std::move(idea));
  }
  return handout;
}

Handout demo_handout() {
  Handout handout = handout_of({
      // The worked example of DESIGN.md section 5, at both of its feels (its endings differ, so none here).
      "name Six that folds back\nrule 1 3 2 3 + 2 1\nkey E dorian\nvamp Em7 | A7\ngroup 6\nfeels 4 6\n"
      "note Keep the wrist quiet.\n"
      "notes 6:12f1 6:15f3 6:14f2 6:15f3 5:14f2 5:12f1 5:12f1 5:16f4 5:14f2 5:16f4 4:14f2 4:12f1 4:12f1 4:16f4 4:14f2 "
      "4:16f4 3:14f2 3:12f1 "
      "3:12f1 3:16f4 3:14f2 3:16f4 2:15f2 2:14f1 2:14f1 2:17f4 2:15f2 2:17f4 1:15f2 1:14f1 end 1:15f2 1:17f4 1:19x2f4",
      "name Pull and roll\nrule 3 p1 2 + 1 h2 h3\nkey E dorian\nvamp Em7 | A7\ngroup 6\nfeels 4 3\n"
      "notes 6:15!f4 p6:12f1 6:14f3 5:12f1 h5:14f3 h5:16f4 5:16!f4 p5:12f1 5:14f3 4:12f1 h4:14f3 h4:16f4 4:16!f4 "
      "p4:12f1 4:14f3 3:12f1 h3:14f3 h3:16f4 "
      "3:16!f4 p3:12f1 3:14f3 2:14f1 h2:15f2 h2:17f4 end 2:15x4f2",
      "name Fives in the stairwell\nrule 1 2 3 2 + 1\nkey E dorian\nvamp Em7 | A7\ngroup 5\nfeels 5 4\nstart -1\n"
      "notes 6:12 6:14 6:15 6:14 5:12 5:12 5:14 5:16 5:14 4:12 4:12 4:14 4:16 4:14 3:12 3:12 3:14 3:16 3:14 2:14 2:14 "
      "2:15 2:17 2:15 1:14 end 1:15x5",
      "name Slide into the third\nrule 1 s2 3 r + 3 2 1 r\nkey E dorian\nvamp Em7 A7 | Bm7 A7\ngroup 6\nfeels 4 8\n"
      "notes 6:12f1 s6:14f1 6:15f2 r 5:16f4 5:14f2 5:12f1 r 5:12f1 s5:14f1 5:16f3 r 4:16f4 4:14f2 4:12f1 r 4:12f1 "
      "s4:14f1 4:16f3 r 3:16f4 3:14f2 3:12f1 r "
      "3:12f1 s3:14f1 3:16f3 r 2:17f4 2:15f2 2:14f1 r end 2:14x8f1",
      "name Over the top\nrule 1 2 3 ++ 3 2 1\nkey E dorian\nvamp Em7 | A7\ngroup 6\nfeels 6 9\n"
      "notes 3:16 3:18 3:19 1:19 1:17 1:15 3:18 3:19 3:21 1:21 1:19 1:17 3:19 3:21 3:23 1:22 1:21 1:19 3:21 3:23 3:24 "
      "1:24 1:22 1:21 end 1:24x6",
  });
  handout.prose.intro =
      "Five short rules for one position. Play each slowly enough that every string change is clean, then climb.";
  handout.prose.licence = "Demo, free to copy";
  return handout;
}

LessonSentences demo_sentences() {
  LessonSentences sentences;
  sentences.lesson =
      "This lesson is in E dorian, for guitar in standard tuning, with three notes on every string from fret 12. The "
      "vamp "
      "is Em7 | A7 in 4/4, struck in sixteenths. Start at 60 beats a minute and climb to 120. The pick stands clear of "
      "the strings after upstrokes.";
  sentences.ideas.resize(5);
  sentences.ideas[0] = {
      "Play a string's first, third, second and third note, then cross to the next thinner string for its second and "
      "first.",
      "Begin on string 6 and repeat the rule one string thinner each time, five times in all. Play it four and six "
      "notes "
      "a beat, in alternate picking from a downstroke.",
      "All five string changes are free: each follows an upstroke, and your pick is clear of the strings then. That is "
      "because every visit between the first and the last has an even number of picked notes (4, 6, 6, 6, 6, 2).",
      {"Two notes fill the way to the landing on B, the fifth of Em7, on beat 1 of bar 3.",
       "Two notes fill the way to B, the second of A7, just after beat 2 of bar 2."}};
  sentences.ideas[1] = {
      "Play a string's third note, pull off to its first and pick its second; on the next thinner string hammer from "
      "the "
      "first through the second to the third.",
      "Begin on string 6 and repeat the rule one string thinner each time, four times in all.",
      "All seven string changes are free.",
      {"The phrase lands on E, the root of Em7.", ""}};
  sentences.ideas[2].rule =
      "Play three notes of a string up and one back, then the first note of the next thinner string.";
  sentences.ideas[4].proof = "Three of the seven string changes are blocked; the first of them follows note 3.";
  sentences.cautions =
      "Warm up before you play, and take a break every 20 to 30 minutes. Stop when anything hurts or goes numb, and "
      "see a "
      "clinician if it comes back. Turn the volume down before you start the sound.";
  return sentences;
}

const Scene& demo_scene() {
  static const Scene scene = engrave(demo_handout(), demo_sentences(), {}, music_font()).value().scene;
  return scene;
}

std::string saved(const std::string& name, const std::string& bytes) {
  const std::string path = (std::filesystem::temp_directory_path() / name).string();
  fretloom::test::put_bytes(path, bytes);
  return path;
}

std::string run(const std::string& command, int& code) {
  const auto said = fretloom::test::run_tool(command);
  code = said.code;
  return said.out;
}

const MusicFont& music_font() {
  static const MusicFont font = [] {
    auto loaded = draw::load_music_font(FRETLOOM_MUSIC_FONT);
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
