#include "sheet/engrave.h"

#include <algorithm>

#include "sheet/accessible_text.h"
#include "sheet/breaking.h"
#include "sheet/feel_block.h"
#include "sheet/headings.h"
#include "sheet/idea_block.h"
#include "sheet/loom_block.h"
#include "sheet/number.h"
#include "sheet/pages.h"
#include "sheet/passage.h"
#include "sheet/system.h"
#include "sheet/title_block.h"

namespace fretloom::sheet {

namespace {

constexpr double k_closing_force = 1.5;  // widest that a passage's last line is stretched
constexpr double k_least_room = 12;      // staff spaces across

class Engraver {
 public:
  Engraver(const Handout& handout, const LessonSentences& sentences, const SheetOptions& options, const MusicFont& font)
      : handout_(handout),
        sentences_(sentences),
        options_(options),
        font_(font),
        width_(page_size(options).inner_width()) {}

  Result<Engraved> run() {
    Scene& scene = out_.scene;
    scene.medium = options_.paper.is_screen() ? Medium::screen : Medium::paper;
    scene.staff_space = options_.staff_space;
    scene.title = handout_.prose.title.empty() ? "Sheet" : handout_.prose.title;
    scene.author = handout_.prose.author;
    scene.description = said_handout(handout_);
    if (options_.logo) scene.logo_png = options_.logo->png;
    const bool prose = options_.prose && !options_.paper.is_strip();
    if (prose) {
      Block title = title_block(handout_.prose, sentences_.lesson, options_, width_);
      if (!title.items.empty()) add(std::move(title));
    }
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) add_idea(static_cast<int>(i), prose);
    if (scene.passages.empty()) return nothing();
    if (options_.row && !options_.paper.is_strip() && options_.only.empty() && etude_.size() > 1) {
      add(heading_block("All ideas in a row", options_, width_));
      add_passage(etude_, "etude");
    }
    if (options_.paper.is_strip()) {
      stack_strips(std::move(blocks_), options_, scene);
    } else if (options_.paper.is_screen()) {
      stack_on_screen(std::move(blocks_), handout_.prose, sentences_.cautions, options_, scene);
    } else {
      stack_pages(std::move(blocks_), handout_.prose, sentences_.cautions, options_, scene);
    }
    return std::move(out_);
  }

 private:
  void add(Block block) { blocks_.push_back(std::move(block)); }

  /// `key` within the idea; the message begins with the feel.
  void find(Level level, std::string code, const ScoreAt& at, std::string key, const std::string& message,
            std::string repair = "") {
    const std::string feel = "at " + std::to_string(at.score->notes_per_beat) + " a beat, ";
    const Finding finding{level, std::move(code), {at.idea->number, std::move(key)},
                          {},    feel + message,  std::move(repair)};
    const auto& known = out_.findings.findings();  // the etude meets the same bars again
    if (std::find(known.begin(), known.end(), finding) == known.end()) out_.findings.add(finding);
  }

  [[nodiscard]] bool chosen(int idea, int feel) const {
    return options_.only.empty() || std::any_of(options_.only.begin(), options_.only.end(),
                                                [&](const FeelIndex& f) { return f.idea == idea && f.feel == feel; });
  }

  bool drawable(const ScoreAt& at) {
    if (at.score->notes.empty()) {
      find(Level::warning, "sheet-idea-empty", at, "", "there are no notes to draw, so this music is left out");
      return false;
    }
    if (const auto fault = fault_of(*at.idea, *at.score)) {
      unwritable(at, *fault);
      return false;
    }
    return true;
  }
  void unwritable(const ScoreAt& at, const Error& fault) {
    find(Level::error, "sheet-idea-unwritable", at, "", fault.what + ", so this music is left out", fault.repair);
  }

  [[nodiscard]] const IdeaSentences& sentences_of(int idea) const {
    const auto index = static_cast<std::size_t>(idea);
    return index < sentences_.ideas.size() ? sentences_.ideas[index] : nothing_said_;
  }

