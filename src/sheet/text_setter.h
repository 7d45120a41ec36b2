#pragma once
// Sets text into a block, from the top down.

#include <string>
#include <string_view>
#include <vector>

#include "sheet/block.h"
#include "sheet/text_metrics.h"

namespace fretloom::sheet {

/// One kind of text on the page, staff spaces.
struct TextKind {
  Mark mark = Mark::prose;
  TextStyle style = TextStyle::regular;
  double size = 2.0;    ///< em
  double pitch = 2.75;  ///< from baseline to baseline
};
inline constexpr TextKind k_prose;

// Letters of a full line of prose, blanks counted, where the page has room for them: an eye that goes back finds the
// next line (common practice).
inline constexpr double k_fewest_letters = 66;  ///< on the average
inline constexpr std::size_t k_most_letters = 75;

/// Lines of one paragraph, as break_lines, none of more than k_most_letters. Where a stray word would be left for the
/// last line, all of them are set a little narrower, so that it has company.
[[nodiscard]] std::vector<std::string> paragraph_lines(const TextMetrics& metrics, std::string_view text,
                                                       const TextKind& kind, double width);

/// The widest that a paragraph comes, staff spaces: room for k_most_letters of usual width.
[[nodiscard]] double measure_of(const TextKind& kind);

class TextSetter {
 public:
  TextSetter(const TextMetrics& metrics, Block& block) : metrics_(metrics), block_(block) {}

  /// One line as it is; nothing for an empty text.
  void line(const TextKind& kind, Point at, const std::string& text, Anchor anchor = Anchor::start);
  /// Paragraphs, one a line of `text`, and white where a line is blank; `y` is the next baseline and moves on.
  void prose(const TextKind& kind, double x, double& y, std::string_view text, double width);
  /// A horizontal line from x = 0.
  void rule(double width, double y, double thickness);

 private:
  const TextMetrics& metrics_;
  Block& block_;
};

}  // namespace fretloom::sheet
