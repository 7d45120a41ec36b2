// MIDI bytes, events and notes; and a score's way into them.

#include "exchange/midi.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>

#include "exchange/midi_score.h"
#include "exchange/midi_text.h"
#include "exchange/small_idea.h"

namespace fretloom {
namespace {

/// "90 3C 58" as bytes.
std::string bytes_of(std::string_view hex) {
  std::string bytes;
  std::string digits;
  for (const char c : hex) {
    if (c != ' ') digits += c;
    if (digits.size() == 2) {
      bytes += static_cast<char>(std::stoi(digits, nullptr, 16));
      digits.clear();
    }
  }
  return bytes;
}

const std::string k_header = "4D 54 68 64 00 00 00 06 00 01 00 01 01 E0";

/// A file of one track with these bytes; its events start at offset 22.
std::string one_track(std::string_view events) {
  const std::string body = bytes_of(events);
  return bytes_of(k_header) + "MTrk" + std::string(3, '\0') + static_cast<char>(body.size()) + body;
}

std::string refusal(const std::string& bytes) {
  const auto file = read_midi(bytes);
  return file ? "read" : std::to_string(file.error().at) + ": " + file.error().what;
}

TEST(Vlq, MatchesTheStandardsTable) {
  // Standard MIDI Files 1.0, variable-length quantities.
  const std::vector<std::pair<std::uint32_t, std::string>> table = {{0x00, "00"},
                                                                    {0x40, "40"},
                                                                    {0x7F, "7F"},
                                                                    {0x80, "81 00"},
                                                                    {0x2000, "C0 00"},
                                                                    {0x3FFF, "FF 7F"},
                                                                    {0x4000, "81 80 00"},
                                                                    {0x100000, "C0 80 00"},
                                                                    {0x1FFFFF, "FF FF 7F"},
                                                                    {0x200000, "81 80 80 00"},
                                                                    {0x8000000, "C0 80 80 00"},
                                                                    {0xFFFFFFF, "FF FF FF 7F"}};
  for (const auto& [value, hex] : table) {
    std::string bytes;
    append_vlq(bytes, value);
    EXPECT_EQ(bytes, bytes_of(hex)) << value;
    std::size_t at = 0;
    const auto read = read_vlq(bytes, at);
    ASSERT_TRUE(read);
    EXPECT_EQ(*read, value);
    EXPECT_EQ(at, bytes.size());
  }
}

TEST(MidiReader, FollowsRunningStatusAndSkipsStrangeChunks) {
  const std::string track = "00 90 3C 58 60 3C 00 00 FF 06 01 41 00 3E 40 83 60 80 3E 40 00 FF 2F 00";
  std::string bytes = one_track(track);
  bytes.insert(14, "XYZ!" + bytes_of("00 00 00 02 01 02"));
  const auto file = read_midi(bytes + "behind");
  ASSERT_TRUE(file) << file.error().what;
  ASSERT_EQ(file->tracks.size(), 1U);
  EXPECT_EQ(file->division, 480);
  EXPECT_EQ(file->tracks[0].events.size(), 5U);
  EXPECT_EQ(file->tracks[0].end, 96 + 480);
  const MidiMusic music = midi_notes(*file);
  EXPECT_EQ(music.notes, (std::vector<MidiNote>{{0, 96, 0, 1, 60, 88}, {96, 480, 0, 1, 62, 64}}));
  EXPECT_EQ(music.tempos, std::vector<MidiTempo>{{}});
  EXPECT_EQ(music.meters, std::vector<MidiMeter>{{}});
  EXPECT_DOUBLE_EQ(music.seconds_at(480).value, 0.5);
}

TEST(MidiReader, PairsOverlappingAndUnendedNotes) {
  // Two notes on one key: the first on ends first. Channel 2 never ends. An end without a note.
  const auto file =
      read_midi(one_track("00 90 3C 40 0A 90 3C 50 0A 91 3C 60 0A 80 3C 00 0A 80 3C 00 00 80 3C 00 14 FF 2F 00"));
  ASSERT_TRUE(file) << file.error().what;
  EXPECT_EQ(midi_notes(*file).notes,
            (std::vector<MidiNote>{{0, 30, 0, 1, 60, 64}, {10, 30, 0, 1, 60, 80}, {20, 40, 0, 2, 60, 96}}));
}

TEST(MidiReader, WalksTheTempoAndMeterMap) {
  // 120 from 0, 60 from a quarter on (500000 is thrown out by the later one of the same tick); 7/8.
  const auto file =
      read_midi(one_track("83 60 FF 51 03 07 A1 20 00 FF 51 03 0F 42 40 00 FF 58 04 07 03 0C 08 83 60 FF 2F 00"));
  ASSERT_TRUE(file) << file.error().what;
  const MidiMusic music = midi_notes(*file);
  EXPECT_EQ(music.tempos, (std::vector<MidiTempo>{{0, 500000}, {480, 1000000}}));
  EXPECT_EQ(music.meters, (std::vector<MidiMeter>{{0, 4, 4}, {480, 7, 8}}));
  EXPECT_DOUBLE_EQ(music.seconds_at(960).value, 1.5);
  EXPECT_EQ(music.quarters_at(720), Rational(3, 2));
}

TEST(MidiReader, RefusesWithTheOffset) {
  const std::string good = one_track("00 90 3C 40 0A 80 3C 40 00 FF 2F 00");
  ASSERT_EQ(refusal(good), "read");
  const auto with = [&](std::size_t at, std::string_view hex) {
    std::string bytes = good;
    const std::string put = bytes_of(hex);
    bytes.replace(at, put.size(), put);
    return refusal(bytes);
  };
  EXPECT_EQ(refusal("").substr(0, 2), "0:");
  EXPECT_EQ(refusal("RIFF").substr(0, 2), "0:");
  EXPECT_EQ(refusal(good.substr(0, 13)), "13: the file ends within its header of 14 bytes");
  EXPECT_EQ(with(4, "00 00 00 05").substr(0, 2), "4:");
  EXPECT_EQ(with(4, "FF FF FF FF"), "4: a header of 4294967295 bytes; it must have 6, or more that are in the file");
  EXPECT_EQ(with(8, "00 02"), "8: format 2; it must be 0 or 1");
  EXPECT_EQ(with(10, "00 00"), "10: 0 tracks in format 1; there can be 1 to 1024");
  EXPECT_EQ(with(10, "FF FF"), "10: 65535 tracks in format 1; there can be 1 to 1024");
  EXPECT_EQ(with(8, "00 00 00 02"), "10: 2 tracks in format 0; there must be 1");
  EXPECT_EQ(with(10, "00 02"), "34: the file ends after 1 track; its header says 2");
  EXPECT_EQ(with(12, "00 00"), "12: division 0; a quarter note must have 1 to 32767 ticks");
  EXPECT_EQ(with(12, "E7 28").substr(0, 29), "12: the file counts SMPTE fra");
  EXPECT_EQ(with(18, "00 00 00 0D"), "18: a chunk of 13 bytes, but the file has only 12 left");
  EXPECT_EQ(with(18, "FF FF FF FF"), "18: a chunk of 4294967295 bytes, but the file has only 12 left");
  EXPECT_EQ(with(22, "FF FF FF FF").substr(0, 43), "22: a length or delta time of more than 4 b");
  EXPECT_EQ(with(23, "3C"), "23: data byte 3C where the track's first status should be");
  EXPECT_EQ(with(24, "80"), "24: data byte 80 of status 90; it must be from 00 to 7F");
  EXPECT_EQ(with(23, "F8"), "23: status F8 cannot stand in a file; it must be from 80 to F0, or F7 or FF");
  EXPECT_EQ(refusal(one_track("00 90 3C")), "23: the track ends within an event");
  EXPECT_EQ(refusal(one_track("00 FF 80 00")), "24: meta event of type 80; it must be from 00 to 7F");
  EXPECT_EQ(refusal(one_track("00 FF 01 FF FF FF 7F 41")),
            "25: a meta event of 268435455 bytes at offset 22, but its track has only 1 left");
  EXPECT_EQ(refusal(one_track("00 FF 51 03 00 00 00")),
            "25: a tempo of 0 microseconds a quarter note; it must be 1 to 16777215 in 3 bytes");
  EXPECT_EQ(refusal(one_track("00 FF 51 02 07 A1")).substr(0, 22), "25: a tempo of 2 bytes");
  EXPECT_EQ(refusal(one_track("00 FF 58 04 00 02 18 08")).substr(0, 25), "25: a meter event that ca");
  EXPECT_EQ(refusal(one_track("00 FF 58 04 04 08 18 08")).substr(0, 25), "25: a meter event that ca");
}

TEST(MidiReader, RefusesMoreThanItsLimits) {
  EXPECT_EQ(refusal(std::string(k_max_midi_bytes + 1, 'M')).substr(0, 9), "16777216:");
  // 257 waits of 2^28 - 1 ticks pass 2^36.
  std::string body;
  for (int i = 0; i < 257; ++i) body += bytes_of("FF FF FF 7F C0 00");
  std::string head = bytes_of(k_header) + "MTrk";
  for (const int shift : {24, 16, 8, 0}) head += static_cast<char>(body.size() >> shift & 0xFF);
  EXPECT_EQ(refusal(head + body).substr(0, 40), "1558: the track is longer than 687194767");
  std::string many;
  for (std::size_t i = 0; i <= k_max_midi_events; ++i) many += std::string("\0\xC0\0", 3);
  head.resize(18);
  for (const int shift : {24, 16, 8, 0}) head += static_cast<char>(many.size() >> shift & 0xFF);
  EXPECT_EQ(refusal(head + many),
            std::to_string(22 + 3 * k_max_midi_events) + ": more than 1048576 events, the most that are read");
}

MidiFile any_file() {
  MidiFile file;
  const int tracks = *rc::gen::inRange(1, 5);
  file.format = tracks == 1 ? *rc::gen::inRange(0, 2) : 1;
  file.division = *rc::gen::inRange(1, 32768);
  const auto text = [](int size) {
    std::string data;
    for (int i = 0; i < size; ++i) data += static_cast<char>(*rc::gen::inRange(0, 256));
    return data;
  };
  for (int t = 0; t < tracks; ++t) {
    MidiTrack& track = file.tracks.emplace_back();
    std::int64_t tick = 0;
    const auto step = [&] { return tick += *rc::gen::element<std::int64_t>(0, 1, 127, 128, 16384, 0xFFFFFFF); };
    const int events = *rc::gen::inRange(0, 30);
    for (int i = 0; i < events; ++i) {
      MidiEvent event{step(), 0, 0, ""};
      switch (*rc::gen::inRange(0, 5)) {
        case 0: event = {tick, 0xFF, k_meta_marker, text(*rc::gen::inRange(0, 200))}; break;
        case 1: event = {tick, 0xFF, k_meta_tempo, text(2) + '\1'}; break;
        case 2: event = {tick, 0xF0, 0, text(*rc::gen::inRange(0, 20))}; break;
        case 3: event = {tick, 0xFF, k_meta_meter, bytes_of("07 03 0C 08")}; break;
        default:
          event.status = static_cast<std::uint8_t>(*rc::gen::inRange(0x80, 0xF0));
          event.data += static_cast<char>(*rc::gen::inRange(0, 128));
          if ((event.status >> 4) != 0xC && (event.status >> 4) != 0xD)
            event.data += static_cast<char>(*rc::gen::inRange(0, 128));
      }
      track.events.push_back(event);
    }
    track.end = step();
  }
  return file;
}

RC_GTEST_PROP(Midi, ReadsWhatItWrote, ()) {
  const MidiFile file = any_file();
  const auto again = read_midi(write_midi(file));
  RC_ASSERT(again.ok());
  RC_ASSERT((*again == file));
}

RC_GTEST_PROP(Midi, RefusesOrReadsWhatWasBroken, ()) {
  std::string bytes = write_midi(any_file());
  bytes[static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(bytes.size())))] =
      static_cast<char>(*rc::gen::inRange(0, 256));
  bytes.resize(static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(bytes.size()) + 1)));
  const auto file = read_midi(bytes);
  if (file) {
    RC_ASSERT((read_midi(write_midi(*file)).value() == *file));
  } else {
    RC_ASSERT((file.error().at <= bytes.size()));
  }
}

