// What Fretloom did not make is never overwritten, removed or packed.

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>

#include "files/files.h"
#include "files/zip.h"
#include "pack/two_ideas.h"
#include "pack/verify.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using namespace test;

using Files = std::map<std::string, std::string>;

std::vector<std::string> names_in_zip(const fs::path& zip) {
  std::vector<std::string> names;
  for (const ZipEntry& entry : unzip(bytes_of(zip), std::size_t{1} << 30U).value()) names.push_back(entry.name);
  return names;
}

void put_all(const Folder& folder, const Files& files) {
  for (const auto& [path, bytes] : files) {
    fs::create_directories((packs(folder) / path).parent_path());
    put_bytes(packs(folder) / path, bytes);
  }
}

void expect_all(const Folder& folder, const Files& files) {
  for (const auto& [path, bytes] : files) EXPECT_EQ(bytes_of(packs(folder) / path), bytes) << path;
}

/// Somebody else's, in every place that a pack has.
Files foreign() {
  return {{"index.html", "<h1>My school</h1>"},
          {"two.zip", "my own zip"},
          {"notes.txt", "of mine"},
          {"two/film.mp4", "a film"},
          {"two/two-tab.txt", "my own tab"},
          {"two/start.html", "my own page"},
          {"two/extra/more.txt", "more"},
          {"two/audio/mine.mp3", "sung"},
          {"two-teacher/two-email.txt", "Dear all"},
          {"two-teacher/bills.ods", "figures"}};
}

TEST(Keep, ForeignFilesStayThroughFiftyRuns) {
  const Folder folder;
  put_all(folder, foreign());
  PackChoice small;
  small.groups = {PartGroup::tab, PartGroup::words, PartGroup::drawings};
  for (int run = 0; run < 50; ++run) {
    SCOPED_TRACE(run);
    // Choices and lessons change from run to run; every tenth run is only of the tab.
    const std::string lesson = lesson_text(run % 3 == 0 ? 8 : 10);
    const PackPlan plan = run % 2 == 0 ? quiet_plan(lesson) : plan_of(lesson, "test", small);
    make(plan, folder, run % 10 == 9 ? std::vector<PartGroup>{PartGroup::tab} : std::vector<PartGroup>());
    Disk disk;
    const auto index = write_index(disk, packs(folder));
    ASSERT_TRUE(index.ok());
    EXPECT_EQ(index->page.filename(), "index-new.html");
    expect_all(folder, foreign());
    if (HasFailure()) return;
  }
  const auto files = tree(packs(folder));
  for (const char* path : {"two-new.zip", "two/two-tab-new.txt", "two/start-new.html", "two-teacher/two-email-new.txt"})
    EXPECT_TRUE(files.contains(path)) << path;
  for (const auto& [path, bytes] : files) EXPECT_EQ(path.find("-new-2"), std::string::npos) << path;
  // The zip holds the pack's own parts under their own names, and nothing else.
  for (const std::string& name : names_in_zip(packs(folder) / "two-new.zip")) {
    EXPECT_TRUE(name.starts_with("two/")) << name;
    EXPECT_EQ(name.find("-new"), std::string::npos) << name;
    EXPECT_FALSE(name.ends_with("film.mp4") || name.ends_with("more.txt") || name.ends_with("mine.mp3")) << name;
  }
  const auto entries = unzip(files.at("two-new.zip"), std::size_t{1} << 30U).value();
  for (const ZipEntry& entry : entries) EXPECT_NE(entry.bytes, "my own tab") << entry.name;
}

