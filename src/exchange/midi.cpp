#include "exchange/midi.h"

#include <algorithm>
#include <cassert>
#include <deque>
#include <map>
#include <optional>
#include <tuple>

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::size_t k_chunk_header = 8;  // four letters, four bytes of length

std::uint8_t byte_of(char c) { return static_cast<std::uint8_t>(c); }
char char_of(std::uint64_t value) { return static_cast<char>(static_cast<std::uint8_t>(value & 0xFFU)); }

void append_be(std::string& bytes, std::uint64_t value, int count) {
  for (int shift = 8 * (count - 1); shift >= 0; shift -= 8) bytes += char_of(value >> static_cast<unsigned>(shift));
}

std::uint32_t read_be(std::string_view bytes) {
  std::uint32_t value = 0;
  for (const char c : bytes) value = value << 8U | byte_of(c);
  return value;
}

/// Data bytes of a channel voice message: program change and channel pressure have one.
std::size_t data_bytes(std::uint8_t status) {
  const unsigned kind = status >> 4U;
  return kind == 0xCU || kind == 0xDU ? 1 : 2;
}

std::string hex(std::uint8_t value) {
  constexpr std::string_view k_digits = "0123456789ABCDEF";
  return {k_digits[value >> 4U], k_digits[value & 15U]};
}

Error refused(ErrorKind kind, std::size_t at, std::string what) { return {kind, at, std::move(what), ""}; }

void append_event(std::string& bytes, const MidiEvent& event) {
  bytes += char_of(event.status);
  if (event.status == 0xFFU) bytes += char_of(event.meta);
  if (event.status >= 0xF0U) append_vlq(bytes, static_cast<std::uint32_t>(event.data.size()));
  bytes += event.data;
}

void append_track(std::string& bytes, const MidiTrack& track) {
  std::string body;
  std::int64_t now = 0;
  const auto advance = [&](std::int64_t tick) {
    assert(tick >= now && tick - now <= k_max_midi_vlq);
    append_vlq(body, static_cast<std::uint32_t>(tick - now));
    now = tick;
  };
  for (const MidiEvent& event : track.events) {
    advance(event.tick);
    append_event(body, event);
  }
  advance(track.end);
  append_event(body, {track.end, 0xFF, k_meta_end_of_track, ""});
  bytes += "MTrk";
  append_be(bytes, body.size(), 4);
  bytes += body;
}

/// Reads one track's bytes. Offsets count from the start of the file.
class TrackReader {
 public:
  TrackReader(std::string_view file, std::size_t begin, std::size_t end, std::size_t events_left)
      : bytes_(file.substr(0, end)), at_(begin), events_left_(events_left) {}

  Result<MidiTrack> read() {
    while (at_ < bytes_.size() && !ended_) {
      if (auto error = read_one()) return *std::move(error);
    }
    track_.end = tick_;
    return std::move(track_);
  }

 private:
  using Failure = std::optional<Error>;

  Failure read_one() {
    const std::size_t start = at_;
    const auto delta = read_vlq(bytes_, at_);
    if (!delta) return delta.error();
    tick_ += *delta;
    if (tick_ > k_max_midi_tick)
      return refused(ErrorKind::limit, start,
                     "the track is longer than " + std::to_string(k_max_midi_tick) + " ticks, the most that is read");
    if (at_ >= bytes_.size()) return cut_short(start, "an event");
    if (track_.events.size() >= events_left_)
      return refused(ErrorKind::limit, start,
                     "more than " + std::to_string(k_max_midi_events) + " events, the most that are read");
    const std::uint8_t first = byte_of(bytes_[at_]);
    if (first < 0xF0U) return read_channel(first);
    ++at_;
    if (first == 0xFFU) return read_meta(start);
    if (first == 0xF0U || first == 0xF7U) return read_payload(start, first, 0, "a system exclusive event");
    return refused(ErrorKind::syntax, at_ - 1,
                   "status " + hex(first) + " cannot stand in a file; it must be from 80 to F0, or F7 or FF");
  }

