#include "lick/expand.h"

#include <algorithm>
#include <cstdlib>
#include <map>
#include <utility>

#include "base/text.h"
#include "lick/edits.h"
#include "lick/mend.h"
#include "lick/sequence_line.h"

namespace fretloom {

namespace {

/// A note's or rest's place in the phrase before it is put on the neck.
struct Placed {
  std::size_t token = 0;
  int repeat = 0;  ///< from 0
  int string = 1;
  int ordinal = 1;
  int alter = 0;
  int steps = 0;  ///< of its layout
  int unit = 0;
  bool across = false;  ///< a sequence slur that fell on another string than its note before
};

class Expander {
 public:
  /// `mends`: remarks carry repairs, which are found by trying other licks without.
  Expander(const Ground& ground, const Lick& lick, std::vector<Remark>& remarks, bool mends = true)
      : ground_(ground), lick_(lick), remarks_(remarks), mends_(mends), units_(lick.rule.units()) {}

  std::optional<Phrase> run() {
    if (!check_start()) return std::nullopt;
    if (lick_.rule.kind == RuleKind::sequence) line_.emplace(ground_, lick_);
    const std::optional<int> repeats = count_repeats();
    if (!repeats) return std::nullopt;
    Phrase phrase;
    phrase.repeats = *repeats;
    phrase.units = *repeats * units_ * (lick_.back == Back::none ? 1 : 2);
    phrase.notes = out(*repeats);
    if (lick_.back == Back::retrograde) append(phrase.notes, retrograde(phrase.notes, *repeats));
    if (lick_.back == Back::mirrored) append(phrase.notes, mirrored(*repeats));
    const Edited edited = edited_notes(lick_, phrase);
    if (!settle_slurs(phrase.notes, edited)) return std::nullopt;
    warn_of_crossings(*repeats);
    const LickTrial trial = [this](const Lick& lick) { return remarks_on(lick); };
    apply_edits(ground_, lick_, edited, mends_ ? trial : LickTrial{}, phrase, remarks_);
    return phrase;
  }

 private:
  [[nodiscard]] const std::vector<RuleToken>& tokens() const { return lick_.rule.tokens; }

  void remark(Level level, std::string code, std::string key, std::size_t at, std::string message,
              std::string repair = "") {
    remarks_.push_back({level, std::move(code), std::move(key), at, std::move(message), std::move(repair)});
  }

  bool check_start() {
    const Neck& neck = ground_.neck;
    if (!neck.has_string(lick_.start_string)) {
      const int near = std::clamp(lick_.start_string, 1, neck.strings());
      remark(Level::error, "start-string", "start.string", 0,
             "there is no string " + std::to_string(lick_.start_string) + "; the strings are numbered 1 to " +
                 std::to_string(neck.strings()) + ", the thinnest first",
             std::to_string(near));
      return false;
    }
    if (lick_.rule.kind == RuleKind::sequence) {
      const int n = ground_.layout.strings[neck.index(lick_.start_string)].count;
      if (lick_.start_ordinal < 1 || lick_.start_ordinal > n) {
        remark(Level::error, "start-ordinal", "start.ordinal", 0,
               "string " + std::to_string(lick_.start_string) + " has " + counted(static_cast<std::size_t>(n), "note") +
                   ", so a sequence cannot start on its note " + std::to_string(lick_.start_ordinal),
               std::to_string(std::clamp(lick_.start_ordinal, 1, std::max(n, 1))));
        return false;
      }
    }
    return true;
  }

  // --- One repetition ------------------------------------------------------------------------------

  /// Places token `t` of repetition `r`; nothing if a sequence runs off its layout.
  [[nodiscard]] std::optional<Placed> place(int r, std::size_t t) const {
    const RuleToken& token = tokens()[t];
    Placed placed{t, r, 0, token.ordinal, token.alter, 0, 0, false};
    if (lick_.rule.kind == RuleKind::cell) {
      placed.string = lick_.start_string - r * lick_.carry.strings - token.offset;
      placed.steps = r * lick_.carry.steps;
      return placed;
    }
    const LinePlace* const on_line = line_->at(token.ordinal + r * lick_.carry.steps);
    if (on_line == nullptr) return std::nullopt;
    placed.string = on_line->string;
    placed.ordinal = on_line->ordinal;
    return placed;
  }

