// A run that is stopped after any step on the disk leaves the old packs or the new ones.

#include <gtest/gtest.h>

#include <set>

#include "files/files.h"
#include "pack/two_ideas.h"
#include "pack/verify.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using namespace test;

/// Does so many steps and then no more, as if the power had gone; or refuses only the one after them.
class FailingDisk : public Disk {
 public:
  enum class Kind { dies, fails_once };
  FailingDisk(int steps, Kind kind) : left_(steps), kind_(kind) {}
  [[nodiscard]] bool has_failed() const { return has_failed_; }
  [[nodiscard]] int steps() const { return steps_; }

  Result<void> write(const fs::path& path, std::string_view bytes) override {
    const bool was_dead = has_failed_;
    if (!refuses()) return Disk::write(path, bytes);
    // What was written of it before the end.
    if (kind_ == Kind::dies && !was_dead) static_cast<void>(Disk::write(path, bytes.substr(0, bytes.size() / 2)));
    return refused();
  }
  Result<void> make_folder(const fs::path& path) override { return refuses() ? refused() : Disk::make_folder(path); }
  Result<void> rename(const fs::path& from, const fs::path& to) override {
    return refuses() ? refused() : Disk::rename(from, to);
  }
  Result<void> remove(const fs::path& path) override { return refuses() ? refused() : Disk::remove(path); }
  Result<void> sync(const fs::path& folder) override { return refuses() ? refused() : Disk::sync(folder); }

 private:
  bool refuses() {
    ++steps_;
    if (left_ > 0) {
      --left_;
      return false;
    }
    if (kind_ == Kind::fails_once && has_failed_) return false;
    has_failed_ = true;
    return true;
  }
  static Result<void> refused() { return Error{ErrorKind::io, 0, "the disk is gone", ""}; }

  int left_;
  Kind kind_;
  bool has_failed_ = false;
  int steps_ = 0;
};

/// The command's steps: packs, then the page.
bool run_with(Disk& disk, const PackPlan& plan, const Folder& folder) {
  if (!recover_packs(disk, packs(folder))) return false;
  PackRun run = run_in(folder);
  run.threads = 1;
  run.disk = &disk;
  if (!make_pack(plan, run)) return false;
  return write_index(disk, packs(folder)).ok();
}

struct Versions {
  std::map<std::string, std::string> before;
  std::map<std::string, std::string> after;
};

class StoppedRun : public testing::Test {
 protected:
  /// Another title, a new note, and parts that come and go: the plan goes, the drawings come.
  StoppedRun() {
    PackChoice choice;
    choice.groups = {PartGroup::tab, PartGroup::words, PartGroup::plan};
    old_ = plan_of(lesson_text(), "test", choice);
    choice.groups = {PartGroup::tab, PartGroup::words, PartGroup::drawings};
    new_ = plan_of(lesson_text(8, "Two other ideas"), "test", choice);
    make_with_index(old_, first_);
    const Folder folder;
    start(folder);
    versions_.before = tree(packs(folder));
    make_with_index(new_, folder);
    versions_.after = tree(packs(folder));
    EXPECT_NE(versions_.before.at("index.html"), versions_.after.at("index.html"));
    EXPECT_TRUE(versions_.before.contains("two/two-practice-plan.txt"));
    EXPECT_FALSE(versions_.after.contains("two/two-practice-plan.txt"));
  }

  /// A pack and beside it and in it what is not ours: a film, and an e-mail that was written anew.
  void start(const Folder& folder) const {
    for (const char* name : {"packs", "cache"})
      fs::copy(first_.path() / name, folder.path() / name, fs::copy_options::recursive);
    put_bytes(packs(folder) / "two/film.mp4", "a film");
    put_bytes(packs(folder) / "two-teacher/two-email.txt", "Dear all");
  }

  void expect_whole(const Folder& folder) const {
    const auto found = tree(packs(folder));
    const auto& wanted = found.at("two-teacher/manifest.json") == versions_.before.at("two-teacher/manifest.json")
                             ? versions_.before
                             : versions_.after;
    EXPECT_EQ(found.size(), wanted.size());
    for (const auto& [path, bytes] : wanted) EXPECT_TRUE(found.contains(path) && found.at(path) == bytes) << path;
  }

  Folder first_;
  PackPlan old_;
  PackPlan new_;
  Versions versions_;
};

TEST_F(StoppedRun, AfterEveryStepIsTheOldOrTheNewOne) {
  int old_stands = 0;
  int new_stands = 0;
  for (int steps = 0;; ++steps) {
    SCOPED_TRACE(steps);
    const Folder folder;
    start(folder);
    FailingDisk dying(steps, FailingDisk::Kind::dies);
    run_with(dying, new_, folder);
    Disk disk;
    ASSERT_TRUE(recover_packs(disk, packs(folder)).ok());
    expect_whole(folder);
    EXPECT_EQ(folder.entries(), 2U) << "packs and cache, and no work folder";
    const bool is_old = tree(packs(folder)).at("index.html") == versions_.before.at("index.html");
    (is_old ? old_stands : new_stands) += 1;
    // The next run of the command ends as if nothing had been.
    ASSERT_TRUE(run_with(disk, new_, folder));
    EXPECT_EQ(tree(packs(folder)), versions_.after);
    if (!dying.has_failed() || HasFailure()) break;
  }
  EXPECT_GT(old_stands, 15);
  EXPECT_GT(new_stands, 20);
}

