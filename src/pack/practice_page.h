#pragma once
// The page that a student practises with: one file with the engine inside, and the lesson put into it.

#include <string>
#include <string_view>

namespace fretloom {

/// The lesson file without its comments, which the teacher wrote for nobody else. What is in quotes stays as it is.
[[nodiscard]] std::string without_comments(std::string_view lesson);

/// The page as scripts/build_student.mjs made it, with the lesson at its marked place, as JSON in which no "<" stands,
/// so that nothing in a lesson can end the element that holds it. `stamp` stands in the page's metadata. Precondition:
/// the page has the two marked places.
[[nodiscard]] std::string practice_page(std::string_view page, std::string_view lesson, std::string_view stamp);

}  // namespace fretloom
