// Templates: each placeholder filled, what is wrong found with its place, and nothing lost.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <set>

#include "base/text.h"
#include "exchange/random_lesson.h"
#include "words/demo.h"
#include "words/lesson_texts.h"
#include "words/text_template.h"

namespace fretloom {
namespace {

/// The demo with every prose that a lesson can have.
Told whole() {
  Told lesson = told(demo_text("climbing-sixes"));
  Prose& prose = lesson.handout.prose;
  prose.links = {"https://example.org/a", "https://example.org/b"};
  prose.copyright = "2026 Demo Teacher";
  prose.version = "2";
  for (IdeaSheet& idea : lesson.handout.ideas) idea.note = "Mind the wrist";
  return lesson;
}

std::string filled(const std::string& text, const Told& lesson = whole()) {
  const TemplateReading reading = read_template(text);
  for (const Finding& finding : reading.findings) ADD_FAILURE() << to_line(finding, "template");
  return description_text(lesson.handout, lesson.sentences, {"the handout", "the sound"}, reading.text);
}

std::vector<Finding> findings_of(const std::string& text) { return read_template(text).findings; }

/// The text as the place counts it: without byte order mark, with plain line breaks.
std::string plain_breaks(std::string text) {
  if (text.starts_with("\xEF\xBB\xBF")) text.erase(0, 3);
  for (std::size_t at = 0; (at = text.find('\r', at)) != std::string::npos;) {
    const bool pair = at + 1 < text.size() && text[at + 1] == '\n';
    text.replace(at, 1, pair ? "" : "\n");
  }
  return text;
}

std::size_t offset_of(const std::string& text, const Place& place) {
  std::size_t at = 0;
  for (std::uint32_t line = 1; line < place.line; ++line) at = text.find('\n', at) + 1;
  for (std::uint32_t column = 1; column < place.column; ++column) {
    std::size_t bytes = 1;  // of one character, or a single byte that is none
    for (std::size_t n = 4; n >= 1; --n) {
      if (at + n <= text.size() && utf8_prefix(std::string_view(text).substr(at, n)) == n) bytes = n;
    }
    at += bytes;
  }
  return at;
}

/// What a teacher does with a finding: puts the repair where header says it goes.
std::string repaired(const std::string& raw, const Finding& finding) {
  std::string text = plain_breaks(raw);
  const std::size_t at = offset_of(text, finding.place);
  if (finding.code == "template-end" && finding.repair == "{end}") return text + finding.repair;
  const bool whole_tag = finding.code == "template-name" || finding.code == "template-end";
  return text.replace(at, whole_tag ? text.find('}', at) + 1 - at : 1, finding.repair);
}

TEST(Template, FillsEveryPlaceholder) {
  std::set<std::string_view> names;
  for (const Placeholder& row : placeholders()) {
    const std::string ask = "{" + std::string(row.name) + "}";
    const std::string text = row.scope == TextScope::lesson ? "<" + ask + ">"
                             : row.scope == TextScope::idea ? "{each idea}\n<" + ask + ">\n{end}"
                             : row.scope == TextScope::feel ? "{each idea}{each feel}\n<" + ask + ">\n{end}{end}"
                                                            : "{each enclosed}\n<" + ask + ">\n{end}";
    const std::string out = filled(text);
    EXPECT_TRUE(out.starts_with("<") && out.ends_with(">\n")) << out;
    EXPECT_EQ(out.find("<>"), std::string::npos) << row.name;
    EXPECT_EQ(out.find('{'), std::string::npos) << out;
    EXPECT_FALSE(row.says.empty());
    EXPECT_TRUE(names.insert(row.name).second) << row.name;
  }
  EXPECT_EQ(filled("{title} by {Author}, { IDEAS }: {names}\n"),
            "Climbing sixes by Demo Teacher, three ideas: Six that folds back, Fours on one string and Eight with a "
            "turn\n");
}

TEST(Template, BlocksAreWrittenForEachAndLinesOfTagsVanish) {
  EXPECT_EQ(
      filled("Ideas\n{each idea}\n{number} {each feel}[{feel}]{end}\n{end}\nEnd"),
      "Ideas\n1 [four notes a beat][six notes a beat]\n2 [four notes a beat]\n3 [four notes a beat][eight notes a "
      "beat]\nEnd\n");
  EXPECT_EQ(filled("{each enclosed}- {item}\n{end}{each link}+ {item}\n{end}"),
            "- the handout\n- the sound\n+ https://example.org/a\n+ https://example.org/b\n");
  EXPECT_EQ(filled("A{# a remark }\n{# alone }\n\n\n\nB {{title}\n}"), "A\n\nB {title}\n}\n");
}

TEST(Template, WhatTheLessonDoesNotSayLeavesNoGap) {
  Told lesson = whole();
  lesson.handout.prose.licence = lesson.handout.prose.intro = lesson.handout.prose.author = "";
  EXPECT_EQ(filled("{title}\nLicence: {licence}\n{intro} {names} {author} here\n", lesson),
            "Climbing sixes\nSix that folds back, Fours on one string and Eight with a turn here\n");
  EXPECT_EQ(filled("Hello{if author}, this is {author}{end}.", lesson), "Hello.\n");
  EXPECT_EQ(filled("Hello{if author}, this is {author}{end}."), "Hello, this is Demo Teacher.\n");
  lesson.handout.prose.title = "Ready?";
  EXPECT_EQ(filled("It is called {title}. Good{if title}: {title}{end}. So.", lesson),
            "It is called Ready? Good: Ready? So.\n");
  EXPECT_EQ(filled("{licence}\n", lesson), "\n");
}

TEST(Template, ValuesAreNeverReadAsTemplates) {
  Told lesson = whole();
  lesson.handout.prose.title = "{author} {each idea} {{ {end} \x01\x02";
  EXPECT_EQ(filled("<{title}>", lesson), "<{author} {each idea} {{ {end}>\n");
}

TEST(Template, WhatIsWrongIsFoundWithItsPlaceAndRepair) {
  struct Case {
    const char* text;
    const char* code;
    Place place;
    const char* repair;
  };
  for (const Case& c :
       {Case{"Hi\n \xC3\xA9{titel}", "template-name", {2, 3}, "{title}"},
        Case{"{xyzzy}", "template-name", {1, 1}, "{{xyzzy}"}, Case{"{feels}", "template-name", {1, 1}, "{{feels}"},
        Case{"{each ideas}{name}{end}", "template-name", {1, 1}, "{each idea}"},
        Case{"{if autor}x{end}", "template-name", {1, 1}, "{if author}"},
        Case{"a\n{each idea}\n{name}", "template-end", {2, 1}, "{end}"},
        Case{"a {end}", "template-end", {1, 3}, "{{end}"}, Case{"a {title\n}", "template-brace", {1, 3}, "{{"},
        Case{"a\r\nb \xFF c", "template-text", {2, 3}, "\xEF\xBF\xBD"},
        Case{"a\x01", "template-text", {1, 2}, "\xEF\xBF\xBD"}}) {
    const std::vector<Finding> findings = findings_of(c.text);
    ASSERT_FALSE(findings.empty()) << c.text;
    const Finding& first = findings.front();
    EXPECT_EQ(first.code, c.code) << c.text;
    EXPECT_EQ(first.level, Level::error);
    EXPECT_EQ(first.place, c.place) << c.text;
    EXPECT_EQ(first.repair, c.repair) << c.text;
  }
  EXPECT_EQ(findings_of("{feels}").front().message, "{feels} stands only between {each idea} and its {end}");
  const std::string message = findings_of("{titel}").front().message;
  EXPECT_EQ(message.substr(0, 60), "there is no {titel} here; you may write {title}, {author}, {");
  EXPECT_EQ(message.find("{shape}"), std::string::npos);  // legal in an idea's block only
  EXPECT_EQ(findings_of(std::string(k_max_template_bytes, '}') + "{").front().code, "template-size");
  EXPECT_EQ(findings_of(std::string(k_max_template_bytes / 2, '{') + "{end}").front().code, "template-end");
  std::string many;
  for (int i = 0; i < 20000; ++i) many += "{x";
  EXPECT_EQ(findings_of(many).size(), k_most_template_findings);
  EXPECT_EQ(findings_of(std::string(k_max_template_bytes + 1, 'a')).front().code, "template-size");
  std::string deep;
  for (std::size_t i = 0; i <= k_deepest_block; ++i) deep += "{if title}";
  for (std::size_t i = 0; i <= k_deepest_block; ++i) deep += "{end}";
  ASSERT_EQ(findings_of(deep).size(), 1U);
  EXPECT_EQ(findings_of(deep).front().code, "template-depth");
}

/// What is not understood stays as it was typed.
TEST(Template, NothingIsLost) {
  const Told lesson = whole();
  for (const std::string text : {"a {titel} b", "a {each x}\nb\n{end} c", "a {title\n} b", "a {end} b"}) {
    const TemplateReading reading = read_template(text);
    ASSERT_EQ(reading.findings.size(), 1U) << text;
    EXPECT_EQ(description_text(lesson.handout, lesson.sentences, {}, reading.text), text + "\n");
  }
  EXPECT_EQ(description_text(lesson.handout, lesson.sentences, {}, read_template("{each idea}\n{name}").text),
            "Six that folds back\nFours on one string\nEight with a turn\n");
}

TEST(Template, OurOwnAreGoodAndATeachersGoesBeforeThem) {
  ASSERT_EQ(default_templates().size(), k_template_kinds);
  std::set<std::string_view> names;
  for (const TemplateFile& file : default_templates()) {
    EXPECT_TRUE(findings_of(file.text).empty());
    EXPECT_TRUE(names.insert(template_file_name(file.kind)).second);
  }
  const Told lesson = whole();
  const std::vector<TemplateFile> own = {{TemplateKind::email, "Subject: {title}\n\nDear all,"}};
  EXPECT_EQ(email_text(lesson.handout, lesson.sentences, {}, template_for(TemplateKind::email, own).text),
            "Subject: Climbing sixes\n\nDear all,\n");
  EXPECT_EQ(script_text(lesson.handout, lesson.sentences, {}, template_for(TemplateKind::script, own).text),
            script_text(lesson.handout, lesson.sentences));
}

/// Pieces of templates, right and wrong, in any order.
std::string any_template() {
  const auto piece =
      rc::gen::oneOf(rc::gen::element<std::string>("{title}", "{titel}", "{each idea}", "{each feel}", "{each link}",
                                                   "{each odd}", "{if intro}", "{if nought}", "{end}", "{ END }", "{",
                                                   "{{", "}", "{#", "{# x }", "\n", "\r\n", " ", ".", "{name}",
                                                   "{shape}", "{landing}", "{item}", "\xFF", "\xC3\xA9"),
                     rc::gen::arbitrary<std::string>());
  std::string text;
  for (const std::string& part : *rc::gen::container<std::vector<std::string>>(piece)) text += part;
  return text;
}

RC_GTEST_PROP(Template, AnyTextIsReadAndFilled, ()) {
  static const Told lesson = whole();
  const TemplateReading reading = read_template(any_template());
  for (const std::string& text : {email_text(lesson.handout, lesson.sentences, {"a"}, reading.text),
                                  script_text(lesson.handout, lesson.sentences, {}, reading.text)}) {
    RC_ASSERT(utf8_prefix(text) == text.size());
    RC_ASSERT(text.ends_with('\n'));
    RC_ASSERT(text.find('\x01') == std::string::npos && text.find("\n\n\n") == std::string::npos);
  }
}

RC_GTEST_PROP(Template, EveryRepairIsLegal, ()) {
  const std::string text = any_template();
  const std::vector<Finding> found = findings_of(text);
  RC_PRE(found.size() < k_most_template_findings);
  for (const Finding& finding : found) {
    RC_ASSERT(finding.place.line >= 1U && finding.place.column >= 1U);
    RC_ASSERT(!finding.message.empty());
    if (finding.repair.empty()) continue;
    // A block that is understood now may show what is wrong within it; the repaired place itself is good.
    const std::vector<Finding> left = findings_of(repaired(text, finding));
    if (finding.repair == "{end}") RC_ASSERT(left.size() < found.size());
    if (finding.repair != "{end}") RC_ASSERT(std::find(left.begin(), left.end(), finding) == left.end());
  }
}

}  // namespace
}  // namespace fretloom
