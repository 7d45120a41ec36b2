// The sound of an idea and of its band: each part on its own, unlevelled.

#include <algorithm>
#include <bit>
#include <cmath>
#include <cstring>
#include <optional>

#include "engine/calls.h"
#include "play/band_timeline.h"
#include "play/render.h"
#include "play/span.h"
#include "score/limits.h"
#include "sound/kernel/math.h"

namespace fretloom::engine {

namespace {

static_assert(std::endian::native == std::endian::little, "the bytes of a reply are little endian");

/// What a page plays at once; more would fill a phone's memory.
constexpr std::int64_t k_most_frames = 180LL * k_sample_rate;

constexpr std::array<std::pair<std::string_view, Piece>, 5> k_pieces = {{{"demo", Piece::demo},
                                                                         {"loop", Piece::loop},
                                                                         {"click", Piece::click},
                                                                         {"ladder", Piece::ladder},
                                                                         {"bursts", Piece::bursts}}};
constexpr std::array<std::pair<std::string_view, ClickPattern>, 5> k_clicks = {
    {{"off", ClickPattern::off},
     {"bar", ClickPattern::bar},
     {"beat", ClickPattern::beat},
     {"subdivision", ClickPattern::subdivision},
     {"backbeat", ClickPattern::backbeat}}};

/// One side of interleaved sound, as bytes.
void append_side(std::string& bytes, const Audio& audio, std::size_t side) {
  const auto frames = static_cast<std::size_t>(audio.frames());
  std::vector<float> samples(frames);
  for (std::size_t i = 0; i < frames; ++i) samples[i] = audio.samples[i * k_channels + side];
  const std::size_t at = bytes.size();
  bytes.resize(at + frames * sizeof(float));
  std::memcpy(bytes.data() + at, samples.data(), frames * sizeof(float));
}

double peak_of(const Audio& audio) {
  float peak = 0;
  for (const float x : audio.samples) peak = std::max(peak, std::abs(x));
  return static_cast<double>(peak);
}

/// When each note sounds; `first` is the feel's note that the score begins with.
Json notes_json(const Timeline& timeline, int first) {
  Json list = Json::array();
  for (std::size_t i = 0; i < timeline.notes.size(); ++i) {
    const voice::PlayedNote& note = timeline.notes[i];
    list.push_back({{"note", first + timeline.score_notes[i]}, {"begin", note.onset}, {"end", note.end}});
  }
  return list;
}

Json knocks_json(const Timeline& timeline) {
  constexpr std::array<std::string_view, 3> k_names = {"bar", "beat", "subdivision"};
  Json list = Json::array();
  for (const TimedKnock& knock : timeline.knocks)
    list.push_back({{"frame", knock.frame},
                    {"kind", k_names[static_cast<std::size_t>(knock.knock)]},
                    {"count_in", knock.count_in}});
  return list;
}

Json marks_json(const Timeline& timeline) {
  Json list = Json::array();
  for (const Mark& mark : timeline.marks)
    list.push_back({{"frame", mark.frame}, {"bpm", mark.bpm.to_double()}, {"name", mark.name}});
  return list;
}

Error too_long() {
  return {
      ErrorKind::limit, 0,
      "this lasts more than the " + std::to_string(k_most_frames / k_sample_rate) + " seconds that are played at once",
      ""};
}

/// A part of a timeline that is asked for before the whole is, so that sound begins at once.
struct Beginning {
  std::optional<int> from;        ///< a note of the score
  std::optional<double> seconds;  ///< no more than these
};

struct Part {
  Timeline timeline;
  std::int64_t origin = 0;  ///< the frame of the whole that it begins with
};

/// A loop is cut from two turns of it. Error (range): no such note.
Result<Part> part_of(const Timeline& whole, const Beginning& beginning) {
  Part part;
  if (beginning.from) {
    const auto at = std::find(whole.score_notes.begin(), whole.score_notes.end(), *beginning.from);
    if (at == whole.score_notes.end()) return Error{ErrorKind::range, 0, "there is no such note to begin with", ""};
    part.origin = whole.notes[static_cast<std::size_t>(at - whole.score_notes.begin())].onset;
  }
  std::int64_t frames = whole.loop ? whole.frames : whole.frames - part.origin;
  if (beginning.seconds) frames = std::min(frames, static_cast<std::int64_t>(*beginning.seconds * k_sample_rate));
  part.timeline.frames = frames;
  for (int turn = 0; turn < (whole.loop ? 2 : 1); ++turn) {
    const std::int64_t by = turn * whole.frames - part.origin;
    const auto is_in = [&](std::int64_t frame) { return frame + by >= 0 && frame + by < frames; };
    for (std::size_t i = 0; i < whole.notes.size(); ++i) {
      if (!is_in(whole.notes[i].onset)) continue;
      part.timeline.notes.push_back(whole.notes[i]);
      part.timeline.notes.back().onset += by;
      part.timeline.notes.back().end += by;
      part.timeline.score_notes.push_back(whole.score_notes[i]);
    }
    for (const TimedKnock& knock : whole.knocks) {
      if (is_in(knock.frame)) part.timeline.knocks.push_back({knock.frame + by, knock.knock, knock.count_in});
    }
    for (const Mark& mark : whole.marks) {
      if (is_in(mark.frame)) part.timeline.marks.push_back({mark.frame + by, mark.bpm, mark.name});
    }
  }
  return part;
}

}  // namespace

Result<Answer> voice(Session& session, Request& request) {
  TimelineOptions options;
  RenderOptions sound;
  options.piece = request.one_of("piece", k_pieces, Piece::demo);
  options.click = request.one_of("click", k_clicks, ClickPattern::beat);
  options.count_in_bars = request.integer("count_in", 0, 4, options.piece == Piece::loop ? 0 : 1);
  options.times = request.integer("times", 1, 64, 1);
  const bool goal = !request.has("bpm");
  const double bpm = request.number("bpm", k_slowest_bpm, k_fastest_bpm, 120);
  const bool slow = !request.has("from_bpm");
  const double from_bpm = request.number("from_bpm", k_slowest_bpm, k_fastest_bpm, 60);
  request.integer("rate", k_sample_rate, k_sample_rate, k_sample_rate);
  sound.manner.palm = request.number("palm", 0, 1, sound.manner.palm);
  sound.manner.stroke_colour = request.number("stroke_colour", 0, 2, sound.manner.stroke_colour);
  const bool is_span = request.has("first") || request.has("last");
  const int first = request.integer("first", 0, 1'000'000, 0);
  const int last = request.integer("last", 0, 1'000'000, first);
  Beginning beginning;
  if (request.has("from")) beginning.from = request.integer("from", 0, 1'000'000, 0);
  if (request.has("seconds")) beginning.seconds = request.number("seconds", 0.1, k_most_frames / k_sample_rate, 1);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const IdeaSheet& idea = *chosen->idea;

  const auto tempo = legal_tempo(bpm);
  const auto from = legal_tempo(from_bpm);
  if (!tempo) return tempo.error();
  if (!from) return from.error();
  options.bpm = goal ? idea.goal_bpm : *tempo;
  options.ladder_from = slow ? idea.slow_bpm : *from;
  const auto score = is_span ? span_of(chosen->score(), idea.meter, first, last) : Result<Score>(chosen->score());
  if (!score) return score.error();
  const auto laid = lay_out(idea, *score, options);
  if (!laid) return laid.error();
  // The bar that a span's first note lies in, which is moved to bar 1.
  const Rational bar = is_span ? chosen->score().notes[static_cast<std::size_t>(first)].onset.value /
                                     Rational(idea.meter.beats_per_bar())
                               : Rational(0);
  if (is_span && beginning.from) *beginning.from -= first;
  const auto part = beginning.from || beginning.seconds ? part_of(*laid, beginning) : Result<Part>(Part{*laid, 0});
  if (!part) return part.error();
  const Timeline& timeline = part->timeline;
  if (timeline.frames > k_most_frames) return too_long();
  const auto tracks = render(idea.instrument, timeline, sound);
  if (!tracks) return tracks.error();

  Answer out = answer({{"rate", k_sample_rate},
                       {"frames", timeline.frames},
                       {"loop", timeline.loop},
                       {"origin", part->origin},
                       {"bar", bar.floor()},
                       {"whole", laid->frames},
                       {"tracks", {"lick-left", "lick-right", "click"}},
                       {"peak", {{"lick", peak_of(tracks->strings)}, {"click", peak_of(tracks->click)}}},
                       {"notes", notes_json(timeline, is_span ? first : 0)},
                       {"knocks", knocks_json(timeline)},
                       {"marks", marks_json(timeline)}});
  append_side(out.bytes, tracks->strings, 0);
  append_side(out.bytes, tracks->strings, 1);
  append_side(out.bytes, tracks->click, 0);
  return out;
}

Result<Answer> band(Session& session, Request& request) {
  const bool goal = !request.has("bpm");
  const double bpm = request.number("bpm", k_slowest_bpm, k_fastest_bpm, 120);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const IdeaSheet& idea = *chosen->idea;
  const auto tempo = legal_tempo(bpm);
  if (!tempo) return tempo.error();
  BandOptions options = shared_band(session.handout(), idea, {});
  options.bpm = goal ? idea.goal_bpm : *tempo;
  options.turns = 1;
  const auto played = play_vamp(idea, options);
  if (!played) return played.error();
  Timeline turn;
  turn.loop = true;
  turn.frames = frame_of(played->length.value, options.bpm);
  turn.stretches = {{0, options.bpm, played->length}};
  if (turn.frames > k_most_frames) return too_long();
  const auto laid = lay_out_band(idea, turn, options);
  if (!laid) return laid.error();
  const auto tracks = render_strings(*laid);
  if (!tracks) return tracks.error();

  Json sounds = Json::array();
  for (const HitSound& sound : laid->sounds)
    sounds.push_back({{"role", name(sound.role)}, {"key", sound.key}, {"velocity", sound.velocity}});
  Json hits = Json::array();
  for (const BandHit& hit : laid->hits)
    hits.push_back({{"frame", hit.frame},
                    {"end", hit.end},
                    {"rise", hit.rise},
                    {"fall", hit.fall},
                    {"sound", hit.sound},
                    {"level", static_cast<double>(hit.level)}});
  Json strings = Json::array();
  for (const BandTrack& track : *tracks) {
    const Seat seat = seat_of(track.role, 0);
    strings.push_back({{"role", name(track.role)}, {"pan", seat.pan}, {"gain", voice::from_decibels(seat.gain_db)}});
  }
  Answer out = answer({{"rate", k_sample_rate},
                       {"frames", laid->frames},
                       {"bars", played->bars},
                       {"beats", played->length.value.to_double()},
                       {"strings", std::move(strings)},
                       {"sounds", std::move(sounds)},
                       {"hits", std::move(hits)}});
  for (const BandTrack& track : *tracks) append_side(out.bytes, track.audio, 0);
  return out;
}

}  // namespace fretloom::engine
