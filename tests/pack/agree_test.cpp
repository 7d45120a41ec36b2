// The parts of one pack tell the same notes: each is read back by other means than it was written by, and
// compared with the Score. MusicXML and MIDI are also read by strangers in tests/exchange.

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>
#include <map>
#include <pugixml.hpp>
#include <regex>

#include "draw/font_file.h"
#include "exchange/midi.h"
#include "exchange/random_lesson.h"
#include "outside.h"
#include "pack/pack.h"
#include "sound/signal.h"
#include "sound/sound_take.h"

namespace fretloom {
namespace {

namespace fs = std::filesystem;

/// What a part tells of a note.
struct Told {
  int string = 0;
  int fret = 0;
  char stroke = '-';

  friend bool operator==(const Told&, const Told&) = default;
};

void PrintTo(const Told& told, std::ostream* out) { *out << told.string << ":" << told.fret << told.stroke; }

std::vector<Told> told_by(const Score& score) {
  std::vector<Told> notes;
  for (const ScoreNote& note : score.notes)
    notes.push_back({note.string, note.fret, note.stroke ? letter(*note.stroke) : '-'});
  return notes;
}

std::vector<Told> told_by(const Handout& handout) {
  std::vector<Told> notes;
  for (const FeelRef& feel : feels_of(handout)) {
    const auto more = told_by(*feel.score);
    notes.insert(notes.end(), more.begin(), more.end());
  }
  return notes;
}

/// Systems of a text tab: frets by their columns, strokes from the nearest line above that holds only those.
std::vector<Told> read_tab(const std::string& text) {
  std::vector<std::string> lines;
  std::istringstream in(text);
  for (std::string line; std::getline(in, line);) lines.push_back(line);
  const std::regex string_line("^ *[A-Ga-g][#b]*[0-9]*\\|.*\\|$");
  const std::regex stroke_line("^ +[DU][DU ]*$");
  std::vector<Told> notes;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    if (!std::regex_match(lines[i], string_line)) continue;
    std::string strokes;
    for (std::size_t up = i; up-- > 0 && !lines[up].empty();)
      if (strokes.empty() && std::regex_match(lines[up], stroke_line)) strokes = lines[up];
    std::map<std::size_t, Told> by_column;
    for (int string = 1; i < lines.size() && std::regex_match(lines[i], string_line); ++i, ++string) {
      const std::string& line = lines[i];
      for (std::size_t c = line.find('|') + 1; c < line.size(); ++c) {
        if (std::isdigit(static_cast<unsigned char>(line[c])) == 0) continue;
        const std::size_t start = c;
        while (std::isdigit(static_cast<unsigned char>(line[c])) != 0) ++c;
        const bool struck = start < strokes.size() && strokes[start] != ' ';
        by_column[start] = {string, std::stoi(line.substr(start, c - start)), struck ? strokes[start] : '-'};
      }
    }
    for (const auto& [column, told] : by_column) notes.push_back(told);
  }
  return notes;
}

std::vector<Told> read_drawing(const std::string& svg) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_buffer(svg.data(), svg.size()));
  const std::regex words(".*, string (\\d+) fret (\\d+)(, downstroke|, upstroke)?.*");
  std::vector<Told> notes;
  for (const auto& found : document.select_nodes("//g[@class='note']")) {
    std::smatch match;
    const std::string label = found.node().attribute("aria-label").value();
    EXPECT_TRUE(std::regex_match(label, match, words)) << label;
    const char stroke = match[3].length() == 0 ? '-' : match[3].str() == ", downstroke" ? 'D' : 'U';
    notes.push_back({std::stoi(match[1]), std::stoi(match[2]), stroke});
  }
  return notes;
}

