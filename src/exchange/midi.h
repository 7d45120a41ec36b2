#pragma once
// Standard MIDI Files 1.0: bytes to events and back, and events to notes. Nothing here knows a lesson.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "base/units.h"
#include "score/meter.h"

namespace fretloom {

// What read_midi accepts; anything beyond is refused with the offset of the byte that says so.
constexpr std::size_t k_max_midi_bytes = 16U << 20U;     ///< of a file
constexpr std::size_t k_max_midi_tracks = 1024;          ///< at least 1
constexpr std::size_t k_max_midi_events = 1U << 20U;     ///< in all tracks together
constexpr std::int64_t k_max_midi_tick = 1LL << 36U;     ///< from the start of a track; delta sums must not pass it
constexpr std::uint32_t k_max_midi_vlq = 0x0FFFFFFFU;    ///< four bytes of seven bits
constexpr std::int64_t k_max_midi_tempo = 0x00FFFFFFLL;  ///< microseconds a quarter note; at least 1

/// Meta events that are read or written by name here (Standard MIDI Files 1.0).
enum MidiMeta : std::uint8_t {
  k_meta_text = 0x01,
  k_meta_track_name = 0x03,
  k_meta_marker = 0x06,
  k_meta_end_of_track = 0x2F,
  k_meta_tempo = 0x51,
  k_meta_meter = 0x58,
  k_meta_key = 0x59,
};

/// One event. `status` is 0x80 to 0xEF (channel voice, one or two data bytes of 0 to 127), 0xF0 or
/// 0xF7 (system exclusive and its continuation, `data` without the status) or 0xFF (meta, `meta` its
/// type from 0 to 127). The end of a track is no event: MidiTrack has it.
struct MidiEvent {
  std::int64_t tick = 0;  ///< from the start of the track
  std::uint8_t status = 0xFF;
  std::uint8_t meta = 0;  ///< 0 unless status is 0xFF
  std::string data;

  friend bool operator==(const MidiEvent&, const MidiEvent&) = default;
};

/// Events by ascending tick; those of one tick keep their order.
struct MidiTrack {
  std::vector<MidiEvent> events;
  std::int64_t end = 0;  ///< tick of the end-of-track event, not before the last event

  friend bool operator==(const MidiTrack&, const MidiTrack&) = default;
};

struct MidiFile {
  int format = 1;      ///< 0: one track; 1: tracks that sound together
  int division = 480;  ///< ticks a quarter note, 1 to 32767
  std::vector<MidiTrack> tracks;

  friend bool operator==(const MidiFile&, const MidiFile&) = default;
};

/// A variable-length quantity: seven bits a byte, the highest first, all but the last with bit 7 set
/// (0x80 is 81 00). Precondition: value <= k_max_midi_vlq.
void append_vlq(std::string& bytes, std::uint32_t value);
/// Reads one at `at` and moves `at` behind it. Errors: the bytes end, or a fifth byte would follow.
[[nodiscard]] Result<std::uint32_t> read_vlq(std::string_view bytes, std::size_t& at);

/// The file's bytes; every event with its own status. Precondition: a file that read_midi could give:
/// ticks ascend by at most k_max_midi_vlq at a time, data fit their status.
[[nodiscard]] std::string write_midi(const MidiFile& file);

/// Reads format 0 and 1. Running status is followed (also across meta and system exclusive events, as
/// many files have it), chunks of unknown type and anything behind the last track are skipped, a track
/// may lack its end event. Error.at is the byte offset. Refused: no or a short header, format 2 and
/// above, SMPTE division (it counts no beats), division 0, fewer tracks than the header says, chunks
/// and events that run past the end, a data byte above 127 or without a status, system real-time and
/// common messages, a tempo or meter whose data are no legal value, and the limits above.
[[nodiscard]] Result<MidiFile> read_midi(std::string_view bytes);

/// One sounded note.
struct MidiNote {
  std::int64_t tick = 0;
  std::int64_t length = 0;  ///< ticks; 0 where on and off fall together
  int track = 0;            ///< from 0
  int channel = 1;          ///< 1 to 16; 10 is percussion in General MIDI
  int key = 60;             ///< 60 = C4
  int velocity = 64;        ///< 1 to 127

  friend bool operator==(const MidiNote&, const MidiNote&) = default;
};

struct MidiTempo {
  std::int64_t tick = 0;
  std::int64_t microseconds = 500000;  ///< a quarter note

  friend bool operator==(const MidiTempo&, const MidiTempo&) = default;
};

struct MidiMeter {
  std::int64_t tick = 0;
  int numerator = 4;
  int denominator = 4;  ///< a power of two, 1 to 128

  friend bool operator==(const MidiMeter&, const MidiMeter&) = default;
};

/// The music of a file: all tracks' notes by tick, then track, channel and key; its tempos and meters by
/// tick, one a tick (the last wins), the first at tick 0: 120 quarter notes a minute and 4/4 where the
/// file says nothing (Standard MIDI Files 1.0).
struct MidiMusic {
  int division = 480;
  std::vector<MidiNote> notes;
  std::vector<MidiTempo> tempos;
  std::vector<MidiMeter> meters;

  /// Time of a tick through the tempo map: exact in integers, one rounding at the end.
  [[nodiscard]] Seconds seconds_at(std::int64_t tick) const;
  /// Quarter notes from the start, exact.
  [[nodiscard]] Rational quarters_at(std::int64_t tick) const { return {tick, division}; }
};

/// Pairs note-ons with note-offs (also note-ons of velocity 0) within a track, channel and key; of notes
/// that overlap on one key the one that began first ends first. A note that is never ended lasts to the
/// end of its track; an end without a note is dropped.
[[nodiscard]] MidiMusic midi_notes(const MidiFile& file);

}  // namespace fretloom
