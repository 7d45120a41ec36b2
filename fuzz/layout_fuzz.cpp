// Any idea that bytes can spell is engraved or refused, never worse.

#include <cstdint>

#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"

namespace {

using namespace fretloom;

/// Small numbers from the input, 0 when it is used up.
struct Bytes {
  const std::uint8_t* data;
  std::size_t size;

  int next(int low, int high) {
    if (size == 0) return low;
    --size;
    return low + *data++ % (high - low + 1);
  }
  Rational fraction(int most) { return Rational(next(-4, most), next(1, 12)); }
};

/// Text of one letter; any letter of ASCII.
std::string text_from(Bytes& in) {
  return std::string(static_cast<std::size_t>(in.next(0, 40)), static_cast<char>(in.next(1, 127)));
}

IdeaSheet idea_from(Bytes& in) {
  IdeaSheet idea;
  idea.name = text_from(in);
  idea.key = idea.key.on({in.next(0, 6), in.next(-3, 3)});
  idea.meter.groups.assign(static_cast<std::size_t>(in.next(1, 3)), in.next(0, 9));
  idea.meter.denominator = 1 << in.next(0, 4);
  idea.instrument.neck.capo = in.next(0, 5);
  idea.instrument.neck.frets = in.next(1, 40);
  const int strings = in.next(0, 13);
  for (int i = 0; i < strings; ++i) {
    idea.instrument.neck.tuning.open.push_back({{in.next(0, 6), in.next(-3, 3)}, in.next(-1, 6)});
    idea.layout.push_back({{in.next(0, 30)}, {{in.next(1, 7), in.next(-1, 1)}}});
  }
  const int chords = in.next(0, 3);
  for (int i = 0; i < chords; ++i) {
    idea.vamp.chords.push_back(
        {Beats(in.fraction(8)), Beats(in.fraction(8)), {{in.next(0, 6), in.next(-1, 1)}, {}, {}, "m7b5"}});
  }
  idea.vamp.bars = in.next(-1, 9);
  return idea;
}

LessonSentences sentences_from(Bytes& in) {
  return {text_from(in), {{text_from(in), text_from(in), text_from(in), {text_from(in)}}}, text_from(in)};
}

Score score_from(Bytes& in) {
  Score score;
  score.notes_per_beat = in.next(0, 13);
  score.start = Beats(in.fraction(9));
  Rational at = score.start.value;
  while (in.size > 4) {
    ScoreNote note;
    at += in.fraction(2);
    note.onset = Beats(at);
    note.duration = Beats(in.fraction(20));
    at += note.duration.value;
    note.pitch = {{in.next(0, 6), in.next(-4, 4)}, in.next(-2, 9)};
    note.string = in.next(0, 13);
    note.fret = in.next(-1, 40);
    note.attack = static_cast<Attack>(in.next(0, 3));
    note.accent = in.next(0, 3) == 0;
    note.role = static_cast<Role>(in.next(0, 2));
    if (in.next(0, 1) == 1) note.stroke = Stroke::up;
    if (in.next(0, 1) == 1) note.finger = in.next(-1, 6);
    score.notes.push_back(note);
  }
  score.end = Beats(at);
  return score;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  Bytes in{data, std::min<std::size_t>(size, 2000)};
  sheet::SheetOptions options;
  options.paper = sheet::Paper{Millimetres(in.next(20, 210)), Millimetres(in.next(20, 250)),
                               Millimetres(in.next(0, 15)), static_cast<sheet::PaperKind>(in.next(0, 2))};
  options.ordinals = in.next(0, 1) == 1;
  Handout handout;
  handout.ideas.push_back(idea_from(in));
  const LessonSentences sentences = sentences_from(in);
  handout.ideas[0].feels.push_back(score_from(in));
  const auto result = sheet::engrave(handout, sentences, options, sheet::test::music_font());
  if (result && sheet::write_svg(result->scene, sheet::test::music_font()).empty()) __builtin_trap();
  return 0;
}
