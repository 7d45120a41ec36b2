// Packs: one hash, nothing made twice, nothing left half done.

#include "pack/pack.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>
#include <map>
#include <thread>

#include "draw/font_file.h"
#include "files/files.h"
#include "files/zip.h"
#include "outside.h"
#include "pack/changes.h"
#include "pack/hash.h"
#include "pack/index.h"
#include "pack/manifest.h"
#include "pack/verify.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using test::bytes_of;
using test::Folder;
using test::put_bytes;

const sheet::MusicFont& font() {
  static const sheet::MusicFont font = draw::load_music_font(FRETLOOM_MUSIC_FONT).value();
  return font;
}

PackTools tools(const std::string& maker = "test") { return {&font(), maker}; }

/// A TOML literal for a title.
std::string title_string(const std::string& title) {
  std::string text = "\"";
  for (const char c : title) text += c == '"' ? std::string("\\\"") : std::string(1, c);
  return text + "\"";
}

/// Two short ideas; the second one's third note of its first repetition at `fret`.
std::string lesson_text(int fret = 10, const std::string& title = "Two ideas") {
  return "title = " + title_string(title) +
         "\nauthor = \"Demo Teacher\"\nkey = \"D dorian\"\ntempo = { slow = 90, goal = 150 }\nlayout = { from = 5 }\n"
         "[[idea]]\nname = \"One\"\nnotes_per_beat = [4]\ncell = \"1 2 3 2\"\nrepeats = 2\n[[idea]]\nname = "
         "\"Two\"\nnotes_per_beat = [4]\ncell = \"1 3 2 1\"\n"
         "repeats = 2\nedits = [{ repeat = 1, note = 3, fret = " +
         std::to_string(fret) + " }]\n";
}

PackPlan plan_of(const std::string& lesson, const std::string& maker = "test", PackChoice choice = {},
                 const std::string& durations = "") {
  choice.plan.present_bpm = Rational(0);
  const auto plan = plan_parts(compile_lesson(lesson), {lesson, "", durations}, choice, tools(maker));
  EXPECT_TRUE(plan.ok()) << plan.error().what;
  return plan.value();
}

PackReport make(const PackPlan& plan, const Folder& folder, const StopFlag* stop = nullptr,
                std::function<void(double)> progress = {}) {
  const auto report = make_pack(plan, {folder.path() / "packs", "two", 2, stop, std::move(progress)});
  EXPECT_TRUE(report.ok()) << report.error().what;
  return report.value();
}

/// All files below a folder with their bytes, the cache left out.
std::map<std::string, std::string> tree(const fs::path& root) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(root)) {
    const std::string path = entry.path().lexically_relative(root).generic_string();
    if (entry.is_regular_file() && !path.starts_with(".cache/")) files[path] = bytes_of(entry.path());
  }
  return files;
}

std::map<std::string, PartState> states(const PackPlan& plan, const PackReport& report) {
  std::map<std::string, PartState> by_path;
  for (std::size_t i = 0; i < plan.parts.size(); ++i) by_path[plan.parts[i].path] = report.states[i];
  return by_path;
}

