// Lessons of a folder, through the server and beside it.

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <csignal>
#include <random>
#include <set>
#include <thread>

#include "studio/running.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using test::bytes_of;
using test::HttpAnswer;
using test::Json;
using test::lesson;
using test::put_bytes;
using test::Running;

Json lessons_of(const Running& run) { return Running::json(run.get("/api/lessons"))["lessons"]; }

std::set<std::string> names_of(const Running& run) {
  std::set<std::string> names;
  for (const Json& item : lessons_of(run)) names.insert(item["name"].get<std::string>());
  return names;
}

TEST(Folder, ListsItsLessons) {
  Running run;
  run.put("broken", "title = \n");
  run.put("ünicode name", lesson("Ü"));
  fs::create_directories(run.folder / "put-away");
  run.put("put-away/old", lesson("Old"));
  run.put("latin", "title = \"\xE9\"\n");
  run.put(".hidden", lesson("Hidden"));
  put_bytes(run.folder / "notes.txt", "no lesson");
  put_bytes(run.folder / "large.toml", std::string((1U << 20U) + 1, '#'));
  fs::create_directories(run.folder / "folder.toml");
  ASSERT_EQ(::mkfifo((run.folder / "pipe.toml").c_str(), 0600), 0);
  const Json lessons = lessons_of(run);
  ASSERT_EQ(lessons.size(), 4U) << lessons.dump(1);
  EXPECT_EQ(lessons[0], (Json{{"name", "broken"},
                              {"title", "broken"},
                              {"text", "title = \n"},
                              {"version", sha256("title = \n")},
                              {"away", false}}));
  EXPECT_EQ(lessons[1]["name"], "put-away/old");
  EXPECT_EQ(lessons[1]["title"], "Old");
  EXPECT_EQ(lessons[1]["away"], true);
  EXPECT_EQ(lessons[2]["title"], "Sixes");
  EXPECT_EQ(lessons[2]["version"], sha256(lesson("Sixes")));
  EXPECT_EQ(lessons[3]["name"], "ünicode name");
}

TEST(Folder, WritesWhatWasMadeOfTheTextThatLiesThere) {
  Running run;
  const std::string old = sha256(lesson("Sixes"));
  const HttpAnswer written = run.post("/api/write", {{"name", "sixes"}, {"text", lesson("Two")}, {"base", old}});
  EXPECT_EQ(written.status, 200);
  EXPECT_EQ(Running::json(written), (Json{{"version", sha256(lesson("Two"))}}));
  EXPECT_EQ(run.kept("sixes"), lesson("Two"));
  EXPECT_EQ(Running::json(run.get("/api/lesson?name=sixes")),
            (Json{{"text", lesson("Two")}, {"version", sha256(lesson("Two"))}}));
  EXPECT_EQ(run.folder.entries(), 1U) << "nothing is left beside it";
}

TEST(Folder, KeepsBothTextsWhereSomebodyElseWrote) {
  Running run;
  const std::string old = sha256(lesson("Sixes"));
  run.put("sixes", lesson("Theirs"));
  for (const Json& base : {Json(old), Json()}) {
    const HttpAnswer answer = run.post("/api/write", {{"name", "sixes"}, {"text", lesson("Mine")}, {"base", base}});
    EXPECT_EQ(answer.status, 409);
    EXPECT_EQ(Running::json(answer)["conflict"],
              (Json{{"text", lesson("Theirs")}, {"version", sha256(lesson("Theirs"))}}));
    EXPECT_EQ(run.kept("sixes"), lesson("Theirs"));
  }
  // The same text is no quarrel.
  EXPECT_EQ(run.post("/api/write", {{"name", "sixes"}, {"text", lesson("Theirs")}, {"base", old}}).status, 200);
  // The teacher chose.
  EXPECT_EQ(
      run.post("/api/write", {{"name", "sixes"}, {"text", lesson("Mine")}, {"base", sha256(lesson("Theirs"))}}).status,
      200);
  EXPECT_EQ(run.kept("sixes"), lesson("Mine"));
}

