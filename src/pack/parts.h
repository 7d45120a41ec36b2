#pragma once
// The parts of a pack: what each is called, what it depends on and how it is made.

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "files/embedded.h"
#include "lesson/compile.h"
#include "pack/choice.h"
#include "sheet/music_font.h"
#include "words/text_template.h"

namespace fretloom {

/// The teacher's own files, which go into the pack as they are.
struct PackSources {
  std::string lesson;                        ///< bytes of the lesson file
  std::string logo;                          ///< of the file that the lesson names; empty where it names none
  std::string durations;                     ///< see durations.h; empty: the chapters are those of the demos
  std::string name;                          ///< of the pack, a slug: "climbing-sixes"
  std::string source;                        ///< of the lesson file, see Manifest
  std::vector<TemplateFile> templates = {};  ///< the teacher's own; ours where there is none of a kind
};

/// Of a part's file: an hour of 24-bit stereo at 48 kHz, and no more.
constexpr std::size_t k_max_part_bytes = std::size_t{1} << 30U;

/// Where the teacher's own files lie in a pack, from the folder of the packs.
[[nodiscard]] std::string lesson_path(const std::string& name);
[[nodiscard]] std::string durations_path(const std::string& name);
[[nodiscard]] std::string template_path(const std::string& name, TemplateKind kind);

/// What parts are made with, beside the lesson. Must outlive the parts.
struct PackTools {
  const sheet::MusicFont* font = nullptr;
  std::string maker;                            ///< names this very program, so that another one makes all parts anew
  std::span<const EmbeddedFile> practice = {};  ///< see practice_file.h; empty: the pack has no page to practise with
  std::shared_ptr<BandSamples> samples = {};    ///< drums and keys of the band; without them it plays alone on strings
};

struct PackPart {
  std::string path;   ///< from the folder of the packs: "climbing-sixes/climbing-sixes-handout.pdf"
  std::string title;  ///< see ManifestPart
  PartGroup group = PartGroup::lesson;
  std::string key;      ///< SHA-256 of all that it is made from, the program and the options too
  bool stamped = true;  ///< false: the teacher's files, which go in as they are, and plain text, which people read
  /// The bytes, with a blank stamp if the part is stamped. Called from any thread. Error stopped if `stop` was set.
  std::function<Result<std::string>(const StopFlag* stop)> make;
};

/// A lesson's pack before it is made.
struct PackPlan {
  std::string title;
  std::string author;
  std::string key;
  std::size_t ideas = 0;
  std::string name;  ///< see PackSources
  std::string source;
  std::string lesson_hash;  ///< SHA-256 of the lesson file: what `sha256sum` says
  std::string choice;       ///< as the manifest keeps it, see choice_text
  std::vector<PackPart> parts;
  std::vector<Finding> findings;  ///< of the plan and of the handout's engraving, at their places
  std::vector<Finding> missing;   ///< facts that the words would have used
};

/// All parts, the teacher's files first, then by path. Errors: those of plan_sound, make_plan and
/// parse_paper; range = the lesson has no playable idea; syntax = the first finding in the durations or
/// in a template.
[[nodiscard]] Result<PackPlan> plan_parts(const CompiledLesson& compiled, const PackSources& sources,
                                          const PackChoice& choice, const PackTools& tools);

}  // namespace fretloom
