// The house itself: rooms link and include only downward, and nothing of a machine is checked in.

#include <gtest/gtest.h>

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <memory>
#include <optional>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using Edges = std::map<std::string, std::set<std::string>>;
using Tree = std::map<std::string, std::string>;  // path below src -> text
using Complaints = std::vector<std::string>;

/// The table of rooms of docs/architecture.md.
struct Plan {
  Edges knows;  ///< what each room may know; what those know is known as well
  std::map<std::string, std::string> states;
  Complaints complaints;  ///< of the table itself
};

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::istringstream stream(text);
  for (std::string part; std::getline(stream, part, at);) {
    const std::size_t begin = part.find_first_not_of(' ');
    parts.push_back(begin == std::string::npos ? "" : part.substr(begin, part.find_last_not_of(' ') + 1 - begin));
  }
  return parts;
}

/// What a row of the table lets its room know. "all above" are the rows before it; "sound/kernel" is that folder
/// alone. Every room must have a row above, so that the table knows no circle.
std::set<std::string> read_knows(const std::string& room, const std::string& cell, Plan& plan) {
  std::set<std::string> knows;
  if (cell == "-") return knows;
  for (const std::string& word : split(cell, ',')) {
    if (word == "all above") {
      for (const auto& [above, ignored] : plan.states) knows.insert(above);
    } else {
      if (!plan.states.contains(word) && !plan.states.contains(word.substr(0, word.find('/'))))
        plan.complaints.push_back(room + " may know " + word + ", which has no row above");
      knows.insert(word);
    }
  }
  return knows;
}

/// Rows are `| \`src/ROOM\` | what it holds | what it may know | built or planned, and more |`.
Plan read_plan(const std::string& document) {
  Plan plan;
  for (const std::string& line : split(document, '\n')) {
    const std::string mark = "| `src/";
    const std::vector<std::string> cells = split(line, '|');
    if (!line.starts_with(mark) || cells.size() != 5) continue;
    const std::string room = line.substr(mark.size(), line.find('`', mark.size()) - mark.size());
    const std::set<std::string> knows = read_knows(room, cells[3], plan);
    if (!cells[4].starts_with("built") && !cells[4].starts_with("planned"))
      plan.complaints.push_back("room " + room + " is neither built nor planned: " + cells[4]);
    plan.knows[room] = knows;
    plan.states[room] = cells[4];
  }
  return plan;
}

/// Everything that can be reached from a room, itself included.
std::set<std::string> reach(const Edges& edges, const std::string& room) {
  std::set<std::string> seen;
  std::vector<std::string> open = {room};
  while (!open.empty()) {
    const std::string next = open.back();
    open.pop_back();
    if (!seen.insert(next).second || !edges.contains(next)) continue;
    for (const std::string& below : edges.at(next)) open.push_back(below);
  }
  return seen;
}

/// The fretloom_room(NAME SOURCES ... KNOWS ... PRIVATE ...) rows of a CMake list. A library of
/// PRIVATE counts as known only if it is a room.
Edges read_rows(const std::string& cmake) {
  const std::string plain = std::regex_replace(cmake, std::regex("#[^\n]*"), "");
  const std::regex row(R"(\bfretloom_room\(([^)]*)\))");
  Edges rows;
  Edges privately;
  for (auto it = std::sregex_iterator(plain.begin(), plain.end(), row); it != std::sregex_iterator(); ++it) {
    std::istringstream row_words((*it)[1]);
    std::string name;
    std::string keyword;
    row_words >> name;
    rows[name];
    for (std::string word; row_words >> word;) {
      if (word == "SOURCES" || word == "KNOWS" || word == "PRIVATE") {
        keyword = word;
      } else if (keyword == "KNOWS") {
        rows[name].insert(word);
      } else if (keyword == "PRIVATE") {
        privately[name].insert(word);
      }
    }
  }
  for (const auto& [name, libraries] : privately) {
    for (const std::string& library : libraries) {
      if (rows.contains(library)) rows[name].insert(library);
    }
  }
  return rows;
}