std::vector<MidiNote> notes_of(const MidiFile& file, int track) {
  std::vector<MidiNote> notes;
  for (const MidiNote& note : midi_notes(file).notes) {
    if (note.track == track) notes.push_back(note);
  }
  return notes;
}

TEST(MidiScore, SaysTempoAndMeterAsTheStandardDoes) {
  IdeaSheet idea = small_idea();
  add_note(idea, 6, "0");
  const std::string bytes = write_midi(midi_of(small_handout({idea})).value());
  // Standard MIDI Files 1.0: 120 quarter notes a minute; 4/4 with 24 clocks a click.
  EXPECT_NE(bytes.find(bytes_of("00 FF 51 03 07 A1 20")), std::string::npos);
  EXPECT_NE(bytes.find(bytes_of("00 FF 58 04 04 02 18 08")), std::string::npos);
  EXPECT_NE(bytes.find(bytes_of("00 FF 59 02 02 00")), std::string::npos);
  idea.key = parse_key("B aeolian").value();
  EXPECT_NE(write_midi(midi_of(small_handout({idea})).value()).find(bytes_of("00 FF 59 02 02 01")), std::string::npos);
}

TEST(MidiScore, ConvertsTheBeatToTheQuarter) {
  const auto tempo = [](const char* meter, Rational bpm) {
    const auto result = midi_tempo(parse_meter(meter).value(), bpm);
    return result ? *result : -1;
  };
  EXPECT_EQ(tempo("4/4", 120), 500000);
  EXPECT_EQ(tempo("6/8", 80), 500000);                // 80 dotted quarters are 120 quarters
  EXPECT_EQ(tempo("7/8", 240), 500000);               // 240 eighths
  EXPECT_EQ(tempo("2/2", 60), 500000);                // 60 halves
  EXPECT_EQ(tempo("12/16", 160), 500000);             // 160 dotted eighths
  EXPECT_EQ(tempo("4/4", 132), 454545);               // 454545.45...
  EXPECT_EQ(tempo("4/4", Rational(185, 2)), 648649);  // 648648.64...
  EXPECT_EQ(tempo("3/16", 10), -1);                   // 24 seconds a quarter do not fit three bytes
  IdeaSheet idea = small_idea();
  set_meter(idea, "3/16", "Em");
  idea.goal_bpm = Rational(10);
  EXPECT_FALSE(midi_of(small_handout({idea})));
}

