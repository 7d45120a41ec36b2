// fretloom studio as a user runs it: its address, its end, and the page that needs no server.

#include <fcntl.h>
#include <gtest/gtest.h>
#include <sys/wait.h>
#include <unistd.h>

#include <csignal>
#include <filesystem>
#include <string>

#include "cli/run_command.h"
#include "studio/client.h"

namespace {

namespace fs = std::filesystem;

using fretloom::test::bytes_of;
using fretloom::test::exchange;
using fretloom::test::Folder;
using fretloom::test::HttpAnswer;
using fretloom::test::Outcome;
using fretloom::test::put_bytes;
using fretloom::test::request_text;
using fretloom::test::run;

/// The command until it is told to end; what it says so far.
class RunningStudio {
 public:
  explicit RunningStudio(const std::string& folder) {
    std::array<int, 2> pipe{};
    if (::pipe(pipe.data()) != 0) return;
    child_ = ::fork();
    if (child_ == 0) {
      ::dup2(pipe[1], STDOUT_FILENO);
      ::execl(FRETLOOM_COMMAND, FRETLOOM_COMMAND, "studio", folder.c_str(), static_cast<char*>(nullptr));
      ::_exit(9);
    }
    ::close(pipe[1]);
    out_ = pipe[0];
    while (said_.find("Ctrl-C") == std::string::npos && more()) continue;
    const std::string begin = "http://127.0.0.1:";
    const std::size_t at = said_.find(begin);
    if (at != std::string::npos) port_ = static_cast<std::uint16_t>(std::stoi(said_.substr(at + begin.size())));
  }
  RunningStudio(const RunningStudio&) = delete;
  RunningStudio& operator=(const RunningStudio&) = delete;
  ~RunningStudio() {
    if (child_ > 0) static_cast<void>(end(SIGKILL));
  }

  /// The exit code, or -1.
  int end(int signal) {
    ::kill(child_, signal);
    while (more()) continue;
    ::close(out_);
    int status = 0;
    ::waitpid(child_, &status, 0);
    child_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
  }

  [[nodiscard]] std::uint16_t port() const { return port_; }
  [[nodiscard]] const std::string& said() const { return said_; }

 private:
  bool more() {
    std::array<char, 4096> block{};
    const ssize_t n = ::read(out_, block.data(), block.size());
    if (n > 0) said_.append(block.data(), static_cast<std::size_t>(n));
    return n > 0;
  }

  pid_t child_ = -1;
  int out_ = -1;
  std::string said_;
  std::uint16_t port_ = 0;
};

HttpAnswer get(const RunningStudio& studio, const std::string& path) {
  return exchange(studio.port(), request_text("GET", path, {{"Host", "127.0.0.1:" + std::to_string(studio.port())}}));
}

std::string unpacked(const Folder& folder, const std::string& bytes) {
  put_bytes(folder / "packed.gz", bytes);
  EXPECT_EQ(fretloom::test::run_tool("gzip -dc '" + folder / "packed.gz" + "' > '" + folder / "plain" + "'").code, 0);
  return bytes_of(folder / "plain");
}

TEST(StudioCommand, ServesThePageUntilItIsToldToEnd) {
  const Folder folder;
  const Folder elsewhere;
  for (const int signal : {SIGINT, SIGTERM}) {
    RunningStudio studio(folder.path().string());
    ASSERT_NE(studio.port(), 0) << studio.said();
    const std::string real = fs::canonical(folder.path()).string();
    EXPECT_EQ(studio.said(), "The studio with the lessons of " + real +
                                 " is at\n\n    http://127.0.0.1:" + std::to_string(studio.port()) +
                                 "/\n\nOpen that address in a browser on this machine. Ctrl-C ends the studio.\n");
    const HttpAnswer page = get(studio, "/");
    EXPECT_EQ(page.status, 200);
    EXPECT_EQ(page.header("content-encoding"), "gzip");
    // Every file of the page is what the build made, and the page names no other.
    const fs::path built = fs::path(FRETLOOM_SOURCE_DIR) / "build/web/studio";
    EXPECT_EQ(unpacked(elsewhere, page.body), bytes_of(built / "index.html"));
    int files = 0;
    for (const auto& entry : fs::recursive_directory_iterator(built)) {
      if (!entry.is_regular_file() || entry.path().filename() == "index.html") continue;
      const HttpAnswer file = get(studio, "/" + entry.path().lexically_relative(built).generic_string());
      EXPECT_EQ(file.status, 200) << entry.path();
      const bool is_packed = file.header("content-encoding") == "gzip";
      EXPECT_EQ(is_packed ? unpacked(elsewhere, file.body) : file.body, bytes_of(entry.path())) << entry.path();
      ++files;
    }
    EXPECT_GT(files, 8);
    EXPECT_EQ(get(studio, "/engine.wasm").header("content-type"), "application/wasm");
    EXPECT_EQ(studio.end(signal), 0);
    EXPECT_TRUE(studio.said().ends_with("\nThe studio is closed. Your lessons are in " + real + ".\n"));
    EXPECT_EQ(folder.entries(), 0U) << "a studio that only looked leaves nothing";
  }
}

TEST(StudioCommand, SaysWhyItDoesNotStart) {
  const Folder folder;
  Outcome outcome = run(folder, "studio nowhere");
  EXPECT_EQ(outcome.code, 2);
  EXPECT_EQ(outcome.err, "fretloom: there is no folder nowhere; name one that holds lessons, or will hold them\n");
  EXPECT_EQ(run(folder, "studio . --port 65536").code, 2);
  RunningStudio studio(folder.path().string());
  ASSERT_NE(studio.port(), 0);
  outcome = run(folder, "studio . --port " + std::to_string(studio.port()));
  EXPECT_EQ(outcome.code, 1);
  EXPECT_NE(outcome.err.find("cannot listen on port " + std::to_string(studio.port()) + ": Address already in use"),
            std::string::npos)
      << outcome.err;
}

TEST(StudioCommand, WritesThePageThatNeedsNoServer) {
  const Folder folder;
  const Outcome outcome = run(folder, "studio --export out/page");
  EXPECT_EQ(outcome.code, 0) << outcome.err;
  EXPECT_EQ(outcome.out,
            "wrote out/page/index.html: the studio as a page of its own. Open it in a browser, or put the folder on a "
            "web server.\n");
  const fs::path built = fs::path(FRETLOOM_SOURCE_DIR) / "build/web/static";
  std::size_t files = 0;
  for (const auto& entry : fs::directory_iterator(built)) {
    EXPECT_EQ(bytes_of(folder.path() / "out/page" / entry.path().filename()), bytes_of(entry.path())) << entry.path();
    ++files;
  }
  EXPECT_EQ(files, 5U);
  EXPECT_EQ(static_cast<std::size_t>(
                std::distance(fs::directory_iterator(folder.path() / "out/page"), fs::directory_iterator())),
            files);
  const std::string page = bytes_of(folder.path() / "out/page/index.html");
  // Nothing of it is fetched: what it names lies beside it, and only for hosting.
  for (const char* part : {" src=", "href=\"/", "href=\"http", "url(/", "@import"})
    EXPECT_EQ(page.find(part), std::string::npos) << part;
}

}  // namespace