  /// The idea's heading and text stand above the first of its feels that can be drawn.
  void add_idea(int index, bool prose) {
    const IdeaSheet& idea = handout_.ideas[static_cast<std::size_t>(index)];
    const IdeaSentences& sentences = sentences_of(index);
    bool headed = false;
    for (std::size_t f = 0; f < idea.feels.size(); ++f) {
      const ScoreAt at{&idea, &idea.feels[f], static_cast<int>(f)};
      if (!chosen(index, at.feel) || !drawable(at)) continue;
      const std::size_t before = blocks_.size();
      if (prose && !headed) add_idea_blocks(at, sentences);
      if (!headed) add_loom(at);
      const std::string ending = f < sentences.endings.size() ? sentences.endings[f] : "";
      if (prose) add(feel_block(idea, *at.score, ending, options_, font_, width_));
      if (prose && !headed) blocks_.back().break_cost = k_first_break_cost;
      const std::string id = 'i' + std::to_string(idea.number) + 'f' + std::to_string(f + 1);
      if (!add_passage({at}, id)) {
        blocks_.resize(before);
        continue;
      }
      if (!headed) out_.scene.description += ' ' + said_idea(idea, sentences);
      if (!headed) etude_.push_back(at);
      out_.scene.description += ' ' + said_feel(*at.score);
      headed = true;
    }
  }

  void add_idea_blocks(const ScoreAt& at, const IdeaSentences& sentences) {
    const bool first = blocks_.size() == 1;  // only the title stands above
    std::vector<Block> blocks = idea_blocks(*at.idea, *at.score, sentences, options_, font_, width_);
    if (first) blocks.front().gap = k_first_gap;
    for (Block& block : blocks) add(std::move(block));
  }
  void add_loom(const ScoreAt& at) {
    if (options_.paper.is_strip()) return;
    const int passage = static_cast<int>(out_.scene.passages.size());  // that the music below will have
    for (Block& block : loom_blocks(*at.idea, *at.score, passage, options_, font_, width_)) add(std::move(block));
  }

  bool add_passage(const std::vector<ScoreAt>& scores, const std::string& id) {
    auto planned = plan_passage(scores, id, font_, options_);
    if (!planned) {
      unwritable(scores.front(), planned.error());
      return false;
    }
    const PassagePlan plan = std::move(planned).value();
    const int passage = static_cast<int>(out_.scene.passages.size());
    Passage record;
    record.id = id;
    for (const ScoreAt& at : scores) {
      for (std::size_t n = 0; n < at.score->notes.size(); ++n) {
        const ScoreNote& note = at.score->notes[n];
        record.notes.push_back(
            {at.idea->number, at.feel, static_cast<int>(n), note.onset, said_note(at.idea->meter, note)});
      }
    }
    out_.scene.passages.push_back(std::move(record));
    const double scale = options_.paper.is_strip() ? 1 : scale_of(plan);
    int first_bar = 0;
    for (const Section& section : plan.sections) {
      add_section(plan, section, passage, first_bar, scale);
      first_bar += static_cast<int>(section.bars.size());
    }
    return true;
  }

  /// 1, or what makes the widest bar fit a line of its own: then the whole passage is drawn smaller, since
  /// systems of different sizes would read as different music.
  double scale_of(const PassagePlan& plan) {
    double scale = 1;
    const MeasuredBar* densest = nullptr;
    for (const Section& section : plan.sections) {
      const PassageScore& score = plan.scores[static_cast<std::size_t>(section.bars.front().score)];
      for (const MeasuredBar& bar : section.bars) {
        const double prefix = prefix_width(score, &bar == &section.bars.front(), font_, options_);
        const double fits = width_ / ((prefix + width_at(bar.all_gaps(), 0)) * (1 + 1e-9));
        if (fits >= scale) continue;
        scale = fits;
        densest = &bar;
      }
    }
    if (densest != nullptr) report_dense(plan, *densest, scale);
    return scale;
  }

  void add_section(const PassagePlan& plan, const Section& section, int passage, int first_bar, double scale) {
    const PassageScore& score = plan.scores[static_cast<std::size_t>(section.bars.front().score)];
    LineProblem problem;
    for (const MeasuredBar& bar : section.bars) problem.bars.push_back(bar.all_gaps());
    problem.first_width = width_ / scale - prefix_width(score, true, font_, options_);
    problem.width = width_ / scale - prefix_width(score, false, font_, options_);
    std::vector<int> starts{0};
    if (!options_.paper.is_strip()) starts = break_into_lines(problem);
    for (std::size_t l = 0; l < starts.size(); ++l) {
      const int begin = starts[l];
      const int end = l + 1 < starts.size() ? starts[l + 1] : static_cast<int>(section.bars.size());
      SystemInput input;
      input.plan = &plan;
      input.passage = passage;
      for (int b = begin; b < end; ++b) input.bars.push_back(&section.bars[static_cast<std::size_t>(b)]);
      input.first_bar = first_bar + begin;
      input.opens_section = l == 0;
      input.opens_passage = input.first_bar == 0;
      input.force = options_.paper.is_strip() ? 1 : force_of(problem, begin, end);
      add_system(input, scale);
    }
  }

