#pragma once
// One file made of a lesson, for the teacher to save.

#include <filesystem>
#include <string>

#include "base/result.h"
#include "play/render.h"
#include "sheet/music_font.h"

namespace fretloom::studio {

struct OutputWish {
  std::string format;  ///< pdf, txt, mid, musicxml, mxl; of one idea: wav, flac, opus, mp3
  std::string paper;   ///< pdf: a4 or letter; a4 where empty
  std::string idea;    ///< sound: the idea's number in the lesson; 1 where empty
  std::string feel;    ///< sound: notes a beat; the idea's first where empty
  std::string bpm;     ///< sound: the idea's goal where empty
};

struct Output {
  std::string type;  ///< media type
  std::string name;  ///< of the file, without the lesson's: ".pdf", "-01-sixes-4-a-beat-demo-120.wav"
  std::string bytes;
};

/// `file` is where the lesson lies, for the logo beside it. Errors: range (no such format, paper, idea, feel or tempo;
/// the lesson has errors), and those of the writers; stopped.
[[nodiscard]] Result<Output> make_output(const std::filesystem::path& file, const std::string& text,
                                         const OutputWish& wish, const sheet::MusicFont& font,
                                         const StopFlag* stop = nullptr);

}  // namespace fretloom::studio
