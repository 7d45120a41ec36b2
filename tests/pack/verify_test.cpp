// Is a pack what its lesson gives?

#include "pack/verify.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>

#include "files/files.h"
#include "files/zip.h"
#include "pack/hash.h"
#include "pack/two_ideas.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using namespace test;

using List = std::vector<std::string>;

TEST(Verify, AcceptsAPackByEveryPathAndFindsEveryTamper) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, folder);
  for (const char* path : {"packs/two", "packs/two/", "packs/two-teacher", "packs/two.zip", "packs/./two"}) {
    const auto pack = read_pack(folder / path);
    ASSERT_TRUE(pack.ok()) << pack.error().what;
    const auto report = verify_pack(*pack, tools(), 2);
    ASSERT_TRUE(report.ok()) << report.error().what;
    EXPECT_EQ(report->problems, List());
    EXPECT_EQ(report->notes, List());
    EXPECT_EQ(report->parts, plan.parts.size());
  }
  EXPECT_EQ(packs_in_folder(folder / "packs"), List{folder / "packs/two"});
  const PackFiles good = read_pack(folder / "packs/two").value();
  const auto report_of = [](const PackFiles& pack) { return verify_pack(pack, tools(), 2).value(); };
  PackFiles changed = good;
  for (auto& [path, bytes] : changed.files)
    if (path == "two/two.mid") bytes.back() = static_cast<char>(bytes.back() ^ 1);
  EXPECT_EQ(report_of(changed).problems, List());
  EXPECT_EQ(report_of(changed).notes, List{"two/two.mid: was changed since it was made"});
  PackFiles missing = good;
  std::erase_if(missing.files, [](const auto& file) { return file.first == "two/two-tab.txt"; });
  EXPECT_EQ(report_of(missing).problems, List{"two/two-tab.txt: is in the manifest and not in the pack"});
  PackFiles extra = good;
  extra.foreign.emplace_back("two/more.txt");
  EXPECT_EQ(report_of(extra).problems, List());
  EXPECT_EQ(report_of(extra).notes, List{"two/more.txt: was not made by Fretloom"});
  // Other bytes that the manifest vouches for are found by making the part anew.
  PackFiles forged = good;
  for (auto& [path, bytes] : forged.files)
    if (path == "two/two-tab.txt") bytes += "and more\n";
  for (ManifestPart& part : forged.manifest.parts)
    if (part.path == "two/two-tab.txt") {
      part.sha256 = sha256(*forged.find(part.path));
      part.bytes = forged.find(part.path)->size();
    }
  const auto found = report_of(forged).problems;
  EXPECT_NE(std::find(found.begin(), found.end(), "two/two-tab.txt: is not what the lesson gives"), found.end());
  EXPECT_NE(std::find(found.begin(), found.end(), "two.zip: does not hold the parts of the pack"), found.end());
  // Another lesson under the same manifest: every part that it would change is told.
  PackFiles other = good;
  for (auto& [path, bytes] : other.files)
    if (path == "two-teacher/two.toml") bytes = lesson_text(8);
  EXPECT_GT(report_of(other).problems.size(), 8U);
  EXPECT_FALSE(verify_pack({}, tools()).ok());
}

TEST(Verify, SaysWhatIsMissing) {
  const Folder folder;
  make(quiet_plan(), folder);
  fs::copy_file(folder / "packs/two.zip", folder / "two.zip");
  const auto alone = read_pack(folder / "two.zip");
  ASSERT_FALSE(alone.ok());
  EXPECT_NE(alone.error().what.find("there is no "), std::string::npos) << alone.error().what;
  EXPECT_NE(alone.error().what.find("the folders two and two-teacher"), std::string::npos) << alone.error().what;
  EXPECT_FALSE(read_pack(folder / "packs/none.zip").ok());
  EXPECT_FALSE(read_pack(folder / "packs").ok());
  fs::rename(folder / "packs/two-teacher", folder / "packs/three-teacher");
  EXPECT_NE(read_pack(folder / "packs/three").error().what.find("there is no"), std::string::npos);
  fs::rename(folder / "packs/two", folder / "packs/three");
  EXPECT_NE(read_pack(folder / "packs/three").error().what.find("is of the pack \"two\""), std::string::npos);
  fs::rename(folder / "packs/three-teacher", folder / "packs/two-teacher");
  const auto students = verify_pack(read_pack(folder / "packs/two-teacher").value(), tools()).value();
  EXPECT_GT(students.problems.size(), 4U);  // the students' folder is gone
  fs::remove(folder / "packs/two-teacher/two.toml");
  EXPECT_FALSE(verify_pack(read_pack(folder / "packs/two-teacher").value(), tools()).ok());
}

