#pragma once
// A sentence whose words know which value of the lesson file they are.

#include <optional>
#include <string>
#include <vector>

#include "base/diagnostics.h"
#include "lesson/lesson.h"

namespace fretloom {

/// A run of text. With a key it is one value of the lesson file that can be changed: `key` names where it stands, or
/// would stand. A repair has a `value` as well: the TOML text that puts it there.
struct Span {
  std::string text;
  std::optional<KeyPath> key;
  std::optional<std::string> value;

  friend bool operator==(const Span&, const Span&) = default;
};

using Sentence = std::vector<Span>;

/// The text alone.
[[nodiscard]] std::string plain(const Sentence& sentence);
/// With ** around the spans that have a key, as a test or a terminal shows them.
[[nodiscard]] std::string marked(const Sentence& sentence);

/// Adds words without a key; neighbours become one span.
void add(Sentence& sentence, std::string_view text);
void add(Sentence& sentence, std::string_view text, KeyPath key);
void add(Sentence& sentence, const Sentence& more);
/// Adds a sentence behind a space, if there are words on both sides.
void add_sentence(Sentence& text, const Sentence& more);

/// Where a musical key of an idea stands: in the idea, if it is given there, else in the lesson (idea 0).
class KeyPlaces {
 public:
  KeyPlaces(const SourceIndex& index, int idea) : index_(index), idea_(idea) {}

  [[nodiscard]] KeyPath operator()(std::string_view key) const;
  /// In the idea, or the lesson, itself.
  [[nodiscard]] KeyPath own(std::string_view key) const { return {idea_, std::string(key)}; }
  /// The key stands in the idea, or the lesson, itself.
  [[nodiscard]] bool is_own(std::string_view key) const { return index_.contains(own(key)); }
  /// The key stands in the file at the place that operator() gives.
  [[nodiscard]] bool is_given(std::string_view key) const { return index_.contains((*this)(key)); }

 private:
  const SourceIndex& index_;
  int idea_;
};

}  // namespace fretloom
