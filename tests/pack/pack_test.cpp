// Packs: one hash, nothing made twice, nothing left half done.

#include "pack/pack.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include <algorithm>
#include <chrono>
#include <map>
#include <regex>
#include <thread>

#include "files/files.h"
#include "pack/cache.h"
#include "pack/changes.h"
#include "pack/hash.h"
#include "pack/manifest.h"
#include "pack/names.h"
#include "pack/page.h"
#include "pack/two_ideas.h"
#include "words/cautions.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

using namespace test;

// FIPS 180-2, appendix B.1 and B.2, and the empty message (NIST example values).
TEST(Sha256, GivesThePublishedDigests) {
  EXPECT_EQ(sha256("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(sha256(""), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Pack, EveryPartBearsTheLessonsHashButTextThatPeopleRead) {
  const Folder folder;
  const std::string lesson = lesson_text();
  const PackPlan plan = plan_of(lesson);
  make(plan, folder);
  const auto files = tree(packs(folder));
  EXPECT_EQ(files.at("two-teacher/two.toml"), lesson);
  const auto manifest = read_manifest(files.at("two-teacher/manifest.json")).value();
  EXPECT_EQ(manifest.lesson_sha256, sha256(lesson));
  EXPECT_EQ(manifest.parts.size(), plan.parts.size() + 1);  // and the zip
  EXPECT_EQ(files.size(), plan.parts.size() + 2);           // and the manifest
  for (const ManifestPart& part : manifest.parts) {
    const std::string& bytes = files.at(part.path);
    EXPECT_EQ(part.sha256, sha256(bytes)) << part.path;
    EXPECT_EQ(part.bytes, bytes.size()) << part.path;
    EXPECT_EQ(bytes.find(blank_stamp()), std::string::npos) << part.path;
    const bool is_read = part.path.ends_with(".txt") || part.path.ends_with(".toml") || part.path.ends_with(".zip");
    EXPECT_EQ(part.stamped, !is_read) << part.path;
    if (part.path.ends_with(".zip")) continue;
    EXPECT_EQ(bytes.find(full_stamp(sha256(lesson))) != std::string::npos, part.stamped) << part.path;
  }
  if (have_tool("sha256sum")) {
    const auto said = run_tool("sha256sum '" + (folder / "packs/two-teacher/two.toml") + "'");
    EXPECT_EQ(said.out.substr(0, k_sha256_digits), manifest.lesson_sha256);
  }
}

TEST(Pack, StampsKeepEveryFormatReadable) {
  const Folder folder;
  PackChoice choice;
  choice.groups = {PartGroup::audio, PartGroup::midi, PartGroup::musicxml, PartGroup::handout, PartGroup::drawings};
  choice.sound.formats = {AudioFormat::mp3, AudioFormat::opus, AudioFormat::flac, AudioFormat::wav};
  choice.sound.ideas = {1};
  choice.sound.tempos = {Rational(150)};
  const PackPlan plan = plan_of(lesson_text(), "test", choice);
  make(plan, folder);
  const std::string at = "'" + folder.path().string() + "/packs/";
  std::map<std::string, std::string> commands = {{".mp3", "ffmpeg -v error -xerror -i "},
                                                 {".opus", "ffmpeg -v error -xerror -i "},
                                                 {".flac", "flac -t -s "},
                                                 {".wav", "sox "},
                                                 {".pdf", "qpdf --check "},
                                                 {".svg", "xmllint --noout "},
                                                 {".musicxml", "xmllint --nonet --noout "}};
  int checked = 0;
  for (const PackPart& part : plan.parts) {
    const auto command = commands.find(fs::path(part.path).extension().string());
    if (command == commands.end() || !test::have_tool(command->second.substr(0, command->second.find(' ')))) continue;
    std::string line = command->second + at + part.path + "'";
    if (line.starts_with("ffmpeg")) line += " -f null -";
    if (line.starts_with("sox")) line += " -n stat";
    const auto said = test::run_tool(line);
    EXPECT_EQ(said.code, 0) << line << "\n" << said.out;
    ++checked;
  }
  EXPECT_GE(checked, 7);
}

TEST(Pack, ASecondRunMakesNothing) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  const PackReport first = make(plan, folder);
  EXPECT_TRUE(first.zip_written);
  std::map<std::string, fs::file_time_type> times;
  for (const auto& entry : fs::recursive_directory_iterator(folder.path() / "packs"))
    if (entry.is_regular_file()) times[entry.path().string()] = entry.last_write_time();
  const PackReport second = make(plan, folder);
  EXPECT_FALSE(second.zip_written);
  EXPECT_EQ(std::count(second.states.begin(), second.states.end(), PartState::kept),
            static_cast<std::ptrdiff_t>(plan.parts.size()));
  for (const auto& [path, time] : times) EXPECT_EQ(fs::last_write_time(path), time) << path;
}

bool says_no_fret(const std::string& path) {
  return path == "two-teacher/two-email.txt" || path == "two-teacher/two-description.txt" ||
         path == "two/two-practice-plan.txt";
}

TEST(Pack, OneFretRemakesOnlyWhatDependsOnIt) {
  const Folder folder;
  make(plan_of(lesson_text(10)), folder);
  const PackPlan plan = plan_of(lesson_text(8));
  const auto log = states(plan, make(plan, folder));
  int made = 0;
  for (const auto& [path, state] : log) {
    const bool is_same = path.find("/01-one") != std::string::npos || path == "two/start.html";
    EXPECT_EQ(state, says_no_fret(path) ? PartState::kept : is_same ? PartState::stamped : PartState::made) << path;
    made += state == PartState::made ? 1 : 0;
  }
  EXPECT_LT(made, static_cast<int>(log.size()) - 4);
  // Back to the first version: all of it that is dear to make is in the cache.
  const PackPlan back = plan_of(lesson_text(10));
  for (const auto& [path, state] : states(back, make(back, folder))) {
    const bool is_text = path.ends_with(".txt") || path.ends_with(".toml");
    EXPECT_EQ(state, says_no_fret(path) ? PartState::kept : is_text ? PartState::made : PartState::stamped) << path;
  }
}

TEST(Pack, TheTeachersDurationsGiveTheChaptersAndGoIn) {
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  const std::string durations = "# filmed\n0:30 Hello\n2:10 One, slow & <fast>\n0:20 Goodbye\n";
  const PackPlan plan = plan_of(lesson_text(), "test", {}, durations);
  for (const auto& [path, state] : states(plan, make(plan, folder))) {
    const bool is_of_durations = path == "two-teacher/two-durations.txt" || path == "two-teacher/two-chapters.txt";
    EXPECT_EQ(state, is_of_durations ? PartState::made : PartState::kept) << path;
  }
  const auto files = tree(packs(folder));
  EXPECT_EQ(files.at("two-teacher/two-durations.txt"), durations);
  EXPECT_TRUE(
      files.at("two-teacher/two-chapters.txt").starts_with("0:00 Hello\n0:30 One, slow & <fast>\n2:40 Goodbye\n"));
  // Without them the demos' chapters come back.
  const PackPlan bare = plan_of(lesson_text());
  EXPECT_EQ(make(bare, folder).removed, std::vector<std::string>{"two-teacher/two-durations.txt"});
  EXPECT_TRUE(tree(packs(folder)).at("two-teacher/two-chapters.txt").starts_with("0:00 One, 4 notes a beat"));
}

TEST(Pack, TheEmailListsWhatIsInThePack) {
  PackChoice choice;
  choice.groups = {PartGroup::words, PartGroup::audio, PartGroup::plan};
  const auto email_of = [&] {
    const PackPlan plan = plan_of(lesson_text(), "test", choice);
    const auto part = std::find_if(plan.parts.begin(), plan.parts.end(),
                                   [](const PackPart& p) { return p.path == "two-teacher/two-email.txt"; });
    return part->make(nullptr).value();
  };
  EXPECT_NE(email_of().find("Enclosed:\n- 4 sound files to hear and play along with (audio)\n"
                            "- a practice plan (two-practice-plan.txt)\n\n"),
            std::string::npos)
      << email_of();
  choice.groups = {PartGroup::words};
  EXPECT_EQ(email_of().find("Enclosed"), std::string::npos);
}

TEST(Pack, ACommentOnlyStampsAndAnotherProgramMakesAll) {
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  const PackPlan commented = plan_of(lesson_text() + "# a word to myself\n");
  for (const auto& [path, state] : states(commented, make(commented, folder))) {
    const bool is_text = path.ends_with(".txt");
    EXPECT_EQ(state, path.ends_with(".toml") ? PartState::made
                     : is_text               ? PartState::kept
                                             : PartState::stamped)
        << path;
  }
  const PackPlan other = plan_of(lesson_text() + "# a word to myself\n", "another program");
  for (const auto& [path, state] : states(other, make(other, folder)))
    EXPECT_EQ(state, path.ends_with(".toml") ? PartState::kept : PartState::made) << path;
}

TEST(Pack, AskedToStopAnywhereItLeavesThePackAsItWas) {
  const Folder clean;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, clean);
  const auto wanted = tree(packs(clean));
  for (const double place : {0.0, 0.3, 0.7, 0.95}) {
    const Folder folder;
    make(quiet_plan(lesson_text(8)), folder);
    const auto before = tree(packs(folder));
    StopFlag stop{place == 0.0};
    PackRun run = run_in(folder);
    run.stop = &stop;
    run.progress = [&](double part) {
      if (part >= place) stop.store(true);
    };
    const auto stopped_run = make_pack(plan, run);
    if (!stopped_run) {
      EXPECT_EQ(stopped_run.error().kind, ErrorKind::stopped);
      EXPECT_EQ(tree(packs(folder)), before);
    }
    make(plan, folder);
    EXPECT_EQ(tree(packs(folder)), wanted) << place;
  }
}

