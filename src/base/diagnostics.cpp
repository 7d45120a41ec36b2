#include "base/diagnostics.h"

namespace fretloom {

std::string_view name(Level level) {
  switch (level) {
    case Level::note: return "note";
    case Level::warning: return "warning";
    case Level::error: return "error";
  }
  return "error";
}

std::string to_line(const Finding& finding, std::string_view file) {
  std::string line(file);
  line += ':' + std::to_string(finding.place.line) + ':' + std::to_string(finding.place.column) + ": ";
  line += name(finding.level);
  line += ": " + finding.message;
  if (!finding.repair.empty()) line += " (repair: " + finding.repair + ")";
  return line;
}

}  // namespace fretloom
