#pragma once
// start.html: what a student opens first. It says what is in the pack, plays the demos and links every file.

#include <string>
#include <string_view>
#include <vector>

#include "score/handout.h"

namespace fretloom {

struct StartSound {
  std::string label;               ///< "Slow, 60 beats a minute"
  std::vector<std::string> files;  ///< one a format; none where the pack has no sound
  std::string captions;
};

struct StartFeel {
  int notes_per_beat = 4;
  std::string drawing;
  std::vector<StartSound> sounds;
};

struct StartIdea {
  int number = 1;
  std::string heading;  ///< "2. Eight with a turn"
  std::string note;
  std::vector<StartFeel> feels;
};

/// Files are named from the page's own folder; one that the pack does not have is empty.
struct StartPage {
  std::string title;
  std::string author;
  std::string intro;
  std::string key;
  std::string licence;
  std::string copyright;
  std::string handout;
  std::string tab;
  std::string plan;
  std::string practice;
  std::string midi;
  std::string slow_midi;
  std::string musicxml;
  std::vector<StartIdea> ideas;
  std::vector<StartSound> band;  ///< the band alone, to play along with

  /// Precondition: the idea is one of the page's.
  [[nodiscard]] StartFeel& feel(const IdeaSheet& idea, const Score& score);
};

/// Everything that the handout says; files are added to it.
[[nodiscard]] StartPage start_page_of(const Handout& handout);

/// `stamp` stands in the page's metadata.
[[nodiscard]] std::string start_html(const StartPage& page, std::string_view stamp);

}  // namespace fretloom