Complaints check_rows(const Edges& rows, const Plan& plan) {
  Complaints complaints;
  for (const auto& [room, knows] : rows) {
    if (!plan.knows.contains(room)) complaints.push_back("room " + room + " is not in the plan");
    const std::set<std::string> allowed = reach(plan.knows, room);
    for (const std::string& other : knows) {
      if (other == room || !allowed.contains(other)) complaints.push_back(room + " may not know " + other);
    }
  }
  return complaints;
}

/// Folders of src against the rows: what is built has one, what is planned has none yet.
Complaints check_folders(const std::set<std::string>& folders, const Plan& plan) {
  Complaints complaints = plan.complaints;
  for (const std::string& folder : folders) {
    if (!plan.states.contains(folder)) complaints.push_back("src/" + folder + " has no row");
  }
  for (const auto& [room, state] : plan.states) {
    if (state.starts_with("built") != folders.contains(room))
      complaints.push_back("src/" + room +
                           (folders.contains(room) ? " is there, its row says " : " is not there, its row says ") +
                           state);
  }
  return complaints;
}

/// True if the file, or one of the folders that it lies in, is among what a room reaches.
bool is_reached(const std::set<std::string>& reached, const std::string& file) {
  for (std::size_t slash = file.find('/'); slash != std::string::npos; slash = file.find('/', slash + 1)) {
    if (reached.contains(file.substr(0, slash))) return true;
  }
  return false;
}

/// The room that a file belongs to: the innermost of its folders that has a row, else the outermost.
std::string room_of(const std::string& path, const Edges& rows) {
  for (std::size_t slash = path.rfind('/'); slash != std::string::npos && slash > 0;
       slash = path.rfind('/', slash - 1)) {
    if (rows.contains(path.substr(0, slash))) return path.substr(0, slash);
  }
  return path.substr(0, path.find('/'));
}

/// Every #include "..." of src must name a file of a room that the including room's row reaches.
Complaints check_includes(const Tree& tree, const Edges& rows) {
  const std::regex include(R"re((?:^|\n)[ \t]*#[ \t]*include[ \t]*"([^"\n]*)")re");
  Complaints complaints;
  for (const auto& [path, text] : tree) {
    const std::string room = room_of(path, rows);
    if (!rows.contains(room)) {
      complaints.push_back(path + " belongs to no room");
      continue;
    }
    const std::set<std::string> reached = reach(rows, room);
    for (auto it = std::sregex_iterator(text.begin(), text.end(), include); it != std::sregex_iterator(); ++it) {
      const std::string target = (*it)[1];
      if (!is_reached(reached, target)) complaints.push_back(path + " includes " + target);
    }
  }
  return complaints;
}

std::string read_file(const fs::path& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

Tree read_sources(const fs::path& src) {
  Tree tree;
  for (const auto& entry : fs::recursive_directory_iterator(src)) {
    const fs::path extension = entry.path().extension();
    if (extension != ".h" && extension != ".cpp" && extension != ".inc") continue;
    tree[fs::relative(entry.path(), src).generic_string()] = read_file(entry.path());
  }
  return tree;
}

/// Paths of all files that git tracks, or nothing if git cannot tell.
std::optional<std::vector<std::string>> tracked_files(const std::string& root) {
  const std::string command = "git -c safe.directory='*' -C '" + root + "' ls-files -z";
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
  if (!pipe) return std::nullopt;
  std::string listing;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe.get())) > 0;) {
    listing.append(buffer.data(), n);
  }
  std::vector<std::string> paths;
  for (std::size_t at = 0; at < listing.size();) {
    const std::size_t end = listing.find('\0', at);
    paths.push_back(listing.substr(at, end - at));
    at = end + 1;
  }
  if (paths.empty()) return std::nullopt;
  return paths;
}

bool is_word(char c) {
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' || c == '-' || c == '.';
}

/// The first trace of a machine in a text: a package server's name or an absolute path of a home,
/// work or temporary folder. The words are put together here so that this file is clean itself.
std::optional<std::string> machine_trace(const std::string& text) {
  const std::string dot = ".";
  for (const std::string& host : {"registry" + dot + "npmjs", "registry" + dot + "yarnpkg", "deb" + dot + "debian",
                                  "security" + dot + "debian", "pypi" + dot + "org", "files" + dot + "pythonhosted",
                                  "proxy" + dot + "golang", "\"resolved\"" + std::string(": \"http")}) {
    if (text.find(host) != std::string::npos) return host;
  }
  const std::string slash = "/";
  for (const char* folder : {"work", "tmp", "root", "home"}) {
    const std::string path = slash + folder;
    for (std::size_t at = text.find(path); at != std::string::npos; at = text.find(path, at + 1)) {
      const char before = at == 0 ? ' ' : text[at - 1];
      const char after = at + path.size() < text.size() ? text[at + path.size()] : ' ';
      const bool stands_alone = !is_word(before) && before != '/' && before != '}' && before != ')' && before != '*';
      if (stands_alone && after == '/') return text.substr(at, 40);
    }
  }
  return std::nullopt;
}

