// Packs and files made of a lesson, as the page asks for them.

#include <gtest/gtest.h>

#include <chrono>
#include <thread>

#include "studio/running.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using test::bytes_of;
using test::HttpAnswer;
using test::Json;
using test::lesson;
using test::Running;

/// Follows the pack to its end; gives every state on the way.
std::vector<Json> follow(const Running& run) {
  std::vector<Json> states;
  std::string after = "-1";
  for (int i = 0; i < 1000; ++i) {
    states.push_back(Running::json(run.get("/api/pack?after=" + after)));
    after = std::to_string(states.back()["number"].get<std::int64_t>());
    if (states.back()["state"] != "running") break;
  }
  return states;
}

const Json k_small = {{"only", {"tab", "midi", "words"}}};

TEST(Pack, IsMadeAndToldOf) {
  Running run;
  EXPECT_EQ(Running::json(run.get("/api/pack"))["state"], "idle");
  const Json about = Running::json(run.get("/api/pack/about?name=sixes"));
  EXPECT_EQ(about["made"], Json());
  EXPECT_EQ(about["folder"], (run.folder.path() / "packs" / "sixes").string());
  EXPECT_EQ(about["choice"], (Json{{"only", Json::array()},
                                   {"what", {"demo", "band"}},
                                   {"format", {"mp3"}},
                                   {"tempo", Json::array()},
                                   {"paper", "a4"},
                                   {"minutes", 20},
                                   {"days", 7}}));

  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", k_small}}).status, 200);
  const auto states = follow(run);
  double part = 0.0;
  for (const Json& state : states) {
    EXPECT_GE(state["part"].get<double>(), part);
    part = state["part"];
    EXPECT_EQ(state["name"], "sixes");
  }
  const Json& last = states.back();
  ASSERT_EQ(last["state"], "done") << last.dump(1);
  EXPECT_EQ(last["part"], 1.0);
  EXPECT_TRUE(fs::is_directory(last["made"]["folder"].get<std::string>()));
  EXPECT_TRUE(fs::is_directory(last["made"]["teacher"].get<std::string>()));
  EXPECT_TRUE(fs::exists(last["made"]["zip"].get<std::string>()));
  EXPECT_TRUE(fs::exists(last["made"]["start"].get<std::string>()));
  EXPECT_EQ(last["changes"], Json::array());
  EXPECT_TRUE(last["message"].get<std::string>().ends_with("made.")) << last["message"];
  EXPECT_EQ(last["notes"].size(), 1U) << last["notes"];
  EXPECT_EQ(bytes_of(run.folder / "packs/sixes-teacher/sixes.toml"), lesson("Sixes"));

  const Json after = Running::json(run.get("/api/pack/about?name=sixes"));
  EXPECT_EQ(after["made"], last["made"]);
  EXPECT_EQ(after["choice"]["only"], (Json{"tab", "midi", "words"}));
  EXPECT_EQ(after["changes"], Json::array());
}

TEST(Pack, SaysWhatChangedInTheMusic) {
  Running run;
  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", k_small}}).status, 200);
  ASSERT_EQ(follow(run).back()["state"], "done");
  run.put("sixes", lesson("Sixes", "1 3 2 3 + 2 3"));
  const Json changes = Running::json(run.get("/api/pack/about?name=sixes"))["changes"];
  ASSERT_FALSE(changes.empty());
  EXPECT_NE(changes.dump().find("fret"), std::string::npos) << changes;
  // What is not said now is as it was: the parts.
  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", {{"days", 3}}}}).status, 200);
  const Json last = follow(run).back();
  ASSERT_EQ(last["state"], "done");
  EXPECT_EQ(last["changes"], changes);
  const Json choice = Running::json(run.get("/api/pack/about?name=sixes"))["choice"];
  EXPECT_EQ(choice["only"], (Json{"tab", "midi", "words"}));
  EXPECT_EQ(choice["days"], 3);
  // And a part that is no longer wanted goes.
  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", {{"only", {"tab"}}}}}).status, 200);
  ASSERT_EQ(follow(run).back()["state"], "done");
  EXPECT_EQ(Running::json(run.get("/api/pack/about?name=sixes"))["choice"]["only"], Json{"tab"});
  EXPECT_FALSE(fs::exists(run.folder / "packs/sixes/sixes.mid"));
}