/// Strings and frets of the tab staff, strokes of the notation staff; tied-on notes left out.
std::vector<Told> read_musicxml(const std::string& xml) {
  pugi::xml_document document;
  EXPECT_TRUE(document.load_buffer(xml.data(), xml.size()));
  std::vector<Told> notes;
  std::vector<char> strokes;
  for (const auto& found : document.select_nodes("//note[pitch and not(tie[@type='stop'])]")) {
    const pugi::xml_node note = found.node();
    const pugi::xml_node technical = note.child("notations").child("technical");
    if (note.child("staff").text().as_int() == 2) {
      notes.push_back({technical.child("string").text().as_int(), technical.child("fret").text().as_int(-1), '-'});
    } else {
      strokes.push_back(technical.child("down-bow") ? 'D' : technical.child("up-bow") ? 'U' : '-');
    }
  }
  EXPECT_EQ(notes.size(), strokes.size());
  for (std::size_t i = 0; i < std::min(notes.size(), strokes.size()); ++i) notes[i].stroke = strokes[i];
  return notes;
}

/// Keys of the lick, channel 1, in the order of their onsets.
std::vector<int> read_keys(const std::string& bytes) {
  const auto file = read_midi(bytes);
  EXPECT_TRUE(file.ok());
  std::vector<int> keys;
  for (const MidiEvent& event : file->tracks.at(1).events)
    if ((event.status & 0xF0) == 0x90 && event.data.at(1) != 0) keys.push_back(event.data[0]);
  return keys;
}

const sheet::MusicFont& font() {
  static const sheet::MusicFont font = draw::load_music_font(FRETLOOM_MUSIC_FONT).value();
  return font;
}

const IdeaSheet& idea_numbered(const Handout& handout, int number) {
  const auto found = std::find_if(handout.ideas.begin(), handout.ideas.end(),
                                  [&](const IdeaSheet& idea) { return idea.number == number; });
  EXPECT_NE(found, handout.ideas.end()) << number;
  return *found;
}

constexpr std::string_view k_drawings = "sixes/drawings/";

/// Every part but sound against the scores; the number of notes that each told.
std::size_t expect_agreement(const std::string& lesson) {
  const CompiledLesson compiled = compile_lesson(lesson);
  const Handout handout = make_handout(compiled);
  PackChoice choice;
  choice.groups = {PartGroup::tab, PartGroup::midi, PartGroup::musicxml, PartGroup::drawings};
  choice.plan.present_bpm = Rational(0);
  const auto plan = plan_parts(compiled, {lesson, "", "", "sixes", ""}, choice, {&font(), "test"});
  EXPECT_TRUE(plan.ok()) << plan.error().what;
  std::map<std::string, std::string> parts;
  for (const PackPart& part : plan->parts) parts[part.path] = part.make(nullptr).value();
  const auto wanted = told_by(handout);
  EXPECT_EQ(read_tab(parts.at("sixes/sixes-tab.txt")), wanted);
  EXPECT_EQ(read_musicxml(parts.at("sixes/sixes.musicxml")), wanted);
  std::vector<int> keys;
  std::vector<Told> drawn;
  for (const FeelRef& feel : feels_of(handout)) {
    for (const ScoreNote& note : feel.score->notes) keys.push_back(note.pitch.midi());
  }
  for (const char* path : {"sixes/sixes.mid", "sixes/sixes-slow.mid"})
    EXPECT_EQ(read_keys(parts.at(path)), keys) << path;
  // A drawing a feel; their names sort feels of one idea by number, so compare each with its own.
  std::size_t drawings = 0;
  for (const auto& [path, bytes] : parts) {
    if (!path.starts_with(k_drawings)) continue;
    const IdeaSheet& idea = idea_numbered(handout, std::stoi(path.substr(k_drawings.size(), 2)));
    const std::string tail = path.substr(0, path.rfind("-a-beat"));
    const int notes_per_beat = std::stoi(tail.substr(tail.rfind('-') + 1));
    for (const Score& score : idea.feels) {
      if (score.notes_per_beat != notes_per_beat) continue;
      EXPECT_EQ(read_drawing(bytes), told_by(score)) << path;
      ++drawings;
    }
  }
  EXPECT_EQ(drawings, static_cast<std::size_t>(std::count_if(parts.begin(), parts.end(), [](const auto& part) {
              return part.first.starts_with(k_drawings);
            })));
  return wanted.size();
}

