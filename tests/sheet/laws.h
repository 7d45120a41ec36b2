#pragma once
// Laws that hold for every finished page, for tests.

#include <string>

#include "sheet/scene.h"

namespace fretloom::sheet::test {

/// Whether a mark must keep clear of the others; not so for lines that run through, bows and their like.
bool is_solid(Mark mark);
/// The part of a box that its ink fills, so that neighbours may come near.
Box inked(const SceneItem& item);
/// The first two solid items that overlap, "chord on stroke at 12,30"; empty where none do.
std::string overlap_of(const Scene& scene);
/// The first item that leaves its page; empty where none does.
std::string off_page(const Scene& scene);
/// Whether a page has one line of music and is not filled by looms and words either: two fifths and more are white.
bool has_system_alone(const Scene& scene);

}  // namespace fretloom::sheet::test
