#include "lick/reshape.h"

#include <algorithm>
#include <cstdlib>
#include <utility>
#include <vector>

#include "base/text.h"
#include "lick/sequence_line.h"

namespace fretloom {

namespace {

class Reshaper {
 public:
  Reshaper(const Ground& ground, const Lick& lick, std::size_t token) : ground_(ground), lick_(lick), token_(token) {
    out_.rule.kind = lick.rule.kind;
    out_.rule.tokens = lick.rule.tokens;
    out_.start_string = lick.start_string;
    out_.token = token;
  }

  Result<Reshaped> apply(const MoveNote& move) {
    if (const auto fault = wrong_token()) return *fault;
    if (is_sequence() && move.thinner != 0) {
      return refusal(
          "a sequence goes by steps of the scale, so its notes lie where the layout has them; choose another step");
    }
    const Result<Reshaped> done = moved(move);
    return done ? done : nearest(done.error().what, near_move(move));
  }

  Result<Reshaped> apply(const SetAccent& set) {
    if (const auto fault = no_note("a rest cannot be accented")) return *fault;
    tokens()[token_].accent = set.accent;
    return finish();
  }

  Result<Reshaped> apply(const SetSlur& set) {
    if (const auto fault = no_note("a rest cannot be slurred")) return *fault;
    RuleToken& token = tokens()[token_];
    if (set.slur == Slur::none) {
      token.attack = Attack::pick;
      return finish();
    }
    if (token_ == 0) return refusal("a slur needs a note before it, and this is the first of the rule");
    const RuleToken& before = tokens()[token_ - 1];
    if (before.rest) return refusal("a slur needs a note directly before it, but there is a rest");
    if (!share_a_string(before, token))
      return refusal("a slur stays on one string, but the note before lies on string " +
                     std::to_string(string_of(before)));
    const int rise = midi_of(token) - midi_of(before);
    if (rise == 0) return refusal("a slur goes to another fret, but the note before is on the same one");
    token.attack = set.slur == Slur::slide ? Attack::slide : rise > 0 ? Attack::hammer : Attack::pull;
    return finish();
  }

  Result<Reshaped> apply(const SetRest& set) {
    if (const auto fault = wrong_token()) return *fault;
    RuleToken& token = tokens()[token_];
    if (token.rest == set.rest) return finish();
    if (set.rest) {
      if (out_.rule.group() == 1) return refusal("a rule needs at least one note, and this is the only one");
      RuleToken rest;
      rest.rest = true;
      rest.units = token.units;
      rest.offset = token.offset;
      token = rest;
    } else {
      token.ordinal = ordinal_near(token_);
      token.rest = false;
    }
    settle(token_ + 1);
    return finish();
  }

  Result<Reshaped> apply(const SetUnits& set) {
    if (const auto fault = wrong_token()) return *fault;
    const int legal = std::clamp(set.units, 1, k_max_units);
    tokens()[token_].units = legal;
    if (legal == set.units) return finish();
    return nearest("a note lasts 1 to " + std::to_string(k_max_units) + " times its usual length", finish());
  }

  Result<Reshaped> apply(const InsertNote& insert) {
    if (token_ > tokens().size()) return refusal("the rule has no such place");
    if (tokens().size() >= static_cast<std::size_t>(k_max_rule_tokens))
      return refusal("a rule has at most " + std::to_string(k_max_rule_tokens) + " notes and rests");
    const Result<Reshaped> done = inserted(insert);
    return done ? done : nearest(done.error().what, near_insert(insert));
  }

  Result<Reshaped> apply(const RemoveNote&) {
    if (const auto fault = wrong_token()) return *fault;
    if (!tokens()[token_].rest && out_.rule.group() == 1)
      return refusal("a rule needs at least one note, and this is the only one");
    tokens().erase(tokens().begin() + static_cast<std::ptrdiff_t>(token_));
    settle(token_);
    out_.token = std::min(token_, tokens().size() - 1);
    return finish();
  }

  Result<Reshaped> apply(const SetRuleUnits& set) {
    if (set.units < 1) return refusal("a rule lasts at least one note");
    std::vector<RuleToken> own = tokens();
    if (set.own > 0 && set.own < own.size()) own.resize(set.own);
    std::vector<RuleToken> longer;
    std::size_t best = 0;
    int best_miss = 0;
    int units = 0;
    bool has_note = false;
    while (longer.size() < static_cast<std::size_t>(k_max_rule_tokens)) {
      longer.push_back(own[longer.size() % own.size()]);
      units += longer.back().units;
      has_note = has_note || !longer.back().rest;
      const int miss = std::abs(units - set.units);
      if (has_note && (best == 0 || miss < best_miss)) {
        best = longer.size();
        best_miss = miss;
      }
      if (best > 0 && units >= set.units) break;
    }
    longer.resize(best);
    tokens() = std::move(longer);
    out_.token = best - 1;
    return finish();
  }