TEST(MidiScore, RoundsEveryOnsetFromItsFraction) {
  IdeaSheet idea = small_idea();
  feel_of(idea).notes_per_beat = 11;
  for (int i = 0; i < 12; ++i) add_note(idea, 6, "0");
  const auto notes = notes_of(midi_of(small_handout({idea})).value(), 1);
  ASSERT_EQ(notes.size(), 12U);
  // 10080 / 11 = 916.36...; the bar of clicks is 40320 ticks.
  EXPECT_EQ(notes[1].tick, 40320 + 916);
  EXPECT_EQ(notes[3].tick, 40320 + 2749);
  EXPECT_EQ(notes[10].tick, 40320 + 9164);
  EXPECT_EQ(notes[11].tick, 40320 + 10080);
  for (std::size_t i = 0; i + 1 < notes.size(); ++i) EXPECT_EQ(notes[i].tick + notes[i].length, notes[i + 1].tick);
}

TEST(MidiScore, LeavesABarBetweenIdeasAndRoomForPickUps) {
  IdeaSheet first = small_idea();
  for (int i = 0; i < 17; ++i) add_note(first, 6, "0");
  IdeaSheet second = small_idea();
  set_meter(second, "6/8", "Em7 | A7");
  feel_of(second).notes_per_beat = 3;
  feel_of(second).start = Beats(Rational(-7, 3));
  for (int i = 0; i < 8; ++i) add_note(second, 1, "0");
  const MidiFile file = midi_of(small_handout({first, second})).value();
  const auto lick = notes_of(file, 1);
  // 4/4: bars of 40320; clicks, two bars of idea. 6/8: bars of 30240; clicks, two bars of room.
  EXPECT_EQ(lick.front().tick, 40320);
  const std::int64_t second_begin = 3 * 40320;
  const std::int64_t origin = second_begin + 3 * 30240;
  EXPECT_EQ(lick[17].tick, origin - 7 * 5040);
  EXPECT_EQ(lick[24].tick, origin);
  const MidiMusic music = midi_notes(file);
  EXPECT_EQ(music.meters, (std::vector<MidiMeter>{{0, 4, 4}, {second_begin, 6, 8}}));
  EXPECT_EQ(music.tempos, (std::vector<MidiTempo>{{0, 500000}, {second_begin, 333333}}));
  std::vector<std::int64_t> markers;
  for (const MidiEvent& event : file.tracks[0].events) {
    if (event.status == 0xFF && event.meta == k_meta_marker) markers.push_back(event.tick);
  }
  EXPECT_EQ(markers, (std::vector<std::int64_t>{40320, second_begin + 30240}));
  // Clicks on every beat, dotted in 6/8, wood block 76 on the first.
  const auto clicks = notes_of(file, 2);
  EXPECT_EQ(clicks.size(), 3U * 4 + 4U * 2);
  for (const MidiNote& click : clicks) {
    const bool first_beat =
        click.tick < second_begin ? click.tick % 40320 == 0 : (click.tick - second_begin) % 30240 == 0;
    EXPECT_EQ(click.key, first_beat ? 76 : 77);
    EXPECT_EQ(click.channel, 10);
  }
}

