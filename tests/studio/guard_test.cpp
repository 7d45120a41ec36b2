// Who is answered. Each test names the guard that it is for: without that guard it fails (docs/studio.md, The server).

#include "studio/guard.h"

#include <gtest/gtest.h>

#include <fstream>
#include <sstream>

#include "studio/running.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using test::bytes_of;
using test::exchange;
using test::Headers;
using test::HttpAnswer;
using test::Json;
using test::lesson;
using test::request_text;
using test::Running;

class Guard : public testing::Test {
 protected:
  void SetUp() override { body_ = Json{{"name", "sixes"}, {"text", lesson("Other")}, {"base", version()}}.dump(); }

  [[nodiscard]] std::string version() const { return sha256(run_.kept("sixes")); }

  /// A write that would be done, but for what `change` does to its headers.
  template <class Change>
  HttpAnswer write_with(Change change) {
    Headers headers = run_.write_headers(body_);
    change(headers);
    return exchange(run_.port(), request_text("POST", "/api/write", headers, body_));
  }
  HttpAnswer write_without(const std::string& name) {
    return write_with(
        [&](Headers& headers) { std::erase_if(headers, [&](const auto& h) { return h.first == name; }); });
  }
  HttpAnswer write_as(const std::string& name, const std::string& value) {
    return write_with([&](Headers& headers) {
      for (auto& header : headers)
        if (header.first == name) header.second = value;
    });
  }
  [[nodiscard]] bool is_untouched() const {
    return run_.kept("sixes") == lesson("Sixes") && run_.folder.entries() == 1;
  }

  Running run_;
  std::string body_;
};

/// Or every refusal below would say nothing.
TEST_F(Guard, LetsTheOwnPageWrite) {
  const HttpAnswer answer = write_with([](Headers&) {});
  EXPECT_EQ(answer.status, 200) << answer.body;
  EXPECT_EQ(run_.kept("sixes"), lesson("Other"));
}

/// Proc: /proc/net/tcp, local addresses in hexadecimal, low byte first.
TEST_F(Guard, ListensOnThisMachineAlone) {
  std::ostringstream port;
  port << std::hex << std::uppercase << run_.port();
  const std::string ours = ":" + std::string(4 - port.str().size(), '0') + port.str();
  std::ifstream tables[] = {std::ifstream("/proc/net/tcp"), std::ifstream("/proc/net/tcp6")};
  int listening = 0;
  for (std::ifstream& table : tables) {
    for (std::string line; std::getline(table, line);) {
      const auto words = fretloom::words(line);
      constexpr std::string_view k_listen = "0A";
      if (words.size() < 4 || !words[1].text.ends_with(ours) || words[3].text != k_listen) continue;
      ++listening;
      EXPECT_EQ(words[1].text, "0100007F" + ours);
    }
  }
  EXPECT_EQ(listening, 1);
}

TEST_F(Guard, AnswersOnlyToItsOwnName) {
  const std::string port = std::to_string(run_.port());
  for (const std::string& host :
       {std::string("evil.example"), "evil.example:" + port, std::string("127.0.0.1"), std::string("127.0.0.1:1"),
        "127.0.0.1.evil.example:" + port, "[::1]:" + port, "0.0.0.0:" + port, std::string()}) {
    for (const char* target : {"/", "/api/lessons", "/api/session"}) {
      const HttpAnswer answer = exchange(run_.port(), request_text("GET", target, {{"Host", host}}));
      EXPECT_EQ(answer.status, 421) << host << target;
      EXPECT_EQ(answer.body.find(run_.server->token()), std::string::npos);
    }
  }
  EXPECT_EQ(exchange(run_.port(), "GET /api/lessons HTTP/1.0\r\n\r\n").status, 421);
  for (const std::string& host : {"127.0.0.1:" + port, "localhost:" + port, "LOCALHOST:" + port})
    EXPECT_EQ(exchange(run_.port(), request_text("GET", "/api/lessons", {{"Host", host}})).status, 200) << host;
}

