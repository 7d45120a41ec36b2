#include "score/stroke.h"

#include <algorithm>

namespace fretloom {

namespace {

bool is_free(const Change& change, Clear clear) {
  return change.type == ChangeType::sweep || is_clear_after(clear, change.last);
}

}  // namespace

std::string_view name(Stroke stroke) { return stroke == Stroke::down ? "down" : "up"; }

std::string_view name(Attack attack) {
  switch (attack) {
    case Attack::pick: return "pick";
    case Attack::hammer: return "hammer";
    case Attack::pull: return "pull";
    case Attack::slide: return "slide";
  }
  return "pick";
}

std::string_view name(Picking picking) {
  switch (picking) {
    case Picking::alternate: return "alternate";
    case Picking::grid: return "grid";
    case Picking::economy: return "economy";
  }
  return "alternate";
}

std::string_view name(Clear clear) {
  switch (clear) {
    case Clear::upstroke: return "upstroke";
    case Clear::downstroke: return "downstroke";
    case Clear::both: return "both";
    case Clear::none: return "none";
  }
  return "upstroke";
}

std::string_view name(ChangeType type) {
  switch (type) {
    case ChangeType::outside: return "outside";
    case ChangeType::inside: return "inside";
    case ChangeType::sweep: return "sweep";
    case ChangeType::reset: return "reset";
  }
  return "outside";
}

int count_blocked(const std::vector<Change>& changes) {
  return static_cast<int>(std::count_if(changes.begin(), changes.end(), [](const Change& c) { return !c.free; }));
}

int count_blocked(const std::vector<Change>& changes, Clear clear) {
  return static_cast<int>(
      std::count_if(changes.begin(), changes.end(), [&](const Change& c) { return !is_free(c, clear); }));
}

const Change* first_blocked(const std::vector<Change>& changes) {
  const auto found = std::find_if(changes.begin(), changes.end(), [](const Change& c) { return !c.free; });
  return found == changes.end() ? nullptr : &*found;
}

}  // namespace fretloom
