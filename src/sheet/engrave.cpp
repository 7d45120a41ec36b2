#include "sheet/engrave.h"

#include <algorithm>
#include <set>

#include "sheet/accessible_text.h"
#include "sheet/breaking.h"
#include "sheet/feel_block.h"
#include "sheet/headings.h"
#include "sheet/idea_block.h"
#include "sheet/ladder_block.h"
#include "sheet/loom_block.h"
#include "sheet/neck.h"
#include "sheet/number.h"
#include "sheet/pages.h"
#include "sheet/passage.h"
#include "sheet/passage_blocks.h"
#include "sheet/signs_block.h"
#include "sheet/title_block.h"
#include "sheet/vamp_block.h"

namespace fretloom::sheet {

namespace {

constexpr double k_least_room = 12;    // staff spaces across
constexpr int k_most_changes = 12;     // of line counts, for pages that end well
constexpr double k_least_gain = 0.06;  // of the pages' cost, for one of them: a quarter of a page's white

/// A feel that can be drawn.
struct Planned {
  ScoreAt at;
  int idea = 0;  ///< index into Handout::ideas
  PassagePlan plan;
};

class Engraver {
 public:
  Engraver(const Handout& handout, const LessonSentences& sentences, const SheetOptions& options, const MusicFont& font)
      : handout_(handout),
        sentences_(sentences),
        options_(options),
        font_(font),
        scale_(text_scale(options)),
        words_width_(page_size(options).inner_width() / scale_),
        music_alone_(options.paper.is_strip() || (!options.prose && !options.only.empty())),
        whole_(!music_alone_ && options.only.empty()),
        cover_(whole_ && options.layout == PageLayout::cover && !options.paper.is_screen()) {}

  Result<Engraved> run() {
    plan_feels();
    if (planned_.empty()) return nothing();
    describe();
    if (!music_alone_) add_front();
    for (std::size_t p = 0; p < planned_.size(); ++p) add_feel(p);
    if (whole_ && options_.row) add_row();
    if (whole_ && options_.ladder && !cover_) add_ladder();
    stack();
    return std::move(out_);
  }

 private:
  // What can be drawn.

  /// After this every feel that can be drawn has its plan, and every other its finding.
  void plan_feels() {
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) {
      const IdeaSheet& idea = handout_.ideas[i];
      for (std::size_t f = 0; f < idea.feels.size(); ++f) {
        const ScoreAt at{&idea, &idea.feels[f], static_cast<int>(f), sentences_of(static_cast<int>(i)).repair};
        if (!chosen(static_cast<int>(i), at.feel) || !drawable(at)) continue;
        auto plan =
            plan_passage({at}, 'i' + std::to_string(idea.number) + 'f' + std::to_string(f + 1), font_, options_);
        if (plan) {
          planned_.push_back({at, static_cast<int>(i), std::move(plan).value()});
        } else {
          unwritable(at, plan.error());
        }
      }
    }
  }

