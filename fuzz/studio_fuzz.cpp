// Any request: refused or answered in JSON, and nothing outside the folder is touched.

#include <cstdint>
#include <cstdlib>
#include <filesystem>
#include <string_view>

#include "base/text.h"
#include "outside.h"
#include "studio/guard.h"
#include "studio/studio.h"

namespace {

namespace fs = std::filesystem;
using namespace fretloom;

/// A folder in a folder, so that a step out of it is seen.
struct TwoFolders {
  TwoFolders() {
    test::put_bytes(outer / "outside.toml", "kept = 1\n");
    begin();
  }
  /// One lesson and nothing else.
  void begin() const {
    fs::remove_all(inside());
    fs::create_directories(inside());
    test::put_bytes(inside() / "sixes.toml", "title = \"Sixes\"\n");
  }
  [[nodiscard]] fs::path inside() const { return outer.path() / "inside"; }
  [[nodiscard]] bool is_left_alone() const {
    return outer.entries() == 2 && test::bytes_of(outer / "outside.toml") == "kept = 1\n";
  }
  test::Folder outer;
};

/// "METHOD PATH", a line a header or "?name value" of the query, an empty line, the body.
studio::RequestHead head_of(std::string_view text) {
  studio::RequestHead head;
  for (const std::string_view line : split(text, '\n')) {
    const std::size_t at = line.find(' ');
    if (at == std::string_view::npos) continue;
    const std::string first(line.substr(0, at));
    const std::string second(line.substr(at + 1));
    if (head.method.empty()) {
      head.method = first;
      head.path = second;
    } else if (first.starts_with('?')) {
      head.query[first.substr(1)] = second;
    } else {
      head.headers.emplace(lower(first), second);
    }
  }
  return head;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  static const TwoFolders place;
  static const sheet::MusicFont font;
  static studio::Studio studio(
      {fs::canonical(place.inside()), {place.outer.path() / "inside" / "packs", "", {&font, ""}}});
  studio.end();  // nothing is waited for
  const std::string_view text(reinterpret_cast<const char*>(data), size);
  const std::size_t end = text.find("\n\n");
  const studio::RequestHead head = head_of(text.substr(0, end));
  const std::string body(end == std::string_view::npos ? "" : text.substr(end + 2));
  // The first says what it says of the head alone; the calls are tried whatever it says.
  static_cast<void>(studio::refuse(head, {1234, "token"}));
  // A pack and a file made of a lesson take long, and other fuzzers try what they are made with.
  if ((head.method == "POST" && head.path == "/api/pack") || head.path == "/api/output") return 0;
  const studio::Reply reply = studio.answer(head, body, "token");
  if (reply.status < 200 || reply.status > 599 || reply.type != "application/json") std::abort();
  if (!place.is_left_alone()) std::abort();
  static int round = 0;
  if (++round % 500 == 0) place.begin();  // or lists grow long
  return 0;
}
