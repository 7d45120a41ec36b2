#include "base/diagnostics.h"

#include <algorithm>

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

bool Diagnostics::has_errors() const {
  return std::any_of(findings_.begin(), findings_.end(), [](const Finding& f) { return f.level == Level::error; });
}

}  // namespace fretloom
