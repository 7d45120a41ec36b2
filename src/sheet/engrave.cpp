#include "sheet/engrave.h"

#include <algorithm>

#include "sheet/block.h"
#include "sheet/breaking.h"
#include "sheet/number.h"
#include "sheet/pages.h"
#include "sheet/passage.h"
#include "sheet/system.h"
#include "sheet/words.h"

namespace fretloom::sheet {

namespace {

constexpr double k_system_gap = 3.6;
constexpr double k_least_room = 12;       // staff spaces across
constexpr std::size_t k_most_strings = 12;

std::string where_of(const ScoreAt& at) {
  return "idea[" + std::to_string(at.idea + 1) + "] feel " + std::to_string(at.feel + 1);
}

/// Nothing, or why this Score cannot be drawn.
std::string fault_of(const Score& score) {
  if (score.strings.empty()) return "the instrument has no strings";
  if (score.strings.size() > k_most_strings) return "tab is written for at most 12 strings";
  for (const ScoreNote& note : score.notes) {
    if (note.string < 1 || note.string > static_cast<int>(score.strings.size())) {
      return "a note lies on string " + std::to_string(note.string) + ", the instrument has " + std::to_string(score.strings.size());
    }
    if (note.fret < 0 || note.fret > 999) return "a note lies on fret " + std::to_string(note.fret) + ", legal are 0 to 999";
    if (note.pitch.octave < -20 || note.pitch.octave > 20 || note.pitch.pitch_class.letter < 0 || note.pitch.pitch_class.letter > 6) {
      return "a note has no pitch that a staff can show";
    }
  }
  if (score.meter.groups.empty() || score.meter.numerator() < 1 || score.meter.numerator() > 32 || score.meter.denominator < 1 ||
      score.meter.denominator > 16) {
    return "the meter cannot be written";
  }
  for (const ScoreChord& chord : score.vamp) {
    if (chord.duration.value <= Rational(0)) return "a chord of the vamp has no length";
  }
  if (!score.vamp.empty() && score.vamp_length.value <= Rational(0)) return "the vamp has no length";
  return "";
}

class Engraver {
 public:
  Engraver(const Handout& handout, const SheetOptions& options, const MusicFont& font)
      : handout_(handout), options_(options), font_(font), width_(page_size(options).inner_width()) {}

  Result<Engraved> run() {
    Scene& scene = out_.scene;
    scene.staff_space = options_.staff_space;
    scene.title = handout_.title.empty() ? "Sheet" : handout_.title;
    scene.author = handout_.author;
    scene.description = handout_words(handout_);
    if (options_.logo) scene.logo_png = options_.logo->png;
    const bool prose = options_.prose && !options_.paper.strip;
    if (prose && (!handout_.title.empty() || options_.logo)) add(title_block(handout_, options_, width_));
    add_ideas(prose);
    if (scene.passages.empty()) return nothing();
    if (options_.etude && !options_.paper.strip && options_.only.empty() && etude_.size() > 1) {
      add(etude_block(options_, width_));
      add_passage(etude_, "etude");
    }
    if (options_.paper.strip) {
      stack_strips(std::move(blocks_), options_, scene);
    } else {
      stack_pages(std::move(blocks_), handout_, options_, scene);
    }
    return std::move(out_);
  }

 private:
  void add(Block block) { blocks_.push_back(std::move(block)); }

  void find(Level level, std::string code, const std::string& where, std::string message, std::string repair) {
    out_.findings.add({level, std::move(code), where, {}, std::move(message), std::move(repair)});
  }

  [[nodiscard]] bool chosen(int idea, int feel) const {
    return options_.only.empty() ||
           std::any_of(options_.only.begin(), options_.only.end(), [&](const FeelIndex& f) { return f.idea == idea && f.feel == feel; });
  }