// FIPS 180-2, appendix B.1 and B.2, and the empty message (NIST example values).
TEST(Sha256, GivesThePublishedDigests) {
  EXPECT_EQ(sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Pack, EveryPartBearsTheLessonsHash) {
  const Folder folder;
  const std::string lesson = lesson_text();
  const PackPlan plan = plan_of(lesson);
  make(plan, folder);
  const auto files = tree(folder.path() / "packs/two");
  EXPECT_EQ(files.at("lesson.toml"), lesson);
  const auto manifest = read_manifest(files.at("manifest.json")).value();
  EXPECT_EQ(manifest.lesson_sha256, sha256(lesson));
  EXPECT_EQ(manifest.parts.size(), plan.parts.size());
  EXPECT_EQ(files.size(), plan.parts.size() + 1);
  for (const ManifestPart& part : manifest.parts) {
    const std::string& bytes = files.at(part.path);
    EXPECT_EQ(part.sha256, sha256(bytes)) << part.path;
    EXPECT_EQ(part.bytes, bytes.size()) << part.path;
    EXPECT_EQ(bytes.find(blank_stamp()), std::string::npos) << part.path;
    if (part.stamped) {
      EXPECT_NE(bytes.find(full_stamp(sha256(lesson))), std::string::npos) << part.path;
    }
  }
  if (test::have_tool("sha256sum")) {
    const auto said = test::run_tool("sha256sum '" + (folder / "packs/two/lesson.toml") + "'");
    EXPECT_EQ(said.out.substr(0, k_sha256_digits), manifest.lesson_sha256);
  }
}

TEST(Pack, StampsKeepEveryFormatReadable) {
  const Folder folder;
  PackChoice choice;
  choice.groups = {PartGroup::audio, PartGroup::midi, PartGroup::musicxml, PartGroup::handout, PartGroup::drawings};
  choice.sound.formats = {AudioFormat::mp3, AudioFormat::opus, AudioFormat::flac, AudioFormat::wav};
  choice.sound.ideas = {1};
  choice.sound.tempos = {Rational(150)};
  const PackPlan plan = plan_of(lesson_text(), "test", choice);
  make(plan, folder);
  const std::string at = "'" + folder.path().string() + "/packs/two/";
  std::map<std::string, std::string> commands = {{".mp3", "ffmpeg -v error -xerror -i "},
                                                 {".opus", "ffmpeg -v error -xerror -i "},
                                                 {".flac", "flac -t -s "},
                                                 {".wav", "sox "},
                                                 {".pdf", "qpdf --check "},
                                                 {".svg", "xmllint --noout "},
                                                 {".musicxml", "xmllint --nonet --noout "}};
  int checked = 0;
  for (const PackPart& part : plan.parts) {
    const auto command = commands.find(fs::path(part.path).extension().string());
    if (command == commands.end() || !test::have_tool(command->second.substr(0, command->second.find(' ')))) continue;
    std::string line = command->second + at + part.path + "'";
    if (line.starts_with("ffmpeg")) line += " -f null -";
    if (line.starts_with("sox")) line += " -n stat";
    const auto said = test::run_tool(line);
    EXPECT_EQ(said.code, 0) << line << "\n" << said.out;
    ++checked;
  }
  EXPECT_GE(checked, 7);
}

TEST(Pack, ASecondRunMakesNothing) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  const PackReport first = make(plan, folder);
  EXPECT_TRUE(first.zip_written);
  std::map<std::string, fs::file_time_type> times;
  for (const auto& entry : fs::recursive_directory_iterator(folder.path() / "packs"))
    if (entry.is_regular_file()) times[entry.path().string()] = entry.last_write_time();
  const PackReport second = make(plan, folder);
  EXPECT_FALSE(second.zip_written);
  EXPECT_EQ(std::count(second.states.begin(), second.states.end(), PartState::kept),
            static_cast<std::ptrdiff_t>(plan.parts.size()));
  for (const auto& [path, time] : times) EXPECT_EQ(fs::last_write_time(path), time) << path;
}

TEST(Pack, OneFretRemakesOnlyWhatDependsOnIt) {
  const Folder folder;
  make(plan_of(lesson_text(10)), folder);
  const PackPlan plan = plan_of(lesson_text(8));
  const auto log = states(plan, make(plan, folder));
  int made = 0;
  for (const auto& [path, state] : log) {
    const bool of_first = path.find("/01-one") != std::string::npos;
    EXPECT_EQ(state, of_first ? PartState::stamped : PartState::made) << path;
    made += state == PartState::made ? 1 : 0;
  }
  EXPECT_LT(made, static_cast<int>(log.size()) - 4);
  // Back to the first version: all of it is in the cache.
  const PackPlan back = plan_of(lesson_text(10));
  for (const auto& [path, state] : states(back, make(back, folder)))
    EXPECT_EQ(state, path == "lesson.toml" ? PartState::made : PartState::stamped) << path;
}