TEST_F(Guard, RefusesAHeaderThatIsThereTwice) {
  for (const char* name : {"Host", "Origin", "Sec-Fetch-Site", "Content-Type", "Fretloom-Token"}) {
    const HttpAnswer answer = write_with([&](Headers& headers) {
      for (const auto& header : Headers(headers))
        if (header.first == name) headers.emplace_back(header);
    });
    EXPECT_EQ(answer.status, 400) << name;
  }
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, KnowsQuestionsAndWritesAlone) {
  for (const char* method : {"PUT", "DELETE", "PATCH", "OPTIONS", "TRACE", "PROPFIND"})
    EXPECT_EQ(
        exchange(run_.port(), request_text(method, "/api/lessons", {{"Host", run_.host()}, {"Content-Length", "0"}}))
            .status,
        405)
        << method;
  // Neither a page nor a question is written to, and no write is a question.
  EXPECT_EQ(exchange(run_.port(), request_text("POST", "/", run_.write_headers("{}"), "{}")).status, 405);
  EXPECT_EQ(exchange(run_.port(), request_text("POST", "/api/lessons", run_.write_headers("{}"), "{}")).status, 405);
  EXPECT_EQ(run_.get("/api/write").status, 405);
  EXPECT_EQ(run_.get("/api/pack/stop").status, 405);
  test::Wire wire(run_.port());
  wire.send(request_text("HEAD", "/api/lessons", {{"Host", run_.host()}}));
  EXPECT_EQ(wire.receive(30, false).status, 405);
}

TEST_F(Guard, TakesNoBodyOfUnknownLength) {
  const auto chunked = [&](Headers& headers) {
    std::erase_if(headers, [](const auto& header) { return header.first == "Content-Length"; });
    headers.emplace_back("Transfer-Encoding", "chunked");
  };
  Headers headers = run_.write_headers(body_);
  chunked(headers);
  std::ostringstream size;
  size << std::hex << body_.size();
  const std::string chunks = size.str() + "\r\n" + body_ + "\r\n0\r\n\r\n";
  EXPECT_EQ(exchange(run_.port(), request_text("POST", "/api/write", headers, chunks)).status, 411);
  // Both lengths at once are how one request is made to look like two.
  headers.emplace_back("Content-Length", std::to_string(body_.size()));
  EXPECT_EQ(exchange(run_.port(), request_text("POST", "/api/write", headers, chunks)).status, 411);
  EXPECT_EQ(write_without("Content-Length").status, 411);
  EXPECT_EQ(run_.get("/api/lessons", {{"Transfer-Encoding", "chunked"}}).status, 411);
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, TakesNoBodyThatIsTooLarge) {
  const auto of_length = [&](const std::string& length) { return write_as("Content-Length", length).status; };
  EXPECT_EQ(of_length(std::to_string(studio::k_largest_body + 1)), 413);
  EXPECT_EQ(of_length("99999999999"), 413);
  for (const char* nonsense : {"-1", "0x10", "1e3", "12 ", "+5", "99999999999999999999999999"}) {
    const int status = of_length(nonsense);
    EXPECT_TRUE(status == 400 || status == 411 || status == 413 || status == 0) << nonsense << ": " << status;
  }
  EXPECT_TRUE(is_untouched());
  // What comes behind the length is another request, and a bad one.
  const HttpAnswer answer = write_as("Content-Length", std::to_string(body_.size() - 1));
  EXPECT_EQ(answer.status, 400);
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, TakesNoBodyOfAQuestion) {
  const std::string text =
      request_text("GET", "/api/lessons", {{"Host", run_.host()}, {"Content-Length", "5"}}, "hello");
  EXPECT_EQ(exchange(run_.port(), text).status, 400);
}

