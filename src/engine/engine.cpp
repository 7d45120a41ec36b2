#include "engine/engine.h"

#include <algorithm>
#include <array>
#include <new>
#include <string>

#include "engine/calls.h"
#include "lesson/lesson.h"
#include "words/repair_words.h"

struct FretloomEngine {
  fretloom::engine::Session session;
  std::string reply;
  std::string bytes;
};

namespace fretloom::engine {

namespace {

/// Shown where memory or a library's limit ends a call in between (a native build alone has exceptions).
[[maybe_unused]] constexpr std::string_view k_too_large =
    R"({"error":{"kind":"limit","message":"the answer is too large","repair":null,"mend":null}})";

std::string_view kind_name(ErrorKind kind) {
  switch (kind) {
    case ErrorKind::syntax: return "syntax";
    case ErrorKind::range: return "range";
    case ErrorKind::unreachable: return "unreachable";
    case ErrorKind::io: return "io";
    case ErrorKind::limit: return "limit";
    case ErrorKind::stopped: return "stopped";
  }
  return "syntax";
}

enum class ListCalls { no, yes };

/// `where` is the key that the call was to change, if it names one.
std::string error_reply(const Error& error, ListCalls list, const KeyPath& where = {}) {
  Json json = {{"kind", kind_name(error.kind)},
               {"message", error.what},
               {"repair", error.repair.empty() ? Json(nullptr) : Json(error.repair)},
               {"mend", error.repair.empty() ? Json(nullptr) : Json(repair_words(where, error.repair))}};
  if (list == ListCalls::yes) {
    json["calls"] = Json::array();
    for (const Call& call : calls()) json["calls"].push_back(call.name);
  }
  return print(Json{{"error", json}});
}

void run(FretloomEngine& engine, std::string_view text) {
  auto request = Request::parse(text);
  if (!request) {
    engine.reply = error_reply(request.error(), ListCalls::yes);
    return;
  }
  Request fields = std::move(request).value();
  const auto call =
      std::find_if(calls().begin(), calls().end(), [&](const Call& c) { return c.name == fields.call(); });
  if (call == calls().end()) {
    engine.reply = error_reply({ErrorKind::range, 0, "there is no call " + fields.call(), ""}, ListCalls::yes);
    return;
  }
  auto given = call->run(engine.session, fields);
  if (!given) {
    engine.reply =
        error_reply(given.error(), ListCalls::no, parse_key_path(fields.has("key") ? fields.text("key") : ""));
    return;
  }
  Answer answer = std::move(given).value();
  engine.reply = "{\"result\":" + answer.json + "}";
  engine.bytes = std::move(answer.bytes);
}

/// One byte more than a lesson may have makes it unreadable, and is enough.
std::string cut(const char* text, std::size_t length) { return {text, std::min(length, k_max_lesson_bytes + 1)}; }

}  // namespace

}  // namespace fretloom::engine

#if defined(__cpp_exceptions)
#define FRETLOOM_TRY try
#define FRETLOOM_CATCH(what) \
  catch (...) {              \
    what;                    \
  }
#else
#define FRETLOOM_TRY
#define FRETLOOM_CATCH(what)
#endif

FretloomEngine* fretloom_open(const char* text, size_t length) {
  FRETLOOM_TRY { return new FretloomEngine{fretloom::engine::Session(fretloom::engine::cut(text, length)), "", ""}; }
  FRETLOOM_CATCH(return nullptr)
}

const char* fretloom_call(FretloomEngine* engine, const char* request, size_t length, size_t* reply_length) {
  engine->bytes.clear();
  FRETLOOM_TRY { fretloom::engine::run(*engine, {request, length}); }
  FRETLOOM_CATCH(engine->bytes.clear(); engine->reply = fretloom::engine::k_too_large)
  *reply_length = engine->reply.size();
  return engine->reply.c_str();
}

const void* fretloom_bytes(const FretloomEngine* engine, size_t* length) {
  *length = engine->bytes.size();
  return engine->bytes.data();
}

void fretloom_free(FretloomEngine* engine) { delete engine; }
