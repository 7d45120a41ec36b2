// docs/lesson.md names every key that the reader knows, and no other; its defaults and ranges are the code's own.

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <set>
#include <sstream>

#include "base/text.h"
#include "lesson/compile.h"
#include "lesson/key_name.h"
#include "outside.h"

namespace fretloom {
namespace {

/// A row of one of the page's tables.
struct Row {
  std::string section;
  std::string key;  ///< as the page writes it: "tempo.slow", "idea.edits[].fret"
  std::string default_text;
  std::string range;

  [[nodiscard]] bool is_of_an_idea() const { return key.starts_with("idea."); }
  [[nodiscard]] bool has_default() const { return default_text.size() > 2 && default_text.front() == '`'; }
  /// The default without its marks.
  [[nodiscard]] std::string value() const { return default_text.substr(1, default_text.size() - 2); }
};

/// The cells of a table's line; an escaped bar is no border.
std::vector<std::string> cells_of(const std::string& line) {
  std::vector<std::string> cells;
  std::string cell;
  for (std::size_t i = 1; i < line.size(); ++i) {
    if (line[i] == '|' && line[i - 1] != '\\') {
      cells.emplace_back(trim(cell));
      cell.clear();
    } else {
      cell += line[i];
    }
  }
  return cells;
}

std::string page() { return test::bytes_of(FRETLOOM_SOURCE_DIR "/docs/lesson.md"); }

/// The tables' lines that begin with a marked word, each with its section.
std::vector<Row> rows_of_page(std::size_t columns) {
  std::vector<Row> rows;
  std::istringstream lines(page());
  std::string section;
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("## ")) section = line.substr(3);
    if (!line.starts_with("| `")) continue;
    const auto cells = cells_of(line);
    if (cells.size() != columns) continue;
    rows.push_back({section, cells[0].substr(1, cells[0].size() - 2), cells[1], columns > 2 ? cells[2] : ""});
  }
  return rows;
}

std::vector<Row> keys_of_page() { return rows_of_page(4); }

/// A small lesson as lines, so that one of them can be another.
struct Lines {
  std::vector<std::pair<std::string, std::string>> top = {{"title", "\"T\""}, {"key", "\"E dorian\""}};
  std::vector<std::pair<std::string, std::string>> idea = {{"cell", "\"1 2 3 2\""}};

  static void set(std::vector<std::pair<std::string, std::string>>& lines, const std::string& key,
                  const std::string& value) {
    const auto line = std::find_if(lines.begin(), lines.end(), [&](const auto& l) { return l.first == key; });
    if (line == lines.end()) {
      lines.emplace_back(key, value);
    } else {
      line->second = value;
    }
  }
  [[nodiscard]] std::string text() const {
    std::string text;
    for (const auto& [key, value] : top) text += key + " = " + value + "\n";
    text += "[[idea]]\n";
    for (const auto& [key, value] : idea) text += key + " = " + value + "\n";
    return text;
  }
};

/// The lesson in which a key of the page has this value. What the key needs stands there too.
std::string lesson_with(const std::string& key, const std::string& value) {
  Lines lines;
  if (key == "idea") return "title = \"T\"\nkey = \"E dorian\"\nidea = " + value + "\n";
  if (key == "layout.width") Lines::set(lines.top, "layout.kind", "\"position\"");
  if (key == "tonic" || key == "scale") {
    lines.top = {{"title", "\"T\""}, {"tonic", "\"E\""}, {"scale", "[\"1\", \"2\", \"b3\", \"5\"]"}};
  }
  if (!key.starts_with("idea.")) {
    Lines::set(lines.top, key, value);
    return lines.text();
  }
  const std::string own = key.substr(5);
  if (own == "sequence" || own == "start.ordinal") lines.idea = {{"sequence", "\"1 2 3\""}};
  const std::size_t item = own.find("[].");
  if (item == std::string::npos) {
    Lines::set(lines.idea, own, value);
  } else {
    Lines::set(lines.idea, own.substr(0, item), "[{ " + own.substr(item + 3) + " = " + value + " }]");
  }
  return lines.text();
}