 private:
  [[nodiscard]] bool is_sequence() const { return lick_.rule.kind == RuleKind::sequence; }
  [[nodiscard]] std::vector<RuleToken>& tokens() { return out_.rule.tokens; }

  /// Why nothing is changed; the rule itself is nearest.
  [[nodiscard]] Error refusal(std::string what) const {
    return {ErrorKind::range, 0, std::move(what), spelled(lick_.rule.kind, lick_.rule.tokens)};
  }
  /// Why not this, and what is near it.
  [[nodiscard]] Error nearest(std::string what, const Result<Reshaped>& near) const {
    return {ErrorKind::unreachable, 0, std::move(what),
            near ? near->rule.text : spelled(lick_.rule.kind, lick_.rule.tokens)};
  }
  [[nodiscard]] std::optional<Error> wrong_token() const {
    if (token_ < lick_.rule.tokens.size()) return std::nullopt;
    return refusal("the rule has no such note");
  }
  [[nodiscard]] std::optional<Error> no_note(const char* of_a_rest) const {
    if (const auto fault = wrong_token()) return fault;
    return lick_.rule.tokens[token_].rest ? std::optional(refusal(of_a_rest)) : std::nullopt;
  }

  // --- Where a token lies in the first repetition ---------------------------------------------------

  [[nodiscard]] const LinePlace* on_line(const RuleToken& token) {
    if (!line_) line_.emplace(ground_, lick_);
    return line_->at(token.ordinal);
  }
  /// 0 where a sequence has no such step.
  [[nodiscard]] int string_of(const RuleToken& token) {
    if (!is_sequence()) return lick_.start_string - token.offset;
    const LinePlace* place = on_line(token);
    return place == nullptr ? 0 : place->string;
  }
  /// In a sequence, where the first repetitions may lie on two strings: in any repetition.
  [[nodiscard]] bool share_a_string(RuleToken a, RuleToken b) {
    if (!is_sequence()) return a.offset == b.offset;
    for (int r = 0; r < k_max_repeats; ++r) {
      const int string = string_of(a);
      if (string != 0 && string == string_of(b)) return true;
      a.ordinal += lick_.carry.steps;
      b.ordinal += lick_.carry.steps;
    }
    return false;
  }
  /// Precondition: the token lies on a string.
  [[nodiscard]] int midi_of(const RuleToken& token) {
    if (!is_sequence()) return place_note(ground_, string_of(token), token.ordinal, token.alter).midi;
    const LinePlace* place = on_line(token);
    return place == nullptr ? 0 : place->midi + token.alter;
  }
  /// Why a note cannot be played in the first repetition, or empty.
  [[nodiscard]] std::string trouble(const RuleToken& token) {
    if (!is_sequence() && token.ordinal < 1) return "a string's notes are counted from 1";
    const int string = string_of(token);
    if (is_sequence() && string == 0)
      return "the layout has no scale step " + std::to_string(token.ordinal) + " from where this starts";
    if (!ground_.neck.has_string(string)) return "there is no string " + std::to_string(string);
    if (ground_.layout.strings[ground_.neck.index(string)].count == 0)
      return "the position has no note on string " + std::to_string(string);
    const int fret = midi_of(token) - ground_.neck.open_midi(string);
    if (ground_.neck.has_fret(fret)) return {};
    return "note " + std::to_string(token.ordinal) + " of string " + std::to_string(string) + " would be fret " +
           std::to_string(fret) + ", but the neck has frets 0 to " + std::to_string(ground_.neck.highest_fret());
  }

  [[nodiscard]] int ordinal_near(std::size_t at) {
    const std::vector<RuleToken>& all = tokens();
    const auto fits = [&](const RuleToken& t) { return !t.rest && (is_sequence() || t.offset == all[at].offset); };
    for (std::size_t i = at; i-- > 0;) {
      if (fits(all[i])) return all[i].ordinal;
    }
    for (std::size_t i = at + 1; i < all.size(); ++i) {
      if (fits(all[i])) return all[i].ordinal;
    }
    return 1;
  }

  // --- What follows from a change -------------------------------------------------------------------