  Failure read_channel(std::uint8_t first) {
    const std::size_t start = at_;
    if (first >= 0x80U) {
      running_ = first;
      ++at_;
    } else if (running_ == 0) {
      return refused(ErrorKind::syntax, start, "data byte " + hex(first) + " where the track's first status should be");
    }
    const std::size_t count = data_bytes(running_);
    if (bytes_.size() - at_ < count) return cut_short(start, "an event");
    const std::string_view data = bytes_.substr(at_, count);
    for (std::size_t i = 0; i < count; ++i) {
      if (byte_of(data[i]) > 0x7FU)
        return refused(
            ErrorKind::range, at_ + i,
            "data byte " + hex(byte_of(data[i])) + " of status " + hex(running_) + "; it must be from 00 to 7F");
    }
    at_ += count;
    track_.events.push_back({tick_, running_, 0, std::string(data)});
    return std::nullopt;
  }

  Failure read_meta(std::size_t start) {
    if (at_ >= bytes_.size()) return cut_short(start, "a meta event");
    const std::uint8_t type = byte_of(bytes_[at_++]);
    if (type > 0x7FU)
      return refused(ErrorKind::range, at_ - 1, "meta event of type " + hex(type) + "; it must be from 00 to 7F");
    const std::size_t data_at = at_;
    if (auto error = read_payload(start, 0xFF, type, "a meta event")) return error;
    if (type == k_meta_end_of_track) {
      track_.events.pop_back();
      ended_ = true;
      return std::nullopt;
    }
    return check_meta(track_.events.back(), data_at);
  }

  /// Length and data of a meta or system exclusive event.
  Failure read_payload(std::size_t start, std::uint8_t status, std::uint8_t type, const char* what) {
    const std::size_t length_at = at_;
    const auto length = read_vlq(bytes_, at_);
    if (!length) return length.error();
    if (*length > bytes_.size() - at_)
      return refused(ErrorKind::syntax, length_at,
                     std::string(what) + " of " + counted(*length, "byte") + " at offset " + std::to_string(start) +
                         ", but its track has only " + std::to_string(bytes_.size() - at_) + " left");
    track_.events.push_back({tick_, status, type, std::string(bytes_.substr(at_, *length))});
    at_ += *length;
    return std::nullopt;
  }

  /// Tempo and meter are the two whose data later stages compute with.
  static Failure check_meta(const MidiEvent& event, std::size_t at) {
    const std::string_view data = event.data;
    if (event.meta == k_meta_tempo && (data.size() != 3 || read_be(data) == 0))
      return refused(ErrorKind::range, at,
                     "a tempo of " +
                         (data.size() == 3 ? "0 microseconds a quarter note" : counted(data.size(), "byte")) +
                         "; it must be 1 to " + std::to_string(k_max_midi_tempo) + " in 3 bytes");
    if (event.meta == k_meta_meter &&
        (data.size() < 2 || data.size() > 4 || byte_of(data[0]) == 0 || byte_of(data[1]) > 7))
      return refused(
          ErrorKind::range, at,
          "a meter event that cannot be read; it must have 2 to 4 bytes: 1 to 255 beats, of a 2 to the 0th to 7th "
          "part of a whole note, clocks a click, 32nds a quarter");
    return std::nullopt;
  }

  [[nodiscard]] static Error cut_short(std::size_t at, const char* what) {
    return refused(ErrorKind::syntax, at, "the track ends within " + std::string(what));
  }

  std::string_view bytes_;  ///< the file up to the track's end
  std::size_t at_;
  std::size_t events_left_;
  std::int64_t tick_ = 0;
  std::uint8_t running_ = 0;
  bool ended_ = false;
  MidiTrack track_;
};

struct Header {
  int format = 0;
  int division = 0;
  std::size_t tracks = 0;
  std::size_t end = 0;
};

