#include "lesson/source.h"

#include "base/text.h"

namespace fretloom {

std::size_t byte_offset(std::string_view text, const Place& place) {
  std::size_t at = 0;
  for (std::uint32_t line = 1; line < place.line; ++line) {
    const std::size_t end = text.find('\n', at);
    if (end == std::string_view::npos) return text.size();
    at = end + 1;
  }
  for (std::uint32_t column = 1; column < place.column && at < text.size(); ++column) {
    ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0U) == 0x80U) ++at;
  }
  return at;
}

Place place_in(const SourceIndex& index, const std::string& path, std::string_view within, std::size_t at) {
  const auto found = index.find(path);
  if (found == index.end()) return {1, 1};
  Place place = found->second.begin;
  if (at > 0 && found->second.text_offset > 0) {
    place.column += found->second.text_offset + static_cast<std::uint32_t>(count_code_points(within.substr(0, at)));
  } else if (!within.empty()) {
    place.column += found->second.text_offset;
  }
  return place;
}

std::string first_known(const SourceIndex& index, std::initializer_list<std::string> paths) {
  for (const std::string& path : paths) {
    if (index.contains(path)) return path;
  }
  return {};
}

void place_finding(const SourceIndex& index, const std::vector<std::size_t>& kept, Finding& finding) {
  constexpr std::string_view k_idea = "idea[";
  std::string idea;
  const auto close = finding.where.find(']');
  if (finding.where.starts_with(k_idea) && close != std::string::npos) {
    const auto number = parse_int(finding.where.substr(k_idea.size(), close - k_idea.size())).value_or(0);
    if (number >= 1 && static_cast<std::size_t>(number) <= kept.size()) {
      idea = std::string(k_idea) + std::to_string(kept[static_cast<std::size_t>(number) - 1] + 1) + "]";
      finding.where = idea + finding.where.substr(close + 1);
    }
  }
  finding.place = place_in(index, first_known(index, {finding.where, idea + ".name", idea, "title"}));
}

}  // namespace fretloom