std::vector<std::string> demos() {
  std::vector<std::string> lessons;
  for (const auto& entry : fs::directory_iterator(FRETLOOM_SOURCE_DIR "/demos"))
    lessons.push_back(test::bytes_of(entry.path()));
  return lessons;
}

TEST(PartsAgree, OnEveryDemo) {
  std::size_t notes = 0;
  for (const std::string& lesson : demos()) notes += expect_agreement(lesson);
  EXPECT_GT(notes, 500U);
}

std::vector<std::string> random_lessons(std::size_t count) {
  std::vector<std::string> lessons;
  for (std::uint32_t seed = 5000; lessons.size() < count; ++seed) {
    std::string lesson = random_lesson(seed);
    const CompiledLesson compiled = compile_lesson(lesson);
    if (compiled.is_readable() && !compiled.has_errors()) lessons.push_back(std::move(lesson));
  }
  return lessons;
}

TEST(PartsAgree, OnFiftyRandomLessons) {
  for (const std::string& lesson : random_lessons(50)) {
    SCOPED_TRACE(lesson);
    expect_agreement(lesson);
    if (testing::Test::HasFailure()) return;
  }
}

double hz_of(const ScoreNote& note) { return 440.0 * std::exp2((note.pitch.midi() - 69) / 12.0); }

/// A demo without click, coded and decoded, against the score: where notes begin and which they are.
class Heard {
 public:
  explicit Heard(const SoundJob& job) : job_(job), notes_(job.score().notes) {
    const SoundTake take = make_take(job, true).value();
    sound_ = signal::left(decode_audio(encode(take.mix, AudioFormat::mp3, {}).value()).value());
    origin_ = take.timeline.notes.front().onset - frame(notes_.front().onset.value);
  }

  /// Every stroke is heard once, at its time; nothing else is heard but slurs and damped ends. Returns the strokes.
  int expect_onsets() const {
    constexpr std::int64_t k_within = 288;  // 6 ms: nearer than one displaced note is noticed
    const auto lowest = std::min_element(notes_.begin(), notes_.end(), [](const ScoreNote& a, const ScoreNote& b) {
      return a.pitch.midi() < b.pitch.midi();
    });
    std::vector<std::int64_t> heard = signal::onsets(sound_, hz_of(*lowest));
    int strokes = 0;
    for (const ScoreNote& note : notes_) {
      const std::int64_t at = origin_ + frame(note.onset.value);
      const auto is_here = [&](std::int64_t onset) { return std::abs(onset - at) <= k_within; };
      const auto count = std::erase_if(heard, is_here);
      if (note.attack != Attack::pick) continue;
      EXPECT_EQ(count, 1U) << job_.file << ", stroke on beat " << note.onset.value.to_string() << " at " << at;
      ++strokes;
    }
    for (const std::int64_t onset : heard)
      EXPECT_TRUE(is_by_the_left_hand(onset))
          << job_.file << ": something begins at " << onset << ", where no note does";
    return strokes;
  }

