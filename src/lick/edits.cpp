#include "lick/edits.h"

#include <algorithm>
#include <map>
#include <string>
#include <utility>

#include "base/text.h"

namespace fretloom {

namespace {

/// Slurs turned round by edits that get a repair: each is tried on the whole phrase.
constexpr int k_most_mended_slurs = 8;

class EditWriter {
 public:
  EditWriter(const Ground& ground, const Lick& lick, const Edited& edited, const LickTrial& trial, Phrase& phrase,
             std::vector<Remark>& remarks)
      : ground_(ground), lick_(lick), edited_(edited), trial_(trial), phrase_(phrase), remarks_(remarks) {}

  void apply() {
    for (std::size_t e = 0; e < lick_.edits.size(); ++e) {
      const NoteEdit& edit = lick_.edits[e];
      if (edited_.notes[e] == phrase_.notes.size()) {
        remark(
            "edit-orphan", "edits[" + std::to_string(e + 1) + "]", 0,
            "there is no note " + std::to_string(edit.note) + " in repetition " + std::to_string(edit.repeat) +
                " any more; the phrase has " +
                counted(static_cast<std::size_t>(phrase_.repeats * (lick_.back == Back::none ? 1 : 2)), "repetition") +
                " of " + counted(static_cast<std::size_t>(lick_.rule.group()), "note"));
        continue;
      }
      move_to_fret(phrase_.notes[edited_.notes[e]], edit.fret);
    }
    for (std::size_t i = 1; i < phrase_.notes.size(); ++i) {
      if (edited_.slurs[i] && !is_good_slur(phrase_.notes, i)) settle_edited_slur(i);
    }
  }

 private:
  void remark(std::string code, std::string key, std::size_t at, std::string message, std::string repair = "") {
    remarks_.push_back({Level::warning, std::move(code), std::move(key), at, std::move(message), std::move(repair)});
  }

  /// A scale note takes its own ordinal; another note is its neighbour altered, the one of the note
  /// that stood there first, else the scale note below raised.
  void move_to_fret(LickNote& note, int fret) const {
    const int midi = ground_.neck.open_midi(note.string) + fret;
    const int first = ground_.layout.strings[ground_.neck.index(note.string)].first;
    const int above = ground_.key.step_at_or_above(midi);
    const int to_above = ground_.key.midi(above) - midi;
    const int from_below = midi - ground_.key.midi(above - 1);
    const bool keeps_letter = ground_.key.degree(above).number == note.degree.number;
    const bool lowered = to_above == 1 && (keeps_letter || from_below != 1);
    const int step = to_above == 0 || lowered ? above : above - 1;
    const LickNote moved = place_note(ground_, note.string, step - first + 1, midi - ground_.key.midi(step));
    note.fret = moved.fret;
    note.ordinal = moved.ordinal;
    note.midi = moved.midi;
    note.pitch = moved.pitch;
    note.degree = moved.degree;
  }

  /// After an edit a slur follows the pitches, on one and the same fret it is picked; where that is not
  /// what the rule says it is a finding. A return goes by pitch anyway.
  void settle_edited_slur(std::size_t i) {
    LickNote& note = phrase_.notes[i];
    const Attack written = note.attack;
    const int rise = note.fret - phrase_.notes[i - 1].fret;
    note.attack = rise == 0 ? Attack::pick : rise > 0 ? Attack::hammer : Attack::pull;
    if (rise != 0 && note.repeat > phrase_.repeats) return;
    const std::string frets =
        "fret " + std::to_string(phrase_.notes[i - 1].fret) + " to fret " + std::to_string(note.fret);
    const std::string what = rise == 0 ? "an edit puts a slur of repetition " + std::to_string(note.repeat) +
                                             " on a single fret, so its second note is picked"
                                       : "an edit turns a " + std::string(rise > 0 ? "pull-off" : "hammer-on") +
                                             " of repetition " + std::to_string(note.repeat) + " round (" + frets +
                                             "), so it is played as a " + (rise > 0 ? "hammer-on" : "pull-off");
    const bool mends = trial_ && turned_slurs_++ < k_most_mended_slurs;
    const Mend mend = mends ? mend_edited_slur(i, written) : Mend{};
    remark("edit-slur", mend.key, mend.at, what, mend.repair);
  }

