#include "lesson/settings.h"

namespace fretloom {

std::optional<Settings> settled(const SettingsDraft& draft) {
  const bool sound = draft.has_sound_neck() && draft.meter.sound && draft.tempo.sound && draft.clear_after.sound &&
                     draft.reach.sound && draft.layout.sound && draft.vamp.sound;
  if (!sound || !draft.ground || !draft.layout_fits || !draft.chords) return std::nullopt;
  return Settings{*draft.ground,           draft.layout.value, draft.meter.value, draft.tempo.value,
                  draft.clear_after.value, draft.reach.value,  *draft.chords};
}

}  // namespace fretloom