TEST(Folder, SaysThatALessonIsGone) {
  Running run;
  const std::string version = sha256(lesson("Sixes"));
  fs::remove(run.folder / "sixes.toml");
  const HttpAnswer answer = run.post("/api/write", {{"name", "sixes"}, {"text", lesson("Mine")}, {"base", version}});
  EXPECT_EQ(answer.status, 404);
  EXPECT_EQ(Running::json(answer)["error"],
            (Json{{"kind", "gone"}, {"message", "The lesson sixes is no longer in the folder."}}));
  EXPECT_EQ(run.get("/api/lesson?name=sixes").status, 404);
  for (const char* call : {"/api/copy", "/api/away", "/api/back"})
    EXPECT_EQ(run.post(call, {{"name", "sixes"}}).status, 404);
  EXPECT_EQ(run.folder.entries(), 0U);
  EXPECT_EQ(run.post("/api/write", {{"name", "sixes"}, {"text", lesson("Mine")}, {"base", Json()}}).status, 200);
  EXPECT_EQ(run.kept("sixes"), lesson("Mine"));
}

TEST(Folder, RefusesWhatIsNoLessonFile) {
  Running run;
  const std::string version = sha256(lesson("Sixes"));
  const auto write = [&](const Json& json) { return run.post("/api/write", json).status; };
  EXPECT_EQ(write({{"name", "sixes"}, {"text", std::string((1U << 20U) + 1, '#')}, {"base", version}}), 413);
  EXPECT_EQ(write({{"name", "sixes"}, {"text", std::string("a\0b", 3)}, {"base", version}}), 400);
  EXPECT_EQ(write({{"name", "sixes"}, {"text", "x = 1"}}), 400);
  EXPECT_EQ(write({{"name", "sixes"}, {"text", "x = 1"}, {"base", 5}}), 400);
  EXPECT_EQ(write({{"name", "sixes"}, {"base", version}}), 400);
  EXPECT_EQ(write({{"name", 7}, {"text", "x = 1"}, {"base", version}}), 400);
  EXPECT_EQ(write(Json::array()), 400);
  EXPECT_EQ(write(nullptr), 400);
  Json deep = "\"}]\\";
  for (int i = 0; i < 15; ++i) deep = Json::array({deep});
  EXPECT_EQ(write({{"name", "sixes"}, {"text", lesson("Sixes")}, {"base", version}, {"deep", deep}}), 200);
  EXPECT_EQ(write({{"name", "sixes"}, {"text", lesson("Deep")}, {"base", version}, {"deep", Json::array({deep})}}),
            400);
  EXPECT_EQ(run.kept("sixes"), lesson("Sixes"));
  // A lesson of the largest size, every byte of it escaped.
  const std::string largest(1U << 20U, '\t');
  EXPECT_EQ(write({{"name", "sixes"}, {"text", largest}, {"base", version}}), 200);
  EXPECT_EQ(run.kept("sixes"), largest);
}

TEST(Folder, FindsFreeNames) {
  Running run;
  const auto create = [&](const std::string& wish) {
    return Running::json(run.post("/api/create", {{"name", wish}, {"text", lesson(wish)}}));
  };
  EXPECT_EQ(create("Climbing Sixes!"),
            (Json{{"name", "climbing-sixes"}, {"version", sha256(lesson("Climbing Sixes!"))}}));
  EXPECT_EQ(create("climbing-sixes.toml")["name"], "climbing-sixes-2");
  EXPECT_EQ(create("")["name"], "lesson");
  EXPECT_EQ(run.kept("climbing-sixes"), lesson("Climbing Sixes!"));
  EXPECT_EQ(Running::json(run.post("/api/copy", {{"name", "sixes"}}))["name"], "sixes-2");
  EXPECT_EQ(run.kept("sixes-2"), lesson("Sixes"));
}

TEST(Folder, PutsAwayAndBringsBack) {
  Running run;
  EXPECT_EQ(Running::json(run.post("/api/away", {{"name", "sixes"}}))["name"], "put-away/sixes");
  EXPECT_EQ(run.kept("put-away/sixes"), lesson("Sixes"));
  EXPECT_EQ(names_of(run), std::set<std::string>{"put-away/sixes"});
  run.put("sixes", lesson("Another"));
  EXPECT_EQ(Running::json(run.post("/api/away", {{"name", "sixes"}}))["name"], "put-away/sixes-2");
  run.put("sixes", lesson("A third"));
  EXPECT_EQ(Running::json(run.post("/api/back", {{"name", "put-away/sixes"}}))["name"], "sixes-2");
  EXPECT_EQ(run.kept("sixes-2"), lesson("Sixes"));
  EXPECT_EQ(run.kept("sixes"), lesson("A third"));
  EXPECT_EQ(Running::json(run.post("/api/copy", {{"name", "put-away/sixes-2"}}))["name"], "sixes-2-2");
  // Where it is already, it stays.
  EXPECT_EQ(Running::json(run.post("/api/back", {{"name", "sixes"}}))["name"], "sixes");
  EXPECT_EQ(Running::json(run.post("/api/away", {{"name", "put-away/sixes-2"}}))["name"], "put-away/sixes-2");
}