  static double force_of(const LineProblem& problem, int begin, int end) {
    std::vector<Gap> gaps;
    for (int b = begin; b < end; ++b) {
      const auto& bar = problem.bars[static_cast<std::size_t>(b)];
      gaps.insert(gaps.end(), bar.begin(), bar.end());
    }
    const double force = force_for(gaps, begin == 0 ? problem.first_width : problem.width);
    // A closing line is filled where that does not tear it apart; a shorter one keeps its natural width.
    const bool last = end == static_cast<int>(problem.bars.size());
    return last && force > k_closing_force ? 1 : force;
  }

  void add_system(const SystemInput& input, double scale) {
    SystemDrawing drawing = engrave_system(input, font_, options_);
    Block block;
    const Point by{0, -drawing.box.top * scale};
    block.items = std::move(drawing.items);
    for (SceneItem& item : block.items) item.shape = transformed(item.shape, scale, by);
    block.height = drawing.box.height() * scale;
    block.gap = input.opens_passage ? k_passage_gap : k_system_gap;
    block.break_cost = input.opens_passage ? 0 : k_system_break_cost;
    SceneSystem system;
    system.passage = input.passage;
    system.first_bar = input.first_bar;
    system.last_bar = input.first_bar + static_cast<int>(input.bars.size()) - 1;
    system.left = drawing.left * scale;
    system.right = drawing.bar_edges.back() * scale;
    system.box = {drawing.box.left * scale, 0, drawing.box.right * scale, block.height};
    system.scale = scale;
    block.system = system;
    add(std::move(block));
  }

  void report_dense(const PassagePlan& plan, const MeasuredBar& bar, double scale) {
    const PassageScore& score = plan.scores[static_cast<std::size_t>(bar.score)];
    const std::int64_t number = score.rhythm.bars[static_cast<std::size_t>(bar.bar)].number;
    find(Level::warning, "sheet-bar-too-dense", score.at, "notes_per_beat",
         "bar " + std::to_string(number) + " needs more room than a line has, so its music is drawn at " +
             std::to_string(static_cast<int>(scale * 100)) + "% of the size",
         "fewer notes per beat, wider paper or a smaller staff");
  }

  [[nodiscard]] Error nothing() const {
    std::string why = "there is nothing to draw";
    for (const Finding& finding : out_.findings.findings()) why += "; " + finding.where.text() + ": " + finding.message;
    return {ErrorKind::range, 0, why, "a lesson with at least one idea that has notes"};
  }

  const Handout& handout_;
  const LessonSentences& sentences_;
  const IdeaSentences nothing_said_;
  const SheetOptions& options_;
  const MusicFont& font_;
  double width_;
  Engraved out_;
  std::vector<Block> blocks_;
  std::vector<ScoreAt> etude_;
};

}  // namespace

Result<Engraved> engrave(const Handout& handout, const LessonSentences& sentences, const SheetOptions& options,
                         const MusicFont& font) {
  if (!(options.staff_space.value >= 0.5 && options.staff_space.value <= 6)) {
    return Error{ErrorKind::range, 0,
                 "the staff space is " + fixed(options.staff_space.value) + " mm; choose 0.5 to 6 mm", "1.6"};
  }
  if (!font.has(Symbol::head_black)) {
    return Error{ErrorKind::io, 0, "the music font has no noteheads", "npm install @fontsource/bravura-text@5.3.0"};
  }
  const PageSize size = page_size(options);
  if (!options.paper.is_strip() && (!(size.inner_width() >= k_least_room) ||
                                    !(options.paper.is_screen() || size.height - 2 * size.margin >= k_least_room) ||
                                    size.width > 1e5 || size.height > 1e5)) {
    return Error{ErrorKind::range, 0, "the paper leaves less than 12 staff spaces between its margins", "a4"};
  }
  return Engraver(handout, sentences, options, font).run();
}

Result<Engraved> engrave(const IdeaSheet& idea, int feel, const SheetOptions& options, const MusicFont& font) {
  Handout handout;
  handout.prose.title = heading_of(idea);
  handout.key = idea.key;
  handout.ideas = {idea};
  SheetOptions one = options;
  one.prose = false;
  one.only = {{0, feel}};
  return engrave(handout, {}, one, font);
}

}  // namespace fretloom::sheet
