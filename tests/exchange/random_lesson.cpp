#include "exchange/random_lesson.h"

#include <initializer_list>
#include <random>
#include <string_view>

#include "theory/scale.h"

namespace fretloom {

namespace {

class LessonMaker {
 public:
  explicit LessonMaker(std::uint32_t seed) : random_(seed) {}

  std::string make() {
    const bool bass = one_in(5);
    strings_ = bass ? 4 : 6;
    std::string text =
        "format = 1\ntitle = \"" + of({"Seile", "\\\"Quoted\\\" & <b>", "תו 🎸", "Tab\\tinside"}) + "\"\n";
    text += "key = \"" + of({"C", "G", "D", "E", "F#", "Bb", "Eb", "Ab", "C#", "Gb"}) + " " +
            std::string(modes()[up_to(modes().size())].name) + "\"\n";
    if (bass) text += "tuning = [\"E1\", \"A1\", \"D2\", \"G2\"]\n";
    if (!bass && one_in(4)) {
      strings_ = 7;
      text += "tuning = [\"B1\", \"E2\", \"A2\", \"D3\", \"G3\", \"B3\", \"E4\"]\n";
    }
    if (one_in(3)) text += "capo = " + number(1, 5) + "\n";
    text += "meter = \"" + of({"4/4", "4/4", "3/4", "6/8", "12/8", "9/16", "5/8", "3/2", "2+2+3/8", "3+2/16", "1/4"}) +
            "\"\n";
    text += "tempo = { slow = " + number(30, 60) + of({"", ".5", ".25"}) + ", goal = " + number(80, 240) + " }\n";
    text += "[layout]\nkind = \"" + of({"per-string", "per-string", "position"}) + "\"\nfrom = " + number(0, 9) + "\n";
    if (one_in(2)) {
      text += "[vamp]\nchords = \"" + of({"Am7 D7b9/A | Gmaj7#11", "C | % | F#m7b5/C", "Bb13", "E7#9#5 | A(maj7)"}) +
              "\"\n";
    }
    const int ideas = 1 + static_cast<int>(up_to(2));
    for (int i = 0; i < ideas; ++i) text += idea();
    return text;
  }

 private:
  std::size_t up_to(std::size_t n) { return random_() % n; }
  bool one_in(std::size_t n) { return up_to(n) == 0; }
  std::string of(std::initializer_list<std::string_view> words) {
    return std::string(words.begin()[up_to(words.size())]);
  }
  std::string number(int low, int high) {
    return std::to_string(low + static_cast<int>(up_to(static_cast<std::size_t>(high - low + 1))));
  }

  std::string idea() {
    const int feel = 1 + static_cast<int>(up_to(12));
    std::string text = "[[idea]]\nname = \"" + of({"Leiter", "Zurück", "'Hin' <i>&amp;</i>"}) + "\"\n";
    text += "cell = \"" + cell() + "\"\n";
    text += "notes_per_beat = [" + std::to_string(feel) + (one_in(2) ? ", " + number(1, 12) : "") + "]\n";
    if (one_in(3)) {
      // Whole in every feel, or a pick-up of whole beats.
      text += "start = { string = " + std::to_string(strings_) + ", beat = " + number(-5, 3) + " }\n";
    }
    text += "repeats = " + of({"\"fit\"", "2", "3"}) + "\n";
    if (one_in(3)) text += "back = \"" + of({"retrograde", "mirrored"}) + "\"\n";
    text += "picking = \"" + of({"alternate", "grid", "economy"}) + "\"\n";
    text += "first_stroke = \"" + of({"down", "up"}) + "\"\n";
    text +=
        "ending = " + of({"\"auto\"", "\"none\"", "{ degree = 1, on = \"bar\" }", "{ degree = 5, on = \"beat\" }"}) +
        "\n";
    return text;
  }

  /// Two to seven notes, slurs only where they are legal, one string up at most.
  std::string cell() {
    std::string text;
    int before = 0;  // ordinal on the same string, 0 after a move or a rest
    bool moved = false;
    const std::size_t notes = 2 + up_to(6);
    for (std::size_t i = 0; i < notes; ++i) {
      if (i > 0 && !moved && one_in(4)) {
        text += "+ ";
        before = 0;
        moved = true;
      } else if (i > 0 && one_in(8)) {
        text += one_in(2) ? "r " : "rx2 ";
        before = 0;
      }
      const int ordinal = 1 + static_cast<int>(up_to(3));
      if (before > 0 && ordinal != before && one_in(3)) text += one_in(3) ? "s" : ordinal > before ? "h" : "p";
      text += std::to_string(ordinal);
      if (one_in(7)) text += "!";
      if (one_in(6)) text += "x" + number(2, 7);
      text += i + 1 < notes ? " " : "";
      before = ordinal;
    }
    return text;
  }

  std::mt19937 random_;
  int strings_ = 6;
};

}  // namespace

std::string random_lesson(std::uint32_t seed) { return LessonMaker(seed).make(); }

}  // namespace fretloom
