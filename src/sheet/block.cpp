#include "sheet/block.h"

#include <algorithm>

#include "base/text.h"
#include "sheet/neck.h"
#include "sheet/number.h"

namespace fretloom::sheet {

namespace {

constexpr double k_title_size = 4.6;
constexpr double k_heading_size = 2.9;
constexpr double k_feel_size = 2.1;
constexpr double k_small_size = 1.6;
constexpr double k_small_pitch = 2.15;
constexpr double k_logo_height = 7;
constexpr double k_label_indent = 6.6;
constexpr double k_neck_beside = 62;         // narrower pages set the neck below the words
constexpr double k_least_neck_scale = 0.75;  // and so do diagrams that would be smaller than this beside them
constexpr std::string_view k_cautions =
    "Warm up first. Rest every 20 to 30 minutes. Stop on pain or numbness and see a clinician. Start playback quiet.";

/// Sets words into a block, from the top down.
class Setter {
 public:
  Setter(const SheetOptions& options, Block& block) : metrics_(options.metrics), block_(block) {}

  void line(Mark mark, double x, double y, const std::string& words, TextStyle style, double size,
            Anchor anchor = Anchor::start) {
    if (words.empty()) return;
    block_.items.push_back(
        {mark, {}, -1, TextShape{{x, y}, words, style, size, anchor, metrics_.width(words, style, size)}});
  }
  /// Lines of prose; y is the next baseline and moves on.
  void prose(Mark mark, double x, double& y, std::string_view text, TextStyle style, double size, double width,
             double pitch) {
    for (const std::string& words : break_lines(metrics_, text, style, size, width)) {
      line(mark, x, y, words, style, size);
      y += pitch;
    }
  }
  void rule(double x0, double x1, double y, double thickness) {
    block_.items.push_back({Mark::heading, {}, -1, LineShape{{x0, y}, {x1, y}, thickness, false}});
  }

