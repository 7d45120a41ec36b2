#include "score/band.h"

#include <algorithm>
#include <array>
#include <map>

namespace fretloom {

namespace {

struct RoleRow {
  std::string_view name;
  std::optional<int> program;
};
constexpr std::array k_roles = {RoleRow{"bass", 33}, RoleRow{"guitar", 27}, RoleRow{"keys", 4}, RoleRow{"drone", 48},
                                RoleRow{"drums", std::nullopt}};

std::string tone_text(const BandNote& note) {
  switch (note.tone) {
    case BandTone::chord: return note.degree.number == 1 ? "root" : note.degree.name();
    case BandTone::slash_bass: return "slash bass";
    case BandTone::chromatic_approach: return "chromatic approach";
    case BandTone::scale_approach: return "scale approach";
    case BandTone::fifth_approach: return "approach from the fifth";
    case BandTone::pedal: return "pedal";
    case BandTone::drum: break;
  }
  return "";
}

std::string touch_text(BandTouch touch) {
  switch (touch) {
    case BandTouch::plain: return "";
    case BandTouch::accent: return " accent";
    case BandTouch::brief: return " brief";
    case BandTouch::muted: return " muted";
    case BandTouch::ghost: return " ghost";
    case BandTouch::fill: return " fill";
  }
  return "";
}

std::string pitch_text(const BandNote& note) {
  if (note.tone == BandTone::drum) return std::string(name(static_cast<DrumKey>(note.key)));
  return spell_sharp(note.key).name() + " " + tone_text(note);
}

/// How a note sounds beside its pitch; a chord's notes share it.
std::string manner_text(const BandNote& note) {
  std::string text = note.tone == BandTone::drum ? "" : " +" + note.duration.value.to_string();
  text += touch_text(note.touch) + " v" + std::to_string(note.velocity);
  if (note.stroke) text += *note.stroke == Stroke::down ? " down" : " up";
  return text;
}

/// The notes of one part that begin together.
std::string notes_text(const std::vector<const BandNote*>& notes) {
  std::string text;
  for (std::size_t i = 0; i < notes.size(); ++i) {
    const std::string manner = manner_text(*notes[i]);
    const bool is_shared = i + 1 < notes.size() && manner_text(*notes[i + 1]) == manner;
    text += (i == 0 ? "" : ", ") + pitch_text(*notes[i]) + (is_shared ? "" : manner);
  }
  return text;
}

/// "3" or "3+1/2": a place in its bar, counted from 1 as players do.
std::string place_text(const Rational& place) {
  const Rational rest = place - Rational(place.floor());
  return std::to_string(place.floor() + 1) + (rest == Rational(0) ? "" : "+" + rest.to_string());
}

}  // namespace

std::string_view name(BandRole role) { return k_roles[static_cast<std::size_t>(role)].name; }
std::optional<int> midi_program(BandRole role) { return k_roles[static_cast<std::size_t>(role)].program; }

std::string_view name(DrumKey key) {
  switch (key) {
    case DrumKey::kick: return "kick";
    case DrumKey::side_stick: return "side stick";
    case DrumKey::snare: return "snare";
    case DrumKey::low_tom: return "low tom";
    case DrumKey::closed_hat: return "hat";
    case DrumKey::pedal_hat: return "pedal hat";
    case DrumKey::middle_tom: return "middle tom";
    case DrumKey::open_hat: return "open hat";
    case DrumKey::high_tom: return "high tom";
    case DrumKey::crash: return "crash";
    case DrumKey::ride: return "ride";
  }
  return "";
}

const BandPart* Band::part(BandRole role) const {
  const auto found = std::find_if(parts.begin(), parts.end(), [&](const BandPart& p) { return p.role == role; });
  return found == parts.end() ? nullptr : &*found;
}

std::string to_text(const Band& band, const Meter& meter) {
  std::map<Rational, std::string> moments;
  for (const BandPart& part : band.parts) {
    std::map<Rational, std::vector<const BandNote*>> own;
    for (const BandNote& note : part.notes) own[note.onset.value].push_back(&note);
    for (const auto& [onset, notes] : own) {
      std::string& text = moments[onset];
      text += (text.empty() ? "" : " | ") + std::string(name(part.role)) + " " + notes_text(notes);
    }
  }
  std::string out;
  std::int64_t bar = 0;
  for (const auto& [onset, text] : moments) {
    const std::int64_t own = bar_of(meter, Beats(onset));
    if (own != bar) out += "bar " + std::to_string(own) + "\n";
    bar = own;
    out += "  " + place_text(beat_in_bar(meter, Beats(onset)).value) + "  " + text + "\n";
  }
  return out;
}

}  // namespace fretloom