/// "edits[1].fret" as the page writes it: "edits[].fret".
std::string page_key(const KeyPath& where) {
  std::string key = (where.idea > 0 ? "idea." : "") + where.key;
  if (const auto open = key.find('['); open != std::string::npos) key.erase(open + 1, key.find(']') - open - 1);
  return key;
}

/// All that is said to wrong values of a key.
std::string said_to(const std::string& key) {
  std::string said;
  for (const char* wrong : {"true", "\"?\"", "1000000", "-1000000", "[\"?\"]", "[-5]", "[[]]"}) {
    for (const Finding& finding : compile_lesson(lesson_with(key, wrong)).findings) {
      if (page_key(finding.where) == key) said += finding.message + "\n";
    }
  }
  return said;
}

TEST(LessonPage, SaysTheRangeOfEveryKey) {
  for (const Row& row : keys_of_page())
    EXPECT_NE(said_to(row.key).find(row.range), std::string::npos) << row.key << " says:\n" << said_to(row.key);
}

/// The keys that the reader lists where it meets one that it does not know.
std::set<std::string> known_keys(const std::string& table_key, const std::string& probe) {
  std::set<std::string> keys;
  for (const Finding& finding : compile_lesson(lesson_with(probe, "1")).findings) {
    const std::string mark = "the keys are ";
    const std::size_t at = finding.message.find(mark);
    if (finding.code != "unknown-key" || at == std::string::npos) continue;
    const std::string list = finding.message.substr(at + mark.size());
    for (const std::string_view key : split(list, ',')) keys.insert(table_key + std::string(trim(key)));
  }
  return keys;
}

TEST(LessonPage, NamesEveryKeyThatTheReaderKnowsAndNoOther) {
  std::set<std::string> known = known_keys("", "zzz");
  std::set<std::string> musical;
  std::set<std::string> named;
  for (const Row& row : keys_of_page()) {
    EXPECT_TRUE(named.insert(row.key).second) << row.key << " stands there twice";
    if (row.section == "Musical keys" && row.key.find('.') == std::string::npos) musical.insert("idea." + row.key);
  }
  for (const char* table : {"tempo", "layout", "vamp"})
    known.merge(known_keys(table + std::string("."), table + std::string(".zzz")));
  known.merge(known_keys("idea.", "idea.zzz"));
  for (const std::string& key : musical) EXPECT_EQ(known.erase(key), 1U) << key << " is no key of an idea";
  for (const char* table : {"carry", "start", "ending", "fingers[]", "edits[]"}) {
    const std::string path = std::string("idea.") + table + ".";
    known.merge(known_keys(path, path + "zzz"));
  }
  known.insert("idea.start.ordinal");  // the reader names it in a sequence alone
  EXPECT_GT(known.size(), 50U);
  EXPECT_EQ(named, known);
  for (std::string key : known) {
    if (key.starts_with("idea.")) key.erase(0, 5);
    if (const std::size_t list = key.find("[]"); list != std::string::npos) key.insert(list + 1, "1");
    EXPECT_NE(key_name({1, key}), key) << key << " has no name for a sentence";
  }
}

