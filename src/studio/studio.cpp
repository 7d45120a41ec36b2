#include "studio/studio.h"

#include <array>
#include <chrono>

#include "base/text.h"
#include "pack/hash.h"
#include "pack/practice_page.h"
#include "studio/json.h"
#include "studio/output.h"
#include "studio/pack_choice_json.h"
#include "studio/sentence.h"

namespace fretloom::studio {

namespace {

using std::chrono::milliseconds;

constexpr milliseconds k_longest_wait = std::chrono::seconds(k_longest_wait_seconds);
/// What other programs do to the folder is noticed within this time.
constexpr milliseconds k_look_again{300};

constexpr const char* k_json = "application/json";

Reply reply(const Json& json) { return {200, k_json, print(json)}; }

/// An error of a room as a sentence for the teacher.
Reply failed(const Error& error) {
  const std::string message = as_sentence(error);
  switch (error.kind) {
    case ErrorKind::io: return refusal(500, "full", message);
    case ErrorKind::limit: return refusal(413, "wrong", message);
    case ErrorKind::stopped: return refusal(503, "away", "Fretloom is being closed.");
    default: return refusal(400, "wrong", message);
  }
}

Reply gone(const std::string& name) {
  return refusal(404, "gone", "The lesson " + name + " is no longer in the folder.");
}

/// How long a question may wait for news: a page has few connections, and asks for an answer at once by wait=0.
milliseconds patience_of(const RequestHead& head) {
  return head.asked("wait") == "0" ? milliseconds(0) : k_longest_wait;
}

Reply lacks(const std::string& what) { return refusal(400, "wrong", "The request lacks its " + what + "."); }

Json named(const NamedVersion& lesson) { return {{"name", lesson.name}, {"version", lesson.version}}; }
Json kept_json(const KeptLesson& kept) { return {{"text", kept.text}, {"version", kept.version}}; }

/// A call as it is made: the query of a question, the JSON of a write.
struct Call {
  Studio& studio;
  const RequestHead& head;
  const Json& body;
  const std::string& token;
};

Reply session(const Call& call) {
  return reply({{"folder", call.studio.lessons.path().string()}, {"token", call.token}});
}

Reply lessons(const Call& call) {
  const auto list = call.studio.lessons.list();
  if (!list) return failed(list.error());
  Json items = Json::array();
  for (const ListedLesson& lesson : *list) {
    items.push_back({{"name", lesson.name},
                     {"title", lesson.title},
                     {"text", lesson.kept.text},
                     {"version", lesson.kept.version},
                     {"away", lesson.is_away}});
  }
  return reply({{"lessons", items}});
}

Reply lesson(const Call& call) {
  const std::string name = call.head.asked("name");
  const auto kept = call.studio.lessons.read(name);
  if (!kept) return failed(kept.error());
  return *kept ? reply(kept_json(**kept)) : gone(name);
}

/// One text for all of the folder: another one when anything in it changes.
std::string state_of(const std::vector<NamedVersion>& lessons) {
  std::string all;
  for (const NamedVersion& lesson : lessons) all += lesson.name + "\n" + lesson.version + "\n";
  return sha256(all);
}

Reply changes(const Call& call) {
  const std::string after = call.head.asked("after");
  Result<std::vector<NamedVersion>> there = std::vector<NamedVersion>();
  call.studio.news.wait(patience_of(call.head), k_look_again, [&] {
    there = call.studio.lessons.versions();
    return !there || state_of(*there) != after;
  });
  if (!there) return failed(there.error());
  Json items = Json::array();
  for (const NamedVersion& lesson : *there) items.push_back(named(lesson));
  return reply({{"state", state_of(*there)}, {"lessons", items}});
}

Reply write(const Call& call) {
  const auto name = text_at(call.body, "name");
  const auto text = text_at(call.body, "text");
  const auto base = text_at(call.body, "base");
  if (!name || !text) return lacks("name or text");
  if (!call.body.contains("base") || !(base || call.body["base"].is_null())) return lacks("base");
  const auto outcome = call.studio.lessons.write(*name, *text, base);
  if (!outcome) return failed(outcome.error());
  if (const auto* conflict = std::get_if<Conflict>(&*outcome)) {
    Reply other = reply({{"conflict", kept_json(conflict->there)}});
    other.status = 409;
    return other;
  }
  if (std::holds_alternative<Gone>(*outcome)) return gone(*name);
  call.studio.news.tell();
  return reply({{"version", std::get_if<Written>(&*outcome)->version}});
}

Reply create(const Call& call) {
  const auto name = text_at(call.body, "name");
  const auto text = text_at(call.body, "text");
  if (!name || !text) return lacks("name or text");
  const auto created = call.studio.lessons.create(*name, *text);
  if (!created) return failed(created.error());
  call.studio.news.tell();
  return reply(named(*created));
}

/// A lesson is named, and another name comes of it.
Reply renaming(const Call& call, Result<std::optional<NamedVersion>> (LessonFolder::*change)(const std::string& name)) {
  const auto name = text_at(call.body, "name");
  if (!name) return lacks("name");
  const auto changed = (call.studio.lessons.*change)(*name);
  if (!changed) return failed(changed.error());
  if (!*changed) return gone(*name);
  call.studio.news.tell();
  return reply(named(**changed));
}
Reply copy(const Call& call) { return renaming(call, &LessonFolder::copy); }
Reply put_away(const Call& call) { return renaming(call, &LessonFolder::put_away); }
Reply bring_back(const Call& call) { return renaming(call, &LessonFolder::bring_back); }

Json made_json(const std::optional<PackMade>& made) {
  if (!made) return nullptr;
  return {{"folder", made->folder.string()},
          {"teacher", made->teacher.string()},
          {"zip", made->zip.string()},
          {"start", made->start.string()},
          {"files", made->files}};
}

Json state_json(const PackState& state) {
  return {{"number", state.number},   {"state", name(state.phase)}, {"name", state.lesson},
          {"part", state.part},       {"message", state.message},   {"made", made_json(state.made)},
          {"changes", state.changes}, {"notes", state.notes}};
}

Reply pack(const Call& call) {
  const std::string after = call.head.asked("after");
  PackState state;
  call.studio.news.wait(patience_of(call.head), k_longest_wait, [&] {
    state = call.studio.packs.state();
    return std::to_string(state.number) != after;
  });
  return reply(state_json(state));
}

Reply pack_about(const Call& call) {
  const auto about = call.studio.packs.about(call.head.asked("name"));
  if (!about) return failed(about.error());
  return reply({{"folder", about->folder.string()},
                {"choice", to_json(about->choice)},
                {"made", made_json(about->made)},
                {"changes", about->changes}});
}

Reply pack_start(const Call& call) {
  const auto name = text_at(call.body, "name");
  if (!name) return lacks("name");
  const auto about = call.studio.packs.about(*name);
  if (!about) return failed(about.error());
  const Json none;
  const auto choice = with_wishes(about->choice, call.body.contains("choice") ? call.body["choice"] : none);
  if (!choice) return failed(choice.error());
  if (!call.studio.packs.start(*name, *choice))
    return refusal(409, "busy", "Another pack is being made. Wait for it, or stop it.");
  call.studio.news.tell();
  return reply(Json::object());
}

Reply pack_stop(const Call& call) {
  call.studio.packs.stop();
  return reply(Json::object());
}

Reply output(const Call& call) {
  const std::string name = call.head.asked("name");
  const auto kept = call.studio.lessons.read(name);
  if (!kept) return failed(kept.error());
  if (!*kept) return gone(name);
  const auto asked = [&](const char* key) { return call.head.asked(key); };
  const OutputWish wish{asked("format"), asked("paper"), asked("idea"), asked("feel"), asked("bpm")};
  const std::lock_guard one_at_a_time(call.studio.rendering);
  auto made = make_output(call.studio.lessons.file_of(name), (*kept)->text, wish, call.studio.font, &call.studio.stop);
  if (!made) return failed(made.error());
  const std::string file = file_slug(std::filesystem::path(name).filename().string(), "lesson") + made->name;
  return {200,
          made->type,
          std::move(made).value().bytes,
          {{"Content-Disposition", "attachment; filename=\"" + file + "\""}}};
}

/// The page that students practise with, as it would be now. It has a policy of its own in it, and runs as if it came
/// from nowhere: nothing that a lesson may hold can reach the studio.
Reply students(const Call& call) {
  const std::string name = call.head.asked("name");
  const auto kept = call.studio.lessons.read(name);
  if (!kept) return failed(kept.error());
  if (!*kept) return gone(name);
  if (call.studio.practice.empty()) return refusal(404, "wrong", "This program has no page to practise with.");
  const std::string slug = file_slug(std::filesystem::path(name).filename().string(), "lesson");
  return {200,
          "text/html; charset=utf-8",
          with_lesson(call.studio.practice.front().bytes, {(*kept)->text, "", slug, (*kept)->version}),
          {{"Content-Security-Policy", "sandbox allow-scripts allow-downloads allow-modals; frame-ancestors 'none'"}}};
}

/// One call of the page.
struct CallRow {
  std::string_view method;
  std::string_view path;
  Reply (*answer)(const Call& call);
};
constexpr std::array k_calls = {
    CallRow{"GET", "/api/session", session},
    CallRow{"GET", "/api/lessons", lessons},
    CallRow{"GET", "/api/lesson", lesson},
    CallRow{"GET", "/api/changes", changes},
    CallRow{"POST", "/api/write", write},
    CallRow{"POST", "/api/create", create},
    CallRow{"POST", "/api/copy", copy},
    CallRow{"POST", "/api/away", put_away},
    CallRow{"POST", "/api/back", bring_back},
    CallRow{"GET", "/api/pack", pack},
    CallRow{"GET", "/api/pack/about", pack_about},
    CallRow{"POST", "/api/pack", pack_start},
    CallRow{"POST", "/api/pack/stop", pack_stop},
    CallRow{"GET", "/api/output", output},
    CallRow{"GET", "/api/students", students},
};

}  // namespace

Studio::Studio(StudioOptions options)
    : lessons(std::move(options.folder)),
      packs(lessons, options.packs, news),
      font(*options.packs.tools.font),
      practice(options.packs.tools.practice) {}

Studio::~Studio() { end(); }

void Studio::end() {
  stop.store(true);
  packs.stop();
  news.end();
}

Reply Studio::answer(const RequestHead& head, const std::string& body, const std::string& token) {
  bool is_path = false;
  for (const CallRow& row : k_calls) {
    if (row.path != head.path) continue;
    is_path = true;
    if (row.method != head.method) continue;
    const auto json = head.method == "POST" ? parse(body) : Json();
    if (!json) return refusal(400, "wrong", "The request is not JSON.");
    return row.answer({*this, head, *json, token});
  }
  if (is_path) return refusal(405, "wrong", "This call is made in another way.");
  return refusal(404, "wrong", "Fretloom has no such call.");
}

Reply refusal(int status, const std::string& kind, const std::string& message) {
  return {status, k_json, print({{"error", {{"kind", kind}, {"message", message}}}})};
}

}  // namespace fretloom::studio
