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

Place place_in(const SourceIndex& index, const KeyPath& path, std::string_view within, std::size_t at) {
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

std::optional<std::string> string_at(std::string_view text, const SourceIndex& index, const KeyPath& path) {
  const auto found = index.find(path);
  if (found == index.end() || found->second.text_offset != 1) return std::nullopt;
  const std::size_t begin = byte_offset(text, found->second.begin) + 1;
  const std::size_t end = byte_offset(text, found->second.end);
  if (end <= begin) return std::nullopt;
  return std::string(text.substr(begin, end - 1 - begin));
}

KeyPath first_known(const SourceIndex& index, std::initializer_list<KeyPath> paths) {
  for (const KeyPath& path : paths) {
    if (index.contains(path)) return path;
  }
  return {};
}

Place place_near(const SourceIndex& index, const KeyPath& where) {
  const KeyPath idea{where.idea, ""};
  return place_in(index, first_known(index, {where, idea / "name", idea, {0, "title"}}));
}

}  // namespace fretloom