TEST(Keep, AnEditedPartStaysAndTheNewOneLiesBeside) {
  const Folder folder;
  const PackPlan plan = quiet_plan();
  make_with_index(plan, folder);
  const auto wanted = tree(packs(folder));
  const Files edits = {{"two/two-tab.txt", "corrected"}, {"two-teacher/two-script.txt", "my words"}};
  put_all(folder, edits);
  const PackReport report = make(plan, folder);
  using Beside = std::vector<std::pair<std::string, std::string>>;
  EXPECT_EQ(report.beside, (Beside{{"two-teacher/two-script.txt", "two-teacher/two-script-new.txt"},
                                   {"two/two-tab.txt", "two/two-tab-new.txt"}}));
  expect_all(folder, edits);
  EXPECT_EQ(bytes_of(packs(folder) / "two/two-tab-new.txt"), wanted.at("two/two-tab.txt"));
  EXPECT_EQ(bytes_of(packs(folder) / "two.zip"), wanted.at("two.zip"));
  const auto after = tree(packs(folder));
  EXPECT_FALSE(make(plan, folder).is_changed);
  EXPECT_EQ(tree(packs(folder)), after);
  const auto verified = verify_pack(read_pack(folder / "packs/two").value(), tools()).value();
  EXPECT_TRUE(verified.problems.empty()) << verified.problems.front();
  EXPECT_EQ(verified.notes.size(), 4U);  // each of the two is told, and that it is not Fretloom's
  // An edit of the part that lies beside is kept as well.
  put_bytes(packs(folder) / "two/two-tab-new.txt", "corrected too");
  make(quiet_plan(lesson_text(8)), folder);
  expect_all(folder, edits);
  EXPECT_EQ(bytes_of(packs(folder) / "two/two-tab-new.txt"), "corrected too");
  EXPECT_TRUE(fs::exists(packs(folder) / "two/two-tab-new-2.txt"));
  // When the edits go, the parts come back to their places.
  for (const char* path : {"two/two-tab.txt", "two/two-tab-new.txt", "two-teacher/two-script.txt"})
    fs::remove(packs(folder) / path);
  make_with_index(plan, folder);
  EXPECT_EQ(tree(packs(folder)), wanted);
}

TEST(Keep, OnlySomePartsAreMadeAndTheOthersStay) {
  const Folder folder;
  make(quiet_plan(lesson_text(10)), folder);
  const auto before = tree(packs(folder));
  const PackReport report = make(quiet_plan(lesson_text(8)), folder, {PartGroup::tab});
  EXPECT_TRUE(report.removed.empty());
  const auto after = tree(packs(folder));
  std::vector<std::string> changed;
  for (const auto& [path, bytes] : after) {
    if (!before.contains(path) || before.at(path) != bytes) changed.push_back(path);
  }
  EXPECT_EQ(before.size(), after.size());
  EXPECT_EQ(changed, (std::vector<std::string>{"two-teacher/manifest.json", "two-teacher/two.toml", "two.zip",
                                               "two/start.html", "two/two-tab.txt"}));
  // Those that stayed are stale now, and verify names them.
  const auto verified = verify_pack(read_pack(folder / "packs/two").value(), tools()).value();
  const auto has = [&](const std::string& start) {
    return std::any_of(verified.problems.begin(), verified.problems.end(),
                       [&](const std::string& line) { return line.starts_with(start); });
  };
  EXPECT_TRUE(has("two/two.mid: ") && has("two-teacher/two-script.txt: "));
  EXPECT_FALSE(has("two/two-tab.txt") || has("two.zip"));
  // A part that was not asked for and is missing stays so.
  fs::remove(packs(folder) / "two/two.mid");
  make(quiet_plan(lesson_text(8)), folder, {PartGroup::tab});
  EXPECT_FALSE(fs::exists(packs(folder) / "two/two.mid"));
}

TEST(Keep, TheChoiceOfTheOtherPartsStays) {
  PackChoice old;
  old.paper = "letter";
  old.groups = {PartGroup::handout, PartGroup::plan};
  PackChoice wanted;
  wanted.groups = {PartGroup::tab, PartGroup::plan};
  wanted.plan.days = 3;
  const PackChoice both = merged(old, wanted);
  EXPECT_EQ(both.paper, "letter");
  EXPECT_EQ(both.plan.days, 3);
  EXPECT_EQ(both.groups, (std::vector<PartGroup>{PartGroup::handout, PartGroup::tab, PartGroup::plan}));
  old.groups.clear();
  EXPECT_TRUE(merged(old, wanted).groups.empty());
  wanted.groups.clear();
  EXPECT_EQ(choice_text(merged(old, wanted)), choice_text(wanted));
}