TEST_F(Guard, TakesNoEndlessHead) {
  const std::string filler(100'000, 'a');
  const auto refused = [](int status) { return status == 431 || status == 414 || status == 413 || status == 0; };
  EXPECT_TRUE(refused(run_.get("/api/lessons", {{"X-Filler", filler}}).status));
  EXPECT_TRUE(refused(run_.get("/api/lesson?name=" + filler).status));
  Headers many;
  for (int i = 0; i < 5000; ++i) many.emplace_back("X-" + std::to_string(i), "some value");
  EXPECT_TRUE(refused(run_.get("/api/lessons", many).status));
  EXPECT_EQ(run_.get("/api/lessons", {{"X-Filler", std::string(2000, 'a')}}).status, 200);
}

TEST_F(Guard, AnswersNoQuestionOfAnotherPage) {
  for (const char* site : {"cross-site", "same-site", "nonsense", ""})
    EXPECT_EQ(run_.get("/api/lessons", {{"Sec-Fetch-Site", site}}).status, 403) << site;
  EXPECT_EQ(run_.get("/api/lessons", {{"Sec-Fetch-Site", "same-origin"}}).status, 200);
  EXPECT_EQ(run_.get("/api/lessons", {{"Sec-Fetch-Site", "none"}}).status, 200);
  EXPECT_EQ(run_.get("/", {{"Sec-Fetch-Site", "cross-site"}}).status, 200) << "a link to the page may stand anywhere";
}

TEST_F(Guard, WritesNothingForAPageThatDoesNotSayWhichItIs) {
  EXPECT_EQ(write_without("Sec-Fetch-Site").status, 403);
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, WritesNothingForAnotherPage) {
  for (const char* site : {"cross-site", "same-site", "none"})
    EXPECT_EQ(write_as("Sec-Fetch-Site", site).status, 403) << site;
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, WritesNothingForAnotherOrigin) {
  const std::string port = std::to_string(run_.port());
  for (const std::string& origin :
       {std::string("null"), std::string("http://evil.example"), "https://127.0.0.1:" + port,
        std::string("http://127.0.0.1"), std::string("http://127.0.0.1:1"), "http://localhost:" + port,
        "http://127.0.0.1:" + port + "/", "http://127.0.0.1:" + port + ".evil.example"})
    EXPECT_EQ(write_as("Origin", origin).status, 403) << origin;
  EXPECT_EQ(write_without("Origin").status, 403);
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, WritesNothingThatIsNoJson) {
  for (const char* type : {"text/plain", "application/x-www-form-urlencoded", "multipart/form-data; boundary=x",
                           "application/jsonp", "text/plain;application/json"})
    EXPECT_EQ(write_as("Content-Type", type).status, 415) << type;
  EXPECT_EQ(write_without("Content-Type").status, 415);
  EXPECT_TRUE(is_untouched());
  EXPECT_EQ(write_as("Content-Type", "application/json; charset=utf-8").status, 200);
}

TEST_F(Guard, WritesNothingWithoutTheTokenOfThisRun) {
  const std::string token = run_.server->token();
  ASSERT_EQ(token.size(), 32U);
  EXPECT_EQ(write_without("Fretloom-Token").status, 403);
  for (const std::string& wrong : {std::string("x"), token.substr(1), token + "0", std::string(32, '0')})
    EXPECT_EQ(write_as("Fretloom-Token", wrong).status, 403) << wrong;
  EXPECT_TRUE(is_untouched());
  run_.start();
  EXPECT_NE(run_.server->token(), token);
  const HttpAnswer old = write_as("Fretloom-Token", token);
  EXPECT_EQ(old.status, 403);
  EXPECT_EQ(Running::json(old)["error"]["kind"], "away");
  EXPECT_TRUE(is_untouched());
}

TEST_F(Guard, SaysWhatThePageMayDoAndWhatOthersMayDoWithIt) {
  const std::string etag = run_.get("/").header("etag");
  std::vector<HttpAnswer> answers = {run_.get("/"),
                                     run_.get("/studio.js"),
                                     run_.get("/nothing"),
                                     run_.get("/api/lessons"),
                                     run_.get("/api/lesson?name=gone"),
                                     run_.get("/", {{"If-None-Match", etag}}),
                                     run_.get("/studio.js", {{"Accept-Encoding", "br"}}),
                                     run_.get("/api/output?name=sixes&format=txt"),
                                     exchange(run_.port(), request_text("GET", "/", {{"Host", "evil.example"}})),
                                     write_without("Origin")};
  const std::vector<int> statuses = {200, 200, 404, 200, 404, 304, 406, 200, 421, 403};
  for (std::size_t i = 0; i < answers.size(); ++i) {
    SCOPED_TRACE(i);
    const HttpAnswer& answer = answers[i];
    EXPECT_EQ(answer.status, statuses[i]);
    EXPECT_EQ(answer.header("x-content-type-options"), "nosniff");
    EXPECT_EQ(answer.header("referrer-policy"), "no-referrer");
    EXPECT_EQ(answer.header("x-frame-options"), "DENY");
    EXPECT_EQ(answer.header("cross-origin-resource-policy"), "same-origin");
    EXPECT_EQ(answer.header("cross-origin-opener-policy"), "same-origin");
    EXPECT_FALSE(answer.headers.contains("access-control-allow-origin"));
    const std::string policy = "; " + answer.header("content-security-policy") + ";";
    for (const char* part : {"default-src 'none'", "script-src 'self' 'wasm-unsafe-eval'", "style-src 'self'",
                             "connect-src 'self'", "font-src 'self'", "img-src 'self' blob:", "worker-src 'self'",
                             "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'"})
      EXPECT_NE(policy.find("; " + std::string(part) + ";"), std::string::npos) << part << " in " << policy;
  }
  // Lessons are not kept by anybody on the way.
  EXPECT_EQ(run_.get("/api/lessons").header("cache-control"), "no-store");
}

TEST_F(Guard, LeavesTheFolderByNoName) {
  test::put_bytes(run_.folder.path().parent_path() / "outside-fretloom-test.toml", lesson("Outside"));
  for (const std::string name :
       {"../outside-fretloom-test", "..%2Foutside-fretloom-test", "./sixes", "put-away/../sixes", "%2Fetc%2Fhosts",
        "packs/x", ".hidden", "", "..", "put-away/", "put-away/.x", "put-away/put-away/x", "a%00b", "a%0Ab"}) {
    EXPECT_EQ(run_.get("/api/lesson?name=" + name).status, 400) << name;
    EXPECT_EQ(run_.get("/api/output?format=txt&name=" + name).status, 400) << name;
    EXPECT_EQ(run_.get("/api/students?name=" + name).status, 400) << name;
    EXPECT_EQ(run_.get("/api/pack/about?name=" + name).status, 400) << name;
  }
  for (const char* name :
       {"../outside-fretloom-test", "../new-fretloom-test", "/tmp-fretloom-test", "a/b", "..", "", "a\nb"}) {
    for (const char* base : {"", "x"}) {
      const Json json = {{"name", name}, {"text", "x = 1\n"}, {"base", *base == '\0' ? Json() : Json(base)}};
      EXPECT_EQ(run_.post("/api/write", json).status, 400) << name;
    }
    for (const char* call : {"/api/copy", "/api/away", "/api/back", "/api/pack"})
      EXPECT_EQ(run_.post(call, {{"name", name}}).status, 400) << call << name;
  }
  const fs::path outside = run_.folder.path().parent_path() / "outside-fretloom-test.toml";
  EXPECT_EQ(bytes_of(outside), lesson("Outside"));
  fs::remove(outside);
  // A wish for a name is made a name.
  EXPECT_EQ(Running::json(run_.post("/api/create", {{"name", "../../Up & away.toml"}, {"text", "x = 1\n"}}))["name"],
            "up-away");
  EXPECT_TRUE(is_untouched() || run_.folder.entries() == 2);
}

TEST_F(Guard, LeavesTheFolderByNoLink) {
  const test::Folder other;
  test::put_bytes(other / "secret.toml", lesson("Secret"));
  fs::create_symlink(other / "secret.toml", run_.folder / "link.toml");
  fs::create_directory_symlink(other.path(), run_.folder.path() / "put-away");
  EXPECT_EQ(run_.get("/api/lesson?name=link").status, 404);
  EXPECT_EQ(run_.get("/api/lesson?name=put-away/secret").status, 404);
  EXPECT_EQ(run_.get("/api/lessons").body.find("Secret"), std::string::npos);
  EXPECT_EQ(run_.get("/api/changes").body.find("secret"), std::string::npos);
  EXPECT_EQ(run_.get("/api/output?format=txt&name=link").status, 404);
  EXPECT_EQ(run_.get("/api/students?name=link").status, 404);
  const std::string version = sha256(lesson("Secret"));
  for (const Json& base : {Json(), Json(version)}) {
    for (const char* name : {"link", "put-away/secret", "put-away/new"})
      EXPECT_NE(run_.post("/api/write", {{"name", name}, {"text", "x = 1\n"}, {"base", base}}).status, 200) << name;
  }
  EXPECT_NE(run_.post("/api/away", {{"name", "sixes"}}).status, 200);
  EXPECT_NE(run_.post("/api/back", {{"name", "put-away/secret"}}).status, 200);
  EXPECT_EQ(bytes_of(other / "secret.toml"), lesson("Secret"));
  EXPECT_EQ(other.entries(), 1U);
  EXPECT_EQ(run_.kept("sixes"), lesson("Sixes"));
}

}  // namespace
}  // namespace fretloom
