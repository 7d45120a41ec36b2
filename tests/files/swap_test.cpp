// Several files changed together, and locks that leave nothing behind. What a stop does to a swap:
// tests/pack/stop_test.

#include "files/swap.h"

#include <gtest/gtest.h>

#include <thread>

#include "files/files.h"
#include "files/lock.h"
#include "outside.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using test::bytes_of;
using test::Folder;
using test::put_bytes;

TEST(FileSwap, BringsAndTakesFilesAndTheirFolders) {
  const Folder folder;
  fs::create_directories(folder.path() / "root/old/deep");
  put_bytes(folder.path() / "root/a", "1");
  put_bytes(folder.path() / "root/old/deep/b", "2");
  put_bytes(folder.path() / "root/foreign", "3");
  Disk disk;
  FileSwap swap(disk, folder.path() / "root", folder.path() / "aside");
  EXPECT_TRUE(swap.is_empty());
  ASSERT_TRUE(swap.put("a", "one", identity_of(folder.path() / "root/a")).ok());
  ASSERT_TRUE(swap.put("new/deep/c", "three", "-").ok());
  swap.take("old/deep/b", identity_of(folder.path() / "root/old/deep/b"));
  EXPECT_EQ(bytes_of(folder / "root/a"), "1");  // not yet
  ASSERT_TRUE(swap.commit().ok());
  EXPECT_EQ(bytes_of(folder / "root/a"), "one");
  EXPECT_EQ(bytes_of(folder / "root/new/deep/c"), "three");
  EXPECT_EQ(bytes_of(folder / "root/foreign"), "3");
  EXPECT_FALSE(fs::exists(folder / "root/old"));
  EXPECT_FALSE(fs::exists(folder / "aside"));
}

TEST(FileSwap, RefusesWhatChangedMeanwhileAndLeavesAllAsItWas) {
  const Folder folder;
  fs::create_directories(folder.path() / "root");
  for (const char* name : {"a", "b"}) put_bytes(folder.path() / "root" / name, "old");
  Disk disk;
  FileSwap swap(disk, folder.path() / "root", folder.path() / "aside");
  for (const char* name : {"a", "b"})
    ASSERT_TRUE(swap.put(name, "new", identity_of(folder.path() / "root" / name)).ok());
  ASSERT_TRUE(swap.put("c", "new", "-").ok());
  put_bytes(folder.path() / "root/c", "somebody else's");
  EXPECT_EQ(swap.commit().error().kind, ErrorKind::io);
  EXPECT_EQ(bytes_of(folder / "root/a"), "old");
  EXPECT_EQ(bytes_of(folder / "root/b"), "old");
  EXPECT_EQ(bytes_of(folder / "root/c"), "somebody else's");
  EXPECT_FALSE(fs::exists(folder / "aside"));
}

TEST(Disk, WritesOverNothing) {
  const Folder folder;
  Disk disk;
  ASSERT_TRUE(disk.write(folder.path() / "in/a", "one").ok());
  EXPECT_FALSE(disk.write(folder.path() / "in/a", "two").ok());
  ASSERT_TRUE(disk.write(folder.path() / "b", "two").ok());
  EXPECT_FALSE(disk.rename(folder.path() / "b", folder.path() / "in/a").ok());
  fs::create_symlink("nowhere", folder.path() / "link");
  EXPECT_FALSE(disk.rename(folder.path() / "b", folder.path() / "link").ok());
  EXPECT_FALSE(disk.write(folder.path() / "link", "through").ok());
  EXPECT_EQ(bytes_of(folder / "in/a"), "one");
  EXPECT_FALSE(fs::exists(folder / "nowhere"));
}

TEST(FileLock, IsHeldByOneAndLeavesNothingBehind) {
  const Folder folder;
  const fs::path path = folder.path() / "work/a.lock";
  {
    const auto lock = FileLock::take(path);
    ASSERT_TRUE(lock.ok());
    const auto other = FileLock::try_take(path);
    ASSERT_TRUE(other.ok());
    EXPECT_FALSE(other->has_value());
  }
  EXPECT_EQ(folder.entries(), 0U);
  EXPECT_EQ(FileLock::take("/dev/null/a.lock").error().kind, ErrorKind::io);
  int inside = 0;
  int most = 0;
  std::vector<std::thread> threads;
  for (int t = 0; t < 4; ++t) {
    threads.emplace_back([&] {
      for (int i = 0; i < 200; ++i) {
        const auto lock = FileLock::take(path);
        if (!lock.ok()) return;
        most = std::max(most, ++inside);
        --inside;
      }
    });
  }
  for (std::thread& thread : threads) thread.join();
  EXPECT_EQ(most, 1);
  EXPECT_EQ(folder.entries(), 0U);
}

}  // namespace
}  // namespace fretloom
