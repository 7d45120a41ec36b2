// The engine's requests: whatever comes is answered by JSON, twice by the same, and the next request still works.

#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>

#include "engine/engine.h"

namespace {

constexpr std::string_view k_lesson =
    "title = \"T\"\nkey = \"E dorian\"\nlayout = { from = 12 }\ntempo = { slow = 300, goal = 400 }\n"
    "[[idea]]\ncell = \"1 2 h3 + 1\"\nrepeats = 2\n[[idea]]\nsequence = \"1 2 3\"\nrepeats = 3\nending = \"none\"\n";

std::string ask(FretloomEngine* engine, std::string_view request) {
  std::size_t size = 0;
  const char* reply = fretloom_call(engine, request.data(), request.size(), &size);
  return {reply, size};
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size > 1U << 12U) return 0;  // larger requests only repeat what small ones do
  const std::string_view request(reinterpret_cast<const char*>(data), size);
  FretloomEngine* engine = fretloom_open(k_lesson.data(), k_lesson.size());
  const std::string before = ask(engine, R"({"call":"text"})");
  const std::string first = ask(engine, request);
  const bool is_reply = first.starts_with("{\"result\":") || first.starts_with("{\"error\":");
  if (!is_reply || first.back() != '}') std::abort();
  // What leaves the text alone is answered the same again.
  if (ask(engine, R"({"call":"text"})") == before && ask(engine, request) != first) std::abort();
  if (!ask(engine, R"({"call":"findings"})").starts_with("{\"result\":")) std::abort();
  fretloom_free(engine);
  return 0;
}