  /// Why a placed note cannot be played, or empty.
  [[nodiscard]] std::string trouble(const Placed& p) const {
    if (!ground_.neck.has_string(p.string)) return "there is no string " + std::to_string(p.string);
    if (ground_.layout.strings[ground_.neck.index(p.string)].count == 0) {
      return "the position has no note on string " + std::to_string(p.string);
    }
    const int fret = fret_of(ground_.key, ground_.neck, ground_.layout, p.string, p.ordinal, p.steps) + p.alter;
    if (!ground_.neck.has_fret(fret)) {
      return "note " + std::to_string(p.ordinal) + " of string " + std::to_string(p.string) + " would be fret " +
             std::to_string(fret) + ", but the neck has frets 0 to " + std::to_string(ground_.neck.highest_fret());
    }
    return {};
  }

  struct Trouble {
    std::size_t token = 0;
    std::string what;
    bool no_image = false;  ///< of a mirrored return: the ordinal lies above the layout
  };

  /// Why token `t` cannot be played in repetition `r`.
  [[nodiscard]] std::optional<Trouble> token_trouble(int r, std::size_t t) const {
    if (tokens()[t].rest) return std::nullopt;
    const auto placed = place(r, t);
    if (!placed) {
      return Trouble{t, "scale step " + std::to_string(tokens()[t].ordinal) + " runs off the layout's " +
                            counted(line_->size(), "note")};
    }
    std::string what = trouble(*placed);
    return what.empty() ? std::nullopt : std::optional(Trouble{t, std::move(what)});
  }

  /// The first note of repetition `r` that cannot be played.
  [[nodiscard]] std::optional<Trouble> repetition_trouble(int r) const {
    for (std::size_t t = 0; t < tokens().size(); ++t) {
      if (auto found = token_trouble(r, t)) return found;
    }
    return std::nullopt;
  }

  // --- How many repetitions ------------------------------------------------------------------------

  std::optional<int> count_repeats() {
    const int most = lick_.back == Back::none ? k_max_repeats : k_max_repeats / 2;
    if (!lick_.repeats && lick_.carry.strings == 0 && lick_.carry.steps == 0) {
      remark(Level::error, "fit-without-carry", "repeats", 0,
             "the rule stays where it is (carried by 0 strings and 0 steps), so it could repeat for ever; write how "
             "often it "
             "is played, 1 to " +
                 std::to_string(k_max_repeats),
             "4");
      return std::nullopt;
    }
    const int wanted = lick_.repeats.value_or(most);
    for (int r = 0; r < wanted; ++r) {
      const auto found = repetition_trouble(r);
      if (!found) continue;
      if (r > 0 && !lick_.repeats) return fit_return(r);
      const std::string where = "in repetition " + std::to_string(r + 1) + " ";
      if (r == 0) {
        remark_nowhere(*found, where + found->what);
      } else {
        remark(Level::error, "off-neck", "repeats", 0,
               where + found->what + "; the rule can be played " + (r == 1 ? "once" : std::to_string(r) + " times"),
               std::to_string(r));
      }
      return std::nullopt;
    }
    return lick_.repeats ? check_return(wanted) : fit_return(wanted);
  }

  /// Not even the first repetition can be played: another string note or another string may help.
  void remark_nowhere(const Trouble& found, const std::string& what) {
    const LickTrial trial = [this](const Lick& lick) { return remarks_on(lick); };
    const TokenTrial can = [this](const Lick& lick, std::size_t t) { return can_play(lick, t); };
    const std::string rule = mends_ ? with_legal_ordinals(lick_, trial, can) : "";
    const auto string = mends_ && rule.empty() ? legal_start_string(ground_.neck, lick_, trial) : std::nullopt;
    if (string) {
      remark(Level::error, "off-neck", "start.string", 0,
             what + "; the rule can start on string " + std::to_string(*string), std::to_string(*string));
    } else {
      remark(Level::error, "off-neck", "rule", tokens()[found.token].at,
             what + "; not even the first repetition can be played", rule);
    }
  }

  /// What expansion without repairs has to say of another lick on this neck.
  [[nodiscard]] std::vector<Remark> remarks_on(const Lick& lick) const {
    std::vector<Remark> remarks;
    (void)Expander(ground_, lick, remarks, false).run();
    return remarks;
  }

  /// True if a token of another lick's first repetition can be played on this neck.
  [[nodiscard]] bool can_play(const Lick& lick, std::size_t t) const {
    std::vector<Remark> remarks;
    Expander tried(ground_, lick, remarks, false);
    if (lick.rule.kind == RuleKind::sequence) tried.line_.emplace(ground_, lick);
    return !tried.token_trouble(0, t);
  }