TEST(MidiScore, TellsAccentsSlursSpeedAndStringsApart) {
  IdeaSheet idea = small_idea({"A1", "B1", "C2", "D2", "E2", "F2", "G2", "A2", "B2", "C3", "D3", "E3"});
  add_note(idea, 12, "0");
  add_note(idea, 12, "h2");
  add_note(idea, 10, "0!");
  add_note(idea, 9, "3");
  add_note(idea, 9, "p0!");
  const auto notes = notes_of(midi_of(small_handout({idea}), {}).value(), 1);
  std::vector<int> velocities;
  for (const MidiNote& note : notes) {
    velocities.push_back(note.velocity);
    EXPECT_EQ(note.channel, 1);
  }
  EXPECT_EQ(velocities, (std::vector<int>{88, 70, 112, 88, 94}));
  const MidiFile apart = midi_of(small_handout({idea}), {MidiSpeed::slow, MidiChannels::per_string}).value();
  std::vector<int> channels;
  for (const MidiNote& note : notes_of(apart, 1)) channels.push_back(note.channel);
  EXPECT_EQ(channels, (std::vector<int>{13, 13, 11, 9, 9}));
  EXPECT_EQ(midi_notes(apart).tempos, (std::vector<MidiTempo>{{0, 1000000}}));
}

