// Editing in place: nothing but the value's own bytes changes.

#include "lesson/edit.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "lesson/compile.h"
#include "lesson/table_reader.h"

namespace fretloom {
namespace {

const std::string k_lesson =
    "# a lesson\nformat = 1   # first\ntitle = \"\u00FCber \U0001F3B8\"  # spaced   oddly\nkey   =   \"E dorian\"\n"
    "tempo = { slow = 60, goal = 120 }  # bpm\n\n[layout]  # where\nfrom = 11\n\n[[idea]]\ncell = \"1 3 2 3 + 2 1\"  # "
    "the rule\n"
    "notes_per_beat = [ 4,\n  6 ]  # feels\n";

/// What lies around the value at `path`, to compare before and after.
void expect_only_value_changes(const std::string& text, const std::string& path, const std::string& old_value,
                               const std::string& value) {
  const auto edited = set_value(text, parse_key_path(path), value);
  ASSERT_TRUE(edited.ok()) << edited.error().what;
  const std::size_t at = text.find(old_value);
  ASSERT_NE(at, std::string::npos);
  EXPECT_EQ(*edited, text.substr(0, at) + value + text.substr(at + old_value.size()));
}

TEST(SetValue, ReplacesOnlyTheValue) {
  expect_only_value_changes(k_lesson, "title", "\"\u00FCber \U0001F3B8\"", "\"under\"");
  expect_only_value_changes(k_lesson, "key", "\"E dorian\"", "\"A minor\"");
  expect_only_value_changes(k_lesson, "tempo.goal", "120", "99.5");
  expect_only_value_changes(k_lesson, "tempo", "{ slow = 60, goal = 120 }", "{ goal = 80 }");
  expect_only_value_changes(k_lesson, "layout.from", "11", "10");
  expect_only_value_changes(k_lesson, "idea[1].cell", "\"1 3 2 3 + 2 1\"", "\"1 2\"");
  expect_only_value_changes(k_lesson, "idea[1].notes_per_beat", "[ 4,\n  6 ]", "[3]");
}

TEST(SetValue, KeepsWindowsLineEnds) {
  std::string text;
  for (const char c : k_lesson) text += c == '\n' ? std::string("\r\n") : std::string(1, c);
  expect_only_value_changes(text, "layout.from", "11", "9");
  expect_only_value_changes(text, "key", "\"E dorian\"", "\"A minor\"");
}

TEST(SetValue, AddsAKeyThatIsNotThere) {
  const auto check = [](const std::string& path, const std::string& value, const std::string& line) {
    const auto edited = set_value(k_lesson, parse_key_path(path), value);
    ASSERT_TRUE(edited.ok()) << path << ": " << edited.error().what;
    const std::size_t at = edited->find(line);
    ASSERT_NE(at, std::string::npos) << *edited;
    EXPECT_EQ(edited->substr(0, at) + edited->substr(at + line.size()), k_lesson) << *edited;
    EXPECT_TRUE(compile_lesson(*edited).is_readable());
  };
  check("reach", "100", "reach = 100\n");
  check("layout.notes", "2", "notes = 2\n");
  check("idea[1].first_stroke", "\"up\"", "first_stroke = \"up\"\n");
  check("vamp.chords", "\"Em7\"", "vamp.chords = \"Em7\"\n");
  check("idea[1].carry.steps", "1", "carry.steps = 1\n");
}

TEST(SetValue, RefusesWhatWouldDoHarm) {
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("layout.from"), "1\nkey = 2").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("layout.from"), "1 # mine").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("layout.from"), "").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("layout.from"), "99").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("layout.form"), "1").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("idea[1].cell"), "\"1 +\"").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("idea[7].cell"), "\"1\"").ok());
  EXPECT_FALSE(set_value(k_lesson, parse_key_path("layout"), "{ from = 1 }").ok());
  EXPECT_FALSE(
      set_value("format = 2\n" + k_lesson.substr(k_lesson.find("title")), parse_key_path("key"), "\"A minor\"").ok());
  EXPECT_FALSE(set_value("no lesson", parse_key_path("key"), "\"A minor\"").ok());
}

RC_GTEST_PROP(SetValue, KeepsEveryOtherByte, ()) {
  const auto title = *rc::gen::string<std::string>();
  std::string clean;
  for (const char c : title) clean += static_cast<unsigned char>(c) < 0x80 && c != '\0' ? c : '?';
  const std::string value = toml_string(clean);
  const auto edited = set_value(k_lesson, parse_key_path("title"), value);
  RC_ASSERT(edited.ok());
  const std::string old = "\"\u00FCber \U0001F3B8\"";
  const std::size_t at = k_lesson.find(old);
  RC_ASSERT(*edited == k_lesson.substr(0, at) + value + k_lesson.substr(at + old.size()));
  RC_ASSERT(compile_lesson(*edited).lesson->prose.title == clean);
}

}  // namespace
}  // namespace fretloom
