// fretloom pack and verify as a user runs them: stopped, killed, with several lessons, and what a student gets.

#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <filesystem>
#include <map>
#include <random>
#include <set>
#include <thread>

#include "cli/run_command.h"
#include "files/zip.h"

namespace {

namespace fs = std::filesystem;

using fretloom::test::bytes_of;
using fretloom::test::Folder;
using fretloom::test::Outcome;
using fretloom::test::put_bytes;
using fretloom::test::run;

std::string sixes(const std::string& title = "T", int from = 12) {
  return "title = \"" + title + "\"\nkey = \"E dorian\"\nlayout = { from = " + std::to_string(from) +
         " }\n[[idea]]\ncell = \"1 3 2 3 + 2 1\"\n";
}

/// All files of a folder of packs with their bytes.
std::map<std::string, std::string> packs_of(const fs::path& root) {
  std::map<std::string, std::string> files;
  if (!fs::exists(root)) return files;
  for (const auto& entry : fs::recursive_directory_iterator(root)) {
    if (entry.is_regular_file()) files[entry.path().lexically_relative(root).generic_string()] = bytes_of(entry.path());
  }
  return files;
}

/// The command in a process of its own, which is sent a signal after a while.
void run_and_signal(const Folder& folder, std::chrono::microseconds after, int signal) {
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    ::setenv("XDG_CACHE_HOME", (folder / ".cache").c_str(), 1);
    if (::chdir(folder.path().c_str()) != 0 || std::freopen("/dev/null", "w", stdout) == nullptr ||
        std::freopen("/dev/null", "w", stderr) == nullptr)
      ::_exit(9);
    ::execl(FRETLOOM_COMMAND, FRETLOOM_COMMAND, "pack", "lesson.toml", "-o", "out", "--only", "tab,midi,words,handout",
            static_cast<char*>(nullptr));
    ::_exit(9);
  }
  std::this_thread::sleep_for(after);
  ::kill(child, signal);
  ::waitpid(child, nullptr, 0);
}

#ifdef __SANITIZE_ADDRESS__
constexpr int k_kills = 10;
#else
constexpr int k_kills = 50;
#endif

/// Repacks back and forth between two versions of a lesson, each time ended by a signal somewhere.
void expect_whole_after(int signal, int count) {
  const std::string packing = "pack lesson.toml -o out --only tab,midi,words,handout";
  const Folder folder;
  std::map<std::string, std::map<std::string, std::string>> wanted;  // by the lesson in the pack
  std::chrono::microseconds longest{0};
  const std::vector<std::string> lessons = {sixes("First"), sixes("Second", 7)};
  fs::create_directories(folder.path() / "out/lesson");
  put_bytes(folder.path() / "out/lesson/film.mp4", "a film");
  for (const std::string& lesson : lessons) {
    put_bytes(folder.path() / "lesson.toml", lesson);
    const auto start = std::chrono::steady_clock::now();
    ASSERT_EQ(run(folder, packing).code, 0);
    longest = std::max(longest,
                       std::chrono::duration_cast<std::chrono::microseconds>(std::chrono::steady_clock::now() - start));
    wanted[lesson] = packs_of(folder.path() / "out");
  }
  std::mt19937 random(7);  // NOLINT: the same places each time, as far as the machine allows
  std::set<std::string> stood;
  for (int i = 0; i < count; ++i) {
    SCOPED_TRACE(i);
    fs::remove_all(folder.path() / ".cache");  // so that the work takes as long each time
    put_bytes(folder.path() / "lesson.toml", lessons[static_cast<std::size_t>(i) % 2]);
    // Up to half as long again, so that some runs end before it even where the machine is slower now.
    run_and_signal(folder, longest * static_cast<int>(random() % 1500) / 1000, signal);
    // Any next command of the folder makes it whole; verify is one.
    const Outcome verified = run(folder, "verify out/lesson");
    EXPECT_EQ(verified.code, 0) << verified.err;
    const auto found = packs_of(folder.path() / "out");
    const std::string& lesson = found.at("lesson-teacher/lesson.toml");
    stood.insert(lesson);
    EXPECT_EQ(found, wanted.at(lesson));
    EXPECT_FALSE(fs::exists(folder.path() / ".out.fretloom"));
    if (testing::Test::HasFailure()) return;
  }
  EXPECT_EQ(stood.size(), 2U) << "no run came far enough to change anything, or all did";
  put_bytes(folder.path() / "lesson.toml", lessons[0]);
  ASSERT_EQ(run(folder, packing).code, 0);
  EXPECT_EQ(packs_of(folder.path() / "out"), wanted.at(lessons[0]));
}