TEST(Pack, TheTeachersDurationsGiveTheChaptersAndGoIn) {
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  const std::string durations = "# filmed\n0:30 Hello\n2:10 One, slow & <fast>\n0:20 Goodbye\n";
  const PackPlan plan = plan_of(lesson_text(), "test", {}, durations);
  for (const auto& [path, state] : states(plan, make(plan, folder))) {
    const bool is_of_durations = path == "durations.txt" || path == "words/chapters.txt";
    EXPECT_EQ(state, is_of_durations ? PartState::made : PartState::kept) << path;
  }
  const auto files = tree(folder.path() / "packs/two");
  EXPECT_EQ(files.at("durations.txt"), durations);
  EXPECT_TRUE(files.at("words/chapters.txt").starts_with("0:00 Hello\n0:30 One, slow & <fast>\n2:40 Goodbye\n\n"));
  // Verify derives them from what lies in the pack, folder or zip.
  for (const char* path : {"packs/two", "packs/two.zip"})
    EXPECT_TRUE(verify_pack(read_pack(folder / path).value(), tools())->problems.empty());
  put_bytes(folder / "packs/two/durations.txt", "0:31 Hello\n2:10 One\n0:20 Goodbye\n");
  const auto report = verify_pack(read_pack(folder / "packs/two").value(), tools()).value();
  EXPECT_EQ(report.problems.size(), 2U) << report.problems.front();
  put_bytes(folder / "packs/two/durations.txt", "half an hour\n");
  const auto unread = verify_pack(read_pack(folder / "packs/two").value(), tools()).value();
  EXPECT_EQ(unread.problems, std::vector<std::string>{"durations.txt: was changed: its SHA-256 is not the manifest's"});
  // Without them the demos' chapters come back.
  const PackPlan bare = plan_of(lesson_text());
  EXPECT_EQ(make(bare, folder).removed, std::vector<std::string>{"durations.txt"});
  EXPECT_TRUE(tree(folder.path() / "packs/two").at("words/chapters.txt").starts_with("0:00 One, 4 notes a beat"));
}

TEST(Pack, TheEmailListsWhatIsInThePack) {
  PackChoice choice;
  choice.groups = {PartGroup::words, PartGroup::audio, PartGroup::plan};
  const auto email_of = [&] {
    const PackPlan plan = plan_of(lesson_text(), "test", choice);
    const auto part = std::find_if(plan.parts.begin(), plan.parts.end(),
                                   [](const PackPart& p) { return p.path == "words/email.txt"; });
    return part->make(nullptr).value();
  };
  EXPECT_NE(email_of().find("Enclosed:\n- 4 sound files to hear and play along with (audio)\n"
                            "- a practice plan (practice-plan.txt)\n\n"),
            std::string::npos)
      << email_of();
  choice.groups = {PartGroup::words};
  EXPECT_EQ(email_of().find("Enclosed"), std::string::npos);
}

TEST(Pack, ACommentOnlyStampsAndAnotherProgramMakesAll) {
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  const PackPlan commented = plan_of(lesson_text() + "# a word to myself\n");
  for (const auto& [path, state] : states(commented, make(commented, folder)))
    EXPECT_EQ(state, path == "lesson.toml" ? PartState::made : PartState::stamped) << path;
  const PackPlan other = plan_of(lesson_text() + "# a word to myself\n", "another program");
  for (const auto& [path, state] : states(other, make(other, folder)))
    EXPECT_EQ(state, path == "lesson.toml" ? PartState::kept : PartState::made) << path;
}

