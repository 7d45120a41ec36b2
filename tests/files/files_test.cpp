// Files are written whole or not at all.

#include "files/files.h"

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/resource.h>
#include <sys/stat.h>

#include <array>
#include <csignal>

#include "outside.h"

namespace fretloom {
namespace {

using test::bytes_of;
using test::Folder;

TEST(WriteFile, ReplacesTheOldFile) {
  const Folder folder;
  ASSERT_TRUE(write_file(folder / "a.txt", "old").ok());
  ASSERT_TRUE(write_file(folder / "a.txt", "newer").ok());
  EXPECT_EQ(bytes_of(folder / "a.txt"), "newer");
  EXPECT_EQ(folder.entries(), 1U);
}

TEST(WriteFile, LeavesNothingWhereItCannotWrite) {
  const Folder folder;
  ASSERT_TRUE(write_file(folder / "a.txt", "old").ok());
  EXPECT_EQ(write_file(folder / "a.txt/b.txt", "x").error().kind, ErrorKind::io);  // a file is no folder
  EXPECT_EQ(write_file(folder / "none/b.txt", "x").error().kind, ErrorKind::io);
  EXPECT_EQ(write_file("/dev/null/b.txt", "x").error().kind, ErrorKind::io);
  ASSERT_EQ(::mkdir((folder / "taken").c_str(), 0755), 0);
  ASSERT_TRUE(write_file(folder / "taken/in.txt", "x").ok());
  EXPECT_EQ(write_file(folder / "taken", "x").error().kind, ErrorKind::io);
  EXPECT_EQ(bytes_of(folder / "a.txt"), "old");
  EXPECT_EQ(folder.entries(), 2U);
}

TEST(WriteFile, WritesThroughWhatIsNoFile) {
  const Folder folder;
  ASSERT_EQ(::mkfifo((folder / "pipe").c_str(), 0600), 0);
  const int reader = ::open((folder / "pipe").c_str(), O_RDONLY | O_NONBLOCK);
  ASSERT_GE(reader, 0);
  ASSERT_TRUE(write_file(folder / "pipe", "through").ok());
  std::array<char, 16> got{};
  EXPECT_EQ(::read(reader, got.data(), got.size()), 7);
  ::close(reader);
  EXPECT_TRUE(std::filesystem::is_fifo(folder / "pipe"));
  EXPECT_EQ(write_file("/dev/full", "x").error().kind, ErrorKind::io);  // a device without room
  EXPECT_TRUE(std::filesystem::is_character_file("/dev/full"));
}

TEST(ReplaceFile, PutsAFileInThePlaceOfALinkOrPipe) {
  const Folder folder;
  ASSERT_TRUE(write_file(folder / "outside.txt", "precious").ok());
  std::filesystem::create_symlink("outside.txt", folder.path() / "link");
  std::filesystem::create_symlink("link-to-itself", folder.path() / "link-to-itself");
  ASSERT_EQ(::mkfifo((folder / "pipe").c_str(), 0600), 0);
  for (const char* name : {"link", "link-to-itself", "pipe"}) {
    ASSERT_TRUE(replace_file(folder / name, "new").ok()) << name;
    EXPECT_TRUE(std::filesystem::is_regular_file(std::filesystem::symlink_status(folder / name))) << name;
    EXPECT_EQ(bytes_of(folder / name), "new");
  }
  EXPECT_EQ(bytes_of(folder / "outside.txt"), "precious");
  EXPECT_EQ(folder.entries(), 4U);
}

TEST(WriteFile, KeepsALinkAndRenewsItsFile) {
  const Folder folder;
  ASSERT_TRUE(write_file(folder / "a.txt", "old").ok());
  std::filesystem::create_symlink("a.txt", folder.path() / "link.txt");
  ASSERT_TRUE(write_file(folder / "link.txt", "new").ok());
  EXPECT_TRUE(std::filesystem::is_symlink(folder / "link.txt"));
  EXPECT_EQ(bytes_of(folder / "a.txt"), "new");
  EXPECT_EQ(folder.entries(), 2U);
}

// A full disk, by the limit of a process's file size: the write fails half way. In a child, since the
// limit cannot be lifted again.
TEST(WriteFile, AFullDiskLeavesTheOldFileAndNoPart) {
  const Folder folder;
  const std::string path = folder / "a.wav";
  ASSERT_TRUE(write_file(path, "old").ok());
  const std::string large(1 << 20, 'x');
  const pid_t child = ::fork();
  ASSERT_GE(child, 0);
  if (child == 0) {
    ::signal(SIGXFSZ, SIG_IGN);
    const rlimit limit{1 << 16, 1 << 16};
    ::setrlimit(RLIMIT_FSIZE, &limit);
    const auto failed = write_file(path, large);
    ::_exit(!failed && failed.error().kind == ErrorKind::io ? 0 : 1);
  }
  int status = 0;
  ::waitpid(child, &status, 0);
  EXPECT_TRUE(WIFEXITED(status) && WEXITSTATUS(status) == 0);
  EXPECT_EQ(bytes_of(path), "old");
  EXPECT_EQ(folder.entries(), 1U);
}

TEST(ReadFile, RefusesWhatIsLargerThanItsLimit) {
  const Folder folder;
  ASSERT_TRUE(write_file(folder / "a.txt", std::string(300'000, 'x')).ok());
  EXPECT_EQ(read_file(folder / "a.txt", 1'000'000).value().size(), 300'000U);
  EXPECT_EQ(read_file(folder / "a.txt", 300'000).value().size(), 300'000U);
  const auto refused = read_file(folder / "a.txt", 256U << 10U);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().kind, ErrorKind::limit);
  EXPECT_EQ(refused.error().what, (folder / "a.txt") + " is larger than 256 kB, the most that is read");
  EXPECT_EQ(read_file(folder / "a.txt", 299'999).error().kind, ErrorKind::limit);
  EXPECT_EQ(read_file("/dev/zero", 1000).error().kind, ErrorKind::limit);  // a device tells no size
  EXPECT_EQ(read_file(folder / "none.txt", 1000).error().kind, ErrorKind::io);
  EXPECT_EQ(read_file(folder.path(), 1000).error().kind, ErrorKind::io);
}

TEST(CollectFiles, TakesFilesAsTheyAreAndFoldersSorted) {
  const Folder folder;
  ASSERT_EQ(::mkdir((folder / "inner").c_str(), 0755), 0);
  for (const char* name : {"b.toml", "a.toml", "note.txt", "inner/c.toml"})
    ASSERT_TRUE(write_file(folder / name, "x").ok());
  const auto files = collect_files({folder / "note.txt", folder.path().string()}, ".toml").value();
  const std::vector<std::filesystem::path> expected = {folder / "note.txt", folder / "a.toml", folder / "b.toml",
                                                       folder / "inner/c.toml"};
  EXPECT_EQ(files, expected);
}

}  // namespace
}  // namespace fretloom