TEST(Pack, RunsAtOnceDoNoHarm) {
  const Folder clean;
  const PackPlan plan = plan_of(lesson_text());
  const PackPlan third = quiet_plan(lesson_text(), "three");
  make_with_index(plan, clean);
  make_with_index(third, clean);
  const Folder folder;
  std::vector<std::thread> others;
  for (const PackPlan* other : {&plan, &third, &third})
    others.emplace_back([&folder, other] { make_with_index(*other, folder); });
  make_with_index(plan, folder);
  for (std::thread& other : others) other.join();
  EXPECT_EQ(tree(packs(folder)), tree(packs(clean)));
  EXPECT_FALSE(fs::exists(work_folder(packs(folder))));
}
TEST(Pack, MissingPartsComeBack) {
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text());
  make(plan, folder);
  const auto wanted = tree(packs(folder));
  for (const char* path : {"two/two-handout.pdf", "two-teacher/two-script.txt", "two.zip"})
    fs::remove(packs(folder) / path);
  fs::remove_all(packs(folder) / "two/audio");
  const auto log = states(plan, make(plan, folder));
  EXPECT_EQ(log.at("two/two-handout.pdf"), PartState::stamped);
  EXPECT_EQ(log.at("two-teacher/two-script.txt"), PartState::made);
  EXPECT_EQ(log.at("two/two-tab.txt"), PartState::kept);
  EXPECT_EQ(tree(packs(folder)), wanted);
  // Without its manifest a pack is still known by its bytes.
  fs::remove(packs(folder) / "two-teacher/manifest.json");
  make(plan, folder);
  EXPECT_EQ(tree(packs(folder)), wanted);
}