/// All bytes below a folder.
std::map<std::string, std::string> files_of(const fs::path& root) {
  std::map<std::string, std::string> files;
  for (const auto& entry : fs::recursive_directory_iterator(root))
    if (entry.is_regular_file()) files[entry.path().lexically_relative(root).generic_string()] = bytes_of(entry.path());
  return files;
}

TEST(Pack, ThatIsStoppedLeavesTheOldOne) {
  Running run;
  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", k_small}}).status, 200);
  ASSERT_EQ(follow(run).back()["state"], "done");
  const auto before = files_of(run.folder.path() / "packs");
  run.put("sixes", lesson("Sixes", "1 2 3 + 1 2 3"));
  const Json long_work = {{"only", {"audio", "handout"}},
                          {"what", {"demo", "ladder", "bursts"}},
                          {"tempo", {"ladder"}},
                          {"format", {"wav", "flac"}}};
  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", long_work}}).status, 200);
  const HttpAnswer second = run.post("/api/pack", {{"name", "sixes"}, {"choice", k_small}});
  EXPECT_EQ(second.status, 409);
  EXPECT_EQ(Running::json(second)["error"]["kind"], "busy");
  EXPECT_EQ(run.post("/api/pack/stop", Json::object()).status, 200);
  const Json last = follow(run).back();
  EXPECT_EQ(last["state"], "stopped") << last;
  EXPECT_EQ(last["message"], "Stopped; the pack is as it was before.");
  EXPECT_EQ(files_of(run.folder.path() / "packs"), before);
  // And the next one is made.
  ASSERT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", k_small}}).status, 200);
  EXPECT_EQ(follow(run).back()["state"], "done");
  EXPECT_NE(files_of(run.folder.path() / "packs"), before);
}

TEST(Pack, SaysWhyThereIsNone) {
  Running run;
  run.put("broken", "title = \"B\"\nkey = \"E dorian\"\n[[idea]]\ncell = \"1 9 x\"\n");
  ASSERT_EQ(run.post("/api/pack", {{"name", "broken"}}).status, 200);
  const Json last = follow(run).back();
  EXPECT_EQ(last["state"], "failed");
  EXPECT_TRUE(last["message"].get<std::string>().starts_with("The lesson has an error, so no pack was made: ")) << last;
  EXPECT_FALSE(fs::exists(run.folder / "packs"));
  EXPECT_EQ(run.post("/api/pack", {{"name", "gone"}}).status, 400);
  for (const Json& wrong : {Json{{"only", {"everything"}}}, Json{{"only", "tab"}}, Json{{"format", Json::array()}},
                            Json{{"tempo", {"fast"}}}, Json{{"tempo", {"5"}}}, Json{{"paper", "screen"}},
                            Json{{"minutes", 1}}, Json{{"days", 2.5}}, Json{{"surprise", true}}, Json(3)})
    EXPECT_EQ(run.post("/api/pack", {{"name", "sixes"}, {"choice", wrong}}).status, 400) << wrong;
  static_cast<void>(run.post("/api/away", {{"name", "sixes"}}));
  EXPECT_EQ(Running::message(run.post("/api/pack", {{"name", "put-away/sixes"}})),
            "The lesson is put away; bring it back before you pack it.");
}