  /// `key` within the idea; the message begins with the feel.
  void find(Level level, std::string code, const ScoreAt& at, std::string key, const std::string& message,
            std::string repair = "") {
    const std::string feel = "at " + std::to_string(at.score->notes_per_beat) + " a beat, ";
    const Finding finding{level, std::move(code), {at.idea->number, std::move(key)},
                          {},    feel + message,  std::move(repair)};
    const auto& known = out_.findings.findings();  // the row meets the same bars again
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

  [[nodiscard]] bool is_first_of_idea(std::size_t p) const {
    return p == 0 || planned_[p - 1].idea != planned_[p].idea;
  }
  [[nodiscard]] std::vector<ScoreAt> scores(bool first_feels_alone) const {
    std::vector<ScoreAt> all;
    for (std::size_t p = 0; p < planned_.size(); ++p) {
      if (!first_feels_alone || is_first_of_idea(p)) all.push_back(planned_[p].at);
    }
    return all;
  }
  [[nodiscard]] const IdeaSentences& sentences_of(int idea) const {
    const auto index = static_cast<std::size_t>(idea);
    return index < sentences_.ideas.size() ? sentences_.ideas[index] : nothing_said_;
  }

  void describe() {
    Scene& scene = out_.scene;
    scene.medium = options_.paper.is_screen() ? Medium::screen : Medium::paper;
    scene.staff_space = options_.staff_space;
    scene.title = handout_.prose.title.empty() ? "Sheet" : handout_.prose.title;
    scene.author = handout_.prose.author;
    scene.description = said_handout(handout_);
    if (options_.logo) scene.logo_png = options_.logo->png;
    for (std::size_t p = 0; p < planned_.size(); ++p) {
      const ScoreAt& at = planned_[p].at;
      if (is_first_of_idea(p)) scene.description += ' ' + said_idea(*at.idea, sentences_of(planned_[p].idea));
      scene.description += ' ' + said_feel(*at.score);
    }
  }

  // What stands on the pages, from the top down.

  void add(Block block) {
    block.chapter = chapter_;
    if (opens_page_) block.opens_page = true;
    opens_page_ = false;
    blocks_.push_back(std::move(block));
  }
  /// A block that is laid out at text_scale 1; nothing where it is empty.
  void add_words(Block block) {
    if (!block.items.empty()) add(enlarged(std::move(block), scale_));
  }
  void add_words(std::vector<Block> blocks) {
    for (Block& block : blocks) add_words(std::move(block));
  }
  void add_front() {
    if (options_.prose || whole_) add_words(title_block(handout_.prose, options_, words_width_));
    if (!whole_) return;
    add_words(intro_blocks(handout_.prose, sentences_.lesson, options_, words_width_));
    const ScoreAt& first = planned_.front().at;
    if (options_.vamp) add_words(vamp_block(*first.idea, options_, font_, words_width_));
    if (neck_on_front()) add_words(neck_blocks(*first.idea, *first.score, options_, font_, words_width_));
    if (options_.signs) add_words(signs_block(signs_of(scores(false), options_), options_, font_, words_width_));
    if (cover_ && options_.ladder) add_ladder();
    chapter_.clear();
  }

  /// A cover shows the layout that all ideas share.
  [[nodiscard]] bool neck_on_front() const {
    return cover_ && options_.neck && std::all_of(planned_.begin(), planned_.end(), [&](const Planned& p) {
             return share_neck(*p.at.idea, *planned_.front().at.idea);
           });
  }
  [[nodiscard]] NeckPlace neck_of(std::size_t p) const {
    const auto here = planned_.begin() + static_cast<std::ptrdiff_t>(p);
    const bool known = neck_on_front() || (whole_ && std::any_of(planned_.begin(), here, [&](const Planned& before) {
                                             return share_neck(*before.at.idea, *here->at.idea);
                                           }));
    return known ? NeckPlace::elsewhere : NeckPlace::here;
  }

  void add_feel(std::size_t p) {
    const Planned& feel = planned_[p];
    const auto passage = static_cast<int>(out_.scene.passages.size());
    if (!music_alone_) {
      if (is_first_of_idea(p)) add_idea(p, passage);
      const auto& endings = sentences_of(feel.idea).endings;
      const auto index = static_cast<std::size_t>(feel.at.feel);
      const bool said = options_.prose && index < endings.size();
      Block block =
          feel_block(*feel.at.idea, *feel.at.score, said ? endings[index] : "", options_, font_, words_width_);
      if (is_first_of_idea(p)) block.break_cost = k_part_break_cost;
      add_words(std::move(block));
    }
    add_passage(feel.plan, passage);
  }

  void add_idea(std::size_t p, int passage) {
    const Planned& feel = planned_[p];
    const IdeaSheet& idea = *feel.at.idea;
    const IdeaSentences& sentences = sentences_of(feel.idea);
    chapter_ = heading_of(idea);
    opens_page_ = cover_;
    add_words(idea_head_blocks(idea, *feel.at.score, sentences, neck_of(p), options_, font_, words_width_));
    if (whole_ && options_.vamp && !same_vamp(idea, *planned_.front().at.idea))
      add_words(vamp_block(idea, options_, font_, words_width_));
    for (Block& block : loom_blocks(idea, *feel.at.score, passage, options_, font_, page_size(options_).inner_width()))
      add(std::move(block));
    add_words(proof_blocks(idea, sentences, options_, words_width_));
  }

  void add_row() {
    const std::vector<ScoreAt> firsts = scores(true);
    if (firsts.size() < 2) return;
    auto plan = plan_passage(firsts, "etude", font_, options_);
    if (!plan) return unwritable(firsts.front(), plan.error());
    row_ = std::move(plan).value();
    chapter_ = "All ideas in a row";
    opens_page_ = cover_;
    add_words(heading_block(chapter_, options_, words_width_));
    add_passage(row_, static_cast<int>(out_.scene.passages.size()));
  }

  void add_ladder() {
    chapter_ = "The ladder";
    add_words(ladder_blocks(scores(false), options_, words_width_));
  }

  void add_passage(const PassagePlan& plan, int passage) {
    Passage record;
    record.id = plan.id;
    for (const PassageScore& score : plan.scores) {
      const ScoreAt& at = score.at;
      for (std::size_t n = 0; n < at.score->notes.size(); ++n) {
        const ScoreNote& note = at.score->notes[n];
        record.notes.push_back(
            {at.idea->number, at.feel, static_cast<int>(n), note.onset, said_note(at.idea->meter, note)});
      }
    }
    out_.scene.passages.push_back(std::move(record));
    PassageBlocks set = passage_blocks(plan, passage, 0, font_, options_);
    if (set.dense) report_dense(plan, *set.dense);
    for (Block& block : set.blocks) add(std::move(block));
  }

  void report_dense(const PassagePlan& plan, const DenseBar& dense) {
    const PassageScore& score = plan.scores[static_cast<std::size_t>(dense.bar->score)];
    const std::int64_t number = score.rhythm.bars[static_cast<std::size_t>(dense.bar->bar)].number;
    find(Level::warning, "sheet-bar-too-dense", score.at, "notes_per_beat",
         "bar " + std::to_string(number) + " needs more room than a line has, so its music is drawn at " +
             std::to_string(static_cast<int>(dense.scale * 100)) + "% of the size",
         "fewer notes per beat, wider paper or a smaller staff");
  }

  // Pages.

  void stack() {
    Scene& scene = out_.scene;
    if (options_.paper.is_strip()) return stack_strips(std::move(blocks_), options_, scene);
    if (options_.paper.is_screen())
      return stack_on_screen(std::move(blocks_), handout_.prose, sentences_.cautions, options_, scene);
    even_pages();
    stack_pages(std::move(blocks_), handout_.prose, sentences_.cautions, options_, scene);
  }

  /// Where a page would have one system alone, or much white, a passage near it is set in a line more or less, if that
  /// helps more than it disturbs.
  void even_pages() {
    const PageRoom room = page_room(handout_.prose, sentences_.cautions, options_);
    std::set<std::pair<int, int>> tried;
    for (int change = 0; change < k_most_changes; ++change) {
      const std::vector<PageBlock> shapes = shapes_of(blocks_);
      const std::vector<int> starts = break_into_pages(shapes, room);
      if (!change_lines(shapes, starts, room, tried)) return;
    }
  }

  /// Sets one passage near a page that disturbs in another number of lines; false where none helps.
  bool change_lines(const std::vector<PageBlock>& shapes, const std::vector<int>& starts, const PageRoom& room,
                    std::set<std::pair<int, int>>& tried) {
    const double cost = cost_of_pages(shapes, starts, room);
    for (const int page : uneven_pages(shapes, starts, room)) {
      const auto from = static_cast<std::size_t>(std::max(0, page - 1));
      const std::size_t to = std::min(starts.size(), static_cast<std::size_t>(page) + 2);
      const auto begin = blocks_.begin() + starts[from];
      const auto end = to < starts.size() ? blocks_.begin() + starts[to] : blocks_.end();
      std::set<int> passages;
      for (auto block = begin; block != end; ++block) {
        if (block->system) passages.insert(block->system->passage);
      }
      for (const int passage : passages) {
        for (const int more : {1, -1}) {
          if (tried.insert({passage, more}).second && try_lines(passage, more, cost, room)) return true;
        }
      }
    }
    return false;
  }

  bool try_lines(int passage, int more, double cost, const PageRoom& room) {
    const auto index = static_cast<std::size_t>(passage);
    const PassagePlan& plan = index < planned_.size() ? planned_[index].plan : row_;
    PassageBlocks set = passage_blocks(plan, passage, more, font_, options_);
    if (set.blocks.empty()) return false;
    const auto is_part = [&](const Block& block) { return block.system && block.system->passage == passage; };
    const auto first = std::find_if(blocks_.begin(), blocks_.end(), is_part);
    const auto last = std::find_if_not(first, blocks_.end(), is_part);
    for (Block& block : set.blocks) block.chapter = first->chapter;
    std::vector<PageBlock> shapes = shapes_of(blocks_);
    const std::vector<PageBlock> fresh = shapes_of(set.blocks);
    const auto at = shapes.erase(shapes.begin() + (first - blocks_.begin()), shapes.begin() + (last - blocks_.begin()));
    shapes.insert(at, fresh.begin(), fresh.end());
    if (cost_of_pages(shapes, break_into_pages(shapes, room), room) > cost - k_least_gain) return false;
    const auto place = blocks_.erase(first, last);
    blocks_.insert(place, std::make_move_iterator(set.blocks.begin()), std::make_move_iterator(set.blocks.end()));
    return true;
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
  double scale_;
  double words_width_;  ///< of the page, at text_scale 1
  bool music_alone_;
  bool whole_;  ///< all of the handout, not only some feels
  bool cover_;
  std::vector<Planned> planned_;
  PassagePlan row_;
  Engraved out_;
  std::vector<Block> blocks_;
  std::string chapter_;
  bool opens_page_ = false;
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