TEST(Pack, PartsNoLongerChosenGo) {
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  PackChoice choice;
  choice.groups = {PartGroup::tab};
  const PackPlan plan = plan_of(lesson_text(), "test", choice);
  const PackReport report = make(plan, folder);
  EXPECT_EQ(plan.parts.size(), 3U);  // and the lesson and the start page
  EXPECT_GT(report.removed.size(), 12U);
  EXPECT_EQ(tree(packs(folder) / "two").size(), 2U);
  EXPECT_FALSE(fs::exists(packs(folder) / "two/audio"));
}

TEST(Pack, AFolderThatCannotBeIsAnError) {
  const PackPlan plan = quiet_plan();
  PackRun run;
  run.root = "/dev/null/packs";
  EXPECT_EQ(make_pack(plan, run).error().kind, ErrorKind::io);
  for (const char* name : {"two", "two-teacher"}) {
    const Folder folder;
    fs::create_directories(packs(folder));
    put_bytes(packs(folder) / name, "a file where the folder should be");
    const auto report = make_pack(plan, run_in(folder));
    ASSERT_FALSE(report.ok());
    EXPECT_TRUE(report.error().what.ends_with("is a file, not a folder; nothing is written there"))
        << report.error().what;
    EXPECT_EQ(tree(packs(folder)).size(), 1U);
  }
}