TEST(PackCommand, KilledAnywhereItLeavesTheOldPackOrTheNewOne) { expect_whole_after(SIGKILL, k_kills); }
TEST(PackCommand, StoppedByCtrlCToo) { expect_whole_after(SIGINT, k_kills / 5); }

// A disk that is full after 32 KiB of one file.
TEST(PackCommand, WithoutRoomThePackStaysAsItWas) {
  const Folder folder;
  put_bytes(folder.path() / "lesson.toml", sixes());
  ASSERT_EQ(run(folder, "pack lesson.toml -o out --only tab").code, 0);
  const auto before = packs_of(folder.path() / "out");
  const auto full = fretloom::test::run_tool("ulimit -f 64 && " + fretloom::test::command_in(folder) +
                                             "pack lesson.toml -o out --only audio");
  EXPECT_EQ(full.code, 1);
  EXPECT_NE(full.out.find("cannot write "), std::string::npos) << full.out;
  EXPECT_EQ(packs_of(folder.path() / "out"), before);
  EXPECT_FALSE(fs::exists(folder.path() / ".out.fretloom"));
}

TEST(PackCommand, TwoLessonsOfOneNameHaveAPackEach) {
  const Folder folder;
  for (const char* path : {"a/one.toml", "b/one.toml"}) {
    fs::create_directories((folder.path() / path).parent_path());
    put_bytes(folder.path() / path, sixes(path));
  }
  ASSERT_EQ(run(folder, "pack b -o out --only tab").code, 0);
  const auto first = packs_of(folder.path() / "out");
  const Outcome second = run(folder, "pack a -o out --only tab");
  EXPECT_EQ(second.code, 0);
  EXPECT_NE(second.err.find("a/one.toml: note: the pack of b/one.toml has this name already; this one is called one-a"),
            std::string::npos)
      << second.err;
  const auto both = packs_of(folder.path() / "out");
  for (const auto& [path, bytes] : first) {
    if (path != "index.html") {
      EXPECT_EQ(both.at(path), bytes) << path;
    }
  }
  EXPECT_TRUE(both.contains("one-a/one-a-tab.txt"));
  for (const char* lessons : {"a b", "b a", "a", "b"}) {
    ASSERT_EQ(run(folder, std::string("pack ") + lessons + " -o out --only tab").code, 0);
    EXPECT_EQ(packs_of(folder.path() / "out"), both) << lessons;
  }
  EXPECT_EQ(run(folder, "verify out").out,
            "out/one: all 3 parts are what the lesson gives\nout/one-a: all 3 parts are what the lesson gives\n");
}

TEST(PackCommand, SharesOfACatalogueMergeAndTitlesMayBeAlike) {
  const Folder folder;
  fs::create_directories(folder.path() / "a/inner");
  for (const char* file : {"a/one.toml", "a/two.toml", "a/inner/one.toml"}) put_bytes(folder / file, sixes());
  for (const char* share : {"1/3", "2/3", "3/3"})
    EXPECT_EQ(run(folder, std::string("pack a -o out --only tab --part ") + share).code, 0);
  EXPECT_EQ(run(folder, "pack a -o whole --only tab").code, 0);
  const auto merged = packs_of(folder.path() / "out");
  EXPECT_EQ(merged, packs_of(folder.path() / "whole"));
  EXPECT_EQ(merged.size(), 3U * 5U + 1U);
  EXPECT_TRUE(merged.contains("two.zip"));
}