  struct Mend {
    std::string key = "edits";
    std::size_t at = 0;
    std::string repair;
  };

  /// The other sign in the rule if that suits every repetition, else the nearest fret on the slur's side.
  [[nodiscard]] Mend mend_edited_slur(std::size_t i, Attack written) const {
    const LickNote& note = phrase_.notes[i];
    const int rise = note.fret - phrase_.notes[i - 1].fret;
    Lick tried = lick_;
    if (rise != 0 && note.slur_token) {
      const std::size_t at = lick_.rule.tokens[*note.slur_token].at;
      tried.rule.text[at] = rise > 0 ? 'h' : 'p';
      tried.rule.tokens[*note.slur_token].attack = rise > 0 ? Attack::hammer : Attack::pull;
      if (has_fewer_turned_slurs(tried)) return {"rule", at, tried.rule.text};
      tried.rule = lick_.rule;
    }
    // The last edit of a note is the one that counts.
    for (const std::size_t index : {i, i - 1}) {
      const auto last = std::find(edited_.notes.rbegin(), edited_.notes.rend(), index);
      if (last == edited_.notes.rend()) continue;
      const auto e = static_cast<std::size_t>(edited_.notes.rend() - last) - 1;
      const int other = phrase_.notes[index == i ? i - 1 : i].fret;
      const bool higher = (written != Attack::pull) == (index == i);
      for (const int fret : {higher ? other + 1 : other - 1, higher ? other - 1 : other + 1}) {
        tried.edits[e].fret = fret;
        if (ground_.neck.has_fret(fret) && has_fewer_turned_slurs(tried))
          return {"edits[" + std::to_string(e + 1) + "].fret", 0, std::to_string(fret)};
      }
      tried.edits = lick_.edits;
    }
    return {};
  }

  [[nodiscard]] bool has_fewer_turned_slurs(const Lick& tried) const {
    const auto is_turned = [](const Remark& r) { return r.code == "edit-slur"; };
    const auto after = trial_(tried);
    if (std::any_of(after.begin(), after.end(), [](const Remark& r) { return r.level == Level::error; })) return false;
    const auto before = trial_(lick_);
    return std::count_if(after.begin(), after.end(), is_turned) <
           std::count_if(before.begin(), before.end(), is_turned);
  }

  const Ground& ground_;
  const Lick& lick_;
  const Edited& edited_;
  const LickTrial& trial_;
  Phrase& phrase_;
  std::vector<Remark>& remarks_;
  int turned_slurs_ = 0;
};

}  // namespace

Edited edited_notes(const Lick& lick, const Phrase& phrase) {
  std::map<std::pair<int, int>, std::size_t> places;
  int number = 0;
  for (std::size_t i = 0; i < phrase.notes.size(); ++i) {
    number = i > 0 && phrase.notes[i].repeat == phrase.notes[i - 1].repeat ? number + 1 : 1;
    places[{phrase.notes[i].repeat, number}] = i;
  }
  Edited edited{{}, std::vector<bool>(phrase.notes.size() + 1, false)};
  for (const NoteEdit& edit : lick.edits) {
    const auto place = places.find({edit.repeat, edit.note});
    edited.notes.push_back(place == places.end() ? phrase.notes.size() : place->second);
    if (place != places.end()) edited.slurs[place->second] = edited.slurs[place->second + 1] = true;
  }
  return edited;
}

bool is_good_slur(const std::vector<LickNote>& notes, std::size_t i) {
  const int rise = notes[i].fret - notes[i - 1].fret;
  switch (notes[i].attack) {
    case Attack::hammer: return rise > 0;
    case Attack::pull: return rise < 0;
    case Attack::slide: return rise != 0;
    case Attack::pick: return true;
  }
  return true;
}

void apply_edits(const Ground& ground, const Lick& lick, const Edited& edited, const LickTrial& trial, Phrase& phrase,
                 std::vector<Remark>& remarks) {
  EditWriter(ground, lick, edited, trial, phrase, remarks).apply();
}

}  // namespace fretloom