TEST(Cache, IsPrunedByAgeAndSize) {
  const Folder folder;
  const PartCache cache(folder.path());
  std::vector<std::string> keys;
  for (int i = 0; i < 5; ++i) {
    keys.push_back(sha256(std::to_string(i)));
    cache.put(keys.back(), std::string(1000, 'x'));
    const fs::path path = folder.path() / keys.back().substr(0, 2) / keys.back().substr(2);
    fs::last_write_time(path, fs::file_time_type::clock::now() - std::chrono::hours(24 * i));
  }
  put_bytes(folder / "letter.txt", "not of the cache");
  prune_cache(folder.path(), 10000, 3);  // the fifth is older than three days, and the fourth just so
  EXPECT_TRUE(cache.get(keys[2]).has_value());
  EXPECT_FALSE(cache.get(keys[4]).has_value());
  fs::last_write_time(folder.path() / keys[2].substr(0, 2) / keys[2].substr(2),
                      fs::file_time_type::clock::now() - std::chrono::hours(48));
  prune_cache(folder.path(), 2200, 3);  // room for two
  EXPECT_TRUE(cache.get(keys[0]).has_value());
  EXPECT_TRUE(cache.get(keys[1]).has_value());
  EXPECT_FALSE(cache.get(keys[2]).has_value());
  EXPECT_TRUE(fs::exists(folder / "letter.txt"));
  // One that cannot be written, and none at all, keep nothing and do no harm.
  for (const char* path : {"/dev/null/cache", ""}) {
    const PartCache none(path);
    none.put(keys[0], "x");
    EXPECT_FALSE(none.get(keys[0]).has_value());
  }
}

TEST(Manifest, ReadsItselfAndRefusesWhatIsNone) {
  const ManifestPart part{"two/tab.txt", "two/tab-new.txt", "A title", "tab", sha256("k"), sha256("b"), 12, true};
  const Manifest manifest{"T \"x\" <b>", "A",         "D dorian",         2,     "two",
                          "../two.toml", sha256("x"), "parts=- paper=a4", {part}};
  EXPECT_EQ(read_manifest(to_json(manifest)).value(), manifest);
  for (const char* bad : {"", "[]", "{}", "{\"format\":1}", "{\"format\":2}", "{\"format\":\"2\"}"})
    EXPECT_FALSE(read_manifest(bad).ok()) << bad;
  for (const char* path :
       {"../x", "/etc/x", "two//b", "two/../b", "", "other/x", "two", "other.zip", "two/../two.zip"}) {
    Manifest outside = manifest;
    outside.parts[0].path = path;
    EXPECT_FALSE(read_manifest(to_json(outside)).ok()) << path;
    outside = manifest;
    outside.parts[0].at = path;
    EXPECT_FALSE(read_manifest(to_json(outside)).ok()) << path;
  }
  for (const char* name : {"", "..", "a/b"}) {
    Manifest outside = manifest;
    outside.name = name;
    EXPECT_FALSE(read_manifest(to_json(outside)).ok()) << name;
  }
}

