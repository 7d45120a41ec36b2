// The voice as a WebAssembly module: plain functions, no imports. The module is the one object, so its
// state lies here; the native library does not compile this file.
//
//   fl_begin, fl_string for each string (thickest first), fl_note for each note, fl_touch behind it where it has a
//   level or palm of its own, fl_start, then fl_render again and again, reading fl_left() and fl_right() (32-bit
//   floats) after each.

#include "sound/kernel/click.h"
#include "sound/kernel/math.h"
#include "sound/kernel/perform.h"
#include "sound/kernel/voice.h"

inline void* operator new(__SIZE_TYPE__, void* place) noexcept { return place; }

#define FRETLOOM_EXPORT(name) extern "C" __attribute__((export_name(#name), used))

namespace {

using namespace fretloom::voice;  // NOLINT: one file, one module

constexpr int k_most_notes = 16384;
constexpr int k_most_events = 65536;
constexpr int k_most_frames = 4096;

/// Room for objects that are made at the start: all zero, so that the file holds none of it.
template <class T, int N>
struct Space {
  alignas(T) unsigned char bytes[sizeof(T) * N];
  T* get() { return reinterpret_cast<T*>(bytes); }
};

Space<Voice, 1> g_voice;
Space<PlayedNote, k_most_notes> g_notes;
Space<Event, k_most_events> g_events;
double g_open[k_strings];
float g_left[max_of(k_most_frames, k_knock_frames)];
float g_right[k_most_frames];
double g_palm, g_colour;
int g_note_count, g_string_count, g_voicing, g_bass, g_started;

}  // namespace

/// The nearest frame to num/den beats at bpm_num/bpm_den; ranges of Moment and Tempo.
FRETLOOM_EXPORT(fl_frame_at) int32_t fl_frame_at(int32_t num, int32_t den, int32_t bpm_num, int32_t bpm_den) {
  return static_cast<int32_t>(frame_at({num, den}, {bpm_num, bpm_den}));
}

FRETLOOM_EXPORT(fl_begin) void fl_begin(int32_t bass, int32_t voicing_index, double palm, double stroke_colour) {
  g_note_count = 0;
  g_string_count = 0;
  g_bass = bass;
  g_voicing = clamp_to(voicing_index, 0, k_all_voicings - 1);
  g_palm = palm;
  g_colour = stroke_colour;
}

/// 1, or 0 if there are too many.
FRETLOOM_EXPORT(fl_string) int32_t fl_string(double open_hz) {
  if (g_string_count == k_strings) return 0;
  g_open[g_string_count++] = open_hz;
  return 1;
}

/// Ascending onsets, frames; touch 0 pick, 1 hammer, 2 pull, 3 slide; ring and vibrato as in PlayedNote. 1, or 0 if
/// there are too many.
FRETLOOM_EXPORT(fl_note)
int32_t fl_note(int32_t onset, int32_t end, int32_t string, int32_t fret, int32_t touch, int32_t upward, int32_t accent,
                int32_t seed, int32_t ring, int32_t vibrato) {
  if (g_note_count == k_most_notes) return 0;
  new (g_notes.get() + g_note_count++) PlayedNote{onset,
                                                  end,
                                                  string,
                                                  fret,
                                                  static_cast<Touch>(clamp_to(touch, 0, 3)),
                                                  upward,
                                                  accent,
                                                  static_cast<uint32_t>(seed),
                                                  ring,
                                                  vibrato};
  return 1;
}

/// Level and palm of the note given last, as in PlayedNote.
FRETLOOM_EXPORT(fl_touch) void fl_touch(float level, float palm) {
  if (g_note_count == 0) return;
  g_notes.get()[g_note_count - 1].level = level;
  g_notes.get()[g_note_count - 1].palm = palm;
}

/// The number of events, or -1 if they are too many.
FRETLOOM_EXPORT(fl_start) int32_t fl_start() {
  Manner manner;
  manner.palm = g_palm;
  manner.stroke_colour = g_colour;
  auto* voice = new (g_voice.get()) Voice();
  voice->prepare(g_open, g_string_count, g_bass != 0, g_voicing, manner);
  const int count = perform(g_notes.get(), g_note_count, manner, g_events.get(), k_most_events);
  if (count >= 0) voice->start(g_events.get(), count);
  g_started = 1;
  return count;
}

/// 1 to 4096 frames, a multiple of 64 but for the last call. Nothing before fl_start.
FRETLOOM_EXPORT(fl_render) void fl_render(int32_t frames) {
  if (g_started != 0) g_voice.get()->render(g_left, g_right, clamp_to(frames, 0, k_most_frames));
}

/// Writes a whole knock (7200 frames) into the left buffer: 0 bar, 1 beat, 2 subdivision; ring 0 dry, 1 open.
FRETLOOM_EXPORT(fl_knock) void fl_knock(int32_t kind, int32_t ring, float level) {
  for (int i = 0; i < k_knock_frames; ++i) g_left[i] = 0;
  add_knock(static_cast<Knock>(clamp_to(kind, 0, 2)), static_cast<Ring>(clamp_to(ring, 0, 1)), level, 0, g_left,
            k_knock_frames);
}

FRETLOOM_EXPORT(fl_left) float* fl_left() { return g_left; }
FRETLOOM_EXPORT(fl_right) float* fl_right() { return g_right; }

// What the compiler calls on its own.
extern "C" void* memset(void* to, int value, __SIZE_TYPE__ count) {
  auto* bytes = static_cast<volatile unsigned char*>(to);
  for (__SIZE_TYPE__ i = 0; i < count; ++i) bytes[i] = static_cast<unsigned char>(value);
  return to;
}
extern "C" void* memcpy(void* to, const void* from, __SIZE_TYPE__ count) {
  auto* out = static_cast<volatile unsigned char*>(to);
  const auto* in = static_cast<const unsigned char*>(from);
  for (__SIZE_TYPE__ i = 0; i < count; ++i) out[i] = in[i];
  return to;
}