  bool drawable(const ScoreAt& at) {
    if (at.score->notes.empty()) {
      find(Level::warning, "sheet-idea-empty", where_of(at), "there is no note to draw; the idea is left out", "");
      return false;
    }
    if (const std::string fault = fault_of(*at.score); !fault.empty()) {
      find(Level::error, "sheet-idea-unwritable", where_of(at), fault + "; the idea is left out", "");
      return false;
    }
    return true;
  }

  void add_ideas(bool prose) {
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) {
      bool headed = false;
      const auto& feels = handout_.ideas[i].feels;
      for (std::size_t f = 0; f < feels.size(); ++f) {
        const ScoreAt at{&feels[f], static_cast<int>(i), static_cast<int>(f)};
        if (!chosen(at.idea, at.feel) || !drawable(at)) continue;
        const std::size_t before = blocks_.size();
        if (prose && !headed) {
          for (Block& block : idea_blocks(feels[f], at.idea + 1, options_, font_, width_)) add(std::move(block));
        }
        if (prose) add(feel_block(feels[f], options_, font_, width_));
        const std::string id = "i" + std::to_string(i + 1) + "f" + std::to_string(f + 1);
        if (!add_passage({at}, id)) {
          blocks_.resize(before);
          continue;
        }
        if (!headed) etude_.push_back(at);
        headed = true;
      }
    }
  }

  bool add_passage(const std::vector<ScoreAt>& scores, const std::string& id) {
    auto planned = plan_passage(scores, id, font_, options_);
    if (!planned) {
      find(Level::error, "sheet-idea-unwritable", where_of(scores.front()), planned.error().what + "; the idea is left out", planned.error().repair);
      return false;
    }
    const PassagePlan plan = std::move(planned).value();
    const int passage = static_cast<int>(out_.scene.passages.size());
    Passage record;
    record.id = id;
    for (const ScoreAt& at : scores) {
      for (std::size_t n = 0; n < at.score->notes.size(); ++n) {
        const ScoreNote& note = at.score->notes[n];
        record.notes.push_back({at.idea, at.feel, static_cast<int>(n), note.onset, note_words(*at.score, note)});
      }
    }
    out_.scene.passages.push_back(std::move(record));
    int first_bar = 0;
    bool first = true;
    for (const Section& section : plan.sections) {
      add_section(plan, section, passage, first_bar, first);
      first_bar += static_cast<int>(section.bars.size());
      first = false;
    }
    return true;
  }

  void add_section(const PassagePlan& plan, const Section& section, int passage, int first_bar, bool opens_passage) {
    const PassageScore& score = plan.scores[static_cast<std::size_t>(section.bars.front().score)];
    LineProblem problem;
    for (const MeasuredBar& bar : section.bars) problem.bars.push_back(bar.all_gaps());
    problem.first_width = width_ - prefix_width(score, true, font_, options_);
    problem.width = width_ - prefix_width(score, false, font_, options_);
    std::vector<int> starts{0};
    if (!options_.paper.strip) starts = break_into_lines(problem);
    for (std::size_t l = 0; l < starts.size(); ++l) {
      const int begin = starts[l];
      const int end = l + 1 < starts.size() ? starts[l + 1] : static_cast<int>(section.bars.size());
      SystemInput input;
      input.plan = &plan;
      input.passage = passage;
      for (int b = begin; b < end; ++b) input.bars.push_back(&section.bars[static_cast<std::size_t>(b)]);
      input.first_bar = first_bar + begin;
      input.opens_section = l == 0;
      input.opens_passage = l == 0 && opens_passage;
      add_system(input, problem, begin, end, l + 1 == starts.size());
    }
  }

  /// How a line is set: its force, and the scale where its rods do not fit.
  struct Setting {
    double force = 1;
    double scale = 1;
  };

  [[nodiscard]] Setting setting_of(const LineProblem& problem, int begin, int end, double room, double prefix, bool last) const {
    std::vector<Gap> gaps;
    for (int b = begin; b < end; ++b) gaps.insert(gaps.end(), problem.bars[static_cast<std::size_t>(b)].begin(), problem.bars[static_cast<std::size_t>(b)].end());
    if (options_.paper.strip) return {1, 1};
    const double least = width_at(gaps, 0);
    if (least > room) return {0, width_ / (prefix + least)};
    const double natural = width_at(gaps, 1);
    // A closing line that is nearly full is filled; a shorter one keeps its natural width.
    if (last && natural < 0.72 * room) return {1, 1};
    return {force_for(gaps, room), 1};
  }

