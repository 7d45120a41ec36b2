#include "words/effect.h"

#include <algorithm>
#include <array>
#include <cstdlib>
#include <string_view>
#include <utility>
#include <vector>

#include "base/text.h"
#include "words/ending_sentence.h"
#include "words/english.h"

namespace fretloom {

namespace {

/// An idea that both lessons have without an error.
struct Pair {
  const CompiledIdea* now = nullptr;
  const CompiledIdea* then = nullptr;
};

/// The ideas that a key speaks of.
std::vector<Pair> concerned(const CompiledLesson& now, const CompiledLesson& then, const KeyPath& key) {
  std::vector<Pair> pairs;
  for (const CompiledIdea& a : now.ideas) {
    for (const CompiledIdea& b : then.ideas) {
      const int number = now.idea(a).number;
      if (number == then.idea(b).number && (key.idea == 0 || key.idea == number)) pairs.push_back({&a, &b});
    }
  }
  return pairs;
}

/// "three flats", "one sharp", "no sharps or flats".
std::string signature_words(const Key& key) {
  const int fifths = key_signature(key);
  if (fifths == 0) return "no sharps or flats";
  return counted_word(std::abs(fifths), fifths < 0 ? "flat" : "sharp");
}

const Key& key_at(const CompiledLesson& lesson, int number) {
  for (const CompiledIdea& idea : lesson.ideas) {
    if (lesson.idea(idea).number == number) return lesson.idea(idea).settings.key();
  }
  return lesson.lesson->settings.key.value;
}

/// How far the ideas go now, where that differs: "carried four times"; of several "idea 2 carried four times".
void add_rounds(std::vector<std::string>& parts, const std::vector<Pair>& pairs, const CompiledLesson& then) {
  for (const Pair& pair : pairs) {
    const int rounds = pair.then->phrase.repeats;
    if (rounds == pair.now->phrase.repeats) continue;
    const std::string name = pairs.size() > 1 ? "idea " + std::to_string(then.idea(*pair.then).number) + " " : "";
    parts.push_back(name + "carried " + times_word(rounds));
  }
}

/// The string changes of all these ideas together, where their number or the blocked ones differ.
void add_changes(std::vector<std::string>& parts, const std::vector<Pair>& pairs) {
  int blocked_now = 0;
  int blocked_then = 0;
  for (const Pair& pair : pairs) {
    blocked_now += pair.now->blocked.own;
    blocked_then += pair.then->blocked.own;
  }
  if (blocked_now == blocked_then) return;
  parts.push_back(blocked_then == 0 ? "all string changes free"
                                    : counted_word(blocked_then, "string change") + " blocked");
}

/// "lands on B, the 5th of Em7": the first feel of one idea, where its landing note or its chord differ.
void add_landing(std::vector<std::string>& parts, const std::vector<Pair>& pairs) {
  if (pairs.size() != 1 || pairs.front().now->feels.empty() || pairs.front().then->feels.empty()) return;
  const auto landing = [](const CompiledIdea& idea) -> std::string {
    const auto& endings = idea.feels.front().endings;
    if (endings.empty()) return "no ending";
    const Ending& ending = endings.front().ending;
    const std::string note = "lands on " + endings.front().landing.pitch.pitch_class.name();
    return ending.chord ? note + ", " + harmony_words(ending.harmony, *ending.chord) : note;
  };
  std::string then = landing(*pairs.front().then);
  if (then != landing(*pairs.front().now)) parts.push_back(std::move(then));
}

/// Warnings that say more than a choice has room for, in a few words. Blocked changes are told already.
constexpr std::array<std::pair<std::string_view, std::string_view>, 4> k_short_words = {
    {{"blocked-changes", ""},
     {"blocked-ending", "a string change of the ending blocked"},
     {"avoid-accent", "accented notes clash with the chord"},
     {"avoid-landing", "a landing clashes with its chord"}}};

std::string short_words(const Finding& finding) {
  for (const auto& [code, words] : k_short_words) {
    if (code == finding.code) return std::string(words);
  }
  return finding.message;
}

/// The first warning that was not there.
void add_finding(std::vector<std::string>& parts, const CompiledLesson& now, const CompiledLesson& then) {
  for (const Finding& finding : then.findings) {
    const auto is_same = [&](const Finding& f) { return f.code == finding.code && f.where == finding.where; };
    const bool is_new = std::none_of(now.findings.begin(), now.findings.end(), is_same);
    if (finding.level == Level::note || !is_new) continue;
    std::string words = short_words(finding);
    if (words.empty()) continue;
    parts.push_back(std::move(words));
    return;
  }
}

}  // namespace

std::string effect_words(const CompiledLesson& now, const CompiledLesson& then, const KeyPath& key) {
  std::vector<std::string> parts;
  const bool is_key = key.key == "key" || key.key == "tonic" || key.key == "scale";
  if (is_key) parts.push_back(signature_words(key_at(then, key.idea)));
  const std::vector<Pair> pairs = concerned(now, then, key);
  add_rounds(parts, pairs, then);
  add_changes(parts, pairs);
  add_landing(parts, pairs);
  add_finding(parts, now, then);
  return join(parts, ", ");
}

}  // namespace fretloom
