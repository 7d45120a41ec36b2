#pragma once
// An XML document that is built first and written then. Writing alone: what is read back is read by strangers.

#include <cstdint>
#include <list>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace fretloom {

/// An element with its attributes in order, and either text or children. Names are ours and legal. References to an
/// element hold while its parent does.
struct XmlElement {
  std::string name;
  std::vector<std::pair<std::string, std::string>> attributes;
  std::optional<std::string> text;
  std::list<XmlElement> children;
};

/// Adds a child behind the others.
XmlElement& add_element(XmlElement& parent, std::string_view name);
XmlElement& add_element(XmlElement& parent, std::string_view name, std::string_view text);
XmlElement& add_element(XmlElement& parent, std::string_view name, std::int64_t value);
void add_attribute(XmlElement& element, std::string_view name, std::string_view value);
/// Takes the last child away where nothing stands in it. Precondition: there is one.
void drop_last_if_empty(XmlElement& parent);

/// XML 1.0 in UTF-8: declaration, document type (as it stands behind "<!DOCTYPE "), and the root, an element a line,
/// indented by two spaces. Characters that XML 1.0 cannot say become U+FFFD.
[[nodiscard]] std::string write_xml(const XmlElement& root, std::string_view document_type);

}  // namespace fretloom