TEST(Pack, StoppedAnywhereTheNextRunEndsInTheSameBytes) {
  const Folder clean;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, clean);
  const auto wanted = tree(clean.path() / "packs");
  for (const double place : {0.0, 0.3, 0.7, 0.95}) {
    const Folder folder;
    StopFlag stop{place == 0.0};
    const auto stopped_run = make_pack(plan, {folder.path() / "packs", "two", 2, &stop, [&](double part) {
                                                if (part >= place) stop.store(true);
                                              }});
    if (!stopped_run) {
      EXPECT_EQ(stopped_run.error().kind, ErrorKind::stopped);
      EXPECT_FALSE(fs::exists(folder.path() / "packs/two.zip"));
    }
    make(plan, folder);
    EXPECT_EQ(tree(folder.path() / "packs"), wanted) << place;
  }
}

TEST(Pack, TwoRunsAtOnceDoNoHarm) {
  const Folder clean;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, clean);
  const Folder folder;
  std::thread other([&] { make(plan, folder); });
  make(plan, folder);
  other.join();
  EXPECT_EQ(tree(folder.path() / "packs"), tree(clean.path() / "packs"));
}

TEST(Pack, MendsWhatWasTouched) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, folder);
  const auto wanted = tree(folder.path() / "packs");
  test::put_bytes(folder.path() / "packs/two/tab.txt", "scribble");
  fs::remove(folder.path() / "packs/two/words/script.txt");
  test::put_bytes(folder.path() / "packs/two/handout.pdf.tmp-a1B2c3", "left by a killed run");
  const auto log = states(plan, make(plan, folder));
  EXPECT_EQ(log.at("tab.txt"), PartState::stamped);
  EXPECT_EQ(log.at("words/script.txt"), PartState::stamped);
  EXPECT_EQ(log.at("handout.pdf"), PartState::kept);
  EXPECT_EQ(tree(folder.path() / "packs"), wanted);
}

TEST(Pack, WritesNothingWhereALinkOrPipeLeads) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, folder);
  const auto wanted = tree(folder.path() / "packs");
  const fs::path two = folder.path() / "packs/two";
  fs::create_directories(folder.path() / "outside");
  for (const char* name : {"script.txt", "tab.txt", "zip", "handout.pdf"})
    put_bytes(folder.path() / "outside" / name, "precious");
  for (const char* part : {"tab.txt", "handout.pdf", "lesson.mid"}) fs::remove(two / part);
  fs::create_symlink(folder.path() / "outside/tab.txt", two / "tab.txt");
  put_bytes(folder.path() / "outside/handout.pdf", wanted.at("two/handout.pdf"));  // the right bytes, but elsewhere
  fs::create_symlink(folder.path() / "outside/handout.pdf", two / "handout.pdf");
  ASSERT_EQ(::mkfifo((two / "lesson.mid").c_str(), 0600), 0);
  fs::remove_all(two / "words");
  fs::create_directory_symlink(folder.path() / "outside", two / "words");
  fs::remove(folder.path() / "packs/two.zip");
  fs::create_symlink(folder.path() / "outside/zip", folder.path() / "packs/two.zip");
  make(plan, folder);
  EXPECT_EQ(tree(folder.path() / "packs"), wanted);
  EXPECT_FALSE(fs::is_symlink(two / "words"));
  EXPECT_FALSE(fs::is_symlink(two / "handout.pdf"));
  for (const char* name : {"script.txt", "tab.txt", "zip"})
    EXPECT_EQ(bytes_of((folder.path() / "outside" / name).string()), "precious") << name;
  EXPECT_EQ(tree(folder.path() / "outside").size(), 4U);
  // Neither does a part that goes take one of another place with it.
  fs::remove_all(two / "words");
  fs::create_directory_symlink(folder.path() / "outside", two / "words");
  PackChoice choice;
  choice.groups = {PartGroup::tab};
  make(plan_of(lesson_text(), "test", choice), folder);
  EXPECT_EQ(bytes_of(folder / "outside/script.txt"), "precious");
}