TEST(Verify, DerivesTheChaptersFromTheDurations) {
  const Folder folder;
  PackChoice choice;
  choice.groups = {PartGroup::words};
  make(plan_of(lesson_text(), "test", choice, "0:30 Hello\n2:10 One\n0:20 Goodbye\n"), folder);
  const auto problems = [&] { return verify_pack(read_pack(folder / "packs/two").value(), tools())->problems; };
  EXPECT_EQ(problems(), List());
  put_bytes(packs(folder) / "two-teacher/two-durations.txt", "0:31 Hello\n2:10 One\n0:20 Goodbye\n");
  EXPECT_EQ(problems().size(), 2U);
  put_bytes(packs(folder) / "two-teacher/two-durations.txt", "half an hour\n");
  EXPECT_EQ(problems(), List{"two-teacher/two-durations.txt: was changed: its SHA-256 is not the manifest's"});
}

/// What verify finds after `harm` was done to a copy of the packs; an error counts as a problem.
template <class Harm>
VerifyReport report_after(const Folder& folder, Harm harm) {
  const fs::path copy = folder.path() / "copy";
  fs::remove_all(copy);
  fs::copy(packs(folder), copy, fs::copy_options::recursive);
  harm(copy);
  const auto pack = read_pack((copy / "two").string());
  if (!pack) return {0, {pack.error().what}, {}};
  const auto report = verify_pack(*pack, tools(), 2);
  return report ? *report : VerifyReport{0, {report.error().what}, {}};
}

template <class Harm>
List problems_after(const Folder& folder, Harm harm) {
  return report_after(folder, harm).problems;
}

TEST(Verify, ReadsNoLinkPipeOrHugeFileAndNamesIt) {
  const Folder folder;
  make(quiet_plan(), folder);
  EXPECT_EQ(problems_after(folder, [](const fs::path&) {}), List());
  const fs::path good = packs(folder) / "two/two-tab.txt";
  EXPECT_EQ(problems_after(folder,
                           [&](const fs::path& root) {
                             fs::remove(root / "two/two-tab.txt");
                             fs::create_symlink(good, root / "two/two-tab.txt");
                           }),
            List{"two/two-tab.txt: is a link; a pack holds files only"});
  EXPECT_EQ(problems_after(folder,
                           [](const fs::path& root) {
                             fs::remove(root / "two/two.mid");
                             ::mkfifo((root / "two/two.mid").c_str(), 0600);
                           }),
            List{"two/two.mid: is not a file"});
  EXPECT_EQ(problems_after(folder,
                           [&](const fs::path& root) {
                             fs::remove_all(root / "two");
                             fs::create_directory_symlink(packs(folder) / "two", root / "two");
                           })
                .front(),
            "two/start.html: lies behind a link; a pack holds files only");
  const auto notes = report_after(folder, [](const fs::path& root) {
    fs::create_symlink("/", root / "two/more");
    ::mkfifo((root / "two/pipe").c_str(), 0600);
    put_bytes(root / "two/a\n\x1b[31m\xff", "");
    put_bytes(root / "two/huge", "");
    fs::resize_file(root / "two/huge", std::uintmax_t{10} << 30U);  // sparse
    fs::resize_file(root / "two/two-tab.txt", std::uintmax_t{10} << 30U);
  });
  EXPECT_EQ(notes.problems, List());
  ASSERT_EQ(notes.notes.size(), 5U);
  EXPECT_EQ(notes.notes[0], "two/a\\x0A\\x1B[31m\\xFF: was not made by Fretloom");
  EXPECT_TRUE(notes.notes[4].starts_with("two/two-tab.txt: was changed: it has 10737418240 bytes")) << notes.notes[4];
  EXPECT_EQ(
      problems_after(folder, [](const fs::path& root) { put_bytes(root / "two-teacher/two.toml", "not = [a lesson"); })
          .front(),
      "two-teacher/two.toml: was changed: its SHA-256 is not the manifest's");
  ASSERT_EQ(::mkfifo((folder / "pipe.zip").c_str(), 0600), 0);
  EXPECT_EQ(read_pack(folder / "pipe.zip").error().kind, ErrorKind::io);
}