/// Asks for news in a thread of its own and gives them.
class Asking {
 public:
  Asking(const Running& run, const std::string& after)
      : thread_([this, &run, after] { answer_ = Running::json(run.get("/api/changes?after=" + after)); }) {}
  Json answer() {
    thread_.join();
    return answer_;
  }

 private:
  Json answer_;
  std::thread thread_;
};

TEST(Folder, TellsWhatOthersChange) {
  Running run;
  std::string state = Running::json(run.get("/api/changes"))["state"];
  const auto next = [&](const auto& change) {
    Asking asking(run, state);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    const auto begin = std::chrono::steady_clock::now();
    change();
    const Json answer = asking.answer();
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(5));
    EXPECT_NE(answer["state"], state);
    state = answer["state"];
    std::map<std::string, std::string> there;
    for (const Json& item : answer["lessons"]) there[item["name"]] = item["version"];
    return there;
  };
  using There = std::map<std::string, std::string>;
  const std::string sixes = sha256(lesson("Sixes"));
  EXPECT_EQ(next([&] { run.put("new", lesson("New")); }), (There{{"sixes", sixes}, {"new", sha256(lesson("New"))}}));
  EXPECT_EQ(next([&] { run.put("new", lesson("Net")); }), (There{{"sixes", sixes}, {"new", sha256(lesson("Net"))}}));
  EXPECT_EQ(next([&] { fs::rename(run.folder / "new.toml", run.folder / "old.toml"); }),
            (There{{"sixes", sixes}, {"old", sha256(lesson("Net"))}}));
  EXPECT_EQ(next([&] { fs::remove(run.folder / "old.toml"); }), (There{{"sixes", sixes}}));
  EXPECT_EQ(next([&] {
              static_cast<void>(run.post("/api/away", {{"name", "sixes"}}));
            }),
            (There{{"put-away/sixes", sixes}}));
}

/// An editor may write a file in place, as long as before and within one step of the file system's clock.
TEST(Folder, SeesAChangeThatLeavesSizeAndTime) {
  const test::Folder folder;
  put_bytes(folder / "a.toml", lesson("One"));
  studio::LessonFolder lessons(fs::canonical(folder.path()));
  const auto first = lessons.versions();
  const auto time = fs::last_write_time(folder / "a.toml");
  put_bytes(folder / "a.toml", lesson("Two"));
  fs::last_write_time(folder / "a.toml", time);
  const auto second = lessons.versions();
  ASSERT_TRUE(first && second);
  EXPECT_EQ(second->front().version, sha256(lesson("Two")));
}

TEST(Folder, DoesNotWaitForNewsWhereItIsNotAskedTo) {
  Running run;
  const std::string state = Running::json(run.get("/api/changes"))["state"];
  const auto begin = std::chrono::steady_clock::now();
  EXPECT_EQ(Running::json(run.get("/api/changes?wait=0&after=" + state))["state"], state);
  EXPECT_EQ(Running::json(run.get("/api/pack?wait=0&after=0"))["number"], 0);
  EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(5));
}

TEST(Folder, WaitsForNewsNoLongerThanTheServerRuns) {
  Running run;
  const std::string state = Running::json(run.get("/api/changes"))["state"];
  Asking asking(run, state);
  std::this_thread::sleep_for(std::chrono::milliseconds(100));
  const auto begin = std::chrono::steady_clock::now();
  run.server.reset();
  EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(5));
  static_cast<void>(asking.answer());
}

TEST(Folder, SaysWhereItCannotWrite) {
  if (::geteuid() == 0) GTEST_SKIP() << "root may write everywhere";
  Running run;
  fs::permissions(run.folder.path(), fs::perms::owner_read | fs::perms::owner_exec);
  const HttpAnswer answer = run.post("/api/create", {{"name", "x"}, {"text", "x = 1\n"}});
  fs::permissions(run.folder.path(), fs::perms::owner_all);
  EXPECT_EQ(answer.status, 500);
  EXPECT_EQ(Running::json(answer)["error"]["kind"], "full");
}