TEST(PackCommand, APacksOwnLessonIsNoneOfTheFolderAround) {
  const Folder folder;
  fs::create_directories(folder.path() / "a");
  for (const char* name : {"one", "con", "lesson"})
    put_bytes(folder.path() / "a" / (std::string(name) + ".toml"), sixes());
  for (int i = 0; i < 2; ++i)
    EXPECT_EQ(run(folder, "pack a a/one.toml ./a/../a/one.toml -o a/packs --only tab").code, 0);
  std::set<std::string> packs;
  for (const auto& entry : fs::directory_iterator(folder.path() / "a/packs"))
    if (entry.path().extension() == ".zip") packs.insert(entry.path().stem().string());
  // "con" is a device on some systems.
  EXPECT_EQ(packs, (std::set<std::string>{"con-lesson", "lesson", "one"}));
  put_bytes(folder.path() / "long.txt", "0:10 One\n" + std::string(70000, '#'));
  EXPECT_EQ(run(folder, "pack a/one.toml -o b --only words --durations long.txt").code, 1);
  EXPECT_EQ(run(folder, "pack a/one.toml -o b --only plan --present 60,80").code, 2);
}

TEST(PackCommand, DurationsAreOfOneLessonOrAFolderForMany) {
  const Folder folder;
  fs::create_directories(folder.path() / "a");
  fs::create_directories(folder.path() / "film");
  for (const char* file : {"a/one.toml", "a/two.toml"}) put_bytes(folder / file, sixes());
  put_bytes(folder / "film/one.txt", "0:30 Hello\n1:00 The rule\n");
  EXPECT_EQ(run(folder, "pack a/one.toml -o single --only words --durations film/one.txt").code, 0);
  EXPECT_EQ(run(folder, "pack a -o out --only words --durations film").code, 0);
  const auto packs = packs_of(folder.path() / "out");
  EXPECT_TRUE(packs.at("one-teacher/one-chapters.txt").starts_with("0:00 Hello\n0:30 The rule\n"));
  EXPECT_TRUE(packs.at("two-teacher/two-chapters.txt").starts_with("0:00 1 3 2 3 + 2 1, 4 notes a beat"));
  EXPECT_EQ(packs_of(folder.path() / "single").at("one.zip"), packs.at("one.zip"));
  const Outcome many = run(folder, "pack a -o out --durations film/one.txt");
  EXPECT_EQ(many.code, 2);
  EXPECT_NE(many.err.find("there are 2 lessons"), std::string::npos) << many.err;
  const Outcome none = run(folder, "pack a/one.toml -o single --durations film/two.txt");
  EXPECT_EQ(none.code, 1);
  EXPECT_NE(none.err.find("cannot open film/two.txt"), std::string::npos) << none.err;
  put_bytes(folder / "film/two.txt", "0:30 Hello\n half The rule\n");
  const Outcome bad = run(folder, "pack a -o out --only words --durations film");
  EXPECT_EQ(bad.code, 1);
  EXPECT_NE(bad.err.find("film/two.txt:2:2: error: \"half\" is not a duration"), std::string::npos) << bad.err;
  EXPECT_EQ(packs_of(folder.path() / "out"), packs);  // and the pack stays as it was
}

TEST(PackCommand, KeepsNoCacheInTheFolderAndNeedsNone) {
  const Folder folder;
  put_bytes(folder.path() / "lesson.toml", sixes());
  ASSERT_EQ(run(folder, "pack lesson.toml -o out --only midi").code, 0);
  EXPECT_TRUE(fs::exists(folder.path() / ".cache/fretloom/parts"));
  for (const auto& entry : fs::recursive_directory_iterator(folder.path() / "out"))
    EXPECT_NE(entry.path().filename().string().front(), '.') << entry.path();
  const auto with = packs_of(folder.path() / "out");
  for (const char* cache : {"/dev/null", ""}) {
    fs::remove_all(folder.path() / "out");
    const auto made =
        fretloom::test::run_tool("cd '" + folder.path().string() + "' && XDG_CACHE_HOME=" + cache +
                                 " HOME=/dev/null '" FRETLOOM_COMMAND "' pack lesson.toml -o out --only midi");
    EXPECT_EQ(made.code, 0) << made.out;
    EXPECT_EQ(packs_of(folder.path() / "out"), with);
  }
}