// The manifest keeps to its published schema, by an independent validator (npm ajv 8.17.1).
TEST(Manifest, KeepsToTheSchema) {
  if (!test::have_tool("node")) GTEST_SKIP() << "no node";
  const Folder folder;
  make(plan_of(lesson_text()), folder);
  const std::string root = FRETLOOM_SOURCE_DIR;
  const std::string command = "cd '" + root + "' && node tests/lesson/validate.mjs docs/manifest.schema.json ";
  const auto good = test::run_tool(command + "'" + (folder / "packs/two-teacher/manifest.json") + "'");
  EXPECT_EQ(good.code, 0) << good.out;
  std::string json = bytes_of(folder / "packs/two-teacher/manifest.json");
  json.replace(json.find("\"format\": 2"), 11, "\"format\": 3");
  test::put_bytes(folder / "bad.json", json);
  EXPECT_NE(test::run_tool(command + "'" + (folder / "bad.json") + "'").code, 0);
}

TEST(Choice, SurvivesTheManifest) {
  PackChoice choice;
  choice.groups = {PartGroup::audio, PartGroup::plan};
  choice.paper = "letter";
  choice.sound.tempos = {Rational(60), Rational(185, 2)};
  choice.sound.pieces = {Piece::loop, Piece::demo};
  choice.sound.click = ClickPattern::backbeat;
  choice.sound.backings = {Backing::none, Backing::band};
  choice.sound.band.intensity = Intensity::full;
  choice.sound.band.seed = 77;
  choice.plan = {35, Rational(72), 14, 5};
  EXPECT_EQ(choice_text(parse_choice(choice_text(choice)).value()), choice_text(choice));
  EXPECT_EQ(choice_text(parse_choice(choice_text({})).value()), choice_text({}));
  PackChoice rungs;
  rungs.sound.every_rung = true;
  EXPECT_TRUE(parse_choice(choice_text(rungs))->sound.every_rung);
  for (const char* bad :
       {"parts=all", "paper=a3", "tempos=1/0", "nothing", "days=", "band=loud", "intensity=9", "seed=0"})
    EXPECT_FALSE(parse_choice(bad).ok()) << bad;
}

TEST(Changes, AreToldInTheWordsOfTheMusic) {
  const auto handout = [](const std::string& text) { return make_handout(compile_lesson(text)); };
  // Another fret in the second idea, and the fingers that it asks for around it.
  EXPECT_EQ(changes(handout(lesson_text(10)), handout(lesson_text(8))),
            (std::vector<std::string>{"idea 2, 4 a beat, bar 1, note 2: finger 3 to 4",
                                      "idea 2, 4 a beat, bar 1, note 3: fret 10 to 8"}));
  EXPECT_EQ(changes_text(handout(lesson_text()), handout(lesson_text() + "# x\n")),
            "No change in what is played or printed.\n");
  std::string slower = lesson_text();
  slower.replace(slower.find("150"), 3, "140");
  EXPECT_EQ(changes(handout(lesson_text()), handout(slower)),
            (std::vector<std::string>{"idea 1: goal tempo 150 to 140", "idea 2: goal tempo 150 to 140"}));
}

