#include "engine/engine.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <memory>
#include <nlohmann/json.hpp>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "band/play_vamp.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/text_tab.h"
#include "lesson/edit.h"
#include "lesson/notes_json.h"
#include "outside.h"
#include "play/render.h"
#include "words/choices.h"
#include "words/lesson_sentence.h"
#include "words/sentences_of.h"

namespace fretloom {
namespace {

using Json = nlohmann::json;

class Handle {
 public:
  explicit Handle(const std::string& text) : engine_(fretloom_open(text.data(), text.size()), fretloom_free) {}

  std::string raw(const std::string& request) {
    std::size_t size = 0;
    const char* reply = fretloom_call(engine_.get(), request.data(), request.size(), &size);
    EXPECT_EQ(reply[size], '\0');
    return {reply, size};
  }
  Json reply(const Json& request) { return Json::parse(raw(request.dump())); }
  Json result(const Json& request) {
    Json json = reply(request);
    EXPECT_TRUE(json.contains("result")) << request << "\n" << json;
    return json.value("result", Json());
  }
  std::string error(const Json& request) {
    Json json = reply(request);
    EXPECT_TRUE(json.contains("error")) << request;
    return json["error"].value("message", "");
  }
  [[nodiscard]] std::string bytes() const {
    std::size_t size = 0;
    const void* data = fretloom_bytes(engine_.get(), &size);
    return {static_cast<const char*>(data), size};
  }
  [[nodiscard]] FretloomEngine* get() const { return engine_.get(); }

