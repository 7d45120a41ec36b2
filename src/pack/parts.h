#pragma once
// The parts of a pack: what each is called, what it depends on and how it is made.

#include <functional>
#include <string>
#include <vector>

#include "base/result.h"
#include "lesson/compile.h"
#include "pack/choice.h"
#include "sheet/music_font.h"

namespace fretloom {

/// The teacher's own files, which go into the pack as they are.
struct PackSources {
  std::string lesson;     ///< bytes of the lesson file
  std::string logo;       ///< of the file that the lesson names; empty where it names none
  std::string durations;  ///< see durations.h; empty: the chapters are those of the demos
};

/// Of a part's file: an hour of 24-bit stereo at 48 kHz, and no more.
constexpr std::size_t k_max_part_bytes = std::size_t{1} << 30U;

constexpr std::string_view k_lesson_file = "lesson.toml";
constexpr std::string_view k_durations_file = "durations.txt";

/// What parts are made with, beside the lesson. Must outlive the parts.
struct PackTools {
  const sheet::MusicFont* font = nullptr;
  std::string maker;  ///< names this very program, so that another one makes all parts anew
};

struct PackPart {
  std::string path;  ///< in the pack: "audio/01-six-that-folds-back-4-a-beat-demo-060.mp3"
  PartGroup group = PartGroup::lesson;
  std::string key;      ///< SHA-256 of all that it is made from, the program and the options too
  bool stamped = true;  ///< false: the teacher's files, which go in as they are
  /// The bytes, with a blank stamp. Called from any thread. Error stopped if `stop` was set.
  std::function<Result<std::string>(const StopFlag* stop)> make;
};

/// A lesson's pack before it is made.
struct PackPlan {
  std::string title;
  std::string author;
  std::string key;
  std::size_t ideas = 0;
  std::string lesson_hash;  ///< SHA-256 of the lesson file: what `sha256sum lesson.toml` says
  std::string choice;       ///< as the manifest keeps it, see choice_text
  std::vector<PackPart> parts;
  std::vector<Finding> findings;  ///< facts that the words would have used
};

/// All parts, the teacher's files first, then by path. Errors: those of plan_sound, make_plan and
/// parse_paper; range = the lesson has no playable idea; syntax = the first finding in the durations.
[[nodiscard]] Result<PackPlan> plan_parts(const CompiledLesson& compiled, const PackSources& sources,
                                          const PackChoice& choice, const PackTools& tools);

}  // namespace fretloom