TEST(Pack, LeavesNoTemporaryFileOfAKilledRun) {
  const Folder folder;
  fs::create_directories(folder.path() / "packs/two");
  for (const char* name :
       {"two.zip.tmp-a1B2c3", "index.html.tmp-a1B2c3", "two/tab.txt.tmp-a1B2c3", "two.zip.backup", "index.html.backup"})
    put_bytes(folder.path() / "packs" / name, "half");
  make(plan_of(lesson_text()), folder);
  ASSERT_TRUE(write_index(folder.path() / "packs").ok());
  const auto files = tree(folder.path() / "packs");
  EXPECT_TRUE(files.contains("two.zip.backup"));
  EXPECT_TRUE(files.contains("index.html.backup"));
  for (const auto& [path, bytes] : files) EXPECT_FALSE(path.ends_with(".a1B2c3")) << path;
}

TEST(Pack, PartsNoLongerChosenGo) {
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  PackChoice choice;
  choice.groups = {PartGroup::tab};
  const PackPlan plan = plan_of(lesson_text(), "test", choice);
  const PackReport report = make(plan, folder);
  EXPECT_EQ(plan.parts.size(), 2U);
  EXPECT_GT(report.removed.size(), 12U);
  EXPECT_EQ(tree(folder.path() / "packs/two").size(), 3U);
  EXPECT_FALSE(fs::exists(folder.path() / "packs/two/audio"));
}

TEST(Pack, AFolderThatCannotBeIsAnErrorWithoutAZip) {
  const PackPlan plan = plan_of(lesson_text());
  EXPECT_EQ(make_pack(plan, {"/dev/null/packs", "two", 2, nullptr, {}}).error().kind, ErrorKind::io);
  const Folder folder;
  fs::create_directories(folder.path() / "packs");
  test::put_bytes(folder.path() / "packs/two", "a file where the folder should be");
  EXPECT_EQ(make_pack(plan, {folder.path() / "packs", "two", 2, nullptr, {}}).error().kind, ErrorKind::io);
  EXPECT_FALSE(fs::exists(folder.path() / "packs/two.zip"));
}

TEST(Verify, AcceptsFolderAndZipAndFindsEveryTamper) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, folder);
  for (const char* path : {"packs/two", "packs/two.zip"}) {
    const auto pack = read_pack(folder / path);
    ASSERT_TRUE(pack.ok()) << pack.error().what;
    const auto report = verify_pack(*pack, tools(), 2);
    ASSERT_TRUE(report.ok()) << report.error().what;
    EXPECT_EQ(report->problems, std::vector<std::string>());
    EXPECT_EQ(report->parts, plan.parts.size());
  }
  const PackFiles good = read_pack(folder / "packs/two").value();
  const auto problems_of = [](const PackFiles& pack) { return verify_pack(pack, tools(), 2).value().problems; };
  PackFiles changed = good;
  for (auto& [path, bytes] : changed.files)
    if (path == "lesson.mid") bytes.back() = static_cast<char>(bytes.back() ^ 1);
  EXPECT_EQ(problems_of(changed),
            (std::vector<std::string>{"lesson.mid: is not what the lesson gives",
                                      "lesson.mid: was changed: its SHA-256 is not the manifest's"}));
  PackFiles missing = good;
  std::erase_if(missing.files, [](const auto& file) { return file.first == "tab.txt"; });
  EXPECT_EQ(problems_of(missing), std::vector<std::string>{"tab.txt: is in the manifest and not in the pack"});
  PackFiles extra = good;
  extra.files.emplace_back("more.txt", "x");
  EXPECT_EQ(problems_of(extra), std::vector<std::string>{"more.txt: is in the pack and not in the manifest"});
  // Another lesson under the same manifest: every part that it would change is told.
  PackFiles other = good;
  for (auto& [path, bytes] : other.files)
    if (path == "lesson.toml") bytes = lesson_text(8);
  EXPECT_GT(problems_of(other).size(), 8U);
  EXPECT_FALSE(verify_pack({}, tools()).ok());
  EXPECT_FALSE(read_pack(folder / "packs/none.zip").ok());
}

