#include "exchange/outside.h"

#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <memory>

#include "base/text.h"

namespace fretloom {

namespace fs = std::filesystem;

const std::map<std::string, std::string>& odd_lessons() {
  static const std::map<std::string, std::string> k_lessons = {
      {"additive", R"(format = 1
title = "Zwei zwei drei"
key = "F# phrygian dominant"
meter = "2+2+3/8"
tempo = { slow = 92.5, goal = 231 }
[layout]
from = 2
[vamp]
chords = "F#7 Gmaj7/B | %"
[[idea]]
name = "Elf, fünf: \"quer\""
cell = "1! h2 3x2 + 2 r 1"
start = { string = 6, beat = -3 }
notes_per_beat = [5, 11, 7]
)"},
      {"seven", R"(format = 1
title = "Sieben Saiten ♭"
key = "Bb lydian"
tuning = ["B1", "E2", "A2", "D3", "G3", "B3", "E4"]
meter = "12/8"
tempo = { slow = 41, goal = 77 }
[layout]
from = 5
[[idea]]
name = "Zurück"
cell = "1 2 3 + 3 2 1"
back = "retrograde"
notes_per_beat = [4, 9]
[[idea]]
name = "Im Vierer"
meter = "4/4"
tempo = { slow = 50, goal = 143 }
cell = "1 s3 p1"
notes_per_beat = [3, 12]
ending = "none"
)"},
      {"bass", R"(format = 1
title = "Bass mit Kapodaster"
key = "G mixolydian"
tuning = ["E1", "A1", "D2", "G2"]
capo = 2
meter = "9/16"
tempo = { slow = 60, goal = 100 }
[layout]
from = 1
[[idea]]
cell = "1 2! 3"
start = { string = 4, beat = -0.3333333 }
notes_per_beat = [3]
)"},
      {"late", R"(format = 1
title = "Spät"
key = "C# minor pentatonic"
meter = "3/2"
tempo = { slow = 30, goal = 66.6 }
[layout]
from = 9
[[idea]]
name = "Takt zwei"
cell = "1 2 + 1 2"
start = { string = 6, beat = 4 }
notes_per_beat = [8, 10]
)"},
  };
  return k_lessons;
}

std::string read_text(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

std::map<std::string, std::string> all_lessons() {
  std::map<std::string, std::string> lessons = odd_lessons();
  for (const auto& entry : fs::directory_iterator(fs::path(FRETLOOM_SOURCE_DIR) / "demos")) {
    if (entry.path().extension() == ".toml")
      lessons["demo " + entry.path().stem().string()] = read_text(entry.path().string());
  }
  return lessons;
}

std::vector<std::string> lines_of(const std::string& command) {
  const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen((command + " 2>&1").c_str(), "r"), pclose);
  std::string text;
  std::array<char, 4096> buffer{};
  for (std::size_t n = 0; pipe && (n = fread(buffer.data(), 1, buffer.size(), pipe.get())) > 0;)
    text.append(buffer.data(), n);
  std::vector<std::string> lines;
  for (const std::string_view line : split(text, '\n')) {
    if (!line.empty()) lines.emplace_back(line);
  }
  return lines;
}

}  // namespace fretloom