Result<Header> read_header(std::string_view bytes) {
  if (bytes.size() > k_max_midi_bytes)
    return refused(
        ErrorKind::limit, k_max_midi_bytes,
        "the file has " + counted(bytes.size(), "byte") + "; up to " + std::to_string(k_max_midi_bytes) + " are read");
  if (bytes.substr(0, 4) != "MThd")
    return refused(ErrorKind::syntax, 0, "this is not a Standard MIDI File, which starts with the letters MThd");
  if (bytes.size() < k_chunk_header + 6)
    return refused(ErrorKind::syntax, bytes.size(), "the file ends within its header of 14 bytes");
  const std::uint32_t length = read_be(bytes.substr(4, 4));
  if (length < 6 || length > bytes.size() - k_chunk_header)
    return refused(ErrorKind::syntax, 4,
                   "a header of " + counted(length, "byte") + "; it must have 6, or more that are in the file");
  Header header;
  header.format = static_cast<int>(read_be(bytes.substr(8, 2)));
  header.tracks = read_be(bytes.substr(10, 2));
  header.division = static_cast<int>(read_be(bytes.substr(12, 2)));
  header.end = k_chunk_header + length;
  if (header.format > 1)
    return refused(ErrorKind::range, 8, "format " + std::to_string(header.format) + "; it must be 0 or 1");
  if (header.tracks == 0 || header.tracks > k_max_midi_tracks || (header.format == 0 && header.tracks != 1))
    return refused(
        ErrorKind::limit, 10,
        counted(header.tracks, "track") + " in format " + std::to_string(header.format) +
            (header.format == 0 ? "; there must be 1" : "; there can be 1 to " + std::to_string(k_max_midi_tracks)));
  if (header.division == 0 || header.division > 0x7FFF)
    return refused(ErrorKind::range, 12,
                   header.division == 0
                       ? "division 0; a quarter note must have 1 to 32767 ticks"
                       : "the file counts SMPTE frames, not beats; only files that count beats are read");
  return header;
}

/// One value a tick, the last wins, and one at tick 0.
template <class Change>
void settle(std::vector<Change>& changes) {
  std::stable_sort(changes.begin(), changes.end(), [](const Change& a, const Change& b) { return a.tick < b.tick; });
  std::vector<Change> settled;
  for (const Change& change : changes) {
    if (!settled.empty() && settled.back().tick == change.tick) settled.pop_back();
    settled.push_back(change);
  }
  if (settled.empty() || settled.front().tick > 0) settled.insert(settled.begin(), Change{});
  changes = std::move(settled);
}

/// Pairs the notes of one track.
void pair_notes(const MidiTrack& track, int number, std::vector<MidiNote>& notes) {
  std::map<int, std::deque<std::size_t>> sounding;  // by channel and key, indices into notes
  for (const MidiEvent& event : track.events) {
    const unsigned kind = event.status >> 4U;
    if (kind != 0x8U && kind != 0x9U) continue;
    const int channel = event.status & 15;
    const int key = byte_of(event.data[0]);
    const int velocity = byte_of(event.data[1]);
    auto& waiting = sounding[channel * 128 + key];
    if (kind == 0x9U && velocity > 0) {
      waiting.push_back(notes.size());
      notes.push_back({event.tick, track.end - event.tick, number, channel + 1, key, velocity});
    } else if (!waiting.empty()) {
      MidiNote& note = notes[waiting.front()];
      note.length = event.tick - note.tick;
      waiting.pop_front();
    }
  }
}

}  // namespace

void append_vlq(std::string& bytes, std::uint32_t value) {
  assert(value <= k_max_midi_vlq);
  for (unsigned shift = 21; shift > 0; shift -= 7) {
    if (value >> shift != 0) bytes += char_of(0x80U | (value >> shift & 0x7FU));
  }
  bytes += char_of(value & 0x7FU);
}