 private:
  std::unique_ptr<FretloomEngine, void (*)(FretloomEngine*)> engine_;
};

std::vector<std::string> demo_texts() {
  std::vector<std::filesystem::path> paths;
  for (const auto& entry : std::filesystem::directory_iterator(FRETLOOM_SOURCE_DIR "/demos")) paths.push_back(entry);
  std::sort(paths.begin(), paths.end());
  std::vector<std::string> texts;
  for (const auto& path : paths) texts.push_back(test::bytes_of(path));
  return texts;
}

std::string demo(const std::string& name) { return test::bytes_of(FRETLOOM_SOURCE_DIR "/demos/" + name + ".toml"); }

TEST(Engine, GivesTheDocumentsOfTheRoomsUnchanged) {
  const std::vector<std::string> texts = demo_texts();
  ASSERT_GE(texts.size(), 6U);
  for (const std::string& text : texts) {
    const CompiledLesson lesson = compile_lesson(text);
    const Handout handout = make_handout(lesson);
    const LessonSentences sentences = sentences_of(lesson, handout);
    Handle handle(text);
    EXPECT_EQ(handle.raw(R"({"call": "notes"})"), "{\"result\":" + notes_json(lesson) + "}");
    EXPECT_EQ(handle.raw(R"({"call": "notes", "idea": 2})"), "{\"result\":" + notes_json(lesson, 2) + "}");
    EXPECT_EQ(handle.raw(R"({"call": "findings"})"), "{\"result\":" + findings_json(lesson) + "}");
    EXPECT_EQ(handle.result({{"call", "text"}})["text"], text);
    EXPECT_EQ(handle.result({{"call", "musicxml"}})["text"], musicxml_of(handout).value());
    EXPECT_EQ(handle.result({{"call", "text_tab"}})["text"], text_handout(handout, sentences).value());
    const std::string midi = write_midi(midi_of(handout, {}, play_vamps(handout, BandSpeed::goal).value()).value());
    EXPECT_EQ(handle.result({{"call", "midi"}})["bytes"], midi.size());
    EXPECT_EQ(handle.bytes(), midi);
    const Json placements = handle.result({{"call", "everywhere"}, {"idea", 1}})["placements"];
    EXPECT_EQ(placements, Json::parse(everywhere_json(lesson, 1))["ideas"][0]["placements"]);
  }
}

TEST(Engine, SaysEveryWordWithItsKey) {
  const std::string text = demo("climbing-sixes");
  const CompiledLesson lesson = compile_lesson(text);
  Handle handle(text);
  const Json said = handle.result({{"call", "sentences"}});
  std::string words;
  std::vector<std::string> keys;
  for (const Json& span : said["lesson"]) {
    words += span["text"];
    if (span.contains("key")) keys.push_back(span["key"]);
  }
  EXPECT_EQ(words, plain(lesson_sentence(*lesson.lesson)));
  EXPECT_NE(std::find(keys.begin(), keys.end(), "layout.from"), keys.end());
  ASSERT_EQ(said["ideas"].size(), lesson.ideas.size());
  EXPECT_EQ(said["ideas"][0]["rule"]["key"], "idea[1].cell");
  EXPECT_EQ(said["ideas"][0]["feels"].size(), lesson.ideas[0].feels.size());
}

TEST(Engine, GivesChoicesThatAnEditTakes) {
  Handle handle(demo("climbing-sixes"));
  const Json choices = handle.result({{"call", "choices"}, {"key", "key"}})["choices"];
  ASSERT_GT(choices.size(), 10U);
  const auto flats =
      std::find_if(choices.begin(), choices.end(), [](const Json& c) { return c["says"] == "F dorian"; });
  ASSERT_NE(flats, choices.end());
  EXPECT_EQ((*flats)["does"].get<std::string>().substr(0, 11), "three flats");
  const Json changed = handle.result({{"call", "edit"}, {"key", "key"}, {"value", (*flats)["value"]}});
  EXPECT_EQ(changed["text"], handle.result({{"call", "text"}})["text"]);
  EXPECT_NE(changed["text"].get<std::string>().find("F dorian"), std::string::npos);
  EXPECT_EQ(handle.result({{"call", "notes"}})["key"], "F dorian");
}

TEST(Engine, KeepsTheTextWhereAnEditIsRefused) {
  const std::string text = demo("climbing-sixes");
  Handle handle(text);
  EXPECT_NE(handle.error({{"call", "edit"}, {"key", "tempo.goal"}, {"value", "1000"}}), "");
  EXPECT_NE(handle.error({{"call", "edit"}, {"key", "tempo.goal"}, {"value", "1\nx = 2"}}), "");
  EXPECT_EQ(handle.result({{"call", "text"}})["text"], text);
}

TEST(Engine, RepairsAFinding) {
  Handle handle(demo("odd-ones-out"));
  const Json before = handle.result({{"call", "findings"}})["findings"];
  const auto blocked =
      std::find_if(before.begin(), before.end(), [](const Json& f) { return f["code"] == "blocked-changes"; });
  ASSERT_NE(blocked, before.end());
  const Json repaired = handle.result({{"call", "repair"}, {"finding", blocked - before.begin()}});
  EXPECT_EQ(repaired["summary"]["errors"], 0);
  const Json after = handle.result({{"call", "findings"}})["findings"];
  EXPECT_LT(after.size(), before.size());
  EXPECT_TRUE(std::none_of(after.begin(), after.end(), [&](const Json& f) {
    return f["code"] == "blocked-changes" && f["where"] == (*blocked)["where"];
  }));
}

TEST(Engine, DrawsWithinTheWidthAndKnowsWhereEachNoteStands) {
  Handle handle(demo("climbing-sixes"));
  const Json notes = handle.result({{"call", "notes"}})["ideas"][0];
  const std::size_t count = notes["notes"].size() + notes["feels"][0]["ending"]["fill"].size() + 1;
  for (const int width : {390, 900, 2000}) {
    for (const std::string call : {"sheet", "loom"}) {
      SCOPED_TRACE(call + " " + std::to_string(width));
      const Json request = {{"call", call}, {"idea", 1}, {"width", width}};
      const Json drawn = handle.result(request);
      EXPECT_LE(drawn["width"].get<double>(), width + 0.001);
      ASSERT_GE(drawn["notes"].size(), count);
      std::set<int> seen;
      for (const Json& note : drawn["notes"]) {
        const Json& box = note["box"];
        seen.insert(note["note"].get<int>());
        EXPECT_GE(box["x"].get<double>(), 0);
        EXPECT_LE(box["x"].get<double>() + box["width"].get<double>(), width);
        EXPECT_LE(box["y"].get<double>() + box["height"].get<double>(), drawn["height"].get<double>());
        ASSERT_LT(note["row"].get<std::size_t>(), drawn["rows"].size());
        const Json& row = drawn["rows"][note["row"].get<std::size_t>()];
        EXPECT_GT(box["y"].get<double>() + box["height"].get<double>(), row["y"].get<double>());
        EXPECT_LT(box["y"].get<double>(), row["y"].get<double>() + row["height"].get<double>());
      }
      EXPECT_EQ(seen.size(), count);
      if (call != "sheet") continue;
      Json boxes = request;
      boxes["call"] = "note_boxes";
      Json without = drawn;
      without.erase("svg");
      EXPECT_EQ(handle.result(boxes), without);
    }
  }
  EXPECT_GT(handle.result({{"call", "sheet"}, {"idea", 1}, {"width", 390}})["rows"].size(),
            handle.result({{"call", "sheet"}, {"idea", 1}, {"width", 2000}})["rows"].size());
}

TEST(Engine, KnowsThePlacesOfTheNeck) {
  Handle handle(demo("climbing-sixes"));
  const Json layout = handle.result({{"call", "notes"}})["ideas"][0]["layout"];
  std::set<std::pair<int, int>> want;
  for (std::size_t row = 0; row < layout.size(); ++row) {
    for (const Json& fret : layout[row]) want.emplace(static_cast<int>(layout.size() - row), fret.get<int>());
  }
  std::set<std::pair<int, int>> found;
  const Json neck = handle.result({{"call", "neck"}, {"idea", 1}, {"width", 900}});
  for (const Json& place : neck["places"]) found.emplace(place["string"].get<int>(), place["fret"].get<int>());
  for (const auto& place : want) {
    EXPECT_TRUE(found.contains(place)) << place.first << ":" << place.second << " of " << testing::PrintToString(found);
  }
}

TEST(Engine, DrawsNecksForWhatCanBePlayedAlone) {
  Handle handle(demo("climbing-sixes"));
  const Json there =
      handle.result({{"call", "everywhere"}, {"idea", 1}, {"necks", true}, {"width", 240}})["placements"];
  int drawn = 0;
  for (const Json& placement : there) {
    EXPECT_EQ(placement["neck"].is_string(), placement["playable"].get<bool>());
    if (!placement["neck"].is_string()) continue;
    EXPECT_EQ(placement["neck"].get<std::string>().find("<svg"), 0U);
    ++drawn;
  }
  EXPECT_GT(drawn, 40);
}

/// Every note stands where lane and token say, and every token of the rule can be found in every repetition.
TEST(Engine, SaysWhatAHandCanAimAt) {
  for (const std::string& text : demo_texts()) {
    Handle handle(text);
    for (const CompiledLesson lesson = compile_lesson(text); const CompiledIdea& compiled : lesson.ideas) {
      const int idea = lesson.idea(compiled).number;
      const Json drawn = handle.result({{"call", "loom"}, {"idea", idea}, {"width", 390}, {"hands", true}});
      const Json& loom = drawn["loom"];
      ASSERT_EQ(loom["rows"].size(), drawn["rows"].size());
      ASSERT_GE(loom["tokens"].size(), loom["rule"].size());
      std::size_t sounding = 0;
      for (const Json& token : loom["tokens"]) {
        if (token["note"].is_null()) continue;
        ++sounding;
        const auto note = token["note"].get<int>();
        const auto box = std::find_if(drawn["notes"].begin(), drawn["notes"].end(),
                                      [&](const Json& n) { return n["note"] == note; });
        ASSERT_NE(box, drawn["notes"].end());
        EXPECT_EQ((*box)["row"], token["row"]);
        const Json& lanes = loom["rows"][token["row"].get<std::size_t>()]["lanes"];
        const auto lane =
            std::find_if(lanes.begin(), lanes.end(), [&](const Json& l) { return l["string"] == token["string"]; });
        ASSERT_NE(lane, lanes.end());
        EXPECT_TRUE((*lane)["open"].get<bool>());
        const Json& b = (*box)["box"];
        const double x = token["x"];
        EXPECT_GT(x, b["x"].get<double>());
        EXPECT_LT(x, b["x"].get<double>() + b["width"].get<double>());
        if (token["ordinal"] == 0) continue;  // a note outside the scale stands between two ordinals
        const double y =
            (*lane)["y"].get<double>() - (token["ordinal"].get<double>() - 1) * (*lane)["step"].get<double>();
        EXPECT_GT(y, b["y"].get<double>());
        EXPECT_LT(y, b["y"].get<double>() + b["height"].get<double>());
      }
      EXPECT_GT(sounding, 0U);
    }
  }
}

TEST(Engine, ReshapesARuleFromAnyRepetition) {
  Handle handle(demo("climbing-sixes"));
  Json by_token = {{"call", "reshape"}, {"idea", 1}, {"change", "move"}, {"token", 3}, {"string", 5}, {"ordinal", 1}};
  Json by_note = {{"call", "reshape"}, {"idea", 1},   {"change", "move"},
                  {"note", 9},         {"string", 4}, {"ordinal", 1}};  // a string thinner in the second repetition
  EXPECT_EQ(handle.result(by_token)["rule"], "1 3 2 + 1 2 1");
  EXPECT_EQ(handle.result(by_note)["rule"], "1 3 2 + 1 2 1");
  EXPECT_EQ(handle.result(by_note)["says"], "Note 4 of 6: string note 1, string 5, fret 12.");
  EXPECT_EQ(handle.result({{"call", "text"}})["text"], demo("climbing-sixes"));  // a question alone
  by_note["note"] = 31;
  EXPECT_NE(handle.error(by_note).find("belongs to the ending"), std::string::npos);
  by_token["string"] = 6;
  by_token["ordinal"] = 20;
  const Json refused = handle.reply(by_token)["error"];
  EXPECT_NE(refused["message"].get<std::string>().find("the neck has frets 0 to 24"), std::string::npos) << refused;
  EXPECT_EQ(refused["repair"], "1 3 2 8 + 2 1");
}

TEST(Engine, LaysARuleFromNothing) {
  Handle handle("format = 1\ntitle = \"New\"\nkey = \"E dorian\"\nlayout.from = 12\n");
  const Json blank = handle.result({{"call", "loom"}, {"idea", 1}, {"width", 390}, {"hands", true}});
  EXPECT_EQ(blank["loom"]["tokens"].size(), 0U);
  EXPECT_EQ(blank["loom"]["rows"][0]["lanes"].size(), 6U);
  const std::vector<std::pair<int, int>> places = {{6, 1}, {6, 3}, {6, 2}, {6, 3}, {5, 2}, {5, 1}};
  for (std::size_t i = 0; i < places.size(); ++i) {
    const Json laid = handle.result({{"call", "reshape"},
                                     {"idea", 1},
                                     {"change", "insert"},
                                     {"token", i},
                                     {"string", places[i].first},
                                     {"ordinal", places[i].second}});
    EXPECT_EQ(laid["token"], i);
    handle.result({{"call", "replace"}, {"text", laid["text"]}});
  }
  EXPECT_EQ(handle.result({{"call", "notes"}})["ideas"][0]["rule"], "1 3 2 3 + 2 1");
}

TEST(Engine, KnowsWhereALayoutCanBeMoved) {
  Handle handle(demo("climbing-sixes"));
  const Json there = handle.result({{"call", "positions"}, {"idea", 1}});
  EXPECT_EQ(there["key"], "layout.from");
  const Json neck = handle.result({{"call", "neck"}, {"idea", 1}, {"width", 900}, {"hands", true}});
  const Json& frets = neck["neck"]["rows"][0]["frets"];
  ASSERT_EQ(frets.size(), 25U);
  for (const Json& place : neck["places"]) {
    const double x = frets[place["fret"].get<std::size_t>()];
    EXPECT_NEAR(x, place["box"]["x"].get<double>() + place["box"]["width"].get<double>() / 2, 0.01);
  }
  int playable = 0;
  for (const Json& position : there["positions"]) {
    Handle moved(demo("climbing-sixes"));
    // By `replace`, since an edit refuses some of these.
    std::string text = demo("climbing-sixes");
    text.replace(text.find("from = 12"), 9, "from = " + std::to_string(position["from"].get<int>()));
    const Json summary = moved.result({{"call", "replace"}, {"text", text}});
    EXPECT_EQ(position["playable"].get<bool>(), summary["errors"] == 0) << position;
    playable += position["playable"].get<bool>() ? 1 : 0;
  }
  EXPECT_GT(playable, 5);
}

TEST(Engine, SoundsAsTheRoomsSound) {
  const std::string text = demo("climbing-sixes");
  const Handout handout = make_handout(compile_lesson(text));
  const IdeaSheet& idea = handout.ideas[0];
  const auto timeline = lay_out(idea, idea.feels[0], {.bpm = Rational(100)});
  ASSERT_TRUE(timeline);
  const auto tracks = render(idea.instrument, *timeline, {});
  ASSERT_TRUE(tracks);
  Handle handle(text);
  const Json heard = handle.result({{"call", "voice"}, {"idea", 1}, {"bpm", 100}});
  EXPECT_EQ(heard["frames"], timeline->frames);
  ASSERT_EQ(heard["notes"].size(), timeline->notes.size());
  for (std::size_t i = 0; i < timeline->notes.size(); ++i) {
    EXPECT_EQ(heard["notes"][i]["note"], i);
    EXPECT_EQ(heard["notes"][i]["begin"], timeline->notes[i].onset);
  }
  const std::string bytes = handle.bytes();
  const auto frames = static_cast<std::size_t>(timeline->frames);
  ASSERT_EQ(bytes.size(), 3 * frames * sizeof(float));
  std::vector<float> samples(3 * frames);
  std::memcpy(samples.data(), bytes.data(), bytes.size());
  for (std::size_t i = 0; i < frames; ++i) {
    ASSERT_EQ(samples[i], tracks->strings.samples[2 * i]) << i;
    ASSERT_EQ(samples[frames + i], tracks->strings.samples[2 * i + 1]) << i;
    ASSERT_EQ(samples[2 * frames + i], tracks->click.samples[2 * i]) << i;
  }
}

TEST(Engine, LoopsASpan) {
  Handle handle(demo("climbing-sixes"));
  const Json heard =
      handle.result({{"call", "voice"}, {"idea", 1}, {"piece", "loop"}, {"bpm", 120}, {"first", 5}, {"last", 8}});
  EXPECT_EQ(heard["loop"], true);
  ASSERT_EQ(heard["notes"].size(), 4U);
  EXPECT_EQ(heard["notes"][0]["note"], 5);
  EXPECT_EQ(heard["notes"][3]["note"], 8);
  EXPECT_EQ(heard["frames"].get<int>() % 96000, 0);  // whole bars of 4/4 at 120
}

/// Requests that are no request, or ask for what is not there; each names what is wrong.
TEST(Engine, RefusesWhatItDoesNotUnderstand) {
  Handle handle(demo("climbing-sixes"));
  for (const std::string text : {"", "{", "[]", "7", "{}", R"({"call": 1})", R"({"call": "cals"})", "\xFF\xFE"}) {
    const Json reply = Json::parse(handle.raw(text));
    ASSERT_TRUE(reply.contains("error")) << text;
    const Json calls = reply["error"]["calls"];
    EXPECT_NE(std::find(calls.begin(), calls.end(), "sheet"), calls.end()) << text;
  }
  EXPECT_EQ(handle.error({{"call", "text"}, {"idea", 1}}), "the call text has no field idea");
  EXPECT_EQ(handle.error({{"call", "sheet"}, {"idea", 0}}), "idea must be a whole number from 1 to 256");
  EXPECT_EQ(handle.error({{"call", "sheet"}, {"idea", 9}}),
            "there is no idea 9 without an error; the lesson has 1, 2, 3");
  EXPECT_EQ(handle.error({{"call", "sheet"}, {"idea", 1}, {"feel", 8}}), "idea 1 has 2 feels");
  EXPECT_EQ(handle.error({{"call", "pages"}, {"paper", "a5"}}), "paper must be one of \"a4\", \"letter\"");
  EXPECT_EQ(handle.error({{"call", "sheet"}, {"idea", 1}, {"width", 1e9}}), "width must be a number from 240 to 4096");
}

// What sounds first is rendered before the whole, and must be the same frames.
TEST(Engine, BeginsAVoiceBeforeTheWholeIsRendered) {
  Handle handle(demo("climbing-sixes"));
  const auto samples = [&handle] {
    const std::string bytes = handle.bytes();
    std::vector<float> values(bytes.size() / sizeof(float));
    std::memcpy(values.data(), bytes.data(), bytes.size());
    return values;
  };
  const Json whole = handle.result({{"call", "voice"}, {"idea", 1}, {"piece", "demo"}, {"count_in", 0}});
  const std::vector<float> all = samples();
  const Json early = handle.result({{"call", "voice"}, {"idea", 1}, {"count_in", 0}, {"seconds", 1.5}});
  const std::vector<float> first = samples();
  ASSERT_EQ(early["frames"], 72000);
  EXPECT_EQ(early["whole"], whole["frames"]);
  EXPECT_EQ(early["origin"], 0);
  // The last fifth of a second fades.
  EXPECT_TRUE(std::equal(first.begin(), first.begin() + 62000, all.begin()));
  for (const Json& note : early["notes"]) EXPECT_LT(note["begin"], 72000);

  const Json turn = handle.result({{"call", "voice"}, {"idea", 1}, {"piece", "loop"}, {"bpm", 100}});
  const Json from =
      handle.result({{"call", "voice"}, {"idea", 1}, {"piece", "loop"}, {"bpm", 100}, {"from", 20}, {"seconds", 60}});
  const std::int64_t frames = turn["frames"];
  EXPECT_EQ(from["frames"], frames) << "one turn";
  EXPECT_EQ(from["loop"], false);
  EXPECT_EQ(from["notes"].size(), turn["notes"].size());
  EXPECT_EQ(from["notes"][0]["note"], 20);
  EXPECT_EQ(from["notes"][0]["begin"], 0);
  for (std::size_t i = 0; i < turn["notes"].size(); ++i) {
    const Json& note = from["notes"][i];
    const std::int64_t at = (note["begin"].get<std::int64_t>() + from["origin"].get<std::int64_t>()) % frames;
    const std::size_t same = (i + 20) % turn["notes"].size();
    EXPECT_EQ(note["note"], turn["notes"][same]["note"]);
    EXPECT_EQ(at, turn["notes"][same]["begin"]);
  }
  EXPECT_NE(handle.error({{"call", "voice"}, {"idea", 1}, {"from", 99}}), "");
}

TEST(Engine, HasLimits) {
  const std::string large(k_max_lesson_bytes + 100, '#');
  Handle handle(large);
  EXPECT_FALSE(handle.reply({{"call", "notes"}})["result"].contains("ideas"));  // unreadable: findings alone
  EXPECT_NE(handle.error({{"call", "replace"}, {"text", large}}), "");
  EXPECT_EQ(handle.result({{"call", "replace"}, {"text", "title = \"T\"\n"}})["readable"], true);
  EXPECT_NE(Json::parse(handle.raw(std::string(FRETLOOM_MOST_REQUEST_BYTES + 1, ' ')))["error"]["message"], "");
  Handle lesson(demo("climbing-sixes"));
  const Json minutes = {{"call", "voice"}, {"idea", 1}, {"bpm", 10}, {"times", 64}};
  EXPECT_EQ(lesson.reply(minutes)["error"]["kind"], "limit");
}

TEST(Engine, AnswersOfALessonThatCannotBeRead) {
  Handle handle("title = ");
  EXPECT_EQ(handle.error({{"call", "sentences"}}), "the lesson cannot be read");
  EXPECT_GT(handle.result({{"call", "findings"}})["findings"].size(), 0U);
  EXPECT_NE(handle.error({{"call", "sheet"}, {"idea", 1}}), "");
  EXPECT_EQ(handle.result({{"call", "choices"}, {"key", "key"}})["choices"].size(), 0U);
  Handle empty("");
  EXPECT_GT(empty.result({{"call", "findings"}})["findings"].size(), 0U);
}

/// A reply stands until the next call on its handle, whatever other handles do.
TEST(Engine, KeepsAReplyUntilTheNextCall) {
  Handle a(demo("climbing-sixes"));
  Handle b(demo("odd-ones-out"));
  const std::string notes = R"({"call": "notes"})";
  std::size_t size = 0;
  const char* reply = fretloom_call(a.get(), notes.data(), notes.size(), &size);
  const std::string then(reply, size);
  (void)b.raw(R"({"call": "pages"})");
  (void)b.raw(R"({"call": "edit", "key": "title", "value": "\"B\""})");
  EXPECT_EQ(std::string(reply, size), then);
  EXPECT_EQ(a.raw(notes), then);
  EXPECT_EQ(a.bytes(), "");
}

// --- explain ----------------------------------------------------------------------------------------------------

constexpr const char* k_g_dorian = "format = 1\ntitle = \"Open\"\nkey = \"G dorian\"\n\n[layout]\nfrom = 3\n";
constexpr const char* k_worked = "6: 3 5 6 3 | 5: 7 5 3 5 | 4: 3 5 7 3 | 3: 7 7 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6";

TEST(engine_explain, an_answer_in_the_lessons_key_and_layout_needs_only_its_rule_and_carry) {
  Handle engine(k_g_dorian);
  const Json result = engine.result({{"call", "explain"}, {"text", k_worked}});
  ASSERT_FALSE(result["answers"].empty());
  const Json& answer = result["answers"][0];
  EXPECT_TRUE(answer["fits"]);
  EXPECT_EQ(answer["keys"], Json::parse(R"json([{"key": "cell", "value": "\"1 2 3 1 + 3 2 1 2\""},
                                            {"key": "carry", "value": "{ strings = 2, steps = 0 }"}])json"));
  EXPECT_EQ(answer["coverage"], Json::parse(R"json({"follow": 23, "notes": 24, "ending": 0})json"));
  EXPECT_EQ(answer["misfits"][0]["note"], 14);
  EXPECT_EQ(answer["misfits"][0]["expected"]["fret"], 5);
  // The lesson with it reads without an error, and its own lesson plays the same notes.
  Handle taken(answer["text"].get<std::string>());
  Handle alone(answer["lesson"].get<std::string>());
  const Json in_lesson = taken.result({{"call", "notes"}});
  const Json by_itself = alone.result({{"call", "notes"}});
  ASSERT_EQ(in_lesson["ideas"].size(), 1U);
  EXPECT_EQ(in_lesson["ideas"][0]["notes"], by_itself["ideas"][0]["notes"]);
  EXPECT_FALSE(alone.result({{"call", "loom"}, {"idea", 1}, {"width", 390}}).empty());
}