/// A server of its own process, which is killed.
class Victim {
 public:
  explicit Victim(const test::Folder& folder) {
    static_cast<void>(test::music_font());  // read before, so that the child need not
    std::array<int, 2> pipe{};
    if (::pipe(pipe.data()) != 0) return;
    child_ = ::fork();
    if (child_ == 0) {
      ::close(pipe[0]);
      studio::Studio studio(
          {fs::canonical(folder.path()), {folder.path() / "packs", "", {&test::music_font(), "test"}}});
      const auto server = studio::Server::start(studio, test::k_page, 0);
      if (!server) ::_exit(1);
      const std::string said = std::to_string((*server)->port()) + " " + (*server)->token() + "\n";
      if (::write(pipe[1], said.data(), said.size()) < 0) ::_exit(1);
      while (true) ::pause();
    }
    ::close(pipe[1]);
    std::FILE* said = ::fdopen(pipe[0], "r");
    std::array<char, 64> token{};
    unsigned port = 0;
    if (std::fscanf(said, "%u %63s", &port, token.data()) == 2) {
      port_ = static_cast<std::uint16_t>(port);
      token_ = token.data();
    }
    std::fclose(said);
  }
  Victim(const Victim&) = delete;
  Victim& operator=(const Victim&) = delete;
  ~Victim() { kill(); }

  void kill() {
    if (child_ <= 0) return;
    ::kill(child_, SIGKILL);
    ::waitpid(child_, nullptr, 0);
    child_ = -1;
  }
  [[nodiscard]] std::uint16_t port() const { return port_; }
  [[nodiscard]] std::string save(const std::string& text, const std::string& base) const {
    const std::string body = Json{{"name", "sixes"}, {"text", text}, {"base", base}}.dump();
    const std::string host = "127.0.0.1:" + std::to_string(port_);
    return test::request_text("POST", "/api/write",
                              {{"Host", host},
                               {"Origin", "http://" + host},
                               {"Sec-Fetch-Site", "same-origin"},
                               {"Content-Type", "application/json"},
                               {"Fretloom-Token", token_},
                               {"Content-Length", std::to_string(body.size())}},
                              body);
  }

 private:
  pid_t child_ = -1;
  std::uint16_t port_ = 0;
  std::string token_;
};

TEST(Folder, HasAWholeLessonWheneverTheServerIsKilled) {
  const test::Folder folder;
  const std::string path = folder / "sixes.toml";
  std::string last = lesson("Sixes");
  put_bytes(path, last);
  std::mt19937 random(1);
  int old = 0;
  double wait = 8'000.0;  // microseconds; so that about as many kills come too early as too late on any machine
  int fresh = 0;
  constexpr int k_saves = 200;
  for (int i = 0; i < k_saves; ++i) {
    Victim victim(folder);
    ASSERT_NE(victim.port(), 0);
    // Some hundred kB, so that a write takes its time.
    const std::string next = lesson("Sixes " + std::to_string(i)) + std::string(random() % 400'000, '#') + "\n";
    test::Wire wire(victim.port());
    ASSERT_TRUE(wire.send(victim.save(next, sha256(last))));
    std::this_thread::sleep_for(std::chrono::microseconds(random() % static_cast<unsigned>(wait)));
    victim.kill();
    const std::string now = bytes_of(path);
    ASSERT_TRUE(now == last || now == next)
        << i << ": " << now.size() << " bytes, not " << last.size() << " or " << next.size();
    ++(now == next ? fresh : old);
    wait = std::max(wait * (now == next ? 0.8 : 1.25), 100.0);
    last = now;
  }
  // Or the kills came all too early or all too late to say anything.
  EXPECT_GT(old, 20);
  EXPECT_GT(fresh, 20);
  RecordProperty("killed_before", old);
  RecordProperty("killed_behind", fresh);
  // What the killed ones left goes when the next one starts.
  const studio::LessonFolder lessons(fs::canonical(folder.path()));
  EXPECT_EQ(folder.entries(), 1U);
}

}  // namespace
}  // namespace fretloom