TEST(Names, AreSafeWhateverTheTitle) {
  const std::string title =
      "\"Six/eight\" <script>alert(1)</script> & \xF0\x9F\x8E\xB8 \xD7\xA9\xD7\x9C\xD7\x95\xD7\x9D ../..";
  const Folder folder;
  const PackPlan plan = plan_of(lesson_text(10, title));
  make_with_index(plan, folder);
  for (const PackPart& part : plan.parts) {
    for (const char c : part.path)
      EXPECT_TRUE((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '/' || c == '.') << part.path;
  }
  const auto files = tree(packs(folder));
  for (const char* page : {"index.html", "two/start.html", "two/two.musicxml", "two/drawings/01-one-4-a-beat.svg"})
    EXPECT_EQ(files.at(page).find("<script"), std::string::npos) << page;
  for (const char* page : {"index.html", "two/start.html"})
    EXPECT_NE(files.at(page).find("&quot;Six/eight&quot; &lt;script&gt;"), std::string::npos) << files.at(page);
  EXPECT_EQ(read_manifest(files.at("two-teacher/manifest.json")).value().title, title);
}

/// Every link of a page leads to a file, and nothing leads out of the folder.
void expect_links(const std::map<std::string, std::string>& files, const std::string& page, const std::string& folder) {
  const std::regex link("(href|src)=\"([^\"]*)\"");
  const std::string& html = files.at(page);
  std::size_t links = 0;
  for (std::sregex_iterator it(html.begin(), html.end(), link), end; it != end; ++it, ++links)
    EXPECT_TRUE(files.contains(folder + (*it)[2].str())) << page << ": " << (*it)[2];
  EXPECT_GT(links, 3U);
  EXPECT_EQ(html.find("<script"), std::string::npos);
  EXPECT_EQ(html.find("http"), std::string::npos);
}

TEST(Pages, LinkEveryFileAndPlayTheDemos) {
  const Folder folder;
  make_with_index(plan_of(lesson_text()), folder);
  make_with_index(quiet_plan(lesson_text(), "three"), folder);
  const auto files = tree(packs(folder));
  expect_links(files, "index.html", "");
  expect_links(files, "two/start.html", "two/");
  expect_links(files, "three/start.html", "three/");
  for (const auto& [path, bytes] : files) {
    if (!path.starts_with("two/") || path == "two/start.html") continue;
    EXPECT_NE(files.at("two/start.html").find("\"" + path.substr(4) + "\""), std::string::npos) << path;
    if (path.ends_with(".mp3")) {
      EXPECT_NE(files.at("index.html").find("<source src=\"" + path + "\""), std::string::npos) << path;
    }
  }
  const std::string& start = files.at("two/start.html");
  EXPECT_EQ(start.find(k_listening_caution), start.rfind(k_listening_caution));
  EXPECT_NE(start.find(k_listening_caution), std::string::npos);
  EXPECT_EQ(files.at("three/start.html").find(k_listening_caution), std::string::npos);  // it has no sound
}

TEST(Names, OfOneFileNameAreToldApartByTheirFolders) {
  const Folder folder;
  for (const char* path :
       {"a/sixes.toml", "b/sixes.toml", "c d/sixes.toml", "b/sixes-teacher.toml", "b/x/b/sixes.toml"}) {
    fs::create_directories((folder.path() / path).parent_path());
    put_bytes(folder.path() / path, lesson_text());
  }
  const auto names_of = [&](std::vector<std::string> lessons) {
    for (std::string& lesson : lessons) lesson = folder / lesson;
    std::vector<std::string> names;
    for (const PackName& name : pack_names(packs(folder), lessons)) names.push_back(name.name);
    return names;
  };
  using List = std::vector<std::string>;
  EXPECT_EQ(names_of({"a/sixes.toml", "b/sixes.toml", "c d/sixes.toml", "b/x/b/sixes.toml"}),
            (List{"sixes", "sixes-b", "sixes-c-d", "sixes-b-2"}));
  // Its folder would be the teacher's folder of the other.
  EXPECT_EQ(names_of({"a/sixes.toml", "b/sixes-teacher.toml"}), (List{"sixes", "sixes-teacher-b"}));
  // What lies there decides: the pack of b/sixes.toml keeps its name, whoever comes first.
  make(plan_of(lesson_text(), "test", {}, "", "sixes"), folder);
  const auto path = packs(folder) / "sixes-teacher/manifest.json";
  Manifest manifest = read_manifest(bytes_of(path)).value();
  manifest.source = "../b/sixes.toml";
  put_bytes(path, to_json(manifest));
  EXPECT_EQ(names_of({"a/sixes.toml", "b/sixes.toml"}), (List{"sixes-a", "sixes"}));
  EXPECT_EQ(names_of({"a/sixes.toml"}), List{"sixes-a"});
  const auto names = pack_names(packs(folder), {folder / "a/sixes.toml"});
  EXPECT_EQ(fs::weakly_canonical(names[0].other), fs::canonical(folder.path() / "b/sixes.toml"));
  // A lesson that was moved takes its pack along, if it is the same by title and author.
  fs::rename(folder / "b", folder / "moved");
  EXPECT_EQ(names_of({"moved/sixes.toml"}), List{"sixes"});
  put_bytes(folder.path() / "moved/sixes.toml", lesson_text(10, "Quite another"));
  EXPECT_EQ(names_of({"moved/sixes.toml"}), List{"sixes-moved"});
}

}  // namespace
}  // namespace fretloom
