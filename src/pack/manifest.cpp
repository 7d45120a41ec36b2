#include "pack/manifest.h"

#include <nlohmann/json.hpp>

#include "base/text.h"

namespace fretloom {

namespace {

using Json = nlohmann::ordered_json;

/// A path inside the pack: no empty part, no "..", not absolute.
bool is_inside(std::string_view path) {
  for (const std::string_view part : split(path, '/')) {
    if (part.empty() || part == "." || part == "..") return false;
  }
  return path.find('\\') == std::string_view::npos && path.find('\0') == std::string_view::npos;
}

Error wrong(const std::string& what) { return {ErrorKind::syntax, 0, "this is no manifest of a pack: " + what, ""}; }

bool read_text(const Json& from, const char* key, std::string& target) {
  const auto found = from.find(key);
  if (found == from.end() || !found->is_string()) return false;
  target = found->get<std::string>();
  return true;
}

bool read_count(const Json& from, const char* key, std::size_t& target) {
  const auto found = from.find(key);
  if (found == from.end() || !found->is_number_unsigned()) return false;
  target = found->get<std::size_t>();
  return true;
}

std::optional<Error> read_part(const Json& from, ManifestPart& part) {
  if (!from.is_object() || !read_text(from, "path", part.path)) return wrong("a part has no path");
  if (!is_inside(part.path))
    return Error{ErrorKind::range, 0, "the path \"" + part.path + "\" leaves the folder of the pack", ""};
  const auto stamped = from.find("stamped");
  if (!read_text(from, "group", part.group) || !read_text(from, "key", part.key) ||
      !read_text(from, "sha256", part.sha256) || !read_count(from, "bytes", part.bytes) || stamped == from.end() ||
      !stamped->is_boolean())
    return wrong("the part \"" + part.path + "\" lacks a field");
  part.stamped = stamped->get<bool>();
  return std::nullopt;
}

}  // namespace

std::string to_json(const Manifest& manifest) {
  Json json;
  json["format"] = k_pack_format;
  json["title"] = manifest.title;
  json["author"] = manifest.author;
  json["key"] = manifest.key;
  json["ideas"] = manifest.ideas;
  json["lesson_sha256"] = manifest.lesson_sha256;
  json["choice"] = manifest.choice;
  json["parts"] = Json::array();
  for (const ManifestPart& part : manifest.parts)
    json["parts"].push_back(Json{{"path", part.path},
                                 {"group", part.group},
                                 {"key", part.key},
                                 {"sha256", part.sha256},
                                 {"bytes", part.bytes},
                                 {"stamped", part.stamped}});
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<Manifest> read_manifest(const std::string& text) {
  const Json json = Json::parse(text, nullptr, false);
  if (!json.is_object()) return wrong("it is no JSON object");
  const auto format = json.find("format");
  if (format == json.end() || !format->is_number_integer()) return wrong("it names no format");
  if (*format != k_pack_format)
    return Error{ErrorKind::range, 0, "the pack has format " + format->dump() + "; this program reads 1", ""};
  Manifest manifest;
  if (!read_text(json, "title", manifest.title) || !read_text(json, "author", manifest.author) ||
      !read_text(json, "key", manifest.key) || !read_count(json, "ideas", manifest.ideas) ||
      !read_text(json, "lesson_sha256", manifest.lesson_sha256) || !read_text(json, "choice", manifest.choice))
    return wrong("a field is missing");
  const auto parts = json.find("parts");
  if (parts == json.end() || !parts->is_array()) return wrong("it lists no parts");
  for (const Json& item : *parts) {
    ManifestPart part;
    if (auto bad = read_part(item, part)) return *bad;
    manifest.parts.push_back(std::move(part));
  }
  return manifest;
}

}  // namespace fretloom