  /// The longest way out up to `most` repetitions whose mirrored return is on the neck too.
  std::optional<int> fit_return(int most) {
    if (lick_.back != Back::mirrored) return most;
    for (int r = most; r >= 1; --r) {
      const auto found = return_trouble(r);
      if (!found) return r;
      if (found->no_image) return check_return(r);  // an error of the rule; a shorter run would hide it
    }
    return check_return(most);
  }

  std::optional<int> check_return(int repeats) {
    if (lick_.back != Back::mirrored) return repeats;
    const auto found = return_trouble(repeats);
    if (!found) return repeats;
    remark(Level::error, "mirror-off-neck", "back", 0, "the mirrored return cannot be played: " + found->what,
           "retrograde");
    return std::nullopt;
  }

  [[nodiscard]] std::optional<Trouble> return_trouble(int repeats) const {
    for (const Placed& p : mirror_places(repeats)) {
      if (p.ordinal < 1) {
        return Trouble{p.token,
                       "string note " + std::to_string(tokens()[p.token].ordinal) +
                           " lies above the layout, so it has no mirror image",
                       true};
      }
      if (std::string what = trouble(p); !what.empty()) return Trouble{p.token, std::move(what)};
    }
    return std::nullopt;
  }

  // --- The way out and back ------------------------------------------------------------------------

  [[nodiscard]] std::vector<Placed> out_places(int repeats) const {
    std::vector<Placed> places;
    for (int r = 0; r < repeats; ++r) {
      int unit = r * units_;
      for (std::size_t t = 0; t < tokens().size(); ++t) {
        if (!tokens()[t].rest) {
          Placed placed = place(r, t).value_or(Placed{});
          placed.unit = unit;
          placed.across =
              tokens()[t].attack != Attack::pick && !places.empty() && places.back().string != placed.string;
          places.push_back(placed);
        }
        unit += tokens()[t].units;
      }
    }
    return places;
  }

  /// The return note by note: string s to min + max - s, ordinal o to n + 1 - o, # to b, repetition r
  /// on the layout of the way out's repetition R - 1 - r.
  [[nodiscard]] std::vector<Placed> mirror_places(int repeats) const {
    std::vector<Placed> places = out_places(repeats);
    const auto [low, high] = std::minmax_element(places.begin(), places.end(),
                                                 [](const Placed& a, const Placed& b) { return a.string < b.string; });
    const int sum = low->string + high->string;
    for (Placed& p : places) {
      const int n = ground_.layout.strings[ground_.neck.index(p.string)].count;
      p.string = sum - p.string;
      p.ordinal = n + 1 - p.ordinal;
      p.alter = -p.alter;
      p.steps = lick_.rule.kind == RuleKind::cell ? (repeats - 1 - p.repeat) * lick_.carry.steps : 0;
      p.unit += repeats * units_;
      p.repeat += repeats;
    }
    return places;
  }

  [[nodiscard]] LickNote note_at(const Placed& p) const {
    const RuleToken& token = tokens()[p.token];
    LickNote note = place_note(ground_, p.string, p.ordinal, p.alter, p.steps);
    note.attack = p.across ? Attack::pick : token.attack;
    note.accent = token.accent;
    note.unit = p.unit;
    note.units = token.units;
    note.repeat = p.repeat + 1;
    const bool after_note = p.token > 0 && !tokens()[p.token - 1].rest;
    if (after_note && tokens()[p.token - 1].offset == token.offset) note.slur_token = p.token;
    return note;
  }

  [[nodiscard]] std::vector<LickNote> out(int repeats) const {
    std::vector<LickNote> notes;
    for (const Placed& p : out_places(repeats)) notes.push_back(note_at(p));
    unlink_crossings(notes);
    return notes;
  }

  [[nodiscard]] std::vector<LickNote> mirrored(int repeats) const {
    std::vector<LickNote> notes;
    for (const Placed& p : mirror_places(repeats)) {
      LickNote note = note_at(p);
      // The slur stays on the later note of its pair; which way it goes follows from the pitches.
      if ((note.attack == Attack::hammer || note.attack == Attack::pull) && !notes.empty()) {
        note.attack = note.midi >= notes.back().midi ? Attack::hammer : Attack::pull;
      }
      notes.push_back(note);
    }
    unlink_crossings(notes);
    return notes;
  }

  /// No slur can be written between two notes of a sequence that lie on different strings.
  static void unlink_crossings(std::vector<LickNote>& notes) {
    for (std::size_t i = 1; i < notes.size(); ++i) {
      if (notes[i].string != notes[i - 1].string) notes[i].slur_token.reset();
    }
  }