/// The problems that verify finds after `harm` was done to the pack's folder; an error counts as one.
template <class Harm>
std::vector<std::string> problems_after(const Folder& folder, Harm harm) {
  const fs::path copy = folder.path() / "copy";
  fs::remove_all(copy);
  fs::copy(folder.path() / "packs/two", copy, fs::copy_options::recursive);
  harm(copy);
  const auto pack = read_pack(copy.string());
  if (!pack) return {pack.error().what};
  const auto report = verify_pack(*pack, tools(), 2);
  return report ? report->problems : std::vector<std::string>{report.error().what};
}

PackPlan plan_without_sound() {
  PackChoice choice;
  choice.groups = {PartGroup::tab, PartGroup::midi, PartGroup::words};
  return plan_of(lesson_text(), "test", choice);
}

TEST(Verify, ReadsNoLinkPipeOrHugeFileAndNamesIt) {
  const Folder folder;
  make(plan_without_sound(), folder);
  using List = std::vector<std::string>;
  EXPECT_EQ(problems_after(folder, [](const fs::path&) {}), List());
  const fs::path good = folder.path() / "packs/two/tab.txt";
  EXPECT_EQ(problems_after(folder,
                           [&](const fs::path& pack) {
                             fs::remove(pack / "tab.txt");
                             fs::create_symlink(good, pack / "tab.txt");
                           }),
            List{"tab.txt: is a link; a pack holds files only"});
  EXPECT_EQ(problems_after(folder, [&](const fs::path& pack) { fs::create_symlink("/", pack / "more"); }),
            List{"more: is a link; a pack holds files only"});
  EXPECT_EQ(problems_after(folder, [](const fs::path& pack) { ::mkfifo((pack / "pipe").c_str(), 0600); }),
            List{"pipe: is no file"});
  EXPECT_EQ(problems_after(folder, [](const fs::path& pack) { put_bytes(pack / "a\n\x1b[31m\xff", ""); }),
            List{"a\\x0A\\x1B[31m\\xFF: is in the pack and not in the manifest"});
  const auto grown = problems_after(folder, [](const fs::path& pack) {
    fs::resize_file(pack / "tab.txt", std::uintmax_t{10} << 30U);  // sparse
    put_bytes(pack / "huge", "");
    fs::resize_file(pack / "huge", std::uintmax_t{10} << 30U);
  });
  ASSERT_EQ(grown.size(), 2U);
  EXPECT_EQ(grown[0], "huge: is in the pack and not in the manifest");
  EXPECT_TRUE(grown[1].starts_with("tab.txt: was changed: it has 10737418240 bytes")) << grown[1];
  EXPECT_EQ(
      problems_after(folder, [](const fs::path& pack) { put_bytes(pack / "lesson.toml", "not = [a lesson"); }).front(),
      "lesson.toml: its SHA-256 is not the manifest's lesson_sha256");
  ASSERT_EQ(::mkfifo((folder / "pipe.zip").c_str(), 0600), 0);
  EXPECT_EQ(read_pack(folder / "pipe.zip").error().kind, ErrorKind::io);
}

