#pragma once
// What a template of ours may ask for: one row a placeholder, one row a block that is repeated.

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "score/handout.h"
#include "score/sentences.h"
#include "words/spoken.h"

namespace fretloom {

/// Where a placeholder stands: anywhere, within {each idea}, within its {each feel}, or within a list's block.
enum class TextScope { lesson, idea, feel, item };

/// What a text is made from. `idea`, `score` and `item` are set within their blocks.
struct TextFacts {
  const Handout& handout;
  const LessonSentences& sentences;
  std::vector<std::string> enclosed;  ///< each on one line, none empty
  Manner manner = Manner::written;
  const IdeaSheet* idea = nullptr;
  std::size_t idea_index = 0;  ///< into the handout's ideas
  const Score* score = nullptr;
  std::string item;
};

struct Placeholder {
  std::string_view name;
  TextScope scope;
  std::string_view says;                   ///< for the manual
  std::string (*value)(const TextFacts&);  ///< on one line; empty where the lesson does not say it
};

/// In the order of the manual.
[[nodiscard]] std::span<const Placeholder> placeholders();
/// Those that may stand in a scope, the scopes around it included: an idea's block knows the lesson too.
[[nodiscard]] std::vector<const Placeholder*> placeholders_in(TextScope scope);

/// A block that is written once for each thing of a list: {each idea} ... {end}.
struct TextList {
  std::string_view name;
  TextScope around;  ///< where it may stand
  TextScope within;
  std::string_view says;
  /// The facts of each round.
  std::vector<TextFacts> (*rounds)(const TextFacts&);
};

[[nodiscard]] std::span<const TextList> text_lists();

}  // namespace fretloom