  /// Lets the slur on a token follow its two notes.
  void settle(std::size_t at) {
    if (at >= tokens().size() || tokens()[at].attack == Attack::pick) return;
    RuleToken& token = tokens()[at];
    const bool joined =
        at > 0 && !tokens()[at - 1].rest && !token.rest && (is_sequence() || tokens()[at - 1].offset == token.offset);
    const int rise = joined ? midi_of(token) - midi_of(tokens()[at - 1]) : 0;
    if (rise == 0) {
      token.attack = Attack::pick;
      out_.lost_a_slur = true;
    } else if (token.attack != Attack::slide) {
      token.attack = rise > 0 ? Attack::hammer : Attack::pull;
    }
  }

  /// The change spelled, read back and expanded.
  Result<Reshaped> finish() {
    const auto note = std::find_if(tokens().begin(), tokens().end(), [](const RuleToken& t) { return !t.rest; });
    // A rest in front lies on a string by its place in the text alone.
    if (!ground_.neck.has_string(lick_.start_string - tokens().front().offset)) {
      for (auto rest = tokens().begin(); rest != note; ++rest) rest->offset = note->offset;
    }
    const int first = tokens().front().offset;
    for (RuleToken& token : tokens()) token.offset -= first;
    out_.start_string = lick_.start_string - first;
    auto rule = parse_rule(lick_.rule.kind, spelled(lick_.rule.kind, tokens()));
    if (!rule) return rule.error();
    out_.rule = std::move(rule).value();
    Lick tried = lick_;
    tried.rule = out_.rule;
    tried.start_string = out_.start_string;
    std::vector<Remark> remarks;
    if (expand(ground_, tried, remarks)) return out_;
    const auto why =
        std::find_if(remarks.begin(), remarks.end(), [](const Remark& r) { return r.level == Level::error; });
    return refusal(why == remarks.end() ? "the rule could not be played" : why->message);
  }

  // --- A note at a place, and the nearest that can be played ----------------------------------------

  [[nodiscard]] Result<Reshaped> moved(const MoveNote& move) const {
    Reshaper other(ground_, lick_, token_);
    RuleToken& token = other.tokens()[token_];
    token.rest = false;
    token.ordinal = move.ordinal;
    token.alter = move.alter;
    token.offset += move.thinner;
    if (const auto what = other.trouble(token); !what.empty()) return refusal(what);
    other.settle(token_);
    other.settle(token_ + 1);
    return other.finish();
  }
  [[nodiscard]] Result<Reshaped> inserted(const InsertNote& insert) const {
    Reshaper other(ground_, lick_, token_);
    RuleToken token;
    token.ordinal = insert.ordinal;
    token.alter = insert.alter;
    token.offset = is_sequence() ? 0 : insert.offset;
    if (const auto what = other.trouble(token); !what.empty()) return refusal(what);
    other.tokens().insert(other.tokens().begin() + static_cast<std::ptrdiff_t>(token_), token);
    other.settle(token_ + 1);
    return other.finish();
  }

  /// By ordinal on the string that was wanted, then on the strings between it and where the note lies.
  template <class Try>
  [[nodiscard]] Result<Reshaped> search(int ordinal, int from, int to, const Try& attempt) const {
    to = std::clamp(to, from - k_max_strings, from + k_max_strings);
    for (int string = to;; string += from < to ? -1 : 1) {
      for (int distance = 0; distance <= k_nearest_reach; ++distance) {
        for (const int near : {ordinal - distance, ordinal + distance}) {
          if (auto found = attempt(near, string)) return found;
        }
      }
      if (string == from) return refusal("");
    }
  }
  [[nodiscard]] Result<Reshaped> near_move(const MoveNote& move) const {
    return search(move.ordinal, 0, move.thinner, [&](int ordinal, int thinner) {
      return moved({ordinal, 0, thinner});
    });
  }
  [[nodiscard]] Result<Reshaped> near_insert(const InsertNote& insert) const {
    if (is_sequence()) {
      return search(insert.ordinal, 0, 0, [&](int ordinal, int) { return inserted({ordinal, 0, 0}); });
    }
    const std::size_t beside = std::min(token_, lick_.rule.tokens.size() - 1);
    return search(insert.ordinal, lick_.rule.tokens[beside].offset, insert.offset, [&](int ordinal, int offset) {
      return inserted({ordinal, 0, offset});
    });
  }

  static constexpr int k_nearest_reach = 12;

  const Ground& ground_;
  const Lick& lick_;
  std::size_t token_;
  Reshaped out_;
  std::optional<SequenceLine> line_;
};

}  // namespace

Result<Reshaped> reshape(const Ground& ground, const Lick& lick, const RuleChange& change) {
  return std::visit([&](const auto& what) { return Reshaper(ground, lick, change.token).apply(what); }, change.what);
}

}  // namespace fretloom
