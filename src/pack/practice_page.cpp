#include "pack/practice_page.h"

#include "base/base64.h"

namespace fretloom {

namespace {

/// Behind a quoted text of TOML that begins at `at`: one line or several, with escapes or without.
std::size_t end_of_quoted(std::string_view text, std::size_t at) {
  const char quote = text[at];
  const std::string_view three = quote == '"' ? "\"\"\"" : "'''";
  const bool several = text.substr(at, 3) == three;
  for (std::size_t i = at + (several ? 3 : 1); i < text.size(); ++i) {
    if (text[i] == '\\' && quote == '"') {
      ++i;
    } else if (several && text.substr(i, 3) == three) {
      i += 3;
      while (i < text.size() && text[i] == quote) ++i;  // one or two more may end the text itself
      return i;
    } else if (!several && (text[i] == quote || text[i] == '\n')) {
      return i + 1;
    }
  }
  return text.size();
}

std::string json_text(std::string_view text) {
  constexpr std::string_view k_digits = "0123456789abcdef";
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out += {'\\', c};
    } else if (byte < 0x20 || c == '<' || c == '>' || c == '&') {
      out += "\\u00";
      out += {k_digits[byte / 16U], k_digits[byte % 16U]};
    } else {
      out += c;
    }
  }
  return out + "\"";
}

/// Once at each place: what is put in is not looked through again.
void put(std::string& text, std::string_view place, std::string_view value) {
  for (std::size_t at = text.find(place); at != std::string::npos; at = text.find(place, at + value.size()))
    text.replace(at, place.size(), value);
}

}  // namespace

std::string kit_json(const BandKit& kit) {
  const std::size_t open = kit.index.find('{') + 1;
  return kit.index.substr(0, open) + "\"audio\":\"" + base64(kit.audio) + "\"," + kit.index.substr(open);
}

std::string without_comments(std::string_view lesson) {
  std::string out;
  for (std::size_t i = 0; i < lesson.size();) {
    if (lesson[i] == '"' || lesson[i] == '\'') {
      const std::size_t end = end_of_quoted(lesson, i);
      out += lesson.substr(i, end - i);
      i = end;
    } else if (lesson[i] == '#') {
      while (i < lesson.size() && lesson[i] != '\n') ++i;
      while (!out.empty() && (out.back() == ' ' || out.back() == '\t')) out.pop_back();
    } else {
      out += lesson[i++];
    }
  }
  return out;
}

std::string with_lesson(std::string_view made, const PracticePlaces& places) {
  std::string out(made);
  put(out, "@STAMP@", places.stamp);
  put(out, "@NAME@", places.name);
  put(out, "\"@KIT@\"", places.kit.empty() ? "null" : places.kit);
  put(out, "\"@TITLE@\"", json_text(places.title.empty() ? "Practice" : places.title));
  // Last, for the teacher's words may hold what looks like a place.
  put(out, "\"@LESSON@\"", json_text(without_comments(places.lesson)));
  return out;
}

}  // namespace fretloom
