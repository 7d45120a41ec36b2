#include "sheet/idea_block.h"

#include <algorithm>

#include "base/text.h"
#include "sheet/headings.h"
#include "sheet/neck.h"
#include "sheet/prose_blocks.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr TextKind k_heading{Mark::heading, TextStyle::bold, 2.9, 3.48};
constexpr TextKind k_rule{Mark::prose, TextStyle::bold, 3.2, 4.0};
constexpr TextKind k_note{Mark::prose, TextStyle::italic, k_prose.size, k_prose.pitch};
constexpr double k_bar = 0.5;
constexpr double k_bar_indent = 1.6;
constexpr double k_beside_gap = 3;
constexpr double k_least_beside = 24;   // a narrower column beside the words holds no neck
constexpr double k_furthest_neck = 24;  // from the words beside it
constexpr double k_widest_neck = 60;    // below the words, unless it would need a second row

/// The rule as typed, its parts set apart by wider blanks than prose has.
Block rule_block(const IdeaSheet& idea, const SheetOptions& options, double width) {
  Block block;
  TextSetter setter(options.metrics, block);
  double y = k_rule.size * 0.72;
  for (const std::string& line :
       break_lines(options.metrics, idea.rule.text, k_rule.style, k_rule.size, 0.75 * width)) {
    std::string spaced;
    for (const char c : line) spaced += c == ' ' ? std::string("\u2002") : std::string(1, c);
    setter.line(k_rule, {0, y}, spaced);
    y += k_rule.pitch;
  }
  block.height = y - k_rule.pitch + 0.2;
  block.gap = {0.9, 0.2, 0.4};
  block.keep_with_next = true;
  return block;
}

void place(const NeckDrawing& neck, Point at, Block& block) {
  const Point by{at.x - neck.box.left, at.y - neck.box.top};
  for (const SceneItem& item : neck.items) block.items.push_back(transformed(item, 1, by));
  block.height = std::max(block.height, at.y + neck.box.height());
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

std::vector<Block> neck_blocks(const IdeaSheet& idea, const Score& score, const SheetOptions& options,
                               const MusicFont& font, double width) {
  NeckDrawing neck = draw_neck(idea, score, std::min(width, k_widest_neck), font, options);
  if (neck.rows.size() > 1) neck = draw_neck(idea, score, width, font, options);
  std::vector<Block> blocks;
  for (std::size_t row = 0; row < neck.rows.size(); ++row) {
    const std::size_t end = row + 1 < neck.rows.size() ? neck.rows[row + 1] : neck.items.size();
    NeckDrawing part;
    part.items.assign(neck.items.begin() + static_cast<std::ptrdiff_t>(neck.rows[row]),
                      neck.items.begin() + static_cast<std::ptrdiff_t>(end));
    for (const SceneItem& item : part.items) part.box.add(box_of(item.shape, font));
    part.box.left = neck.box.left;  // all rows begin alike
    Block& block = blocks.emplace_back();
    place(part, {0, 0}, block);
    block.gap = k_part_gap;
    block.break_cost = k_part_break_cost;
  }
  return blocks;
}

std::vector<Block> idea_head_blocks(const IdeaSheet& idea, const Score& score, const IdeaSentences& sentences,
                                    NeckPlace neck_place, const SheetOptions& options, const MusicFont& font,
                                    double width) {
  std::vector<Block> blocks{heading_block(heading_of(idea), options, width)};
  if (!trim(idea.rule.text).empty()) blocks.push_back(rule_block(idea, options, width));
  const bool has_neck = options.neck && neck_place == NeckPlace::here;
  NeckDrawing beside;
  const double column = width - measure_of(k_prose) - k_beside_gap;
  if (has_neck && column >= k_least_beside) beside = draw_neck(idea, score, column, font, options);
  const bool stands_beside = !beside.items.empty() && beside.rows.size() == 1;
  const bool both = !sentences.rule.empty() && !sentences.idea.empty();
  std::vector<Paragraph> paragraphs;
  if (options.prose) paragraphs = {{k_prose, sentences.rule + (both ? " " : "") + sentences.idea}};
  std::vector<Block> words = prose_blocks(paragraphs, 0, width, stands_beside ? beside.box.height() : 0, options);
  if (stands_beside) {
    if (words.empty()) words.emplace_back();
    // At the right margin, but on wide pages no further from the words than they are wide.
    const double left = std::min(width - beside.box.width(), measure_of(k_prose) + k_furthest_neck);
    place(beside, {left, 0}, words.front());
  }
  for (Block& block : words) blocks.push_back(std::move(block));
  if (has_neck && !stands_beside) {
    for (Block& row : neck_blocks(idea, score, options, font, width)) blocks.push_back(std::move(row));
  }
  return blocks;
}

std::vector<Block> proof_blocks(const IdeaSheet& idea, const IdeaSentences& sentences, const SheetOptions& options,
                                double width) {
  if (!options.prose) return {};
  std::vector<Block> blocks;
  Block proof;
  TextSetter setter(options.metrics, proof);
  double y = k_prose.size * 0.75;
  setter.prose(k_prose, k_bar_indent, y, sentences.proof, width - k_bar_indent);
  if (!proof.items.empty()) {
    proof.height = y - k_prose.pitch + 0.3 * k_prose.size;
    const Tone tone = idea.proof.blocked() > 0 ? Tone::blocked : Tone::good;
    proof.items.push_back(
        {Mark::heading, {}, -1, LineShape{{k_bar / 2, 0}, {k_bar / 2, proof.height}, k_bar, false}, tone});
    proof.gap = k_part_gap;
    proof.break_cost = k_part_break_cost;
    blocks.push_back(std::move(proof));
  }
  std::vector<Block> note = prose_blocks({{k_note, idea.note}}, 0, width, 0, options);
  if (note.size() == 1 && !blocks.empty()) blocks.back().keep_with_next = true;
  for (Block& block : note) blocks.push_back(std::move(block));
  return blocks;
}

}  // namespace fretloom::sheet
