#include "sheet/idea_block.h"

#include <algorithm>

#include "base/text.h"
#include "sheet/headings.h"
#include "sheet/neck.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_heading{Mark::heading, TextStyle::bold, 2.9, 3.48};
constexpr TextKind k_label{Mark::prose, TextStyle::italic, k_prose.size, k_prose.pitch};
constexpr TextKind k_rule{Mark::prose, TextStyle::bold, 2.5, 3.1};
constexpr double k_label_indent = 6.6;
constexpr double k_paragraph_gap = 0.8;
constexpr double k_neck_beside = 62;  // narrower pages set the neck below the text
constexpr double k_widest_neck_beside = 58;
constexpr double k_least_neck_scale = 0.75;  // a diagram that would be smaller beside the text stands below it, too

/// Paragraphs with their labels in the margin, top down.
class Labelled {
 public:
  Labelled(const SheetOptions& options, Block& block, double width)
      : metrics_(options.metrics), setter_(options.metrics, block), width_(std::max(8.0, width - k_label_indent)) {}

  /// The rule as typed, its tokens set apart by wider blanks than prose has.
  void rule(std::string_view rule) {
    if (trim(rule).empty()) return;
    label("Rule");
    for (const std::string& line : break_lines(metrics_, rule, k_rule.style, k_rule.size, 0.75 * width_)) {
      std::string spaced;
      for (const char c : line) spaced += c == ' ' ? std::string("\u2002") : std::string(1, c);
      setter_.line(k_rule, {k_label_indent, y_}, spaced);
      y_ += k_rule.pitch;
    }
  }
  /// Belongs to what stands above where it has no label.
  void paragraph(const std::string& words, std::string_view text) {
    if (trim(text).empty()) return;
    if (y_ > k_top && !words.empty()) y_ += k_paragraph_gap;
    label(words);
    setter_.prose(k_prose, k_label_indent, y_, text, width_);
  }
  /// Where the text ends; 0 without any.
  [[nodiscard]] double bottom() const { return y_ > k_top ? y_ - k_prose.pitch + 0.7 : 0; }

 private:
  static constexpr double k_top = k_prose.size * 0.8;

  void label(const std::string& words) { setter_.line(k_label, {0, y_}, words); }

  const TextMetrics& metrics_;
  TextSetter setter_;
  double width_;
  double y_ = k_top;
};

struct PlacedNeck {
  NeckDrawing drawing;
  bool beside = false;  ///< the text, at the right; else below it
};

PlacedNeck neck_for(const IdeaSheet& idea, const Score& score, const SheetOptions& options, const MusicFont& font,
                    double width) {
  if (!options.neck) return {};
  if (width >= k_neck_beside) {
    NeckDrawing neck = draw_neck(idea, score, std::min(k_widest_neck_beside, width * 0.5), font, options);
    if (neck.scale >= k_least_neck_scale) return {std::move(neck), true};
  }
  return {draw_neck(idea, score, width, font, options), false};
}

Block body_block(const IdeaSheet& idea, const Score& score, const IdeaSentences& sentences, const SheetOptions& options,
                 const MusicFont& font, double width) {
  Block body;
  const auto [neck, beside] = neck_for(idea, score, options, font, width);
  const bool has_neck = !neck.items.empty();
  Labelled text(options, body, has_neck && beside ? width - neck.box.width() - 3 : width);
  text.rule(idea.rule.text);
  const bool both = !sentences.rule.empty() && !sentences.idea.empty();
  text.paragraph("", sentences.rule + (both ? " " : "") + sentences.idea);
  text.paragraph("Proof", sentences.proof);
  text.paragraph("Note", idea.note);
  body.height = text.bottom();
  body.gap = {0.9, 0, 0.3};
  if (!has_neck) return body;
  const double top = beside || body.items.empty() ? 0 : text.bottom() + 1;
  const Point by{beside ? width - neck.box.right : 0, top - neck.box.top};
  for (const SceneItem& item : neck.items) body.items.push_back(transformed(item, 1, by));
  body.height = std::max(body.height, top + neck.box.height());
  return body;
}

}  // namespace

Block heading_block(const std::string& text, const SheetOptions& options, double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  double y = k_heading.size * 0.8;
  for (const std::string& line : paragraph_lines(options.metrics, text, k_heading, width)) {
    setter.line(k_heading, {0, y}, line);
    y += k_heading.pitch;
  }
  block.height = y - k_heading.pitch + 0.8;
  block.gap = k_idea_gap;
  block.keep_with_next = true;
  block.bookmark = text;
  return block;
}

std::vector<Block> idea_blocks(const IdeaSheet& idea, const Score& score, const IdeaSentences& sentences,
                               const SheetOptions& options, const MusicFont& font, double width) {
  std::vector<Block> blocks{heading_block(heading_of(idea), options, width)};
  Block body = body_block(idea, score, sentences, options, font, width);
  if (!body.items.empty()) blocks.push_back(std::move(body));
  return blocks;
}

}  // namespace fretloom::sheet