std::vector<std::string> texts_of(const MidiTrack& track) {
  std::vector<std::string> texts;
  for (const MidiEvent& event : track.events) {
    if (event.status == 0xFF && event.meta == k_meta_text)
      texts.push_back(std::to_string(event.tick) + " " + event.data);
  }
  return texts;
}

TEST(MidiScore, TellsStringsSlursAndAccentsInTexts) {
  IdeaSheet idea = small_idea();
  idea.instrument.neck.capo = 2;
  add_note(idea, 6, "3");
  add_note(idea, 6, "h5");
  add_note(idea, 5, "3!");
  add_note(idea, 5, "5");
  IdeaSheet second = small_idea();
  add_note(second, 5, "3");
  for (const MidiChannels channels : {MidiChannels::one, MidiChannels::per_string}) {
    const MidiFile file = midi_of(small_handout({idea, idea, second}), {MidiSpeed::goal, channels}).value();
    EXPECT_EQ(texts_of(file.tracks[1]),
              (std::vector<std::string>{"0 strings, thick to thin: E2 A2 D3 G3 B3 E4; capo 2", "40320 string 6",
                                        "42840 hammer-on", "45360 string 5, accent", "120960 string 6",
                                        "123480 hammer-on", "126000 string 5, accent",
                                        "161280 strings, thick to thin: E2 A2 D3 G3 B3 E4", "201600 string 5"}));
    EXPECT_TRUE(texts_of(file.tracks[0]).empty());
  }
}

