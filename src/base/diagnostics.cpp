#include "base/diagnostics.h"

#include "base/text.h"

namespace fretloom {

std::string_view name(Level level) {
  switch (level) {
    case Level::note: return "note";
    case Level::warning: return "warning";
    case Level::error: return "error";
  }
  return "error";
}

std::string KeyPath::text() const {
  if (idea == 0) return key;
  const std::string table = "idea[" + std::to_string(idea) + "]";
  return key.empty() ? table : table + "." + key;
}

KeyPath KeyPath::operator/(std::string_view child) const {
  if (child.empty()) return *this;
  return {idea, key.empty() ? std::string(child) : key + "." + std::string(child)};
}

KeyPath KeyPath::parent() const {
  const std::size_t dot = key.rfind('.');
  return {idea, dot == std::string::npos ? "" : key.substr(0, dot)};
}

std::string_view KeyPath::last() const {
  const std::size_t dot = key.rfind('.');
  return dot == std::string::npos ? std::string_view(key) : std::string_view(key).substr(dot + 1);
}

KeyPath parse_key_path(std::string_view text) {
  constexpr std::string_view k_idea = "idea[";
  const std::size_t close = text.find(']');
  if (!text.starts_with(k_idea) || close == std::string_view::npos) return {0, std::string(text)};
  const int number = parse_int(text.substr(k_idea.size(), close - k_idea.size())).value_or(0);
  const std::string_view rest = text.substr(close + 1);
  if (number < 1 || (!rest.empty() && rest.front() != '.')) return {0, std::string(text)};
  return {number, std::string(rest.empty() ? rest : rest.substr(1))};
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
