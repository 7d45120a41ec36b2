// The command as it is installed: `cmake --install` to a folder of its own, and nothing else of the build.

#include <gtest/gtest.h>

#include <filesystem>
#include <regex>
#include <set>
#include <sstream>
#include <string>

#include "outside.h"

namespace fretloom::test {
namespace {

namespace fs = std::filesystem;

/// Installed once for all tests.
const fs::path& prefix() {
  static const Folder folder;
  static const ToolRun run =
      run_tool("'" FRETLOOM_CMAKE "' --install '" FRETLOOM_BUILD_DIR "' --prefix '" + (folder / "usr") + "'");
  EXPECT_EQ(run.code, 0) << run.out;
  static const fs::path path = folder.path() / "usr";
  return path;
}

/// The installed command in a folder, with no variable of this shell but where to look for programs and what the
/// sanitizers were told.
ToolRun run_installed(const fs::path& program, const Folder& folder, const std::string& arguments,
                      const std::string& variables = "") {
  return run_tool("cd '" + folder.path().string() + "' && env -i PATH=\"$PATH\" HOME='" + folder.path().string() +
                  "' LSAN_OPTIONS=\"$LSAN_OPTIONS\" " + variables + " '" + program.string() + "' " + arguments);
}

std::string manual_page() {
  const ToolRun page = run_tool("gzip -dc '" + (prefix() / "share/man/man1/fretloom.1.gz").string() + "'");
  EXPECT_EQ(page.code, 0) << page.out;
  return page.out;
}

/// Without the escapes of fonts and hyphens.
std::string plain(const std::string& page) {
  return std::regex_replace(std::regex_replace(page, std::regex(R"(\\f[BIR])"), ""), std::regex(R"(\\-)"), "-");
}

/// The options that stand before the text of a row: "-o", "--output".
std::set<std::string> options_of(const std::string& row) {
  static const std::regex option(R"((?:^|[ ,])(--?[a-z][a-z-]*))");
  std::set<std::string> found;
  for (auto it = std::sregex_iterator(row.begin(), row.end(), option); it != std::sregex_iterator(); ++it)
    found.insert((*it)[1]);
  return found;
}

/// Of "  --name VALUE     text" and "  name     text" what stands before the text.
std::string head_of(const std::string& row) { return row.substr(2, row.find("  ", 2) - 2); }

struct Help {
  std::set<std::string> options;
  std::set<std::string> commands;
};

Help help_of(const std::string& command) {
  const Folder folder;
  const ToolRun run = run_installed(prefix() / "bin/fretloom", folder, command + " --help");
  EXPECT_EQ(run.code, 0) << run.out;
  Help help;
  std::string part;
  std::istringstream rows(run.out);
  for (std::string row; std::getline(rows, row);) {
    if (!row.starts_with("  ")) {
      part = row;
    } else if (row.size() > 2 && row[2] != ' ') {
      if (part == "Options:") help.options.merge(options_of(head_of(row)));
      if (part == "Subcommands:") help.commands.insert(head_of(row));
    }
  }
  return help;
}

/// From a heading of the page to the next; nothing if there is none.
std::string section(const std::string& page, const std::string& heading) {
  const std::size_t begin = page.find("\n" + heading + "\n");
  if (begin == std::string::npos) return "";
  return page.substr(begin, std::min(page.find("\n.S", begin + 1), page.size()) - begin);
}

/// The options that have a row of their own, which follows .TP.
std::set<std::string> rows_of(const std::string& text) {
  std::set<std::string> found;
  std::istringstream rows(text);
  bool is_row = false;
  for (std::string row; std::getline(rows, row); is_row = row == ".TP") {
    if (is_row) found.merge(options_of(row));
  }
  return found;
}

TEST(Install, ManualPageHasEveryCommandAndOptionOfTheHelp) {
  const std::string page = plain(manual_page());
  const Help all = help_of("");
  EXPECT_GE(all.commands.size(), 8U);
  EXPECT_TRUE(all.options.contains("--version"));
  EXPECT_EQ(rows_of(section(page, ".SH OPTIONS")), all.options);
  std::set<std::string> sections;
  for (std::size_t at = 0; (at = page.find("\n.SS ", at)) != std::string::npos; ++at)
    sections.insert(page.substr(at + 5, page.find('\n', at + 1) - at - 5));
  EXPECT_EQ(sections, all.commands);
  for (const std::string& command : all.commands) {
    const Help help = help_of(command);
    EXPECT_TRUE(help.options.contains("--help")) << command;
    EXPECT_EQ(rows_of(section(page, ".SS " + command)), help.options) << command;
  }
}

TEST(Install, ManualPageIsSetWithoutAWarning) {
  if (!have_tool("groff")) GTEST_SKIP() << "needs groff";
  const Folder folder;
  put_bytes(folder.path() / "fretloom.1", manual_page());
  const ToolRun warnings = run_tool("groff -man -Kutf8 -Tutf8 -ww -z '" + (folder / "fretloom.1") + "'");
  EXPECT_EQ(warnings.code, 0);
  EXPECT_EQ(warnings.out, "");
  const ToolRun set = run_tool("groff -man -Kutf8 -Tascii '" + (folder / "fretloom.1") + "'");
  EXPECT_NE(set.out.find("fretloom pack"), std::string::npos);
}

TEST(Install, PacksAnInstalledDemo) {
  const Folder folder;
  const fs::path demo = prefix() / "share/fretloom/demos/bass-steps.toml";
  const ToolRun packed = run_installed(prefix() / "bin/fretloom", folder,
                                       "pack '" + demo.string() + "' -o packs --only handout,tab,drawings");
  EXPECT_EQ(packed.code, 0) << packed.out;
  std::size_t pdfs = 0;
  std::size_t zips = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder.path() / "packs")) {
    if (entry.path().extension() == ".pdf") pdfs += bytes_of(entry.path()).starts_with("%PDF") ? 1U : 0U;
    if (entry.path().extension() == ".zip") ++zips;
  }
  EXPECT_GE(pdfs, 1U);
  EXPECT_GE(zips, 1U);
}