 private:
  const TextMetrics& metrics_;
  Block& block_;
};

struct BeatSign {
  Symbol symbol;
  bool dotted;
};

BeatSign beat_sign(const Meter& meter) {
  const Rational value = meter.beat_value();
  const bool dotted = meter.is_compound();
  const Rational plain = dotted ? value * Rational(2, 3) : value;
  if (plain == Rational(1, 2)) return {Symbol::beat_half, dotted};
  if (plain == Rational(1, 4)) return {Symbol::beat_quarter, dotted};
  return {plain == Rational(1, 8) ? Symbol::beat_8 : Symbol::beat_16, dotted};
}

std::string bpm_text(const Rational& bpm) { return fixed(bpm.to_double()); }

std::string ratio_words(const Score& score) {
  return counted(static_cast<std::size_t>(std::max(0, score.notes_per_beat)), "note") + " a beat" +
         (score.ratio ? " (" + score.ratio->name() + ")" : "");
}

/// A labelled paragraph: the label stands in the margin of its first line.
void labelled(Setter& setter, const std::string& label, std::string_view text, TextStyle style, double& y,
              double width) {
  if (trim(text).empty()) return;
  setter.line(Mark::prose, 0, y, label, TextStyle::italic, k_text_size);
  setter.prose(Mark::prose, k_label_indent, y, text, style, k_text_size, std::max(8.0, width - k_label_indent),
               k_line_pitch);
}

/// The rule as typed, its tokens set apart by wider blanks than prose has.
void labelled_rule(Setter& setter, const TextMetrics& metrics, std::string_view rule, double& y, double width) {
  if (trim(rule).empty()) return;
  setter.line(Mark::prose, 0, y, "Rule", TextStyle::italic, k_text_size);
  for (const std::string& line :
       break_lines(metrics, rule, TextStyle::bold, k_text_size, 0.75 * std::max(8.0, width - k_label_indent))) {
    std::string spaced;
    for (const char c : line) spaced += c == ' ' ? std::string("\u2002") : std::string(1, c);
    setter.line(Mark::prose, k_label_indent, y, spaced, TextStyle::bold, k_text_size);
    y += k_line_pitch;
  }
}

/// "Title · Author · Licence" within a width. Where that is too much, title and author are shortened before the
/// licence, which a copy must not lose.
std::string footer_words(const Handout& handout, const TextMetrics& metrics, double width) {
  constexpr double k_licence_share = 0.6;
  const auto joined = [](const std::string& a, const std::string& b) {
    return a + (a.empty() || b.empty() ? "" : " \u00b7 ") + b;
  };
  const auto cut = [&](const std::string& text, double room) {
    return shorten(metrics, text, TextStyle::regular, k_small_size, room);
  };
  const std::string work = joined(handout.title, handout.author);
  const std::string whole = joined(work, handout.licence);
  if (metrics.width(whole, TextStyle::regular, k_small_size) <= width) return whole;
  const double work_width = metrics.width(joined(work, " "), TextStyle::regular, k_small_size);
  const std::string licence = cut(handout.licence, std::max(k_licence_share * width, width - work_width));
  const double rest = width - metrics.width(joined(" ", licence), TextStyle::regular, k_small_size);
  return joined(cut(work, rest), licence);
}

/// Every Score of the handout, in order.
std::vector<const Score*> scores_of(const Handout& handout) {
  std::vector<const Score*> scores;
  for (const ScoreSet& idea : handout.ideas) {
    for (const Score& score : idea.feels) scores.push_back(&score);
  }
  return scores;
}

bool same_meter(const std::vector<const Score*>& scores) {
  return std::all_of(scores.begin(), scores.end(), [&](const Score* s) { return s->meter == scores[0]->meter; });
}

bool same_tuning(const std::vector<const Score*>& scores) {
  return std::all_of(scores.begin(), scores.end(),
                     [&](const Score* s) { return tuning_words(*s) == tuning_words(*scores[0]); });
}

/// "E dorian · 4/4 · Tuning ...": what holds for the whole handout.
std::string shared_facts(const Handout& handout) {
  std::vector<std::string> facts;
  const auto scores = scores_of(handout);
  if (!handout.key.empty()) facts.push_back(with_signs(handout.key));
  if (!scores.empty() && same_meter(scores)) facts.push_back(scores[0]->meter.name());
  if (!scores.empty() && same_tuning(scores)) facts.push_back(tuning_words(*scores[0]));
  return join(facts, " \u00b7 ");
}

/// "E2 A2 D3 G3 B3 E4, capo 2".
std::string strings_words(const Score& score) {
  std::string text;
  for (const ScoreString& string : score.strings) text += (text.empty() ? "" : " ") + with_signs(string.open.name());
  if (score.capo > 0) text += ", capo " + std::to_string(score.capo);
  return text;
}

/// "vamp in eighths", "vamp held".
std::string vamp_words(const Score& score) {
  if (score.vamp_rhythm.empty() || score.vamp.empty()) return "";
  return score.vamp_rhythm == "held" ? "vamp held" : "vamp in " + score.vamp_rhythm;
}

}  // namespace

std::string tuning_words(const Score& score) { return "Tuning " + strings_words(score); }

Block title_block(const Handout& handout, const SheetOptions& options, double width) {
  Block block;
  Setter setter(options, block);
  double right = width;
  if (options.logo) {
    const double logo_width = std::min(width / 3, k_logo_height * options.logo->width / options.logo->height);
    const double logo_height = logo_width * options.logo->height / options.logo->width;
    block.items.push_back({Mark::logo, {}, -1, ImageShape{Box{width - logo_width, 0, width, logo_height}}});
    right = width - logo_width - 2;
  }
  double y = k_title_size * 0.8;
  for (const std::string& words : break_lines(options.metrics, handout.title, TextStyle::bold, k_title_size, right)) {
    setter.line(Mark::title, 0, y, words, TextStyle::bold, k_title_size);
    y += k_title_size * 1.15;
  }
  y -= k_title_size * 1.15 - 3.1;
  const std::string facts = shared_facts(handout);
  setter.prose(Mark::author, 0, y, handout.author, TextStyle::italic, k_text_size * 1.1, right, k_line_pitch);
  setter.prose(Mark::prose, 0, y, facts, TextStyle::regular, k_text_size, right, k_line_pitch);
  y -= k_line_pitch - 1.1;
  if (options.logo) y = std::max(y, k_logo_height * 0.9 + 0.6);
  setter.rule(0, width, y, 0.3);
  if (!handout.intro.empty() || !handout.links.empty()) {
    y += 2.9;
    setter.prose(Mark::prose, 0, y, handout.intro, TextStyle::regular, k_text_size, width, k_line_pitch);
    for (const std::string& link : handout.links)
      setter.prose(Mark::prose, 0, y, link, TextStyle::italic, k_text_size, width, k_line_pitch);
    y -= k_line_pitch - 0.6;
  }
  block.height = y + 0.4;
  return block;
}

std::vector<Block> idea_blocks(const Handout& handout, const Score& score, int number, const SheetOptions& options,
                               const MusicFont& font, double width) {
  Block heading;
  Setter head(options, heading);
  const std::string title = std::to_string(number) + ". " + score.title;
  double y = k_heading_size * 0.8;
  for (const std::string& words : break_lines(options.metrics, title, TextStyle::bold, k_heading_size, width)) {
    head.line(Mark::heading, 0, y, words, TextStyle::bold, k_heading_size);
    y += k_heading_size * 1.2;
  }
  heading.height = y - k_heading_size * 1.2 + 0.8;
  heading.gap = k_idea_gap;
  heading.keep_with_next = true;
  heading.bookmark = title;

  Block body;
  Setter setter(options, body);
  bool beside = width >= k_neck_beside;
  const double neck_width = beside ? std::min(58.0, width * 0.5) : width;
  NeckDrawing neck;
  if (options.neck) neck = draw_neck(score, neck_width, font, options);
  if (options.neck && beside && neck.scale < k_least_neck_scale) {  // a small print that nobody reads
    beside = false;
    neck = draw_neck(score, width, font, options);
  }
  const double text_width = neck.items.empty() || !beside ? width : width - neck.box.width() - 3;
  y = k_text_size * 0.8;
  labelled_rule(setter, options.metrics, score.rule, y, text_width);
  labelled(setter, "", score.rule_in_words, TextStyle::regular, y, text_width);
  // What differs from the handout's head.
  if (score.key != handout.key) labelled(setter, "Key", with_signs(score.key), TextStyle::regular, y, text_width);
  if (!same_tuning(scores_of(handout)))
    labelled(setter, "Tuning", strings_words(score), TextStyle::regular, y, text_width);
  labelled(setter, "Proof", score.proof, TextStyle::regular, y, text_width);
  labelled(setter, "Note", score.note, TextStyle::regular, y, text_width);
  double text_bottom = y - k_line_pitch + 0.7;
  if (text_bottom < 0.1 || body.items.empty()) text_bottom = 0;
  double neck_y = 0;
  if (!beside && text_bottom > 0) neck_y = text_bottom + 1;
  const Point by{(beside ? width - neck.box.right : 0), neck_y - (neck.items.empty() ? 0 : neck.box.top)};
  for (const SceneItem& item : neck.items)
    body.items.push_back({item.mark, item.note, item.bar, transformed(item.shape, 1, by)});
  body.height = std::max(text_bottom, neck.items.empty() ? 0 : neck_y + neck.box.height());
  body.gap = {0.9, 0, 0.3};
  body.keep_with_next = true;
  if (body.items.empty()) return {std::move(heading)};
  return {std::move(heading), std::move(body)};
}

Block feel_block(const Score& score, const SheetOptions& options, const MusicFont& font, double width) {
  Block block;
  Setter setter(options, block);
  const double y = k_feel_size * 0.85;
  double x = 0;
  const auto word = [&](const std::string& text, TextStyle style, double gap) {
    setter.line(Mark::heading, x, y, text, style, k_feel_size);
    x += options.metrics.width(text, style, k_feel_size) + gap;
  };
  const auto sign = [&](Symbol symbol, double scale, double gap) {
    block.items.push_back({Mark::heading, {}, -1, GlyphShape{{x - font.box(symbol).left * scale, y}, symbol, scale}});
    x += font.box(symbol).width() * scale + gap;
  };
  word(ratio_words(score), TextStyle::bold, 2.2);
  const BeatSign beat = beat_sign(score.meter);
  sign(beat.symbol, 0.62, 0.2);
  if (beat.dotted) sign(Symbol::beat_dot, 0.62, 0.2);
  x += 0.3;
  word("= " + bpm_text(score.slow_bpm) + (score.goal_bpm == score.slow_bpm ? "" : " to " + bpm_text(score.goal_bpm)),
       TextStyle::regular, 2.2);
  std::string more;
  if (score.swing != Rational(1))
    more = "swing " + std::to_string(score.swing.num()) + ":" + std::to_string(score.swing.den());
  if (const std::string vamp = vamp_words(score); !vamp.empty()) more += (more.empty() ? "" : " \u00b7 ") + vamp;
  if (!more.empty() && x + options.metrics.width(more, TextStyle::italic, k_feel_size) <= width)
    word(more, TextStyle::italic, 0);
  block.height = k_feel_size * 1.1;
  block.gap = k_feel_gap;
  block.break_cost = 0.04;  // an idea would rather keep its feels together
  block.keep_with_next = true;
  return block;
}

Block etude_block(const SheetOptions& options, double width) {
  Block block;
  Setter setter(options, block);
  const std::string title = "All ideas in a row";
  setter.line(Mark::heading, 0, k_heading_size * 0.8,
              shorten(options.metrics, title, TextStyle::bold, k_heading_size, width), TextStyle::bold, k_heading_size);
  block.height = k_heading_size;
  block.gap = k_idea_gap;
  block.keep_with_next = true;
  block.bookmark = title;
  return block;
}

Block footer_block(const Handout& handout, int page, int pages, const SheetOptions& options, double width) {
  Block block;
  Setter setter(options, block);
  setter.rule(0, width, 0, 0.12);
  double y = k_small_size * 0.8 + 0.6;
  setter.prose(Mark::footer, 0, y, k_cautions, TextStyle::italic, k_small_size, width, k_small_pitch);
  const std::string count = std::to_string(page + 1) + " of " + std::to_string(pages);
  const double count_width = options.metrics.width(count, TextStyle::regular, k_small_size);
  setter.line(Mark::footer, 0, y, footer_words(handout, options.metrics, width - count_width - 1.5), TextStyle::regular,
              k_small_size);
  setter.line(Mark::footer, width, y, count, TextStyle::regular, k_small_size, Anchor::end);
  block.height = y + 0.5;
  return block;
}

}  // namespace fretloom::sheet