Result<std::uint32_t> read_vlq(std::string_view bytes, std::size_t& at) {
  const std::size_t start = at;
  std::uint32_t value = 0;
  for (int i = 0; i < 4; ++i) {
    if (at >= bytes.size()) return refused(ErrorKind::syntax, start, "the track ends within a length or delta time");
    const std::uint8_t byte = byte_of(bytes[at++]);
    value = value << 7U | (byte & 0x7FU);
    if (byte < 0x80U) return value;
  }
  return refused(ErrorKind::range, start,
                 "a length or delta time of more than 4 bytes; it must be from 0 to 268435455");
}

std::string write_midi(const MidiFile& file) {
  std::string bytes = "MThd";
  append_be(bytes, 6, 4);
  append_be(bytes, static_cast<std::uint64_t>(file.format), 2);
  append_be(bytes, file.tracks.size(), 2);
  append_be(bytes, static_cast<std::uint64_t>(file.division), 2);
  for (const MidiTrack& track : file.tracks) append_track(bytes, track);
  return bytes;
}

Result<MidiFile> read_midi(std::string_view bytes) {
  const auto header = read_header(bytes);
  if (!header) return header.error();
  MidiFile file{header->format, header->division, {}};
  std::size_t at = header->end;
  std::size_t events = 0;
  while (file.tracks.size() < header->tracks) {
    if (bytes.size() - at < k_chunk_header)
      return refused(ErrorKind::syntax, at,
                     "the file ends after " + counted(file.tracks.size(), "track") + "; its header says " +
                         std::to_string(header->tracks));
    const std::size_t length = read_be(bytes.substr(at + 4, 4));
    const std::size_t left = bytes.size() - at - k_chunk_header;
    if (length > left)
      return refused(
          ErrorKind::syntax, at + 4,
          "a chunk of " + counted(length, "byte") + ", but the file has only " + std::to_string(left) + " left");
    const std::size_t begin = at + k_chunk_header;
    const bool is_track = bytes.substr(at, 4) == "MTrk";
    at = begin + length;
    if (!is_track) continue;
    auto track = TrackReader(bytes, begin, at, k_max_midi_events - events).read();
    if (!track) return track.error();
    events += track->events.size();
    file.tracks.push_back(std::move(track).value());
  }
  return file;
}

Seconds MidiMusic::seconds_at(std::int64_t tick) const {
  // Ticks times microseconds stay below 2^60: k_max_midi_tick * k_max_midi_tempo.
  std::int64_t sum = 0;
  for (std::size_t i = 0; i < tempos.size() && tempos[i].tick < tick; ++i) {
    const std::int64_t until = i + 1 < tempos.size() ? std::min(tick, tempos[i + 1].tick) : tick;
    sum += (until - tempos[i].tick) * tempos[i].microseconds;
  }
  return Seconds(static_cast<double>(sum) / (1e6 * division));
}

MidiMusic midi_notes(const MidiFile& file) {
  MidiMusic music;
  music.division = file.division;
  for (std::size_t i = 0; i < file.tracks.size(); ++i) {
    pair_notes(file.tracks[i], static_cast<int>(i), music.notes);
    for (const MidiEvent& event : file.tracks[i].events) {
      if (event.status != 0xFFU) continue;
      if (event.meta == k_meta_tempo) music.tempos.push_back({event.tick, read_be(event.data)});
      if (event.meta == k_meta_meter)
        music.meters.push_back({event.tick, byte_of(event.data[0]), 1 << byte_of(event.data[1])});
    }
  }
  std::stable_sort(music.notes.begin(), music.notes.end(), [](const MidiNote& a, const MidiNote& b) {
    return std::tie(a.tick, a.track, a.channel, a.key) < std::tie(b.tick, b.track, b.channel, b.key);
  });
  settle(music.tempos);
  settle(music.meters);
  return music;
}

}  // namespace fretloom
