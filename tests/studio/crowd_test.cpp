// Many clients at a time, good ones and bad ones.

#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <random>
#include <thread>

#if defined(__SANITIZE_ADDRESS__)
extern "C" std::size_t __sanitizer_get_current_allocated_bytes();
#else
#include <malloc.h>
#endif

#include "studio/running.h"

namespace fretloom {
namespace {

using test::exchange;
using test::Headers;
using test::HttpAnswer;
using test::Json;
using test::lesson;
using test::request_text;
using test::Running;

/// What this process has allocated and not given back.
std::size_t live_bytes() {
#if defined(__SANITIZE_ADDRESS__)
  return __sanitizer_get_current_allocated_bytes();
#else
  return ::mallinfo2().uordblks;
#endif
}

constexpr int k_clients = 16;

/// One client of many: it writes its own lesson, counts up one that all share, and sends nonsense between.
class Client {
 public:
  Client(const Running& run, int number, unsigned seed)
      : run_(run), own_("own-" + std::to_string(number)), random_(seed) {}

  void run(int requests) {
    for (int i = 0; i < requests; ++i) {
      switch (random_() % 8) {
        case 0:
        case 1: write_own(); break;
        case 2:
        case 3: count_up(); break;
        case 4: read(); break;
        default: send_nonsense(); break;
      }
    }
  }

  int own_writes = 0;
  int counted = 0;

 private:
  void write_own() {
    const std::string text = "x = " + std::to_string(own_writes + 1) + "\n";
    const Json base = own_writes == 0 ? Json() : Json(sha256("x = " + std::to_string(own_writes) + "\n"));
    const HttpAnswer answer = run_.post("/api/write", {{"name", own_}, {"text", text}, {"base", base}});
    ASSERT_EQ(answer.status, 200) << own_ << " " << answer.body;
    ++own_writes;
    ASSERT_EQ(run_.kept(own_), text);
  }

  /// The number in the shared lesson, one more; what another client wrote meanwhile is not lost.
  void count_up() {
    const Json there = Running::json(run_.get("/api/lesson?name=shared"));
    ASSERT_TRUE(there.contains("text"));
    // "n = 12 # own-3": no two clients write the same, or both would have written it.
    const std::string text = there["text"];
    const auto number = parse_int(words(text).at(2).text);
    ASSERT_TRUE(number) << text;
    const std::string next = "n = " + std::to_string(*number + 1) + " # " + own_ + "\n";
    const HttpAnswer answer = run_.post("/api/write", {{"name", "shared"}, {"text", next}, {"base", there["version"]}});
    ASSERT_TRUE(answer.status == 200 || answer.status == 409) << answer.status;
    if (answer.status == 200)
      ++counted;
    else
      ASSERT_TRUE(Running::json(answer)["conflict"].contains("text"));
  }

  void read() {
    const std::vector<std::string> targets = {
        "/",        "/api/lessons",       "/api/lesson?name=sixes",           "/api/changes",
        "/nothing", "/api/pack?after=-1", "/api/output?name=sixes&format=txt"};
    const HttpAnswer answer = run_.get(targets[random_() % targets.size()]);
    ASSERT_TRUE(answer.status == 200 || answer.status == 404);
  }

  std::string noise(std::size_t size) {
    std::string text;
    for (std::size_t i = 0; i < size; ++i) text += static_cast<char>(random_() % 256);
    return text;
  }