/// What a lesson comes to: every value that a key can set.
std::string dump(const std::string& text) {
  const CompiledLesson compiled = compile_lesson(text);
  if (!compiled.lesson) return "unreadable";
  const Lesson& lesson = *compiled.lesson;
  std::ostringstream out;
  const auto say = [&](const auto& value) { out << value << '\n'; };
  const Prose& prose = lesson.prose;
  say(lesson.format);
  for (const std::string& value :
       {prose.title, prose.author, prose.intro, prose.licence, prose.copyright, prose.version, prose.logo, prose.id})
    say("\"" + value + "\"");
  for (const std::string& link : prose.links) say(link);
  const SettingsDraft& top = lesson.settings;
  say(top.meter.value.name() + top.key.value.name());
  for (const Idea& idea : lesson.ideas) {
    const Settings& s = idea.settings;
    say(idea.name + "/" + idea.note + "/" + s.key().name() + "/" + s.meter.name());
    for (const SpelledPitch& pitch : s.neck().tuning.open) say(pitch.name());
    out << s.neck().frets << ' ' << s.neck().scale_length.value << ' ' << s.neck().capo << ' ' << s.reach << '\n';
    out << s.tempo.slow_bpm.to_string() << ' ' << s.tempo.goal_bpm.to_string() << ' ' << name(s.clear_after) << '\n';
    out << name(s.layout.kind) << ' ' << s.layout.notes << ' ' << s.layout.width << ' ' << s.layout.from << '\n';
    out << chords_text(s.vamp, s.meter) << ' ' << s.vamp.rhythm.name << ' ' << s.vamp.swing.to_string() << '\n';
    const Lick& lick = idea.lick;
    out << lick.rule.text << ' ' << lick.carry.strings << ' ' << lick.carry.steps << ' ' << lick.start_string << ' '
        << lick.start_ordinal << ' ' << lick.repeats.value_or(0) << ' ' << static_cast<int>(lick.back) << '\n';
    for (const int feel : idea.notes_per_beat) say(feel);
    out << idea.start_beat.to_string() << ' ' << name(idea.picking) << ' ' << name(idea.first_stroke) << ' '
        << idea.ending.wanted << ' ' << idea.fingers.size() << ' ' << lick.edits.size() << '\n';
  }
  for (const Finding& finding : compiled.findings) say(finding.message);
  return out.str();
}

TEST(LessonPage, SaysTheDefaultOfEveryKeyThatHasOne) {
  std::size_t defaults = 0;
  for (const Row& row : keys_of_page()) {
    if (!row.has_default()) continue;
    ++defaults;
    const std::string with = lesson_with(row.key, row.value());
    std::string without = with;
    const std::string own = row.is_of_an_idea() ? row.key.substr(5) : row.key;
    const std::string line = own + " = " + row.value() + "\n";
    ASSERT_NE(without.find(line), std::string::npos) << line;
    without.erase(without.find(line), line.size());
    EXPECT_EQ(dump(with), dump(without)) << row.key;
  }
  EXPECT_GE(defaults, 35U);
}

/// A legal value that is not the default: what the dump must show.
TEST(LessonPage, ADefaultThatWereWrongWouldBeSeen) {
  const std::map<std::string, std::string> others = {{"author", "\"A\""},
                                                     {"links", "[\"a\"]"},
                                                     {"tuning", "\"drop D\""},
                                                     {"frets", "22"},
                                                     {"scale_length", "628"},
                                                     {"capo", "2"},
                                                     {"meter", "\"3/4\""},
                                                     {"tempo.slow", "61"},
                                                     {"tempo.goal", "121"},
                                                     {"clear_after", "\"both\""},
                                                     {"reach", "111"},
                                                     {"layout.kind", "\"octaves\""},
                                                     {"layout.notes", "2"},
                                                     {"layout.width", "4"},
                                                     {"layout.from", "3"},
                                                     {"vamp.rhythm", "\"held\""},
                                                     {"vamp.swing", "\"2:1\""},
                                                     {"idea.carry.strings", "2"},
                                                     {"idea.carry.steps", "1"},
                                                     {"idea.start.ordinal", "2"},
                                                     {"idea.start.beat", "-1"},
                                                     {"idea.repeats", "2"},
                                                     {"idea.back", "\"retrograde\""},
                                                     {"idea.notes_per_beat", "[4]"},
                                                     {"idea.picking", "\"economy\""},
                                                     {"idea.first_stroke", "\"up\""},
                                                     {"idea.ending", "\"none\""}};
  std::map<std::string, Row> rows;
  for (const Row& row : keys_of_page()) rows[row.key] = row;
  for (const auto& [key, value] : others) {
    ASSERT_TRUE(rows.contains(key)) << key;
    EXPECT_NE(dump(lesson_with(key, value)), dump(lesson_with(key, rows[key].value()))) << key;
  }
}

TEST(LessonPage, EveryPartOfARuleIsOne) {
  std::size_t parts = 0;
  for (const Row& row : rows_of_page(2)) {
    if (row.section != "The rule") continue;
    ++parts;
    EXPECT_TRUE(parse_rule(RuleKind::cell, "3 " + row.key + " 1").ok()) << row.key;
  }
  EXPECT_GE(parts, 12U);
}

}  // namespace
}  // namespace fretloom