std::set<std::string> folders_of(const fs::path& src) {
  std::set<std::string> folders;
  for (const auto& entry : fs::recursive_directory_iterator(src)) {
    if (entry.is_directory()) folders.insert(fs::relative(entry.path(), src).generic_string());
  }
  return folders;
}

const fs::path k_root = FRETLOOM_SOURCE_DIR;

Plan our_plan() { return read_plan(read_file(k_root / "docs/architecture.md")); }

/// The rows of src/CMakeLists.txt. A built room without one is a program with a list of its own: it may
/// include what the plan lets it know.
Edges our_rows(const Plan& plan) {
  Edges rows = read_rows(read_file(k_root / "src/CMakeLists.txt"));
  for (const auto& [room, state] : plan.states) {
    if (state.starts_with("built") && !rows.contains(room) && fs::exists(k_root / "src" / room / "CMakeLists.txt"))
      rows[room] = plan.knows.at(room);
  }
  return rows;
}

constexpr const char* k_made_up_table = R"(
| room | holds | may know | state |
| --- | --- | --- | --- |
| `src/base` | results | - | built |
| `src/theory` | keys | base | built |
| `src/score` | notes | theory | built |
| `src/sheet` | pages | score | planned |
| `src/sound` | a `kernel` | score | built; the band is planned |
| `src/engine` | pages' engine | sheet, sound/kernel | built |
| `src/cli` | commands | all above | built: check |
)";

constexpr const char* k_made_up_rows = R"(
function(fretloom_room room)
endfunction()
fretloom_room(base SOURCES a.cpp)  # fretloom_room(ghost KNOWS cli)
fretloom_room(theory SOURCES
    b.cpp
  KNOWS base PRIVATE fmt::fmt)
fretloom_room(score KNOWS theory)
)";

TEST(House, ReadsTheTableOfRooms) {
  const Plan plan = read_plan(k_made_up_table);
  EXPECT_EQ(plan.complaints, Complaints{});
  EXPECT_EQ(plan.states.size(), 7U);
  EXPECT_EQ(plan.knows.at("engine"), (std::set<std::string>{"sheet", "sound/kernel"}));
  EXPECT_EQ(plan.knows.at("cli").size(), 6U);
  EXPECT_EQ(plan.states.at("sheet"), "planned");
}

TEST(House, ReportsATableThatIsNotDownward) {
  EXPECT_EQ(read_plan("| `src/a` | x | b | built |\n| `src/b` | x | - | ready |\n").complaints,
            (Complaints{"a may know b, which has no row above", "room b is neither built nor planned: ready"}));
}

TEST(House, ReportsFoldersThatTheTableGetsWrong) {
  const Plan plan = read_plan(k_made_up_table);
  EXPECT_EQ(check_folders({"base", "theory", "score", "sound", "engine", "cli"}, plan), Complaints{});
  EXPECT_EQ(check_folders({"base", "theory", "score", "sound", "engine", "cli", "attic"}, plan),
            Complaints{"src/attic has no row"});
  EXPECT_EQ(check_folders({"base", "score", "sound", "engine", "cli"}, plan),
            Complaints{"src/theory is not there, its row says built"});
  EXPECT_EQ(check_folders({"base", "theory", "score", "sheet", "sound", "engine", "cli"}, plan),
            Complaints{"src/sheet is there, its row says planned"});
}

TEST(House, ReadsTheRowsOfRooms) {
  const Edges expected = {{"base", {}}, {"theory", {"base"}}, {"score", {"theory"}}};
  EXPECT_EQ(read_rows(k_made_up_rows), expected);
}