  /// What no good client sends. Nothing of it may change a lesson, and nobody else may notice.
  void send_nonsense() {
    const std::string body =
        Json{{"name", "sixes"}, {"text", "lost = true\n"}, {"base", sha256(lesson("Sixes"))}}.dump();
    Headers headers = run_.write_headers(body);
    std::string text;
    switch (random_() % 12) {
      case 0: text = noise(1 + random_() % 3000); break;
      case 1: text = "GET / HTTP/9.9\r\nHost: " + run_.host() + "\r\n\r\n"; break;
      case 2: text = request_text("POST", "/api/write", {{"Host", run_.host()}, {"Content-Length", "10"}}, "{}"); break;
      case 3:
        headers[4].second = "wrong";
        text = request_text("POST", "/api/write", headers, body);
        break;
      case 4:
        headers[1].second = "http://evil.example";
        text = request_text("POST", "/api/write", headers, body);
        break;
      case 5:
        headers[5].second = "99999999999";
        text = request_text("POST", "/api/write", headers, body);
        break;
      case 6:
        text = request_text("GET", "/api/lesson?name=" + std::string(random_() % 60'000, 'a'), {{"Host", run_.host()}});
        break;
      case 7: {
        const std::string deep(50'000, '[');
        text = request_text("POST", "/api/write", run_.write_headers(deep), deep);
        break;
      }
      case 8: {
        const std::string deep =
            "{\"name\":\"sixes\",\"choice\":" + std::string(50'000, '[') + std::string(50'000, ']') + "}";
        text = request_text("POST", "/api/pack", run_.write_headers(deep), deep);
        break;
      }
      case 9: {
        const std::string junk = noise(random_() % 2000);
        text = request_text("POST", "/api/create", run_.write_headers(junk), junk);
        break;
      }
      case 10:  // the end does not come
        text = request_text("POST", "/api/write", headers, body);
        text.resize(text.size() - 1 - random_() % body.size());
        test::Wire(run_.port()).send(text);
        return;
      default:
        text = "POST /api/write HTTP/1.1\r\nHost: " + run_.host() +
               "\r\nTransfer-Encoding: chunked\r\n\r\nffffffffff\r\n" + noise(100);
        break;
    }
    test::Wire wire(run_.port());
    wire.send(text);
    wire.finish();
    const HttpAnswer answer = wire.receive();
    ASSERT_TRUE(answer.status == 0 || answer.status >= 400) << answer.status << " for " << text.substr(0, 200);
  }

  const Running& run_;
  std::string own_;
  std::mt19937 random_;
};

TEST(Crowd, LosesNothingAndKeepsNoMemory) {
  Running run;
  run.put("shared", "n = 0\n");
  std::vector<Client> clients;
  for (int i = 0; i < k_clients; ++i) clients.emplace_back(run, i, static_cast<unsigned>(i));
  const auto all_at_once = [&](int requests) {
    std::vector<std::thread> threads;
    for (Client& client : clients) threads.emplace_back([&client, requests] { client.run(requests); });
    for (std::thread& thread : threads) thread.join();
  };
  // Connections end a little after their client has gone.
  const auto settled = [] {
    std::this_thread::sleep_for(std::chrono::milliseconds(500));
    return live_bytes();
  };
  all_at_once(40);
  const std::size_t before = settled();
  all_at_once(313);
  const std::size_t after = settled();
  int counted = 0;
  for (std::size_t i = 0; i < clients.size(); ++i) {
    counted += clients[i].counted;
    EXPECT_EQ(run.kept("own-" + std::to_string(i)), "x = " + std::to_string(clients[i].own_writes) + "\n");
  }
  EXPECT_GT(counted, 50);
  const std::string shared = run.kept("shared");
  EXPECT_TRUE(shared.starts_with("n = " + std::to_string(counted) + " ")) << shared << counted;
  EXPECT_EQ(run.kept("sixes"), lesson("Sixes"));
  EXPECT_EQ(run.folder.entries(), 2U + k_clients);
  RecordProperty("counted_up", counted);
  RecordProperty("live_bytes_before", static_cast<int>(before));
  RecordProperty("live_bytes_after", static_cast<int>(after));
  constexpr std::size_t k_slack = std::size_t{1} << 20U;
  EXPECT_LT(after, before + k_slack) << before << " bytes before, " << after << " after";
}

/// Whoever says nothing more does not keep others from being answered.
TEST(Crowd, AnswersWhileOthersHang) {
  Running run;
  std::vector<std::unique_ptr<test::Wire>> hanging;
  for (int i = 0; i < 60; ++i) {
    hanging.push_back(std::make_unique<test::Wire>(run.port()));
    hanging.back()->send("GET / HTTP/1.1\r\nHost: ");
  }
  EXPECT_EQ(run.get("/api/lessons").status, 200);
}

}  // namespace
}  // namespace fretloom