TEST(Students, SeeTheLessonAsItIsNow) {
  Running run;
  run.put("sixes", lesson("</script><b>Sixes</b>"));
  const HttpAnswer answer = run.get("/api/students?name=sixes");
  EXPECT_EQ(answer.status, 200);
  EXPECT_EQ(answer.header("content-type"), "text/html; charset=utf-8");
  // It is apart from the studio's page, whatever the lesson holds, and no other page can frame it.
  EXPECT_EQ(answer.header("content-security-policy"),
            "sandbox allow-scripts allow-downloads allow-modals; frame-ancestors 'none'");
  EXPECT_EQ(answer.header("x-content-type-options"), "nosniff");
  EXPECT_EQ(answer.body.find("</script>"), answer.body.rfind("</script>"));
  EXPECT_NE(answer.body.find("Sixes"), std::string::npos);
  run.put("sixes", lesson("Sevens"));
  EXPECT_NE(run.get("/api/students?name=sixes").body.find("Sevens"), std::string::npos);
  EXPECT_EQ(run.get("/api/students?name=none").status, 404);
  EXPECT_EQ(run.get("/api/students?name=sixes", {{"Sec-Fetch-Site", "cross-site"}}).status, 403);
}

TEST(Output, IsAFileToSave) {
  Running run;
  const auto made = [&](const std::string& query) { return run.get("/api/output?name=sixes&" + query); };
  struct Wanted {
    const char* query;
    const char* type;
    const char* name;
    const char* begins;
  };
  for (const Wanted& wanted : {
           Wanted{"format=pdf", "application/pdf", "sixes.pdf", "%PDF-"},
           Wanted{"format=pdf&paper=letter", "application/pdf", "sixes.pdf", "%PDF-"},
           Wanted{"format=txt", "text/plain; charset=utf-8", "sixes.txt", "Sixes"},
           Wanted{"format=mid", "audio/midi", "sixes.mid", "MThd"},
           Wanted{"format=musicxml", "application/vnd.recordare.musicxml+xml", "sixes.musicxml", "<?xml"},
           Wanted{"format=mxl", "application/vnd.recordare.musicxml", "sixes.mxl", "PK"},
           Wanted{"format=wav", "audio/wav", "sixes-01-sixes-4-a-beat-demo-120.wav", "RIFF"},
           Wanted{"format=mp3&idea=1&feel=6&bpm=92.5", "audio/mpeg", "sixes-01-sixes-6-a-beat-demo-092_5.mp3", ""},
       }) {
    const HttpAnswer answer = made(wanted.query);
    EXPECT_EQ(answer.status, 200) << wanted.query << answer.body.substr(0, 200);
    EXPECT_EQ(answer.header("content-type"), wanted.type);
    EXPECT_EQ(answer.header("content-disposition"), "attachment; filename=\"" + std::string(wanted.name) + "\"");
    EXPECT_TRUE(answer.body.starts_with(wanted.begins)) << answer.body.substr(0, 20);
    EXPECT_GT(answer.body.size(), 200U);
  }
  for (const char* wrong : {"", "format=exe", "format=pdf&paper=screen", "format=wav&idea=2", "format=wav&idea=x",
                            "format=wav&feel=5", "format=wav&bpm=0", "format=wav&bpm=fast"})
    EXPECT_EQ(made(wrong).status, 400) << wrong;
}

TEST(Page, ComesPackedAndOnce) {
  Running run;
  const HttpAnswer script = run.get("/studio.js", {{"Accept-Encoding", "br, gzip;q=0.5"}});
  EXPECT_EQ(script.status, 200);
  EXPECT_EQ(script.header("content-encoding"), "gzip");
  EXPECT_EQ(script.header("content-type"), "text/javascript; charset=utf-8");
  EXPECT_EQ(script.body, "not really packed");
  EXPECT_EQ(run.get("/studio.js", {{"Accept-Encoding", "*"}}).status, 200);
  EXPECT_EQ(run.get("/studio.js", {{"Accept-Encoding", "gzip;q=0.0, br"}}).status, 406);
  EXPECT_EQ(run.get("/studio.js", {{"If-None-Match", script.header("etag")}}).status, 304);
  EXPECT_EQ(run.get("/").header("content-encoding"), "");
  for (const char* none : {"/studio.js.gz", "/index.html", "/../studio.js", "//studio.js", "/studio.js/"})
    EXPECT_EQ(run.get(none).status, 404) << none;
}

}  // namespace
}  // namespace fretloom
