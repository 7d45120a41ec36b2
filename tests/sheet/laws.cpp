#include "sheet/laws.h"

#include <algorithm>

#include "sheet/build.h"

namespace fretloom::sheet::test {

namespace {

bool is_text(const std::pair<Box, const SceneItem*>& item) {
  return std::holds_alternative<TextShape>(item.second->shape);
}

}  // namespace

bool is_solid(Mark mark) {
  switch (mark) {
    case Mark::notehead:
    case Mark::accidental:
    case Mark::accent:
    case Mark::stroke:
    case Mark::chord:
    case Mark::finger:
    case Mark::fret:
    case Mark::ordinal:
    case Mark::counting:
    case Mark::technique:
    case Mark::clef:
    case Mark::key_signature:
    case Mark::time_signature:
    case Mark::bar_number:
    case Mark::tuning:
    case Mark::heading:
    case Mark::title:
    case Mark::prose:
    case Mark::footer:
    case Mark::rest: return true;
    default: return false;
  }
}

Box inked(const SceneItem& item) {
  Box box = box_of(item.shape, test::music_font());
  if (const auto* text = std::get_if<TextShape>(&item.shape)) box.top = text->at.y - k_cap_height * text->size;
  if (const auto* text = std::get_if<TextShape>(&item.shape)) box.bottom = text->at.y;
  return box.grown(-0.02);
}

std::string overlap_of(const Scene& scene) {
  for (const ScenePage& page : scene.pages) {
    std::vector<std::pair<Box, const SceneItem*>> solid;
    for (const SceneItem& item : page.items) {
      if (is_solid(item.mark)) solid.emplace_back(inked(item), &item);
    }
    std::sort(solid.begin(), solid.end(), [](const auto& a, const auto& b) { return a.first.left < b.first.left; });
    for (std::size_t i = 0; i < solid.size(); ++i) {
      for (std::size_t j = i + 1; j < solid.size() && solid[j].first.left < solid[i].first.right; ++j) {
        if (!solid[i].first.overlaps(solid[j].first)) continue;
        const auto both = [&](Mark mark) { return solid[i].second->mark == mark && solid[j].second->mark == mark; };
        // The notes of a swing's equation are made of heads, stems and beams that touch.
        if (both(Mark::heading) && !(is_text(solid[i]) && is_text(solid[j]))) continue;
        // The two numbers of a time signature fill the staff and touch in its middle.
        if (both(Mark::time_signature)) continue;
        return std::string(name(solid[i].second->mark)) + " on " + std::string(name(solid[j].second->mark)) + " at " +
               std::to_string(solid[j].first.left) + "," + std::to_string(solid[j].first.top);
      }
    }
  }
  return "";
}

std::string off_page(const Scene& scene) {
  for (const ScenePage& page : scene.pages) {
    for (const SceneItem& item : page.items) {
      const Box box = box_of(item.shape, music_font());
      if (box.left < 0 || box.right > page.width || box.top < 0 || box.bottom > page.height)
        return std::string(name(item.mark)) + " at " + std::to_string(box.left) + "," + std::to_string(box.top);
    }
  }
  return "";
}

bool has_system_alone(const Scene& scene) {
  std::vector<int> counts(scene.pages.size(), 0);
  for (const SceneSystem& system : scene.systems) ++counts[static_cast<std::size_t>(system.page)];
  for (std::size_t page = 0; page < counts.size(); ++page) {
    double end = 0;
    for (const SceneItem& item : scene.pages[page].items) {
      if (item.mark != Mark::footer && item.mark != Mark::heading)
        end = std::max(end, box_of(item.shape, music_font()).bottom);
    }
    if (counts[page] == 1 && end < 0.6 * scene.pages[page].height) return true;
  }
  return false;
}

}  // namespace fretloom::sheet::test
