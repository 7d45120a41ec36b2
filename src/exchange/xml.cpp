#include "exchange/xml.h"

#include "base/text.h"

namespace fretloom {

namespace {

/// An attribute's tabs and line ends would be read as spaces (XML 1.0, section 3.3.3).
enum class Place { text, attribute };

std::string escaped(std::string_view raw, Place place) {
  std::string out;
  for (const char c : xml_text(raw)) {
    switch (c) {
      case '&': out += "&amp;"; break;
      case '<': out += "&lt;"; break;
      case '>': out += "&gt;"; break;
      case '"': out += place == Place::attribute ? "&quot;" : "\""; break;
      case '\t': out += place == Place::attribute ? "&#9;" : "\t"; break;
      case '\n': out += place == Place::attribute ? "&#10;" : "\n"; break;
      case '\r': out += "&#13;"; break;
      default: out += c;
    }
  }
  return out;
}

void write(std::string& out, const XmlElement& element, std::size_t depth) {
  const std::string indent(2 * depth, ' ');
  out += indent + "<" + element.name;
  for (const auto& [name, value] : element.attributes)
    out += " " + name + "=\"" + escaped(value, Place::attribute) + "\"";
  if (element.text) {
    out += ">" + escaped(*element.text, Place::text);
  } else if (element.children.empty()) {
    out += " />\n";
    return;
  } else {
    out += ">\n";
    for (const XmlElement& child : element.children) write(out, child, depth + 1);
    out += indent;
  }
  out += "</" + element.name + ">\n";
}

}  // namespace

XmlElement& add_element(XmlElement& parent, std::string_view name) {
  return parent.children.emplace_back(XmlElement{std::string(name), {}, {}, {}});
}

XmlElement& add_element(XmlElement& parent, std::string_view name, std::string_view text) {
  XmlElement& element = add_element(parent, name);
  element.text = text;
  return element;
}

XmlElement& add_element(XmlElement& parent, std::string_view name, std::int64_t value) {
  return add_element(parent, name, std::to_string(value));
}

void add_attribute(XmlElement& element, std::string_view name, std::string_view value) {
  element.attributes.emplace_back(name, value);
}

void drop_last_if_empty(XmlElement& parent) {
  const XmlElement& last = parent.children.back();
  if (last.children.empty() && !last.text) parent.children.pop_back();
}

std::string write_xml(const XmlElement& root, std::string_view document_type) {
  std::string out = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE " + std::string(document_type) + ">\n";
  write(out, root, 0);
  return out;
}

}  // namespace fretloom
