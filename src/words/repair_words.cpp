#include "words/repair_words.h"

#include "base/text.h"
#include "lesson/key_name.h"
#include "lesson/mended.h"

namespace fretloom {
namespace {

/// A text's quotes are the file's, not the reader's.
std::string without_quotes(std::string_view value) {
  const bool is_text = value.size() >= 2 && value.front() == '"' && value.find('"', 1) == value.size() - 1;
  return std::string(is_text ? value.substr(1, value.size() - 2) : value);
}

/// The key stands beside `where`, or inside it where it has a name there.
std::string name_near(const KeyPath& where, const std::string& key) {
  const KeyPath inside = where / key;
  const std::string name = key_name(inside);
  return where.key.empty() || name == inside.key ? key_name(where.parent() / key) : name;
}

}  // namespace

std::string repair_words(const KeyPath& where, std::string_view repair) {
  if (repair.empty()) return {};
  std::vector<std::string> said;
  for (const Assignment& one : assignments(repair))
    said.push_back(name_near(where, one.key) + " " + without_quotes(one.value));
  return "Make " + (said.empty() ? "it " + without_quotes(repair) : join(said, " and "));
}

}  // namespace fretloom
