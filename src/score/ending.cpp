#include "score/ending.h"

namespace fretloom {

std::string_view name(EndingKind kind) {
  switch (kind) {
    case EndingKind::fill: return "fill";
    case EndingKind::hold: return "hold";
    case EndingKind::late: return "late";
    case EndingKind::trim: return "trim";
  }
  return "fill";
}

}  // namespace fretloom