TEST(engine_explain, another_key_layout_or_tuning_is_an_override_of_the_idea) {
  Handle engine("format = 1\ntitle = \"Open\"\nkey = \"E dorian\"\n\n[[idea]]\ncell = \"1 2 3\"\n");
  const Json result = engine.result({{"call", "explain"}, {"text", k_worked}});
  ASSERT_FALSE(result["answers"].empty());
  const Json& answer = result["answers"][0];
  EXPECT_FALSE(answer["fits"]);
  std::set<std::string> keys;
  for (const Json& key : answer["keys"]) keys.insert(key["key"].get<std::string>());
  EXPECT_TRUE(keys.contains("key") && keys.contains("layout"));
  EXPECT_FALSE(keys.contains("tuning"));
  Handle taken(answer["text"].get<std::string>());
  Handle alone(answer["lesson"].get<std::string>());
  const Json in_lesson = taken.result({{"call", "notes"}});
  ASSERT_EQ(in_lesson["ideas"].size(), 2U);
  EXPECT_EQ(in_lesson["ideas"][1]["notes"], alone.result({{"call", "notes"}})["ideas"][0]["notes"]);
  // The lesson's own text is what it was.
  EXPECT_EQ(engine.result({{"call", "notes"}})["ideas"].size(), 1U);
}

TEST(engine_explain, frets_count_from_the_lessons_capo_on_its_tuning) {
  Handle engine("format = 1\ntitle = \"Open\"\nkey = \"A dorian\"\ncapo = 2\n\n[layout]\nfrom = 3\n");
  const Json result = engine.result({{"call", "explain"}, {"text", k_worked}});
  ASSERT_FALSE(result["answers"].empty());
  EXPECT_TRUE(result["answers"][0]["fits"]);
  EXPECT_EQ(result["answers"][0]["keys"][0]["value"], "\"1 2 3 1 + 3 2 1 2\"");
}

TEST(engine_explain, refuses_what_is_no_notes_and_what_is_too_much) {
  Handle engine(k_g_dorian);
  EXPECT_NE(engine.error({{"call", "explain"}, {"text", "a sentence"}}), "");
  std::string many = "6:";
  for (int i = 0; i < 600; ++i) many += " 3";
  EXPECT_EQ(engine.error({{"call", "explain"}, {"text", many}}), "a phrase has 600 notes; paste at most 512 of one");
  Handle broken("key = ");
  EXPECT_NE(broken.error({{"call", "explain"}, {"text", k_worked}}), "");
}

}  // namespace
}  // namespace fretloom