TEST(Verify, DerivesTheManifestToo) {
  const Folder folder;
  make(quiet_plan(), folder);
  const auto problems_with = [&](const std::string& was, const std::string& is) {
    return problems_after(folder, [&](const fs::path& root) {
      std::string json = bytes_of(root / "two-teacher/manifest.json");
      const auto at = json.find(was);
      ASSERT_NE(at, std::string::npos) << was;
      put_bytes(root / "two-teacher/manifest.json", json.replace(at, was.size(), is));
    });
  };
  const List found = {"two-teacher/manifest.json: is not what the lesson gives"};
  EXPECT_EQ(problems_with("\"Two ideas\"", "\"Three ideas\""), found);
  EXPECT_EQ(problems_with("\"Demo Teacher\"", "\"Somebody\""), found);
  EXPECT_EQ(problems_with("\"ideas\": 2", "\"ideas\": 3"), found);
  EXPECT_EQ(problems_with("\"group\": \"tab\"", "\"group\": \"plan\""), found);
  EXPECT_EQ(problems_with("\"stamped\": true", "\"stamped\": false"), found);
  EXPECT_EQ(problems_with("\"key\": \"D dorian\"", "\"key\": \"C major\""), found);
  EXPECT_EQ(problems_with("{", "{ \"more\": 1,"), found);
  EXPECT_EQ(problems_with("\n}\n", "\n}\n\n"), found);
  const std::string key = quiet_plan().parts.back().key;
  EXPECT_EQ(problems_with(key, std::string(64, '0')), found);
  // The same pack of another program: its keys are other ones, and nothing is wrong.
  EXPECT_EQ(verify_pack(read_pack(folder / "packs/two").value(), tools("another program")).value().problems, List());
}

TEST(Verify, TakesAZipOfAnotherProgramAndNoneThatLeavesItsFolder) {
  const Folder folder;
  make(quiet_plan(), folder);
  const auto entries = unzip(bytes_of(folder / "packs/two.zip"), std::size_t{1} << 30U).value();
  const auto report_of = [&](const std::string& bytes) {
    return report_after(folder, [&](const fs::path& root) { put_bytes(root / "two.zip", bytes); });
  };
  std::string bytes = bytes_of(folder / "packs/two.zip");
  const auto list = bytes.find("PK\x01\x02");
  ASSERT_NE(list, std::string::npos);
  bytes[list + 38] = static_cast<char>(bytes[list + 38] ^ 1);  // external attributes (APPNOTE 4.3.12)
  EXPECT_EQ(report_of(bytes).problems, List());
  EXPECT_EQ(report_of(bytes).notes, List{"two.zip: other bytes than this program writes, the same files"});
  std::vector<ZipEntry> fewer = entries;
  fewer.pop_back();
  EXPECT_EQ(report_of(zip_bytes(fewer).value()).notes,
            List{"two.zip: was changed since it was made, and holds other files than the pack"});
  for (const char* name : {"../two/tab.txt", "/tab.txt", "two/../../tab.txt", "two/..\\x", "C:/x"}) {
    std::vector<ZipEntry> changed = entries;
    for (ZipEntry& entry : changed)
      if (entry.name == "two/two-tab.txt") entry.name = name;
    EXPECT_EQ(report_of(zip_bytes(changed).value()).problems.size(), 1U) << name;
  }
  EXPECT_EQ(report_of("no zip at all").problems.size(), 1U);
}

}  // namespace
}  // namespace fretloom
