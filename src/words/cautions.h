#pragma once
// What a player should mind, in one place and one wording.

#include <span>
#include <string>
#include <string_view>

namespace fretloom {

struct Caution {
  std::string_view text;
  std::string_view source;  ///< of a figure that is not ours; empty for the practice of the trade

  friend bool operator==(const Caution&, const Caution&) = default;
};

/// All of it in a line, for the end of a sentence in a letter.
constexpr std::string_view k_short_caution = "take breaks, and stop as soon as anything hurts.";

/// The one about listening, wherever something can be played.
constexpr std::string_view k_listening_caution = "Start playback quiet, and turn it up no further than you need.";

/// Overuse, then hearing: in the order they are printed.
[[nodiscard]] std::span<const Caution> cautions();
/// "Start playback quiet ...", "The recommended limit ... (NIOSH 98-126, 1998)".
[[nodiscard]] std::string to_sentence(const Caution& caution);
/// Those that need no source, one behind the other: for a page's foot.
[[nodiscard]] std::string cautions_paragraph();

}  // namespace fretloom