/// What a student finds in the zip of each demo. FRETLOOM_REWRITE=1 writes tests/cli/student-zips.txt anew.
TEST(PackCommand, AStudentsZipHoldsWhatAStudentLooksFor) {
  const Folder folder;
  const std::string arguments = "pack '" FRETLOOM_SOURCE_DIR "/demos' -o out";
  ASSERT_EQ(run(folder, arguments).code, 0);
  std::string list;
  std::set<fs::path> zips;
  for (const auto& entry : fs::directory_iterator(folder.path() / "out")) {
    if (entry.path().extension() == ".zip") zips.insert(entry.path());
  }
  EXPECT_EQ(zips.size(), 6U);
  for (const fs::path& zip : zips) {
    list += zip.filename().string() + "\n";
    const auto entries = fretloom::unzip(bytes_of(zip), std::size_t{1} << 30U);
    ASSERT_TRUE(entries.ok());
    std::set<std::string> names;
    for (const fretloom::ZipEntry& entry : *entries) {
      names.insert(entry.name);
      if (entry.name.ends_with(".txt") || entry.name.ends_with(".vtt")) {
        EXPECT_EQ(entry.name.ends_with(".txt") && entry.bytes.find("sha256") != std::string::npos, false) << entry.name;
      }
    }
    for (const std::string& name : names) list += "  " + name + "\n";
  }
  const fs::path golden = FRETLOOM_SOURCE_DIR "/tests/cli/student-zips.txt";
  if (std::getenv("FRETLOOM_REWRITE") != nullptr) put_bytes(golden, list);
  EXPECT_EQ(list, bytes_of(golden));
}

TEST(PackCommand, LeavesOutWhatIsPutAway) {
  const Folder folder;
  fs::create_directories(folder / "lessons/put-away");
  put_bytes(folder / "lessons/sixes.toml", sixes());
  put_bytes(folder / "lessons/put-away/old.toml", sixes("Old"));
  const Outcome outcome = run(folder, "pack lessons -o out --only tab");
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  EXPECT_TRUE(fs::exists(folder / "out/sixes"));
  EXPECT_FALSE(fs::exists(folder / "out/old"));
  // Who names the file wants it.
  EXPECT_EQ(run(folder, "pack lessons/put-away/old.toml -o out --only tab").code, 0);
  EXPECT_TRUE(fs::exists(folder / "out/old"));
}

TEST(PackCommand, TakesTheTeachersOwnTemplates) {
  const Folder folder;
  put_bytes(folder.path() / "lesson.toml", sixes("Sixes"));
  fs::create_directory(folder.path() / "templates");
  put_bytes(folder.path() / "templates/email.txt", "Dear student,\n\n{titel} is here.\n");
  const Outcome slip = run(folder, "pack lesson.toml -o out --only words");
  EXPECT_EQ(slip.code, 1);
  EXPECT_NE(slip.err.find("templates/email.txt:3:"), std::string::npos) << slip.err;
  EXPECT_NE(slip.err.find("repair: "), std::string::npos) << slip.err;
  EXPECT_FALSE(fs::exists(folder.path() / "out/lesson-teacher"));

  put_bytes(folder.path() / "templates/email.txt", "Dear student,\n\n{title} is here.\n");
  EXPECT_EQ(run(folder, "pack lesson.toml -o out --only words").code, 0);
  EXPECT_EQ(bytes_of(folder.path() / "out/lesson-teacher/lesson-email.txt"), "Dear student,\n\nSixes is here.\n");
  // The template goes with the teacher's papers, so that the pack can be derived anew.
  EXPECT_EQ(bytes_of(folder.path() / "out/lesson-teacher/templates/email.txt"),
            bytes_of(folder.path() / "templates/email.txt"));
  fs::rename(folder.path() / "templates", folder.path() / "elsewhere");
  const Outcome verify = run(folder, "verify out/lesson");
  EXPECT_EQ(verify.code, 0) << verify.out << verify.err;
}

}  // namespace
