#pragma once
// Every rule on every scale and layout, as long as it may still tell the phrase shortly enough.

#include <optional>
#include <vector>

#include "insight/cycle.h"
#include "insight/heard.h"
#include "insight/home.h"
#include "insight/layouts.h"
#include "insight/scale_view.h"
#include "insight/sequence_search.h"
#include "insight/shortlist.h"

namespace fretloom {

/// The phrase's notes have places; at least two. Best first: what could be shortest is tried first, and the search
/// ends when nothing left can come near the best.
/// `home`: the lesson that is open, or nullptr.
void search_rules(const HeardPhrase& phrase, const Home* home, Shortlist& shortlist);

/// What may repeat in a phrase, cells and sequences, found once for all scales and layouts.
[[nodiscard]] std::vector<Cycle> find_cycles(const HeardPhrase& phrase);

/// One scale, on all layouts or on those given.
class ScaleSearch {
 public:
  /// Phrase and home stay the caller's. The layouts are made when they are first needed.
  ScaleSearch(const HeardPhrase& phrase, const ScaleChoice& scale, const Home* home)
      : view_(phrase, scale), home_(home) {}
  ScaleSearch(const HeardPhrase& phrase, const ScaleChoice& scale, LayoutShape shape)
      : view_(phrase, scale), shapes_({std::move(shape)}) {}

  [[nodiscard]] const ScaleView& view() const { return view_; }
  void run(const Cycle& cycle, Shortlist& shortlist);
  /// All that may be short enough.
  void run_all(const std::vector<Cycle>& cycles, Shortlist& shortlist);

 private:
  [[nodiscard]] std::vector<std::size_t> find_alike() const;

  ScaleView view_;
  const Home* home_ = nullptr;
  std::vector<LayoutShape> shapes_;
  /// For each shape the first whose strings begin as far above each other, as far as the phrase's strings go.
  std::vector<std::size_t> alike_;
  std::optional<std::vector<SequenceLine>> lines_;
};

}  // namespace fretloom