TEST(House, ReportsAnUpwardEdge) {
  const Plan plan = read_plan(k_made_up_table);
  EXPECT_EQ(check_rows({{"theory", {"score"}}, {"score", {}}}, plan), Complaints{"theory may not know score"});
  EXPECT_EQ(check_rows({{"sheet", {"sound"}}}, plan), Complaints{"sheet may not know sound"});
  EXPECT_EQ(check_rows({{"attic", {}}}, plan), Complaints{"room attic is not in the plan"});
  EXPECT_EQ(check_rows(read_rows("fretloom_room(base PRIVATE theory) fretloom_room(theory)"), plan),
            Complaints{"base may not know theory"});
  EXPECT_EQ(check_rows({{"score", {"base", "theory"}}, {"cli", {"engine", "sound"}}}, plan), Complaints{});
}

TEST(House, ReportsAnUpwardInclude) {
  const Edges rows = read_rows(k_made_up_rows);
  EXPECT_EQ(check_includes({{"score/s.cpp", "#include <map>\n#include \"base/a.h\"\n#include \"score/s.h\"\n"}}, rows),
            Complaints{});
  EXPECT_EQ(check_includes({{"base/a.cpp", "#include \"base/a.h\"\n  # include \"score/s.h\"\n"}}, rows),
            Complaints{"base/a.cpp includes score/s.h"});
  EXPECT_EQ(check_includes({{"base/a.cpp", "#include \"a.h\"\n"}}, rows), Complaints{"base/a.cpp includes a.h"});
  EXPECT_EQ(check_includes({{"attic/a.cpp", ""}}, rows), Complaints{"attic/a.cpp belongs to no room"});
  const Edges plan = read_plan(k_made_up_table).knows;
  EXPECT_EQ(check_includes({{"engine/e.cpp", "#include \"sound/kernel/v.h\"\n#include \"sound/r.h\"\n"}}, plan),
            Complaints{"engine/e.cpp includes sound/r.h"});
  const Edges inner = {{"sound/kernel", {}}, {"sound", {"sound/kernel"}}};
  EXPECT_EQ(check_includes({{"sound/kernel/v.cpp", "#include \"sound/kernel/v.h\"\n#include \"sound/r.h\"\n"},
                            {"sound/r.cpp", "#include \"sound/kernel/v.h\"\n#include \"sound/r.h\"\n"}},
                           inner),
            Complaints{"sound/kernel/v.cpp includes sound/r.h"});
}

TEST(House, HasTheFoldersOfItsTable) {
  const Plan plan = our_plan();
  ASSERT_TRUE(plan.states.contains("base"));
  EXPECT_EQ(check_folders(folders_of(k_root / "src"), plan), Complaints{});
}

TEST(House, LinksDownward) {
  const Edges rows = read_rows(read_file(k_root / "src/CMakeLists.txt"));
  ASSERT_TRUE(rows.contains("base"));
  EXPECT_EQ(check_rows(rows, our_plan()), Complaints{});
}

TEST(House, IncludesDownward) {
  const Tree tree = read_sources(k_root / "src");
  ASSERT_GT(tree.size(), 10U);
  EXPECT_EQ(check_includes(tree, our_rows(our_plan())), Complaints{});
}

TEST(House, SeesTracesOfAMachine) {
  const std::string slash = "/";
  EXPECT_TRUE(machine_trace("see " + slash + "work/notes.md"));
  EXPECT_TRUE(machine_trace("\"" + slash + "tmp/out.wav\""));
  EXPECT_TRUE(machine_trace("https://registry" + std::string(".npmjs") + ".org/x"));
  EXPECT_FALSE(machine_trace("art/work/x, ../tmp/, ${dir}/tmp/x, build/home/"));
}

TEST(House, ChecksInNothingOfAMachine) {
  const auto files = tracked_files(FRETLOOM_SOURCE_DIR);
  ASSERT_TRUE(files) << "git could not list the tracked files";
  for (const std::string& path : *files) {
    const fs::path file = fs::path(FRETLOOM_SOURCE_DIR) / path;
    if (!fs::is_regular_file(file)) continue;  // deleted but not yet committed
    const auto trace = machine_trace(read_file(file));
    EXPECT_FALSE(trace) << path << ": " << trace.value_or("");
  }
}

}  // namespace
}  // namespace fretloom
