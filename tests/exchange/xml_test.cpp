#include "exchange/xml.h"

#include <gtest/gtest.h>

#include <pugixml.hpp>

namespace fretloom {
namespace {

TEST(Xml, WritesAnElementALine) {
  XmlElement root{"a", {}, {}, {}};
  add_attribute(root, "b", "1 < \"2\"");
  add_element(add_element(root, "c"), "d", "x & y");
  add_element(root, "e", 7);
  add_element(root, "f", "");
  EXPECT_EQ(write_xml(root, "a"),
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE a>\n<a b=\"1 &lt; &quot;2&quot;\">\n  <c>\n"
            "    <d>x &amp; y</d>\n  </c>\n  <e>7</e>\n  <f></f>\n</a>\n");
}

TEST(Xml, DropsTheLastChildOnlyWhereItIsEmpty) {
  XmlElement root{"a", {}, {}, {}};
  add_element(root, "b", "");
  drop_last_if_empty(root);
  EXPECT_EQ(root.children.size(), 1U);
  add_element(root, "c");
  drop_last_if_empty(root);
  EXPECT_EQ(root.children.size(), 1U);
}

/// Read back by pugixml 1.13, which knows nothing of how it was written.
TEST(Xml, KeepsEveryCharacterThatXmlCanSay) {
  const std::string hard = "a<b>&\"'\t\n\r]]> \u00E9\u266F\U0001D11E";
  XmlElement root{"a", {}, {}, {}};
  add_attribute(root, "b", hard);
  add_element(root, "c", hard);
  add_element(root, "d", std::string("x\x01y\xFFz"));
  pugi::xml_document document;
  ASSERT_TRUE(document.load_string(write_xml(root, "a").c_str(), pugi::parse_default | pugi::parse_ws_pcdata));
  EXPECT_EQ(document.child("a").attribute("b").as_string(), hard);
  EXPECT_EQ(document.child("a").child_value("c"), hard);
  EXPECT_EQ(document.child("a").child_value("d"), std::string("x\uFFFDy\uFFFDz"));
}

}  // namespace
}  // namespace fretloom
