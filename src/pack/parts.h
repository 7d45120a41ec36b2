#pragma once
// The parts of a pack: what each is called, what it depends on and how it is made.

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "base/result.h"
#include "lesson/compile.h"
#include "pack/plan.h"
#include "sheet/music_font.h"
#include "sheet/options.h"
#include "sound/jobs.h"

namespace fretloom {

/// The groups of parts that can be chosen: lesson (always there), handout, tab, midi, musicxml, drawings,
/// audio, captions, words, plan.
enum class PartGroup { lesson, handout, tab, midi, musicxml, drawings, audio, captions, words, plan };
constexpr int k_part_groups = 10;
[[nodiscard]] std::string_view name(PartGroup group);
[[nodiscard]] std::optional<PartGroup> parse_part_group(std::string_view text);

struct PackChoice {
  std::vector<PartGroup> groups;  ///< empty: all
  SoundChoice sound;              ///< the small set; its tempos, pieces and formats are kept in the manifest
  PlanRequest plan;               ///< present_bpm 0: each lesson's first slow tempo
  std::string paper = "a4";       ///< a4 or letter
};

/// What parts are made with, beside the lesson. Must outlive the parts.
struct PackTools {
  const sheet::MusicFont* font = nullptr;
  std::string maker;  ///< names this very program, so that another one makes all parts anew
};

struct PackPart {
  std::string path;  ///< in the pack: "audio/01-six-that-folds-back-4-a-beat-demo-060.mp3"
  PartGroup group = PartGroup::lesson;
  std::string key;      ///< SHA-256 of all that it is made from, the program and the options too
  bool stamped = true;  ///< false: the lesson file and its logo, which go in as they are
  /// The bytes, with a blank stamp. Called from any thread. Error limit "stopped" if `stop` was set.
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

/// All parts, the lesson file first, then by path. `logo` holds the bytes of the file that the lesson
/// names. Errors: those of plan_sound, make_plan and parse_paper; range = the lesson has no playable idea.
[[nodiscard]] Result<PackPlan> plan_parts(const CompiledLesson& compiled, const std::string& lesson_text,
                                          const std::string& logo, const PackChoice& choice, const PackTools& tools);

/// The choice on one line, and back again. Error syntax: no such line.
[[nodiscard]] std::string choice_text(const PackChoice& choice);
[[nodiscard]] Result<PackChoice> parse_choice(std::string_view text);

}  // namespace fretloom
