#include "engine/drawing.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "sheet/accessible_text.h"
#include "sheet/living_svg.h"
#include "sheet/loom_drawing.h"
#include "sheet/neck.h"
#include "sheet/svg.h"

namespace fretloom::engine {

namespace {

using sheet::Box;
using sheet::Mark;

constexpr double k_edge = 0.5;     ///< staff spaces around a drawing
constexpr int k_blank_beats = 4;   ///< of a loom without a note
constexpr double k_row_gap = 1.2;  ///< between the rows of a loom

/// What a finger or a mouse aims at: the note itself and its signs, not the lines that lead to its neighbours.
bool is_aimed_at(Mark mark) {
  switch (mark) {
    case Mark::notehead:
    case Mark::accidental:
    case Mark::dot:
    case Mark::stem:
    case Mark::stroke:
    case Mark::finger:
    case Mark::fret:
    case Mark::ordinal:
    case Mark::accent:
    case Mark::knot:
    case Mark::knot_fret: return true;
    default: return false;
  }
}

Json box_json(const Box& box, double scale) {
  return {{"x", rounded_pixels(box.left * scale)},
          {"y", rounded_pixels(box.top * scale)},
          {"width", rounded_pixels(box.width() * scale)},
          {"height", rounded_pixels(box.height() * scale)}};
}

/// The row that a box stands in: the first that its middle is not below.
std::size_t row_of(const std::vector<Box>& rows, const Box& box) {
  const double middle = (box.top + box.bottom) / 2;
  std::size_t row = 0;
  while (row + 1 < rows.size() && middle > (rows[row].bottom + rows[row + 1].top) / 2) ++row;
  return row;
}

/// A note, and a second time where a tie carries it into the next row.
Json notes_json(const Drawing& drawing, const sheet::MusicFont& font) {
  std::map<std::pair<sheet::NoteRef, std::size_t>, Box> boxes;
  for (const sheet::SceneItem& item : drawing.scene.pages.front().items) {
    if (item.note.note < 0 || !is_aimed_at(item.mark)) continue;
    const Box box = box_of(item.shape, font);
    boxes[{item.note, row_of(drawing.rows, box)}].add(box);
  }
  Json list = Json::array();
  for (const auto& [at, box] : boxes) {
    const auto& [ref, row] = at;
    const sheet::Passage& passage = drawing.scene.passages[static_cast<std::size_t>(ref.passage)];
    const sheet::PassageNote& note = passage.notes[static_cast<std::size_t>(ref.note)];
    list.push_back(
        {{"note", note.note}, {"row", row}, {"box", box_json(box, pixels_of(drawing.scene))}, {"said", note.said}});
  }
  return list;
}

/// Where the neck can be tapped, string by string and upward, so that places count a string's notes.
Json places_json(const Drawing& drawing, const sheet::MusicFont& font) {
  std::map<std::pair<int, int>, Box> boxes;
  for (const sheet::SceneItem& item : drawing.scene.pages.front().items) {
    if (item.place && item.mark == Mark::place)
      boxes[{item.place->string, item.place->fret}].add(box_of(item.shape, font));
  }
  Json list = Json::array();
  std::map<int, int> ordinals;
  for (const auto& [place, box] : boxes)
    list.push_back({{"string", place.first},
                    {"fret", place.second},
                    {"ordinal", ++ordinals[place.first]},
                    {"box", box_json(box, pixels_of(drawing.scene))}});
  return list;
}

/// A page without anything on it yet.
Drawing empty_drawing(const IdeaSheet& idea, const sheet::SheetOptions& options) {
  Drawing drawing;
  drawing.scene.medium = sheet::Medium::screen;
  drawing.scene.staff_space = options.staff_space;
  drawing.scene.title = title_of(idea);
  drawing.scene.pages.emplace_back();
  return drawing;
}

double inner_width(const sheet::SheetOptions& options) {
  return options.paper.width.value / options.staff_space.value - 2 * k_edge;
}

/// Draws the loom that was laid, row below row.
void add_loom(Drawing& drawing, const IdeaSheet& idea, const Score& score, const sheet::SheetOptions& options,
              const sheet::MusicFont& font) {
  sheet::ScenePage& page = drawing.scene.pages.front();
  const double width = inner_width(options);
  double y = k_edge;
  for (const sheet::LoomRowDrawing& row : sheet::draw_loom(drawing.loom, idea, score, 0, width, options, font)) {
    for (const sheet::SceneItem& item : row.items) page.items.push_back(transformed(item, 1, {k_edge, y}));
    drawing.rows.push_back({k_edge, y, k_edge + width, y + row.height});
    drawing.loom_rows.push_back(row.measures);
    y += row.height + k_row_gap;
  }
  page.width = width + 2 * k_edge;
  page.height = y - k_row_gap + k_edge;
}

/// The feel's notes under the names that its music has.
sheet::Passage passage_of(const ChosenFeel& feel) {
  sheet::Passage passage;
  passage.id = "i" + std::to_string(feel.idea->number) + "f" + std::to_string(feel.feel + 1);
  const std::vector<ScoreNote>& notes = feel.score().notes;
  for (std::size_t n = 0; n < notes.size(); ++n)
    passage.notes.push_back({feel.idea->number, static_cast<int>(feel.feel), static_cast<int>(n), notes[n].onset,
                             sheet::said_note(feel.idea->meter, notes[n])});
  return passage;
}

}  // namespace

double pixels_of(const sheet::Scene& scene) { return scene.staff_space.value / sheet::k_pixel.value; }

double rounded_pixels(double pixels) { return std::round(pixels * 1000) / 1000; }

Hand request_hand(Request& request) {
  static constexpr std::array<std::pair<std::string_view, Hand>, 2> k_hands = {
      {{"right", Hand::right}, {"left", Hand::left}}};
  return request.one_of("hand", k_hands, Hand::right);
}

DrawingStyle request_style(Request& request) {
  static constexpr std::array<std::pair<std::string_view, DrawingStyle>, 2> k_styles = {
      {{"rich", DrawingStyle::rich}, {"living", DrawingStyle::living}}};
  return request.one_of("style", k_styles, DrawingStyle::rich);
}

sheet::SheetOptions screen_options(double width, double digits) {
  sheet::SheetOptions options;
  options.paper = sheet::screen_paper(width);
  options.set_print(sheet::screen_print(digits));
  return options;
}

Drawing draw_loom(const ChosenFeel& feel, const sheet::SheetOptions& options, const sheet::MusicFont& font) {
  Drawing drawing = empty_drawing(*feel.idea, options);
  drawing.scene.passages.push_back(passage_of(feel));
  const int units = sheet::loom_units(sheet::loom_size(*feel.idea, options), inner_width(options));
  drawing.loom = sheet::lay_loom(*feel.idea, feel.score(), units);
  add_loom(drawing, *feel.idea, feel.score(), options, font);
  return drawing;
}

Drawing draw_blank_loom(const IdeaSheet& idea, const Score& score, const sheet::SheetOptions& options,
                        const sheet::MusicFont& font) {
  Drawing drawing = empty_drawing(idea, options);
  const int units = sheet::loom_units(sheet::loom_size(idea, options), inner_width(options));
  drawing.loom = sheet::blank_loom(idea, score, std::min(units, k_blank_beats * score.notes_per_beat));
  add_loom(drawing, idea, score, options, font);
  return drawing;
}

Drawing draw_neck(const IdeaSheet& idea, const Score& score, const sheet::SheetOptions& options,
                  const sheet::MusicFont& font) {
  Drawing drawing = empty_drawing(idea, options);
  const sheet::NeckDrawing neck = sheet::draw_neck(idea, score, inner_width(options), font, options);
  sheet::ScenePage& page = drawing.scene.pages.front();
  const sheet::Point by{k_edge - neck.box.left, k_edge - neck.box.top};
  for (const sheet::SceneItem& item : neck.items) page.items.push_back(transformed(item, 1, by));
  page.width = neck.box.width() + 2 * k_edge;
  page.height = neck.box.height() + 2 * k_edge;
  drawing.frets = neck.frets;
  for (sheet::FretPlaces& frets : drawing.frets) {
    for (double& x : frets) x += by.x;
  }
  drawing.rows.push_back({k_edge, k_edge, page.width - k_edge, page.height - k_edge});
  return drawing;
}

Json drawing_json(const Drawing& drawing, const std::string& prefix, const sheet::MusicFont& font, DrawingStyle style) {
  const double scale = pixels_of(drawing.scene);
  sheet::SvgOptions options;
  options.id_prefix = prefix;
  Json rows = Json::array();
  for (const Box& row : drawing.rows) rows.push_back(box_json(row, scale));
  Json json = Json::object();
  if (style == DrawingStyle::rich) json["svg"] = write_svg(drawing.scene, font, options);
  if (style == DrawingStyle::living)
    json["living"] = write_living_rows(drawing.scene.pages.front(), drawing.rows, drawing.scene.staff_space, font);
  json["width"] = rounded_pixels(drawing.scene.pages.front().width * scale);
  json["height"] = rounded_pixels(drawing.scene.pages.front().height * scale);
  json["rows"] = rows;
  json["notes"] = notes_json(drawing, font);
  json["places"] = places_json(drawing, font);
  return json;
}

std::string small_neck(const Idea& idea, const Placement& placement, const sheet::SheetOptions& options,
                       const sheet::MusicFont& font) {
  const auto sheet = sheet_at(idea, placement);
  if (!sheet) return "";
  const Drawing drawing = draw_neck(*sheet, sheet->feels.front(), options, font);
  const sheet::ScenePage& page = drawing.scene.pages.front();
  return write_living_rows(page, {{0, 0, page.width, page.height}}, drawing.scene.staff_space, font).front();
}

Json placement_json(const Placement& placement) {
  return {{"key", placement.key.name()},
          {"from", placement.from},
          {"home", placement.is_home},
          {"playable", placement.playable},
          {"reason", placement.reason.empty() ? Json(nullptr) : Json(placement.reason)},
          {"repeats", placement.repeats},
          {"blocked", placement.blocked},
          {"reach_mm", placement.reach.value}};
}

}  // namespace fretloom::engine