TEST(Verify, DerivesTheManifestToo) {
  const Folder folder;
  make(plan_without_sound(), folder);
  const auto problems_with = [&](const std::string& was, const std::string& is) {
    return problems_after(folder, [&](const fs::path& pack) {
      std::string json = bytes_of(pack / "manifest.json");
      const auto at = json.find(was);
      ASSERT_NE(at, std::string::npos) << was;
      put_bytes(pack / "manifest.json", json.replace(at, was.size(), is));
    });
  };
  const std::vector<std::string> found = {"manifest.json: is not what the lesson gives"};
  EXPECT_EQ(problems_with("\"Two ideas\"", "\"Three ideas\""), found);
  EXPECT_EQ(problems_with("\"Demo Teacher\"", "\"Somebody\""), found);
  EXPECT_EQ(problems_with("\"ideas\": 2", "\"ideas\": 3"), found);
  EXPECT_EQ(problems_with("\"group\": \"tab\"", "\"group\": \"plan\""), found);
  EXPECT_EQ(problems_with("\"stamped\": true", "\"stamped\": false"), found);
  EXPECT_EQ(problems_with("\"key\": \"D dorian\"", "\"key\": \"C major\""), found);
  EXPECT_EQ(problems_with("{", "{ \"more\": 1,"), found);
  EXPECT_EQ(problems_with("\n}\n", "\n}\n\n"), found);
  const std::string key = plan_without_sound().parts.back().key;
  EXPECT_EQ(problems_with(key, std::string(64, '0')), found);
  // The same pack of another program: its keys are other ones, and nothing is wrong.
  EXPECT_EQ(verify_pack(read_pack(folder / "packs/two").value(), tools("another program")).value().problems,
            std::vector<std::string>());
}

TEST(Verify, TakesAZipOfAnotherProgramAndNoneThatLeavesItsFolder) {
  const Folder folder;
  make(plan_without_sound(), folder);
  const auto entries = unzip(bytes_of(folder / "packs/two.zip"), std::size_t{1} << 30U).value();
  const auto report_of = [&](const std::vector<ZipEntry>& changed) -> Result<VerifyReport> {
    put_bytes(folder / "changed.zip", zip_bytes(changed).value());
    const auto pack = read_pack(folder / "changed.zip");
    if (!pack) return pack.error();
    return verify_pack(*pack, tools(), 2);
  };
  EXPECT_TRUE(report_of(entries)->notes.empty());
  std::string bytes = bytes_of(folder / "packs/two.zip");
  const auto list = bytes.find("PK\x01\x02");
  ASSERT_NE(list, std::string::npos);
  bytes[list + 38] = static_cast<char>(bytes[list + 38] ^ 1);  // external attributes (APPNOTE 4.3.12)
  put_bytes(folder / "attributes.zip", bytes);
  const auto noted = verify_pack(read_pack(folder / "attributes.zip").value(), tools(), 2).value();
  EXPECT_TRUE(noted.problems.empty());
  EXPECT_EQ(noted.notes,
            std::vector<std::string>{"the zip itself: other bytes than this program writes, the same files"});
  for (const char* name :
       {"../two/tab.txt", "/tab.txt", "tab.txt", "other/tab.txt", "two/../../tab.txt", "two/..\\x", "C:/x"}) {
    std::vector<ZipEntry> changed = entries;
    for (ZipEntry& entry : changed)
      if (entry.name == "two/tab.txt") entry.name = name;
    EXPECT_FALSE(report_of(changed).ok()) << name;
  }
}

TEST(Manifest, ReadsItselfAndRefusesWhatIsNone) {
  const Manifest manifest{"T \"x\" <b>",
                          "A",
                          "D dorian",
                          2,
                          sha256("x"),
                          "parts=- paper=a4",
                          {{"tab.txt", "tab", sha256("k"), sha256("b"), 12, true}}};
  EXPECT_EQ(read_manifest(to_json(manifest)).value(), manifest);
  for (const char* bad : {"", "[]", "{}", "{\"format\":2}", "{\"format\":1}", "{\"format\":\"1\"}"})
    EXPECT_FALSE(read_manifest(bad).ok()) << bad;
  for (const char* path : {"../x", "/etc/x", "a//b", "a/../b", ""}) {
    Manifest outside = manifest;
    outside.parts[0].path = path;
    EXPECT_FALSE(read_manifest(to_json(outside)).ok()) << path;
  }
}