TEST(MidiText, IsReadAsItIsWritten) {
  const Tuning tuning = parse_tuning(std::vector<std::string>{"C#2", "Ab2", "D3"}).value();
  for (const int capo : {0, 3}) {
    const MidiStrings strings{tuning, capo};
    EXPECT_EQ(read_midi_strings(to_text(strings)), strings);
  }
  for (const Attack attack : {Attack::pick, Attack::hammer, Attack::pull, Attack::slide}) {
    const MidiTouch touch{12, attack, attack == Attack::slide};
    EXPECT_EQ(read_midi_touch(to_text(touch)), touch);
  }
  for (const char* text : {"strings, thick to thin:", "strings, thick to thin: E2 A2; capo", "strings: E2",
                           "strings, thick to thin: E2 A2; capo 0", "strings, thick to thin: E2; capo 2; capo 2",
                           "strings, thick to thin: E2 H2", "strings, thick to thin: E2 A2 capo 2"})
    EXPECT_FALSE(read_midi_strings(text)) << text;
  for (const char* text : {"", "string", "string 0", "string 13", "string 5 accent", "accented", "string 5,", "6"})
    EXPECT_FALSE(read_midi_touch(text)) << text;
}

std::vector<int> lick_programs(const MidiFile& file) {
  std::vector<int> programs;
  for (const MidiEvent& event : file.tracks[1].events) {
    if (event.status >> 4 == 0xC) programs.push_back(event.data[0]);
  }
  return programs;
}

TEST(MidiScore, ChoosesTheInstrumentByTheTuning) {
  IdeaSheet guitar = small_idea();
  IdeaSheet bass = small_idea({"E1", "A1", "D2", "G2"});
  IdeaSheet low = small_idea({"B1", "E2", "A2", "D3", "G3", "B3", "E4"});
  for (IdeaSheet* idea : {&guitar, &bass, &low}) add_note(*idea, 4, "2");
  EXPECT_EQ(lick_programs(midi_of(small_handout({guitar, low, bass, bass, guitar})).value()),
            (std::vector<int>{27, 33, 27}));
}

