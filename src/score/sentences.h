#pragma once
// What is said about a lesson, ready to print. Made in `words`; the rooms below it that print prose (sheet, text tab)
// take it as an argument and look for nothing in it.

#include <string>
#include <vector>

namespace fretloom {

struct IdeaSentences {
  std::string rule;                  ///< the rule for a reader who does not know the notation
  std::string idea;                  ///< how it is carried, at which feels, picked how
  std::string proof;                 ///< for the student, with how to notice a stroke that went wrong
  std::vector<std::string> endings;  ///< one a feel, "" where it has none
  std::string repair{};              ///< of blocked changes, short enough to stand in the music; "" where none is
};

struct LessonSentences {
  std::string lesson;                ///< key, instrument, layout, vamp, meter, tempo, pick
  std::vector<IdeaSentences> ideas;  ///< one for each idea of the handout, in its order
  std::string cautions;              ///< one paragraph
};

}  // namespace fretloom
