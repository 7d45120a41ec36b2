#pragma once
// The page that a student practises with: one file with the engine inside, and the lesson put into it. Beside it lies
// what makes it an app of its own where it is hosted: a manifest, and the worker that keeps it for when there is no
// network.

#include <string>
#include <string_view>

#include "sound/band_kit.h"

namespace fretloom {

/// The lesson file without its comments, which the teacher wrote for nobody else. What is in quotes stays as it is.
[[nodiscard]] std::string without_comments(std::string_view lesson);

/// The sounds of the lesson's drums and keys as the page reads them: the kit's index with its file as base64 at
/// "audio".
[[nodiscard]] std::string kit_json(const BandKit& kit);

/// What is put at a template's marked places.
struct PracticePlaces {
  std::string_view lesson;  ///< the lesson file
  std::string_view title;   ///< of the lesson; may be empty
  std::string_view name;    ///< of the pack, a slug
  std::string_view stamp;
  std::string_view kit = {};  ///< as kit_json gives it; empty: the page makes tones of its own
};

/// A file as scripts/build_student.mjs made it, with the lesson, its title, the pack's name and the stamp wherever it
/// has places for them. Lesson and title are JSON in which no "<" stands, so that nothing in them can end what holds
/// them.
[[nodiscard]] std::string with_lesson(std::string_view made, const PracticePlaces& places);

}  // namespace fretloom
