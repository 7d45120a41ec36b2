// Tunings, the neck and its layouts.

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "neck/layout.h"

namespace fretloom {
namespace {

Neck neck_of(const std::string& preset, int capo = 0, int frets = 24) {
  return {*parse_tuning(preset), frets, Millimetres(648), capo};
}

std::string layout_text(const std::string& key, const Neck& neck, const LayoutRule& rule) {
  const auto layout = make_layout(*parse_key(key), neck, rule);
  return layout.ok() ? frets_text(layout_frets(*parse_key(key), neck, *layout)) : layout.error().what;
}

// --- Distances -----------------------------------------------------------------------------------

TEST(FretDistance, Follows648Millimetres) {
  // d = L (1 - 2^(-n/12)), twelve-tone equal temperament (ISO 16:1975 for its pitch), worked out to a
  // hundredth of a millimetre outside the program.
  constexpr std::array k_table = {36.37,  70.70,  103.10, 133.68, 162.55, 189.79, 215.51, 239.79,
                                  262.70, 284.32, 304.73, 324.00, 342.18, 359.35, 375.55, 390.84,
                                  405.27, 418.90, 431.76, 443.89, 455.35, 466.16, 476.37, 486.00};
  EXPECT_EQ(fret_distance(Millimetres(648), 0).value, 0);
  for (std::size_t i = 0; i < k_table.size(); ++i) {
    EXPECT_NEAR(fret_distance(Millimetres(648), static_cast<int>(i) + 1).value, k_table[i], 0.0051) << "fret " << i + 1;
  }
}

TEST(FretDistance, AgreesWithPublishedTablesOfInches) {
  // Published fret tables of a 25.5 in scale, which agree with the formula within 0.0044 in.
  struct Row {
    int fret;
    double inches;
  };
  constexpr std::array k_rows = {Row{1, 1.431}, Row{12, 12.750}, Row{24, 19.125}};
  for (const Row& row : k_rows) {
    EXPECT_NEAR(fret_distance(Millimetres(647.7), row.fret).value / 25.4, row.inches, 0.0044) << row.fret;
  }
  // Luthiers' handbooks step by the constant 17.817: the first fret lies at L / 17.817.
  EXPECT_NEAR(fret_distance(Millimetres(647.7), 1).value, 647.7 / 17.817, 0.005);
}

TEST(FretDistance, SpansShrinkUpTheNeck) {
  // Wire to wire on 648 mm, from the table above.
  const Neck neck = neck_of("standard");
  EXPECT_NEAR(neck.span(1, 5).value, 126.2, 0.05);
  EXPECT_NEAR(neck.span(5, 9).value, 100.1, 0.05);
  EXPECT_NEAR(neck.span(12, 16).value, 66.8, 0.05);
}

// --- Tunings -------------------------------------------------------------------------------------

TEST(Tuning, StandardSoundsAsInTheTables) {
  const Tuning tuning = *parse_tuning("standard");
  // Scientific pitch names and MIDI notes, 69 = A4 = 440 Hz (ISO 16:1975); frequencies: CRC Handbook of
  // Chemistry and Physics, section 14-22 (E2 82.407, E4 329.63), the others by equal temperament.
  constexpr std::array k_midi = {40, 45, 50, 55, 59, 64};
  constexpr std::array k_hertz = {82.407, 110.00, 146.83, 196.00, 246.94, 329.63};
  ASSERT_EQ(tuning.strings(), 6);
  for (std::size_t i = 0; i < k_midi.size(); ++i) {
    EXPECT_EQ(tuning.open[i].midi(), k_midi[i]);
    EXPECT_NEAR(frequency(tuning.open[i].midi()).value, k_hertz[i], 0.006);
  }
  EXPECT_TRUE(tuning.ascends());
}

TEST(Tuning, EveryPresetIsRead) {
  ASSERT_FALSE(tuning_presets().empty());
  for (const TuningPreset& row : tuning_presets()) {
    const auto tuning = parse_tuning(row.name);
    ASSERT_TRUE(tuning.ok()) << row.name;
    EXPECT_GE(tuning->strings(), 1) << row.name;
    EXPECT_LE(tuning->strings(), k_max_strings) << row.name;
    std::string back;
    for (const SpelledPitch& open : tuning->open) back += (back.empty() ? "" : " ") + open.name();
    EXPECT_EQ(back, row.strings) << row.name;
  }
}

TEST(Tuning, NamesIgnoreCaseAndOfferTheNearest) {
  EXPECT_EQ(*parse_tuning("  Drop d "), *parse_tuning("drop D"));
  const auto wrong = parse_tuning("standrad");
  ASSERT_FALSE(wrong.ok());
  EXPECT_EQ(wrong.error().repair, "standard");
  ASSERT_FALSE(parse_tuning("").ok());
  EXPECT_TRUE(parse_tuning(parse_tuning("").error().repair).ok());
}

TEST(Tuning, RepairsOneString) {
  const auto tuning = parse_tuning(std::vector<std::string>{"E2", "A2", "D3", "G3", "H2", "E4"});
  ASSERT_FALSE(tuning.ok());
  EXPECT_EQ(tuning.error().at, 4U);
  EXPECT_EQ(tuning.error().repair, "B2");
  for (const std::string bad : {"", "H", "E", "E2x", "9", "Q2", "\xff", "E99999999999"}) {
    const auto refused = parse_tuning(std::vector<std::string>{bad});
    ASSERT_FALSE(refused.ok()) << bad;
    EXPECT_TRUE(parse_tuning(std::vector<std::string>{refused.error().repair}).ok()) << bad;
  }
}

TEST(Tuning, HasOneToTwelveStrings) {
  EXPECT_FALSE(parse_tuning(std::vector<std::string>{}).ok());
  EXPECT_TRUE(parse_tuning(std::vector<std::string>(1, "E2")).ok());
  EXPECT_TRUE(parse_tuning(std::vector<std::string>(12, "E2")).ok());
  const auto thirteen = parse_tuning(std::vector<std::string>(13, "E2"));
  ASSERT_FALSE(thirteen.ok());
  EXPECT_EQ(thirteen.error().kind, ErrorKind::range);
  EXPECT_NE(thirteen.error().what.find("13 strings"), std::string::npos) << thirteen.error().what;
}

TEST(Tuning, ReentrantStringsDoNotAscend) {
  EXPECT_FALSE(parse_tuning("ukulele")->ascends());
  EXPECT_FALSE(parse_tuning(std::vector<std::string>{"E2", "E2"})->ascends());
}

// --- Capo ----------------------------------------------------------------------------------------

TEST(Capo, FretsCountFromItAndMillimetresFromTheNut) {
  const Neck neck = neck_of("standard", 2, 22);
  EXPECT_EQ(neck.open_midi(6), 42);
  EXPECT_EQ(neck.open_midi(1), 66);
  EXPECT_EQ(neck.highest_fret(), 20);
  EXPECT_TRUE(neck.has_fret(20));
  EXPECT_FALSE(neck.has_fret(21));
  EXPECT_FALSE(neck.has_fret(-1));
  // Frets 3 to 7 from a capo at 2 are the wires 5 to 9: 100.1 mm on 648 mm.
  EXPECT_NEAR(neck.span(3, 7).value, 100.1, 0.05);
}

TEST(Capo, MovesTheHandNotTheSound) {
  // The worked example of the design sounds E at fret 12; a capo at 2 brings the same wires to 10.
  LayoutRule rule{.from = 10};
  EXPECT_EQ(layout_text("E dorian", neck_of("standard", 2), rule),
            "10 12 13 | 10 12 14 | 10 12 14 | 10 12 14 | 12 13 15 | 12 13 15");
}

// --- Layouts -------------------------------------------------------------------------------------

TEST(Layout, WorkedExampleOfTheDesign) {
  const Neck neck = neck_of("standard");
  const Key key = *parse_key("E dorian");
  const auto layout = make_layout(key, neck, LayoutRule{.from = 12});
  ASSERT_TRUE(layout.ok());
  const auto frets = layout_frets(key, neck, *layout);
  EXPECT_EQ(frets_text(frets), "12 14 15 | 12 14 16 | 12 14 16 | 12 14 16 | 14 15 17 | 14 15 17");
  EXPECT_FALSE(off_neck(key, neck, *layout));
  EXPECT_NEAR(widest(neck, frets).span.value, 66.8, 0.05);
  EXPECT_EQ(widest(neck, frets).string, 5);  // of equals the thickest
}

TEST(Layout, PentatonicExampleOfTheDesign) {
  const Neck neck = neck_of("standard");
  const Key key = *parse_key("C# minor pentatonic");
  const LayoutRule rule{.from = 9};
  const auto layout = make_layout(key, neck, rule);
  ASSERT_TRUE(layout.ok());
  const auto frets = layout_frets(key, neck, *layout);
  EXPECT_EQ(frets_text(frets), "9 12 14 | 11 14 16 | 14 16 18 | 16 18 21 | 19 21 24 | 21 24 26");
  const auto off = off_neck(key, neck, *layout);
  ASSERT_TRUE(off.has_value());
  EXPECT_EQ(off->string, 1);
  EXPECT_EQ(off->fret, 26);
  EXPECT_EQ(off->ordinal, 3);
  EXPECT_EQ(nearest_legal_from(key, neck, rule), 7);
  EXPECT_EQ(widest(neck, frets).string, 6);
  EXPECT_NEAR(widest(neck, frets).span.value, 96.7, 0.05);
  // The offer: two a string.
  EXPECT_EQ(layout_text("C# minor pentatonic", neck, LayoutRule{.notes = 2, .from = 9}),
            "9 12 | 9 11 | 9 11 | 9 11 | 9 12 | 9 12");
}

TEST(Layout, NearestLegalFromIsLegalAndNearest) {
  const Neck neck = neck_of("standard");
  const Key key = *parse_key("C# minor pentatonic");
  const auto legal = [&](int from) { return !off_neck(key, neck, *make_layout(key, neck, LayoutRule{.from = from})); };
  EXPECT_TRUE(legal(7));
  EXPECT_FALSE(legal(8));
  EXPECT_FALSE(legal(9));
}

TEST(Layout, PerStringNeedsAnAscendingTuning) {
  const auto layout = make_layout(*parse_key("C"), neck_of("ukulele"), LayoutRule{});
  ASSERT_FALSE(layout.ok());
  EXPECT_EQ(layout.error().repair, "position");
  EXPECT_TRUE(make_layout(*parse_key("C"), neck_of("ukulele"), LayoutRule{.kind = LayoutKind::position}).ok());
}

TEST(Layout, PositionTakesAllScaleNotesOfItsFrets) {
  // The five lowest frets of C major in standard tuning, by hand.
  EXPECT_EQ(layout_text("C", neck_of("standard"), LayoutRule{.kind = LayoutKind::position, .width = 4, .from = 0}),
            "0 1 3 | 0 2 3 | 0 2 3 | 0 2 | 0 1 3 | 0 1 3");
}

TEST(Layout, OctavesRepeatTheirBlock) {
  // A minor pentatonic 3 and 2 from fret 5 by hand: A C D | E G, then an octave up on each further pair.
  const LayoutRule rule{.kind = LayoutKind::octaves, .octave_notes = {3, 2}, .from = 5};
  EXPECT_EQ(layout_text("A minor pentatonic", neck_of("standard"), rule),
            "5 8 10 | 7 10 | 7 10 12 | 9 12 | 10 13 15 | 12 15");
}

}  // namespace
}  // namespace fretloom