TEST(MidiScore, NamesIdeasAsTheLessonNumbersThem) {
  IdeaSheet first = small_idea();
  add_note(first, 6, "0");
  IdeaSheet third = first;
  third.name.clear();
  Handout handout = small_handout({first, third});
  handout.ideas[1].number = 3;  // the second is in error and left out
  const MidiFile file = midi_of(handout).value();
  std::vector<std::string> markers;
  for (const MidiEvent& event : file.tracks[0].events) {
    if (event.status == 0xFF && event.meta == k_meta_marker) markers.push_back(event.data);
  }
  EXPECT_EQ(markers, (std::vector<std::string>{"1. Small, 4 a beat", "Idea 3, 4 a beat"}));
}

TEST(MidiScore, RefusesWhatHasNoString) {
  IdeaSheet idea = small_idea();
  add_note(idea, 6, "0").string = 7;
  EXPECT_EQ(midi_of(small_handout({idea})).error().what, "Small: a note lies on string 7; the instrument has 6");
}

/// A part of one bass note a bar and a kick on its third beat.
Band small_band(const IdeaSheet& idea, int key) {
  Band band;
  band.turns = 1;
  band.bars = idea.vamp.bars;
  band.length = idea.vamp.length(idea.meter);
  BandPart bass{BandRole::bass, RegisterUse::apart, {}};
  BandPart drums{BandRole::drums, RegisterUse::apart, {}};
  for (int bar = 0; bar < band.bars; ++bar) {
    const Rational at(static_cast<std::int64_t>(bar) * idea.meter.beats_per_bar());
    BandNote note{Beats(at), Beats(Rational(1, 3)), key + bar, 90, BandTouch::plain, BandTone::chord, {}, {}};
    bass.notes.push_back(note);
    note.onset = Beats(at + Rational(1));
    note.key = static_cast<int>(DrumKey::kick);
    note.velocity = 100;
    drums.notes.push_back(note);
  }
  band.parts = {bass, drums};
  return band;
}

/// The band begins behind the bar of clicks; its loop's last bars lie under a pick-up and it goes round to the end.
TEST(MidiScore, PutsTheBandUnderEveryPassage) {
  IdeaSheet first = small_idea();
  for (int i = 0; i < 17; ++i) add_note(first, 6, "0");
  IdeaSheet second = small_idea();
  set_meter(second, "6/8", "Em7 | A7 | D");
  feel_of(second).notes_per_beat = 3;
  feel_of(second).start = Beats(Rational(-7, 3));
  for (int i = 0; i < 8; ++i) add_note(second, 1, "0");
  const std::vector<Band> bands = {small_band(first, 40), small_band(second, 50)};
  const MidiFile file = midi_of(small_handout({first, second}), {}, bands).value();
  ASSERT_EQ(file.tracks.size(), 5U);
  std::vector<std::string> names;
  for (const MidiTrack& track : file.tracks) names.push_back(track.events.front().data);
  EXPECT_EQ(names, (std::vector<std::string>{"Small", "Lick", "Click", "Bass", "Drums"}));
  std::vector<std::array<std::int64_t, 4>> bass;
  for (const MidiNote& note : notes_of(file, 3)) bass.push_back({note.tick, note.length, note.channel, note.key});
  // 4/4: clicks, two bars. 6/8: clicks, two bars of room under the loop's bars 2 and 3, bar 1.
  const std::int64_t begin = 3 * 40320;
  EXPECT_EQ(bass, (std::vector<std::array<std::int64_t, 4>>{{40320, 3360, 15, 40},
                                                            {2 * 40320, 3360, 15, 40},
                                                            {begin + 30240, 5040, 15, 51},
                                                            {begin + 2 * 30240, 5040, 15, 52},
                                                            {begin + 3 * 30240, 5040, 15, 50}}));
  const auto drums = notes_of(file, 4);
  ASSERT_EQ(drums.size(), 5U);
  EXPECT_EQ(drums[0].tick, 40320 + 10080);
  EXPECT_EQ(drums[0].key, 36);
  EXPECT_EQ(drums[0].channel, 10);
  EXPECT_EQ(drums[0].velocity, 100);
}

}  // namespace
}  // namespace fretloom
