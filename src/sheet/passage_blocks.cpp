#include "sheet/passage_blocks.h"

#include <algorithm>

#include "sheet/pages.h"
#include "sheet/system.h"

namespace fretloom::sheet {

namespace {

constexpr double k_closing_force = 1.5;  // widest that a passage's last line is stretched
constexpr double k_loosest_force = 2.4;  // that a line has only to fill a page better

/// Nothing begins in it but the landing: such a bar looks lost on a line of its own.
bool is_landing_alone(const PassagePlan& plan, const MeasuredBar& bar) {
  const PassageScore& score = plan.scores[static_cast<std::size_t>(bar.score)];
  const RhythmBar& rhythm = score.rhythm.bars[static_cast<std::size_t>(bar.bar)];
  return std::all_of(rhythm.events.begin(), rhythm.events.end(), [&](const RhythmEvent& event) {
    return event.is_rest() || event.tie_in ||
           score.at.score->notes[static_cast<std::size_t>(event.note)].role == Role::landing;
  });
}

/// The bars with rods that give by a share, where a line is set tighter than its rods.
std::vector<MeasuredBar> tightened(const std::vector<const MeasuredBar*>& bars, double share) {
  std::vector<MeasuredBar> out;
  for (const MeasuredBar* bar : bars) {
    out.push_back(*bar);
    out.back().lead *= share;
    out.back().tail *= share;
    for (Gap& gap : out.back().gaps) gap.rod *= share;
  }
  return out;
}

class PassageSetter {
 public:
  PassageSetter(const PassagePlan& plan, int passage, const MusicFont& font, const SheetOptions& options)
      : plan_(plan), passage_(passage), font_(font), options_(options), width_(page_size(options).inner_width()) {}

  PassageBlocks run(int more_lines) {
    if (!options_.paper.is_strip()) find_scale();
    for (const Section& section : plan_.sections) {
      const bool last = &section == &plan_.sections.back();
      if (!add_section(section, last ? more_lines : 0)) return {};
    }
    return std::move(out_);
  }

 private:
  /// 1, or what makes the widest bar fit a line of its own: then the whole passage is drawn smaller, since
  /// systems of different sizes would read as different music.
  void find_scale() {
    for (const Section& section : plan_.sections) {
      for (const MeasuredBar& bar : section.bars) {
        const double prefix = prefix_of(section, &bar == &section.bars.front());
        const double least = (prefix + width_at(bar.all_gaps(), 0)) * (1 + 1e-9);
        if (width_ / least >= scale_) continue;
        scale_ = width_ / least;
        out_.dense = DenseBar{&bar, scale_};
      }
    }
  }
  [[nodiscard]] double prefix_of(const Section& section, bool opens) const {
    return prefix_width(plan_.scores[static_cast<std::size_t>(section.bars.front().score)], opens, font_, options_);
  }

  bool add_section(const Section& section, int more_lines) {
    LineProblem problem;
    for (const MeasuredBar& bar : section.bars) problem.bars.push_back(bar.all_gaps());
    problem.first_width = width_ / scale_ - prefix_of(section, true);
    problem.width = width_ / scale_ - prefix_of(section, false);
    problem.last_not_alone = is_landing_alone(plan_, section.bars.back());
    std::vector<int> starts{0};
    if (!options_.paper.is_strip()) starts = break_into_lines(problem);
    if (more_lines != 0) starts = break_into_lines(problem, static_cast<int>(starts.size()) + more_lines);
    if (starts.empty()) return false;
    const bool alone = starts.back() > 0 && starts.back() + 1 == static_cast<int>(section.bars.size());
    if (more_lines != 0 && alone && problem.last_not_alone) return false;
    for (std::size_t l = 0; l < starts.size(); ++l) {
      const int begin = starts[l];
      const int end = l + 1 < starts.size() ? starts[l + 1] : static_cast<int>(section.bars.size());
      SystemInput input;
      input.plan = &plan_;
      input.passage = passage_;
      for (int b = begin; b < end; ++b) input.bars.push_back(&section.bars[static_cast<std::size_t>(b)]);
      input.opens_section = l == 0;
      input.opens_passage = l == 0 && &section == &plan_.sections.front();
      if (more_lines != 0 && is_loose(problem, begin, end)) return false;
      add_line(input, problem, begin, end);
    }
    return true;
  }

  static std::vector<Gap> gaps_of(const LineProblem& problem, int begin, int end) {
    std::vector<Gap> gaps;
    for (int b = begin; b < end; ++b) {
      const auto& bar = problem.bars[static_cast<std::size_t>(b)];
      gaps.insert(gaps.end(), bar.begin(), bar.end());
    }
    return gaps;
  }

  static bool is_loose(const LineProblem& problem, int begin, int end) {
    if (end == static_cast<int>(problem.bars.size())) return false;
    const std::vector<Gap> gaps = gaps_of(problem, begin, end);
    const double room = begin == 0 ? problem.first_width : problem.width;
    return width_at(gaps, 0) < room && force_for(gaps, room) > k_loosest_force;
  }

  void add_line(SystemInput& input, const LineProblem& problem, int begin, int end) {
    if (options_.paper.is_strip()) return add_system(input);
    const std::vector<Gap> gaps = gaps_of(problem, begin, end);
    const double room = begin == 0 ? problem.first_width : problem.width;
    const double least = width_at(gaps, 0);
    if (least > room) {
      const std::vector<MeasuredBar> bars = tightened(input.bars, room / least);
      for (std::size_t b = 0; b < bars.size(); ++b) input.bars[b] = &bars[b];
      input.force = 0;
      return add_system(input);
    }
    // A closing line is filled where that does not tear it apart; a shorter one keeps its natural width.
    const bool closing = end == static_cast<int>(problem.bars.size());
    input.force = force_for(gaps, room);
    if (closing && input.force > k_closing_force) input.force = 1;
    add_system(input);
  }

  void add_system(const SystemInput& input) {
    SystemDrawing drawing = engrave_system(input, font_, options_);
    Block block;
    const Point by{0, -drawing.box.top * scale_};
    block.items = std::move(drawing.items);
    for (SceneItem& item : block.items) item.shape = transformed(item.shape, scale_, by);
    block.height = drawing.box.height() * scale_;
    block.gap = input.opens_passage ? k_passage_gap : k_system_gap;
    block.break_cost = input.opens_passage ? 0 : k_system_break_cost;
    SceneSystem system;
    system.passage = passage_;
    system.first_bar = input.bars.front()->index;
    system.last_bar = input.bars.back()->index;
    system.left = drawing.left * scale_;
    system.right = drawing.bar_edges.back() * scale_;
    system.box = {drawing.box.left * scale_, 0, drawing.box.right * scale_, block.height};
    system.scale = scale_;
    block.system = system;
    out_.blocks.push_back(std::move(block));
  }

  const PassagePlan& plan_;
  int passage_;
  const MusicFont& font_;
  const SheetOptions& options_;
  double width_;
  double scale_ = 1;
  PassageBlocks out_;
};

}  // namespace

PassageBlocks passage_blocks(const PassagePlan& plan, int passage, int more_lines, const MusicFont& font,
                             const SheetOptions& options) {
  return PassageSetter(plan, passage, font, options).run(more_lines);
}

}  // namespace fretloom::sheet