TEST_F(StoppedRun, AStepThatFailsIsUndoneAtOnce) {
  for (int steps = 0;; ++steps) {
    SCOPED_TRACE(steps);
    const Folder folder;
    start(folder);
    FailingDisk failing(steps, FailingDisk::Kind::fails_once);
    run_with(failing, new_, folder);
    Disk disk;
    const auto found = tree(packs(folder));
    const bool is_index_due = fs::exists(work_folder(packs(folder)));
    // Nothing has to be recovered for the pack to be whole; the page may be due.
    if (!is_index_due) expect_whole(folder);
    ASSERT_TRUE(recover_packs(disk, packs(folder)).ok());
    expect_whole(folder);
    for (const auto& [path, bytes] : tree(packs(folder))) {
      if (path != "index.html") {
        EXPECT_TRUE(found.contains(path) && found.at(path) == bytes) << path;
      }
    }
    ASSERT_TRUE(run_with(disk, new_, folder));
    EXPECT_EQ(tree(packs(folder)), versions_.after);
    if (!failing.has_failed() || HasFailure()) break;
  }
}

/// Power that goes again while the first loss is made good.
TEST_F(StoppedRun, TheRecoveryMayBeStoppedToo) {
  FailingDisk whole(1000000, FailingDisk::Kind::dies);
  {
    const Folder folder;
    start(folder);
    run_with(whole, new_, folder);
  }
  for (const int in_hundred : {70, 80, 90}) {
    const int first = whole.steps() * in_hundred / 100;
    for (int steps = 0;; ++steps) {
      SCOPED_TRACE(std::to_string(first) + " and " + std::to_string(steps));
      const Folder folder;
      start(folder);
      FailingDisk dying(first, FailingDisk::Kind::dies);
      run_with(dying, new_, folder);
      FailingDisk again(steps, FailingDisk::Kind::dies);
      static_cast<void>(recover_packs(again, packs(folder)));
      Disk disk;
      ASSERT_TRUE(recover_packs(disk, packs(folder)).ok());
      expect_whole(folder);
      if (!again.has_failed() || HasFailure()) break;
    }
  }
}

TEST_F(StoppedRun, AJournalThatLeadsOutOfTheFolderIsRefused) {
  const Folder folder;
  start(folder);
  put_bytes(folder.path() / "precious", "precious");
  const fs::path aside = work_folder(packs(folder)) / "two";
  for (const char* line :
       {"take - ../precious\nend\n", "put - /etc/x\nend\n", "take - two/two-tab.txt\n", "", "end\n\n"}) {
    fs::create_directories(aside);
    put_bytes(aside / "journal", line);
    Disk disk;
    EXPECT_FALSE(recover_packs(disk, packs(folder)).ok()) << line;
    EXPECT_EQ(bytes_of(folder.path() / "precious"), "precious");
    EXPECT_EQ(tree(packs(folder)), versions_.before);
  }
}

/// Somebody saves a file between the packer's look at it and the swap.
class SlowDisk : public Disk {
 public:
  explicit SlowDisk(fs::path target) : target_(std::move(target)) {}
  Result<void> rename(const fs::path& from, const fs::path& to) override {
    if (to.filename() == "journal") put_bytes(target_, "saved meanwhile");
    return Disk::rename(from, to);
  }

 private:
  fs::path target_;
};

TEST_F(StoppedRun, WhatIsSavedMeanwhileIsNotLost) {
  for (const char* path : {"two/two-tab.txt", "two/drawings/01-one-4-a-beat.svg", "two.zip"}) {
    const Folder folder;
    start(folder);
    if (std::string(path).find("drawings") != std::string::npos) fs::create_directories(packs(folder) / "two/drawings");
    SlowDisk slow(packs(folder) / path);
    PackRun run = run_in(folder);
    run.disk = &slow;
    const auto report = make_pack(new_, run);
    ASSERT_FALSE(report.ok()) << path;
    EXPECT_NE(report.error().what.find("changed by another program"), std::string::npos) << report.error().what;
    auto wanted = versions_.before;
    wanted[path] = "saved meanwhile";
    EXPECT_EQ(tree(packs(folder)), wanted);
    // The next run takes it for what it is: somebody else's.
    make_with_index(new_, folder);
    EXPECT_EQ(bytes_of(packs(folder) / path), "saved meanwhile");
  }
}

}  // namespace
}  // namespace fretloom
