#pragma once
// A studio that runs, with a folder of lessons of its own.

#include <gtest/gtest.h>

#include <array>
#include <memory>
#include <nlohmann/json.hpp>
#include <string>

#include "draw/font_file.h"
#include "outside.h"
#include "pack/hash.h"
#include "studio/client.h"
#include "studio/server.h"
#include "studio/studio.h"

namespace fretloom::test {

using Json = nlohmann::json;

inline std::string lesson(const std::string& title, const std::string& rule = "1 3 2 3 + 2 1") {
  return "format = 1\ntitle = \"" + title +
         "\"\nkey = \"E dorian\"\nlayout = { notes = 3, from = 12 }\n\n[[idea]]\nname = \"" + title + "\"\ncell = \"" +
         rule + "\"\n";
}

/// Read once for all tests.
inline const sheet::MusicFont& music_font() {
  static const auto font = draw::load_music_font(FRETLOOM_MUSIC_FONT);
  return *font;
}

/// As scripts/build_student.mjs makes it, with nothing but the lesson's place.
constexpr std::array<EmbeddedFile, 1> k_practice = {
    EmbeddedFile{"practice.html", "<!doctype html><script type=\"application/json\">\"@LESSON@\"</script>"}};

constexpr std::array<EmbeddedFile, 2> k_page = {EmbeddedFile{"index.html", "<!doctype html>"},
                                                EmbeddedFile{"studio.js.gz", "not really packed"}};

class Running {
 public:
  Running() {
    put("sixes", lesson("Sixes"));
    start();
  }

  void start(std::uint16_t port = 0) {
    server.reset();
    studio = std::make_unique<studio::Studio>(studio::StudioOptions{
        std::filesystem::canonical(folder.path()),
        {folder.path() / "packs", folder.path() / ".cache", {&music_font(), "test", k_practice}}});
    auto started = studio::Server::start(*studio, k_page, port);
    ASSERT_TRUE(started) << started.error().what;
    server = std::move(started).value();
  }

  [[nodiscard]] std::uint16_t port() const { return server->port(); }
  [[nodiscard]] std::string host() const { return "127.0.0.1:" + std::to_string(port()); }

  void put(const std::string& name, const std::string& text) const { put_bytes(folder / (name + ".toml"), text); }
  [[nodiscard]] std::string kept(const std::string& name) const { return bytes_of(folder / (name + ".toml")); }

  /// What our own page sends with a write.
  [[nodiscard]] Headers write_headers(const std::string& body) const {
    return {{"Host", host()},
            {"Origin", "http://" + host()},
            {"Sec-Fetch-Site", "same-origin"},
            {"Content-Type", "application/json"},
            {"Fretloom-Token", server->token()},
            {"Content-Length", std::to_string(body.size())}};
  }

  [[nodiscard]] HttpAnswer get(const std::string& target, Headers more = {}) const {
    more.insert(more.begin(), {"Host", host()});
    return exchange(port(), request_text("GET", target, more));
  }
  [[nodiscard]] HttpAnswer post(const std::string& path, const Json& json) const {
    const std::string body = json.dump();
    return exchange(port(), request_text("POST", path, write_headers(body), body));
  }

  /// The message of a refusal; empty for any other answer.
  [[nodiscard]] static std::string message(const HttpAnswer& answer) {
    const Json json = Json::parse(answer.body, nullptr, false);
    return json.is_object() && json.contains("error") ? json["error"]["message"].get<std::string>() : "";
  }
  [[nodiscard]] static Json json(const HttpAnswer& answer) { return Json::parse(answer.body, nullptr, false); }

  Folder folder;
  std::unique_ptr<studio::Studio> studio;
  std::unique_ptr<studio::Server> server;
};

}  // namespace fretloom::test