  [[nodiscard]] std::vector<LickNote> retrograde(const std::vector<LickNote>& way_out, int repeats) const {
    const int total = repeats * units_;
    std::vector<LickNote> notes;
    for (std::size_t k = way_out.size(); k-- > 0;) {
      LickNote note = way_out[k];
      note.unit = 2 * total - (note.unit + note.units);
      note.repeat = 2 * repeats + 1 - note.repeat;
      note.attack = Attack::pick;
      note.slur_token.reset();
      if (k + 1 < way_out.size()) {
        const LickNote& later = way_out[k + 1];
        note.slur_token = later.slur_token;
        if (later.attack == Attack::slide) note.attack = Attack::slide;
        if (later.attack == Attack::hammer || later.attack == Attack::pull)
          note.attack = note.midi >= later.midi ? Attack::hammer : Attack::pull;
      }
      notes.push_back(note);
    }
    return notes;
  }

  static void append(std::vector<LickNote>& notes, const std::vector<LickNote>& more) {
    notes.insert(notes.end(), more.begin(), more.end());
  }

  // --- Slurs -------------------------------------------------------------------------------------

  /// Checks that every slur goes the way its sign says. False after an error. A slur from or to an edited
  /// note is looked at after the edit.
  bool settle_slurs(const std::vector<LickNote>& notes, const Edited& edited) {
    for (std::size_t i = 1; i < notes.size(); ++i) {
      const LickNote& note = notes[i];
      if (is_good_slur(notes, i) || edited.slurs[i]) continue;
      const int rise = note.fret - notes[i - 1].fret;
      const std::size_t token = note.slur_token.value_or(0);
      const std::string frets = "fret " + std::to_string(notes[i - 1].fret) + " to fret " + std::to_string(note.fret) +
                                " on string " + std::to_string(note.string);
      std::string what = note.attack == Attack::hammer ? "a hammer-on must go to a higher fret"
                         : note.attack == Attack::pull ? "a pull-off must go to a lower fret"
                                                       : "a slide must go to another fret";
      std::string mended = lick_.rule.text;
      if (rise == 0) {
        mended.erase(tokens()[token].at, 1);
      } else {
        mended[tokens()[token].at] = rise > 0 ? 'h' : 'p';
      }
      remark(Level::error, "slur-direction", "rule", tokens()[token].at,
             what + ", but repetition " + std::to_string(note.repeat) + " goes from " + frets, mended);
      return false;
    }
    return true;
  }

  /// A sequence's slur may fall on two strings in some repetitions: one warning a token.
  void warn_of_crossings(int repeats) {
    std::map<std::size_t, std::size_t> crossed;
    for (const Placed& p : out_places(repeats)) {
      if (p.across) ++crossed[p.token];
    }
    for (const auto& [token, count] : crossed) {
      remark(Level::warning, "slur-across", "rule", tokens()[token].at,
             "the slur on scale step " + std::to_string(tokens()[token].ordinal) + " falls on two strings in " +
                 counted(count, "repetition") + " and is picked there");
    }
  }

  const Ground& ground_;
  const Lick& lick_;
  std::vector<Remark>& remarks_;
  bool mends_;
  int units_ = 0;
  std::optional<SequenceLine> line_;  ///< of a sequence
};

}  // namespace

LickNote place_note(const Ground& ground, int string, int ordinal, int alter, int steps) {
  const int step = ground.layout.strings[ground.neck.index(string)].first + ordinal - 1 + steps;
  LickNote note;
  note.string = string;
  note.ordinal = ordinal;
  note.midi = ground.key.midi(step) + alter;
  note.fret = note.midi - ground.neck.open_midi(string);
  note.pitch = ground.key.pitch(step);
  note.pitch.pitch_class.alter += alter;
  note.degree = ground.key.degree(step);
  note.degree.alter += alter;
  return note;
}

std::optional<Phrase> expand(const Ground& ground, const Lick& lick, std::vector<Remark>& remarks) {
  return Expander(ground, lick, remarks).run();
}

std::string to_text(const std::vector<LickNote>& notes) {
  std::string text;
  int string = 0;
  for (const LickNote& note : notes) {
    if (note.string != string) {
      text += (text.empty() ? "" : " | ") + std::to_string(note.string) + ":";
      string = note.string;
    }
    text += " " + std::to_string(note.fret);
  }
  return text;
}

}  // namespace fretloom
