#include "sheet/engrave.h"

#include <algorithm>

#include "neck/tuning.h"
#include "sheet/block.h"
#include "sheet/breaking.h"
#include "sheet/number.h"
#include "sheet/pages.h"
#include "sheet/passage.h"
#include "sheet/system.h"
#include "sheet/words.h"

namespace fretloom::sheet {

namespace {

constexpr double k_closing_force = 1.5;  // widest that a passage's last line is stretched
constexpr double k_least_room = 12;      // staff spaces across

std::string where_of(const ScoreAt& at) {
  return "idea[" + std::to_string(at.idea + 1) + "] feel " + std::to_string(at.feel + 1);
}

/// Nothing, or why this Score cannot be drawn.
std::string fault_of(const Score& score) {
  if (score.strings.empty()) return "the instrument has no strings";
  if (score.strings.size() > k_max_strings)
    return "tab is written for at most " + std::to_string(k_max_strings) + " strings";
  for (const ScoreNote& note : score.notes) {
    if (note.string < 1 || note.string > static_cast<int>(score.strings.size())) {
      return "a note lies on string " + std::to_string(note.string) + ", the instrument has " +
             std::to_string(score.strings.size());
    }
    if (note.fret < 0 || note.fret > 999)
      return "a note lies on fret " + std::to_string(note.fret) + ", legal are 0 to 999";
    if (note.pitch.octave < -20 || note.pitch.octave > 20 || note.pitch.pitch_class.letter < 0 ||
        note.pitch.pitch_class.letter > 6) {
      return "a note has no pitch that a staff can show";
    }
  }
  if (score.meter.groups.empty() || score.meter.numerator() < 1 || score.meter.numerator() > 32 ||
      score.meter.denominator < 1 || score.meter.denominator > 16) {
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
    const Finding finding{level, std::move(code), where, {}, std::move(message), std::move(repair)};
    const auto& known = out_.findings.findings();  // the etude meets the same bars again
    if (std::find(known.begin(), known.end(), finding) == known.end()) out_.findings.add(finding);
  }

  [[nodiscard]] bool chosen(int idea, int feel) const {
    return options_.only.empty() || std::any_of(options_.only.begin(), options_.only.end(),
                                                [&](const FeelIndex& f) { return f.idea == idea && f.feel == feel; });
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
          const bool first = before == 1;  // only the title stands above
          for (Block& block : idea_blocks(handout_, feels[f], at.idea + 1, options_, font_, width_))
            add(std::move(block));
          if (first) blocks_[before].gap = k_first_gap;
        }
        if (prose) add(feel_block(feels[f], options_, font_, width_));
        const std::string id = 'i' + std::to_string(i + 1) + 'f' + std::to_string(f + 1);
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
      find(Level::error, "sheet-idea-unwritable", where_of(scores.front()),
           planned.error().what + "; the idea is left out", planned.error().repair);
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
    const double scale = options_.paper.strip ? 1 : scale_of(plan);
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
      input.opens_passage = input.first_bar == 0;
      input.force = options_.paper.strip ? 1 : force_of(problem, begin, end);
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
    block.break_cost = input.opens_passage ? 0 : 0.08;  // a passage would rather stay whole
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
    find(Level::warning, "sheet-bar-too-dense", "idea[" + std::to_string(score.idea + 1) + "].notes_per_beat",
         "at " + std::to_string(score.score->notes_per_beat) + " a beat bar " + std::to_string(number) +
             " needs more room than a line has; its music is drawn at " +
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
    return Error{ErrorKind::range, 0,
                 "the staff space is " + fixed(options.staff_space.value) + " mm; legal are 0.5 to 6", "1.6"};
  }
  if (!font.has(Symbol::head_black)) {
    return Error{ErrorKind::io, 0, "the music font has no noteheads", "npm install @fontsource/bravura-text@5.3.0"};
  }
  const PageSize size = page_size(options);
  if (!options.paper.strip &&
      (!(size.inner_width() >= k_least_room) || !(size.height - 2 * size.margin >= k_least_room) || size.width > 1e5 ||
       size.height > 1e5)) {
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