  /// At every onset the note's pitch begins. Returns how many notes were long enough to tell.
  int expect_pitches() const {
    constexpr std::int64_t k_attack = 1440;   // 30 ms
    constexpr std::int64_t k_longest = 9600;  // 200 ms
    int told = 0;
    for (std::size_t i = 0; i < notes_.size(); ++i) {
      const ScoreNote& note = notes_[i];
      const double hz = hz_of(note);
      const std::int64_t from = origin_ + frame(note.onset.value) + k_attack;
      std::int64_t length = origin_ + frame(note.onset.value + note.duration.value) - from;
      // A slide leaves its note early, to arrive on the beat.
      if (i + 1 < notes_.size() && notes_[i + 1].attack == Attack::slide) length -= slide();
      // Windows of less than twelve periods say little.
      if (static_cast<double>(length) * hz / k_sample_rate < 12.0) continue;
      const double pitch = signal::pitch_hz(sound_, static_cast<std::size_t>(from),
                                            static_cast<std::size_t>(std::min(length, k_longest)), hz, 250.0);
      EXPECT_LT(std::abs(1200.0 * std::log2(pitch / hz)), 40.0)  // a fret is 100
          << job_.file << ", beat " << note.onset.value.to_string() << ": " << pitch << " Hz, not " << hz;
      ++told;
    }
    return told;
  }

 private:
  [[nodiscard]] std::int64_t frame(const Rational& beats) const { return frame_of(beats, job_.timeline.bpm); }
  [[nodiscard]] std::int64_t slide() const {
    return static_cast<std::int64_t>(job_.sound.manner.slide_seconds * k_sample_rate);
  }
  /// A slur, or the damped end of a note.
  [[nodiscard]] bool is_by_the_left_hand(std::int64_t heard) const {
    constexpr std::int64_t k_within = 960;  // 20 ms
    return std::any_of(notes_.begin(), notes_.end(), [&](const ScoreNote& note) {
      const std::int64_t after_end = heard - (origin_ + frame(note.onset.value + note.duration.value));
      const std::int64_t after_onset = heard - (origin_ + frame(note.onset.value));
      const std::int64_t early = note.attack == Attack::slide ? slide() : 0;
      return std::abs(after_end) <= k_within ||
             (note.attack != Attack::pick && after_onset >= -early - k_within && after_onset <= k_within);
    });
  }

  const SoundJob& job_;
  const std::vector<ScoreNote>& notes_;
  std::vector<float> sound_;
  std::int64_t origin_ = 0;
};

struct HeardCount {
  int strokes = 0;
  int pitches = 0;
};

/// Rendering is slow in the sanitised build, which hears less of each lesson and fewer lessons.
#ifdef __SANITIZE_ADDRESS__
constexpr std::size_t k_demos_heard = 1;
constexpr std::size_t k_lessons_heard = 3;
#else
constexpr std::size_t k_demos_heard = 1000;
constexpr std::size_t k_lessons_heard = 50;
#endif

/// Without tempos: those of the lesson.
void expect_sound(const std::string& lesson, const std::vector<Rational>& tempos, HeardCount& heard) {
  SoundChoice choice;
  choice.tempos = tempos;
  choice.count_in_bars = 0;
  choice.click = ClickPattern::off;
  const auto jobs = plan_sound(make_handout(compile_lesson(lesson)), choice);
  ASSERT_TRUE(jobs.ok()) << jobs.error().what;
  for (std::size_t i = 0; i < std::min(jobs->size(), k_demos_heard); ++i) {
    const Heard sound((*jobs)[i]);
    heard.strokes += sound.expect_onsets();
    heard.pitches += sound.expect_pitches();
  }
}

TEST(PartsAgree, TheSoundHasTheSameNotesAtTheSameTimes) {
  HeardCount heard;
  for (const std::string& lesson : demos()) expect_sound(lesson, {}, heard);
  EXPECT_GT(heard.strokes, 150);
  EXPECT_GT(heard.pitches, 100);
}

TEST(PartsAgree, SoOnRandomLessons) {
  HeardCount heard;
  for (const std::string& lesson : random_lessons(k_lessons_heard)) {
    SCOPED_TRACE(lesson);
    expect_sound(lesson, {Rational(60)}, heard);  // twelve notes a beat still stand 83 ms apart
  }
  EXPECT_GT(heard.strokes, 30);
  EXPECT_GT(heard.pitches, 20);
}

}  // namespace
}  // namespace fretloom