TEST(Keep, NothingIsWrittenWhereALinkOrPipeLeads) {
  const Folder folder;
  const PackPlan plan = quiet_plan();
  make(plan, folder);
  const auto wanted = tree(packs(folder));
  fs::create_directories(folder.path() / "outside");
  const Files outside = {{"tab.txt", "precious"}, {"zip", "precious"}, {"two.musicxml", "precious"}};
  for (const auto& [path, bytes] : outside) put_bytes(folder.path() / "outside" / path, bytes);
  for (const char* path : {"two/two-tab.txt", "two/two.mid", "two.zip"}) fs::remove(packs(folder) / path);
  fs::create_symlink(folder.path() / "outside/tab.txt", packs(folder) / "two/two-tab.txt");
  ASSERT_EQ(::mkfifo((packs(folder) / "two/two.mid").c_str(), 0600), 0);
  fs::create_symlink(folder.path() / "outside/zip", packs(folder) / "two.zip");
  make(plan, folder);
  EXPECT_EQ(tree(folder.path() / "outside"), outside);
  EXPECT_TRUE(fs::is_symlink(packs(folder) / "two/two-tab.txt"));
  EXPECT_TRUE(fs::is_fifo(packs(folder) / "two/two.mid"));
  EXPECT_EQ(bytes_of(packs(folder) / "two/two-tab-new.txt"), wanted.at("two/two-tab.txt"));
  EXPECT_EQ(bytes_of(packs(folder) / "two/two-new.mid"), wanted.at("two/two.mid"));
  // A folder that is a link is refused, and nothing is changed.
  for (const char* path : {"two/drawings", "two-teacher", "two"}) {
    SCOPED_TRACE(path);
    const Folder other;
    make(plan, other);
    fs::create_directories(other.path() / "outside");
    if (fs::exists(packs(other) / path)) fs::rename(packs(other) / path, other.path() / "outside/there");
    fs::create_directory_symlink(other.path() / "outside", packs(other) / path);
    const auto before = tree(other.path());
    PackChoice choice;
    choice.groups = {PartGroup::tab, PartGroup::words, PartGroup::drawings};
    const auto report = make_pack(plan_of(lesson_text(8), "test", choice), run_in(other));
    ASSERT_FALSE(report.ok());
    EXPECT_NE(report.error().what.find("is a link to another place; nothing is written there"), std::string::npos)
        << report.error().what;
    EXPECT_EQ(tree(other.path()), before);
  }
}

TEST(Keep, AManifestOfSomebodyElseStopsThePack) {
  for (const char* text : {"{}", "my list", "{\"format\": 99}"}) {
    const Folder folder;
    fs::create_directories(packs(folder) / "two-teacher");
    put_bytes(packs(folder) / "two-teacher/manifest.json", text);
    const auto report = make_pack(quiet_plan(), run_in(folder));
    ASSERT_FALSE(report.ok());
    EXPECT_FALSE(report.error().repair.empty());
    EXPECT_EQ(tree(packs(folder)), (Files{{"two-teacher/manifest.json", text}}));
  }
}

TEST(Keep, APageIsKnownByItsOwnHash) {
  const std::string page = index_html({});
  EXPECT_TRUE(is_own_index(page));
  std::string edited = page;
  edited.replace(edited.find("Lessons"), 7, "Courses");
  EXPECT_FALSE(is_own_index(edited));
  EXPECT_FALSE(is_own_index("<h1>My school</h1>"));
  EXPECT_FALSE(is_own_index(page.substr(0, page.find("fretloom-index") + 20)));
}

}  // namespace
}  // namespace fretloom
