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

/// What each room may know: the table of docs/architecture.md. What those know is known as well.
const Edges& plan() {
  static const Edges k_plan = [] {
    Edges edges = {{"base", {}},
                   {"theory", {"base"}},
                   {"score", {"theory"}},
                   {"neck", {"theory"}},
                   {"lick", {"neck", "score"}},
                   {"hand", {"lick"}},
                   {"lesson", {"hand"}},
                   {"words", {"lesson"}},
                   {"files", {"base"}},
                   {"sheet", {"score", "files"}},
                   {"sound", {"score", "files"}},
                   {"exchange", {"score", "files"}},
                   {"take", {"score"}},
                   {"insight", {"lesson", "exchange"}},
                   {"shelf", {"insight"}},
                   {"pack", {"words", "sheet", "sound", "exchange", "files"}}};
    for (const char* top : {"studio", "cli"}) {
      std::set<std::string> all_above;
      for (const auto& [room, knows] : edges) all_above.insert(room);
      edges[top] = all_above;
    }
    return edges;
  }();
  return k_plan;
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

Complaints check_rows(const Edges& rows) {
  Complaints complaints;
  for (const auto& [room, knows] : rows) {
    if (!plan().contains(room)) complaints.push_back("room " + room + " is not in the plan");
    const std::set<std::string> allowed = reach(plan(), room);
    for (const std::string& other : knows) {
      if (other == room || !allowed.contains(other)) complaints.push_back(room + " may not know " + other);
    }
  }
  return complaints;
}

/// Every #include "..." of src must name a file of a room that the including room's row reaches.
Complaints check_includes(const Tree& tree, const Edges& rows) {
  const std::regex include(R"re((?:^|\n)[ \t]*#[ \t]*include[ \t]*"([^"\n]*)")re");
  Complaints complaints;
  for (const auto& [path, text] : tree) {
    const std::string room = path.substr(0, path.find('/'));
    if (!rows.contains(room)) {
      complaints.push_back(path + " belongs to no room");
      continue;
    }
    const std::set<std::string> reached = reach(rows, room);
    for (auto it = std::sregex_iterator(text.begin(), text.end(), include); it != std::sregex_iterator(); ++it) {
      const std::string target = (*it)[1];
      const std::size_t slash = target.find('/');
      if (slash == std::string::npos || !reached.contains(target.substr(0, slash))) {
        complaints.push_back(path + " includes " + target);
      }
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

constexpr const char* k_made_up_rows = R"(
function(fretloom_room room)
endfunction()
fretloom_room(base SOURCES a.cpp)  # fretloom_room(ghost KNOWS cli)
fretloom_room(theory SOURCES
    b.cpp
  KNOWS base PRIVATE fmt::fmt)
fretloom_room(score KNOWS theory)
)";

TEST(House, ReadsTheRowsOfRooms) {
  const Edges expected = {{"base", {}}, {"theory", {"base"}}, {"score", {"theory"}}};
  EXPECT_EQ(read_rows(k_made_up_rows), expected);
}

TEST(House, ReportsAnUpwardEdge) {
  EXPECT_EQ(check_rows({{"theory", {"score"}}, {"score", {}}}), Complaints{"theory may not know score"});
  EXPECT_EQ(check_rows({{"sheet", {"sound"}}}), Complaints{"sheet may not know sound"});
  EXPECT_EQ(check_rows({{"attic", {}}}), Complaints{"room attic is not in the plan"});
  EXPECT_EQ(check_rows(read_rows("fretloom_room(base PRIVATE theory) fretloom_room(theory)")),
            Complaints{"base may not know theory"});
  EXPECT_EQ(check_rows({{"lick", {"base", "neck"}}, {"cli", {"studio", "pack"}}}), Complaints{});
}

TEST(House, ReportsAnUpwardInclude) {
  const Edges rows = read_rows(k_made_up_rows);
  EXPECT_EQ(check_includes({{"score/s.cpp", "#include <map>\n#include \"base/a.h\"\n#include \"score/s.h\"\n"}}, rows),
            Complaints{});
  EXPECT_EQ(check_includes({{"base/a.cpp", "#include \"base/a.h\"\n  # include \"score/s.h\"\n"}}, rows),
            Complaints{"base/a.cpp includes score/s.h"});
  EXPECT_EQ(check_includes({{"base/a.cpp", "#include \"a.h\"\n"}}, rows), Complaints{"base/a.cpp includes a.h"});
  EXPECT_EQ(check_includes({{"attic/a.cpp", ""}}, rows), Complaints{"attic/a.cpp belongs to no room"});
}

TEST(House, LinksDownward) {
  const Edges rows = read_rows(read_file(fs::path(FRETLOOM_SOURCE_DIR) / "src/CMakeLists.txt"));
  ASSERT_TRUE(rows.contains("base"));
  EXPECT_EQ(check_rows(rows), Complaints{});
}

TEST(House, IncludesDownward) {
  const fs::path src = fs::path(FRETLOOM_SOURCE_DIR) / "src";
  const Tree tree = read_sources(src);
  ASSERT_GT(tree.size(), 10U);
  Edges rows = read_rows(read_file(src / "CMakeLists.txt"));
  rows["cli"] = plan().at("cli");  // a program, not a library: it has no row
  EXPECT_EQ(check_includes(tree, rows), Complaints{});
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
