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

/// In one of the pack's folders, or its zip.
bool is_of_pack(std::string_view path, const std::string& name) {
  if (path.starts_with(name + "/") || path.starts_with(teacher_folder(name) + "/")) return true;
  return path.find('/') == std::string_view::npos && path.starts_with(name) && path.ends_with(".zip");
}

Error wrong(const std::string& what) {
  return {ErrorKind::syntax, 0, "this is not the manifest of a pack: " + what, ""};
}

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
  part.at = part.path;
  if ((from.contains("at") && !read_text(from, "at", part.at)) ||
      (from.contains("title") && !read_text(from, "title", part.title)))
    return wrong("the part \"" + part.path + "\" has a field that is not text");
  if (!is_inside(part.at))
    return Error{ErrorKind::range, 0, "the path \"" + part.at + "\" leaves the folder of the pack", ""};
  return std::nullopt;
}

}  // namespace

std::string teacher_folder(const std::string& name) { return name + std::string(k_teacher_ending); }
std::string manifest_path(const std::string& name) { return teacher_folder(name) + "/" + std::string(k_manifest_file); }
std::string zip_path(const std::string& name) { return name + ".zip"; }

std::string to_json(const Manifest& manifest) {
  Json json;
  json["format"] = k_pack_format;
  json["title"] = manifest.title;
  json["author"] = manifest.author;
  json["key"] = manifest.key;
  json["ideas"] = manifest.ideas;
  json["name"] = manifest.name;
  json["source"] = manifest.source;
  json["lesson_sha256"] = manifest.lesson_sha256;
  json["choice"] = manifest.choice;
  json["parts"] = Json::array();
  for (const ManifestPart& part : manifest.parts) {
    Json item{{"path", part.path},     {"group", part.group}, {"key", part.key},
              {"sha256", part.sha256}, {"bytes", part.bytes}, {"stamped", part.stamped}};
    if (part.at != part.path) item["at"] = part.at;
    if (!part.title.empty()) item["title"] = part.title;
    json["parts"].push_back(std::move(item));
  }
  return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

Result<Manifest> read_manifest(const std::string& text) {
  const Json json = Json::parse(text, nullptr, false);
  if (!json.is_object()) return wrong("it is not a JSON object");
  const auto format = json.find("format");
  if (format == json.end() || !format->is_number_integer()) return wrong("it names no format");
  if (*format != k_pack_format)
    return Error{ErrorKind::range, 0, "the pack has format " + format->dump() + "; this program reads 2", ""};
  Manifest manifest;
  if (!read_text(json, "title", manifest.title) || !read_text(json, "author", manifest.author) ||
      !read_text(json, "key", manifest.key) || !read_count(json, "ideas", manifest.ideas) ||
      !read_text(json, "name", manifest.name) || !read_text(json, "source", manifest.source) ||
      !read_text(json, "lesson_sha256", manifest.lesson_sha256) || !read_text(json, "choice", manifest.choice))
    return wrong("a field is missing");
  if (!is_inside(manifest.name) || manifest.name.find('/') != std::string::npos)
    return Error{ErrorKind::range, 0, "the name \"" + manifest.name + "\" leaves the folder of the packs", ""};
  const auto parts = json.find("parts");
  if (parts == json.end() || !parts->is_array()) return wrong("it lists no parts");
  for (const Json& item : *parts) {
    ManifestPart part;
    if (auto bad = read_part(item, part)) return *bad;
    for (const std::string& path : {part.path, part.at}) {
      if (!is_of_pack(path, manifest.name))
        return Error{ErrorKind::range, 0, "the path \"" + path + "\" leaves the folders of the pack", ""};
    }
    manifest.parts.push_back(std::move(part));
  }
  return manifest;
}

}  // namespace fretloom