TEST(Install, DrawsWhatTheBuildTreeDraws) {
  const Folder folder;
  const std::string demo = "'" + (prefix() / "share/fretloom/demos/bass-steps.toml").string() + "'";
  ASSERT_EQ(run_installed(prefix() / "bin/fretloom", folder, "sheet " + demo + " -o installed.pdf").code, 0);
  ASSERT_EQ(run_installed(FRETLOOM_COMMAND, folder, "sheet " + demo + " -o built.pdf").code, 0);
  EXPECT_TRUE(bytes_of(folder.path() / "installed.pdf") == bytes_of(folder.path() / "built.pdf"));
}

// A program that lies in a folder of the checkout still looks beside itself alone.
TEST(Install, DataLieBesideTheProgramOrWhereTheVariableSays) {
  const Folder folder;
  fs::create_directories(folder.path() / "bin");
  fs::copy_file(prefix() / "bin/fretloom", folder.path() / "bin/fretloom");
  const fs::path program = folder.path() / "bin/fretloom";
  const std::string draw = "sheet '" + (prefix() / "share/fretloom/demos/bass-steps.toml").string() + "' -o a.svg";

  const ToolRun alone = run_installed(program, folder, draw);
  EXPECT_EQ(alone.code, 1);
  EXPECT_NE(alone.out.find(folder / "share/fretloom/music-font.outlines"), std::string::npos) << alone.out;
  EXPECT_NE(alone.out.find("FRETLOOM_DATA"), std::string::npos) << alone.out;
  EXPECT_FALSE(fs::exists(folder.path() / "a.svg"));

  const std::string named = "FRETLOOM_DATA='" + (prefix() / "share/fretloom").string() + "'";
  EXPECT_EQ(run_installed(program, folder, draw, named).code, 0);
  EXPECT_TRUE(fs::exists(folder.path() / "a.svg"));

  fs::create_directories(folder.path() / "share");
  fs::copy(prefix() / "share/fretloom", folder.path() / "share/fretloom");
  EXPECT_EQ(run_installed(program, folder, draw).code, 0);
  EXPECT_EQ(run_installed(program, folder, draw, "FRETLOOM_DATA=").code, 0);
  EXPECT_EQ(run_installed(program, folder, draw, "FRETLOOM_DATA=elsewhere").code, 1);  // only where it says

  fs::create_symlink(program, folder.path() / "linked");
  EXPECT_EQ(run_installed(folder.path() / "linked", folder, draw).code, 0);
}

TEST(Install, CutDataAreRefused) {
  const Folder folder;
  const std::string outlines = bytes_of(prefix() / "share/fretloom/music-font.outlines");
  put_bytes(folder.path() / "music-font.outlines", outlines.substr(0, outlines.size() / 2));
  const ToolRun run = run_installed(
      prefix() / "bin/fretloom", folder,
      "sheet '" + (prefix() / "share/fretloom/demos/bass-steps.toml").string() + "' -o a.svg", "FRETLOOM_DATA=.");
  EXPECT_EQ(run.code, 1);
  EXPECT_NE(run.out.find("cut short"), std::string::npos) << run.out;
}

TEST(Install, LicencesComeAlong) {
  const std::string copyright = bytes_of(prefix() / "share/doc/fretloom/copyright");
  EXPECT_NE(copyright.find("License: Expat"), std::string::npos);
  EXPECT_NE(copyright.find("Permission is hereby granted, free of charge"), std::string::npos);
  EXPECT_NE(copyright.find("SIL OPEN FONT LICENSE Version 1.1"), std::string::npos);
  EXPECT_EQ(copyright.find('@' + std::string("FRETLOOM")), std::string::npos);
  EXPECT_NE(bytes_of(prefix() / "share/fretloom/OFL.txt").find("SIL OPEN FONT LICENSE"), std::string::npos);
  EXPECT_NE(bytes_of(prefix() / "share/fretloom/music-font.outlines").find("SIL Open Font License"), std::string::npos);
}

}  // namespace
}  // namespace fretloom::test