// The manifest keeps to its published schema, by an independent validator (npm ajv 8.17.1).
TEST(Manifest, KeepsToTheSchema) {
  if (!test::have_tool("node")) GTEST_SKIP() << "no node";
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  const std::string root = FRETLOOM_SOURCE_DIR;
  const std::string command = "cd '" + root + "' && node tests/lesson/validate.mjs docs/manifest.schema.json ";
  const auto good = test::run_tool(command + "'" + (folder / "packs/two/manifest.json") + "'");
  EXPECT_EQ(good.code, 0) << good.out;
  std::string json = bytes_of(folder / "packs/two/manifest.json");
  json.replace(json.find("\"format\": 1"), 11, "\"format\": 2");
  test::put_bytes(folder / "bad.json", json);
  EXPECT_NE(test::run_tool(command + "'" + (folder / "bad.json") + "'").code, 0);
}

TEST(Choice, SurvivesTheManifest) {
  PackChoice choice;
  choice.groups = {PartGroup::audio, PartGroup::plan};
  choice.paper = "letter";
  choice.sound.tempos = {Rational(60), Rational(185, 2)};
  choice.sound.pieces = {Piece::loop, Piece::demo};
  choice.sound.click = ClickPattern::backbeat;
  choice.plan = {35, Rational(72), 14, 5};
  EXPECT_EQ(choice_text(parse_choice(choice_text(choice)).value()), choice_text(choice));
  EXPECT_EQ(choice_text(parse_choice(choice_text({})).value()), choice_text({}));
  for (const char* bad : {"parts=all", "paper=a3", "tempos=1/0", "nothing", "days="})
    EXPECT_FALSE(parse_choice(bad).ok()) << bad;
}

TEST(Changes, AreToldInTheWordsOfTheMusic) {
  const auto handout = [](const std::string& text) { return make_handout(compile_lesson(text)); };
  // Another fret in the second idea, and the fingers that it asks for around it.
  EXPECT_EQ(changes(handout(lesson_text(10)), handout(lesson_text(8))),
            (std::vector<std::string>{"idea 2, 4 a beat, bar 1, note 2: finger 3 to 4",
                                      "idea 2, 4 a beat, bar 1, note 3: fret 10 to 8"}));
  EXPECT_EQ(changes_text(handout(lesson_text()), handout(lesson_text() + "# x\n")),
            "No change in what is played or printed.\n");
  std::string slower = lesson_text();
  slower.replace(slower.find("150"), 3, "140");
  EXPECT_EQ(changes(handout(lesson_text()), handout(slower)),
            (std::vector<std::string>{"idea 1: goal tempo 150 to 140", "idea 2: goal tempo 150 to 140"}));
}

TEST(Names, AreSafeWhateverTheTitle) {
  const std::string title =
      "\"Six/eight\" <script>alert(1)</script> & \xF0\x9F\x8E\xB8 \xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D ../..";
  const Folder folder;
  const std::string lesson = lesson_text(10, title);
  const PackPlan plan = plan_of(lesson);
  make(plan, folder);
  for (const PackPart& part : plan.parts) {
    for (const char c : part.path)
      EXPECT_TRUE((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '/' || c == '.') << part.path;
  }
  EXPECT_EQ(write_index(folder.path() / "packs").value(), 1U);
  const std::string html = bytes_of(folder.path() / "packs/index.html");
  EXPECT_EQ(html.find("<script"), std::string::npos);
  EXPECT_NE(html.find("&quot;Six/eight&quot; &lt;script&gt;"), std::string::npos) << html;
  const auto files = tree(folder.path() / "packs/two");
  EXPECT_EQ(files.at("drawings/01-one-4-a-beat.svg").find("<script"), std::string::npos);
  EXPECT_EQ(files.at("lesson.musicxml").find("<script"), std::string::npos);
  EXPECT_EQ(read_manifest(files.at("manifest.json")).value().title, title);
}

}  // namespace
}  // namespace fretloom
