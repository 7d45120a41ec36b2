#include "sheet/feel_block.h"

#include "score/swing.h"
#include "sheet/headings.h"
#include "sheet/swing_equation.h"
#include "sheet/text_setter.h"

namespace fretloom::sheet {

namespace {

constexpr double k_size = 2.1;
constexpr double k_baseline = k_size * 0.85;
constexpr double k_sign_scale = 0.62;
constexpr TextKind k_ending{Mark::prose, TextStyle::italic, k_prose.size, k_prose.pitch};

/// Sets text and signs beside each other on one baseline.
struct Row {
  Block& block;
  TextSetter setter;
  const SheetOptions& options;
  const MusicFont& font;
  double x = 0;

  void text(const std::string& words, TextStyle style, double gap) {
    setter.line({Mark::heading, style, k_size, k_size}, {x, k_baseline}, words);
    x += options.metrics.width(words, style, k_size) + gap;
  }
  void sign(Symbol symbol) {
    const Box& box = font.box(symbol);
    block.items.push_back(
        {Mark::heading, {}, -1, GlyphShape{{x - box.left * k_sign_scale, k_baseline}, symbol, k_sign_scale}});
    x += box.width() * k_sign_scale + 0.2;
  }
};

}  // namespace

Block feel_block(const IdeaSheet& idea, const Score& score, const std::string& ending_sentence,
                 const SheetOptions& options, const MusicFont& font, double width) {
  Block block;
  Row row{block, TextSetter(options.metrics, block), options, font};
  row.text(notes_a_beat(score) + (score.ratio ? " (" + score.ratio->name() + ")" : ""), TextStyle::bold, 2.2);
  const BeatSign beat = beat_sign(idea.meter);
  row.sign(beat.symbol);
  if (beat.dotted) row.sign(Symbol::beat_dot);
  row.x += 0.3;
  row.text(tempo_text(idea), TextStyle::regular, 2.2);
  if (swings(idea.vamp, idea.meter, score.notes_per_beat))
    draw_swing(idea.vamp, idea.meter, {row.x, k_baseline}, k_size, Mark::heading, font, options, block);
  double y = k_baseline + k_ending.pitch;
  row.setter.prose(k_ending, 0, y, ending_sentence, width);
  block.height = y - k_ending.pitch + k_size * 0.25;
  block.gap = k_feel_gap;
  block.break_cost = k_feel_break_cost;
  block.keep_with_next = true;
  return block;
}

}  // namespace fretloom::sheet
