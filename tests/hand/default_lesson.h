#pragma once
// Lessons with nothing but defaults around a random cell, made by a seeded generator: the same for the same seed
// everywhere. Standard tuning, three notes a string from a random legal fret, one of the seven modes of the major
// scale on any tonic, and an even cell: every visit to a string has two or four picked notes.

#include <array>
#include <cstdint>
#include <random>
#include <string>

#include "lick/expand.h"

namespace fretloom {

struct DefaultLesson {
  std::string tonic;
  std::string mode;
  int from = 0;
  std::string cell;
  Ground ground;
  Lick lick;
  Phrase phrase;

  [[nodiscard]] std::string name() const { return tonic + " " + mode + ", from " + std::to_string(from) + ": " + cell; }
};

class DefaultLessons {
 public:
  explicit DefaultLessons(std::uint32_t seed) : random_(seed) {}

  /// The next lesson whose layout lies on the neck and whose cell fits.
  DefaultLesson next() {
    constexpr std::array k_modes = {"ionian", "dorian", "phrygian", "lydian", "mixolydian", "aeolian", "locrian"};
    constexpr std::array k_tonics = {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"};
    for (;;) {
      const std::string tonic = k_tonics[below(k_tonics.size())];
      const std::string mode = k_modes[below(k_modes.size())];
      const int from = static_cast<int>(below(15));
      const std::string cell = even_cell();
      const Key key = *parse_key(tonic + " " + mode);
      const Neck neck{*parse_tuning("standard"), 24, Millimetres(648), 0};
      const Layout layout = *make_layout(key, neck, LayoutRule{.from = from});
      if (off_neck(key, neck, layout)) continue;
      Lick lick;
      lick.rule = *parse_rule(RuleKind::cell, cell);
      Ground ground{key, neck, layout};
      std::vector<Remark> remarks;
      auto phrase = expand(ground, lick, remarks);
      if (phrase) return {tonic, mode, from, cell, ground, lick, *phrase};
    }
  }

 private:
  std::size_t below(std::size_t n) { return random_() % n; }

  /// One to three visits, first upward or back to a thicker string above the first; no note twice in a row.
  std::string even_cell() {
    std::string cell;
    const std::size_t visits = 1 + below(3);
    int offset = 0;
    for (std::size_t v = 0; v < visits; ++v) {
      if (v > 0) {
        const bool down = offset > 0 && below(3) == 0;
        offset += down ? -1 : 1;
        cell += down ? " -" : " +";
      }
      const std::size_t notes = 2 + 2 * below(2);
      std::size_t last = 0;
      for (std::size_t n = 0; n < notes; ++n) {
        std::size_t ordinal = 1 + below(3);
        while (ordinal == last) ordinal = 1 + below(3);
        cell += (cell.empty() ? "" : " ") + std::to_string(ordinal);
        last = ordinal;
      }
    }
    return cell;
  }

  std::mt19937 random_;
};

}  // namespace fretloom
