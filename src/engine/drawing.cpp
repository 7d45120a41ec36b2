#include "engine/drawing.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "sheet/neck.h"
#include "sheet/svg.h"

namespace fretloom::engine {

namespace {

using sheet::Box;
using sheet::Mark;

constexpr double k_neck_margin = 0.5;  ///< staff spaces around a neck

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

/// Three decimals are finer than any screen.
double rounded(double pixels) { return std::round(pixels * 1000) / 1000; }

Json box_json(const Box& box, double scale) {
  return {{"x", rounded(box.left * scale)},
          {"y", rounded(box.top * scale)},
          {"width", rounded(box.width() * scale)},
          {"height", rounded(box.height() * scale)}};
}

double pixels_of(const sheet::Scene& scene) { return scene.staff_space.value / sheet::k_pixel.value; }

std::map<sheet::NoteRef, Box> note_boxes_of(const sheet::Scene& scene, const sheet::MusicFont& font) {
  std::map<sheet::NoteRef, Box> boxes;
  for (const sheet::ScenePage& page : scene.pages) {
    for (const sheet::SceneItem& item : page.items) {
      if (item.note.note >= 0 && is_aimed_at(item.mark)) boxes[item.note].add(box_of(item.shape, font));
    }
  }
  return boxes;
}

Json notes_json(const sheet::Scene& scene, const sheet::MusicFont& font) {
  const double scale = pixels_of(scene);
  const auto boxes = note_boxes_of(scene, font);
  Json list = Json::array();
  for (const sheet::NotePlace& place : note_places(scene)) {
    const sheet::PassageNote& note =
        scene.passages[static_cast<std::size_t>(place.note.passage)].notes[static_cast<std::size_t>(place.note.note)];
    const auto box = boxes.find(place.note);
    if (box == boxes.end()) continue;
    list.push_back({{"idea", note.idea},
                    {"feel", note.feel + 1},
                    {"note", note.note},
                    {"page", place.page},
                    {"system", place.system},
                    {"box", box_json(box->second, scale)},
                    {"said", note.said}});
  }
  return list;
}

Json systems_json(const sheet::Scene& scene) {
  Json list = Json::array();
  for (const sheet::SceneSystem& system : scene.systems)
    list.push_back({{"page", system.page}, {"box", box_json(system.box, pixels_of(scene))}});
  return list;
}

}  // namespace

Hand request_hand(Request& request) {
  static constexpr std::array<std::pair<std::string_view, Hand>, 2> k_hands = {
      {{"right", Hand::right}, {"left", Hand::left}}};
  return request.one_of("hand", k_hands, Hand::right);
}

Json scene_json(const sheet::Scene& scene, const sheet::MusicFont& font, WithSvg with_svg) {
  const double scale = pixels_of(scene);
  double width = 0;
  double height = 0;
  for (const sheet::ScenePage& page : scene.pages) {
    width = std::max(width, page.width);
    height += page.height;
  }
  Json json = Json::object();
  if (with_svg == WithSvg::yes) json["svg"] = write_svg(scene, font);
  json["width"] = rounded(width * scale);
  json["height"] = rounded(height * scale);
  json["notes"] = notes_json(scene, font);
  json["systems"] = systems_json(scene);
  return json;
}

sheet::Scene neck_scene(const IdeaSheet& idea, const Score& score, double width, Hand hand,
                        const sheet::MusicFont& font) {
  sheet::SheetOptions options;
  options.staff_space = sheet::screen_print().staff_space;
  options.hand = hand;
  const double pixels = options.staff_space.value / sheet::k_pixel.value;
  sheet::Scene scene;
  scene.medium = sheet::Medium::screen;
  scene.staff_space = options.staff_space;
  scene.title = title_of(idea) + ", neck";
  sheet::NeckDrawing drawing = draw_neck(idea, score, width / pixels - 2 * k_neck_margin, font, options);
  const sheet::Point by{k_neck_margin - drawing.box.left, k_neck_margin - drawing.box.top};
  sheet::ScenePage& page = scene.pages.emplace_back();
  page.width = drawing.box.width() + 2 * k_neck_margin;
  page.height = drawing.box.height() + 2 * k_neck_margin;
  for (const sheet::SceneItem& item : drawing.items) page.items.push_back(transformed(item, 1, by));
  return scene;
}

std::string small_neck(const Idea& idea, const Placement& placement, double width, Hand hand,
                       const sheet::MusicFont& font) {
  const auto sheet = sheet_at(idea, placement);
  if (!sheet) return "";
  return write_svg(neck_scene(*sheet, sheet->feels.front(), width, hand, font), font);
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