  void add_system(SystemInput& input, const LineProblem& problem, int begin, int end, bool last) {
    const double room = begin == 0 ? problem.first_width : problem.width;
    const double prefix = width_ - room;
    const Setting setting = setting_of(problem, begin, end, room, prefix, last);
    input.force = setting.force;
    SystemDrawing drawing = engrave_system(input, font_, options_);
    if (setting.scale < 1) report_dense(input, setting.scale);
    Block block;
    const Point by{0, -drawing.box.top * setting.scale};
    block.items = std::move(drawing.items);
    for (SceneItem& item : block.items) item.shape = transformed(item.shape, setting.scale, by);
    block.height = drawing.box.height() * setting.scale;
    block.gap_before = input.opens_passage ? 1.4 : k_system_gap;
    block.stretches = !input.opens_passage;
    SceneSystem system;
    system.passage = input.passage;
    system.first_bar = input.first_bar;
    system.last_bar = input.first_bar + end - begin - 1;
    system.left = drawing.left * setting.scale;
    system.right = drawing.bar_edges.back() * setting.scale;
    system.box = {drawing.box.left * setting.scale, 0, drawing.box.right * setting.scale, block.height};
    system.scale = setting.scale;
    block.system = system;
    add(std::move(block));
  }

  void report_dense(const SystemInput& input, double scale) {
    const PassageScore& score = input.plan->scores[static_cast<std::size_t>(input.bars.front()->score)];
    const std::int64_t bar = score.rhythm.bars[static_cast<std::size_t>(input.bars.front()->bar)].number;
    find(Level::warning, "sheet-bar-too-dense", where_of({score.score, score.idea, score.feel}),
         "bar " + std::to_string(bar) + " needs more room than the line has; its line is drawn at " +
             std::to_string(static_cast<int>(scale * 100)) + "% of the size",
         "fewer notes per beat, wider paper or a smaller staff");
  }

  [[nodiscard]] Error nothing() const {
    std::string why = "there is nothing to draw";
    for (const Finding& finding : out_.findings.findings()) why += "; " + finding.where + ": " + finding.message;
    return {ErrorKind::range, 0, why, "a lesson with at least one idea that has notes"};
  }

  const Handout& handout_;
  const SheetOptions& options_;
  const MusicFont& font_;
  double width_;
  Engraved out_;
  std::vector<Block> blocks_;
  std::vector<ScoreAt> etude_;
};

}  // namespace

Result<Engraved> engrave(const Handout& handout, const SheetOptions& options, const MusicFont& font) {
  if (!(options.staff_space.value >= 0.5 && options.staff_space.value <= 6)) {
    return Error{ErrorKind::range, 0, "the staff space is " + fixed(options.staff_space.value) + " mm; legal are 0.5 to 6", "1.6"};
  }
  if (!font.has(Symbol::head_black)) {
    return Error{ErrorKind::io, 0, "the music font has no noteheads", "npm install @fontsource/bravura-text@5.3.0"};
  }
  const PageSize size = page_size(options);
  if (!options.paper.strip && (!(size.inner_width() >= k_least_room) || !(size.height - 2 * size.margin >= k_least_room) || size.width > 1e5 || size.height > 1e5)) {
    return Error{ErrorKind::range, 0, "the paper leaves less than 12 staff spaces between its margins", "a4"};
  }
  return Engraver(handout, options, font).run();
}

Result<Engraved> engrave(const Score& score, const SheetOptions& options, const MusicFont& font) {
  Handout handout;
  handout.ideas.push_back({{score}});
  return engrave(handout, options, font);
}

}  // namespace fretloom::sheet
