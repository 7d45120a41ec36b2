#include "play/render.h"

#include <algorithm>
#include <memory>

#include "base/text.h"
#include "neck/tuning.h"
#include "sound/kernel/voice.h"

namespace fretloom {
namespace {

constexpr int k_chunk = 4096;
/// A loop runs at least this long before it is kept: every string is damped and the room is still by then.
constexpr std::int64_t k_warm_up = 5LL * k_sample_rate;
constexpr float k_count_in_level = 0.6F;  ///< the start is quiet: the count-in lies 4 dB under the click

// The kernel includes nothing of the other rooms and keeps a number of its own.
static_assert(voice::k_strings == k_max_strings);

std::vector<voice::Event> play(const std::vector<voice::PlayedNote>& notes, const voice::Manner& manner) {
  std::vector<voice::Event> events(notes.size() * voice::k_events_a_note + 1);
  const int count = voice::perform(notes.data(), static_cast<int>(notes.size()), manner, events.data(),
                                   static_cast<int>(events.size()));
  events.resize(static_cast<std::size_t>(std::max(count, 0)));
  return events;
}

/// The notes of so many turns of a loop.
std::vector<voice::PlayedNote> unroll(const Timeline& timeline, std::int64_t turns) {
  std::vector<voice::PlayedNote> notes;
  notes.reserve(timeline.notes.size() * static_cast<std::size_t>(turns));
  for (std::int64_t t = 0; t < turns; ++t) {
    for (voice::PlayedNote note : timeline.notes) {
      note.onset += t * timeline.frames;
      note.end += t * timeline.frames;
      notes.push_back(note);
    }
  }
  return notes;
}

Audio render_click(const Timeline& timeline) {
  Audio out;
  out.samples.assign(static_cast<std::size_t>(timeline.frames) * k_channels, 0.0F);
  std::vector<float> knock(voice::k_knock_frames);
  for (const TimedKnock& timed : timeline.knocks) {
    std::fill(knock.begin(), knock.end(), 0.0F);
    voice::add_knock(timed.knock, timed.count_in ? k_count_in_level : 1.0F, 0, knock.data(), voice::k_knock_frames);
    for (std::int64_t i = 0; i < voice::k_knock_frames; ++i) {
      std::int64_t frame = timed.frame + i;
      if (frame >= timeline.frames && !timeline.loop) break;
      frame %= timeline.frames;  // a knock at the end of a loop goes on at its start
      const auto at = static_cast<std::size_t>(frame) * k_channels;
      out.samples[at] += knock[static_cast<std::size_t>(i)];
      out.samples[at + 1] += knock[static_cast<std::size_t>(i)];
    }
  }
  return out;
}

/// The last fifth of a second of a piece that ends goes to nothing.
void fade_out(Audio& audio) {
  const std::int64_t length = std::min<std::int64_t>(audio.frames(), k_sample_rate / 5);
  for (std::int64_t i = 0; i < length; ++i) {
    const float x = static_cast<float>(i) / static_cast<float>(length);
    const auto at = static_cast<std::size_t>(audio.frames() - 1 - i) * k_channels;
    audio.samples[at] *= x;
    audio.samples[at + 1] *= x;
  }
}

int usual_voicing(const Instrument& instrument) {
  return parse_voicing(instrument.is_bass() ? "bass" : "clean").value_or(0);
}

Result<Audio> render_strings(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options,
                             const StopFlag* stop, const Progress& progress) {
  Audio out;
  out.samples.assign(static_cast<std::size_t>(timeline.frames) * k_channels, 0.0F);
  if (timeline.notes.empty()) return out;

  std::vector<double> open;
  for (int string = instrument.strings(); string >= 1; --string)
    open.push_back(frequency(instrument.neck.open_midi(string)).value);
  const auto voice = std::make_unique<voice::Voice>();
  voice->prepare(open.data(), static_cast<int>(open.size()), instrument.is_bass(),
                 options.voicing.value_or(usual_voicing(instrument)), options.manner);

  const std::int64_t before = timeline.loop ? (k_warm_up + timeline.frames - 1) / timeline.frames : 0;
  // One turn more than is heard: the last note of the kept turn must know what follows it.
  const auto events = play(timeline.loop ? unroll(timeline, before + 2) : timeline.notes, options.manner);
  voice->start(events.data(), static_cast<int>(events.size()));

  const std::int64_t skip = before * timeline.frames;
  const std::int64_t all = skip + timeline.frames;
  std::vector<float> left(k_chunk);
  std::vector<float> right(k_chunk);
  for (std::int64_t done = 0; done < all; done += k_chunk) {
    if (stop != nullptr && stop->load(std::memory_order_relaxed)) return stopped();
    voice->render(left.data(), right.data(), k_chunk);
    const std::int64_t end = std::min<std::int64_t>(done + k_chunk, all);
    for (std::int64_t f = std::max(done, skip); f < end; ++f) {
      const auto at = static_cast<std::size_t>(f - skip) * k_channels;
      out.samples[at] = left[static_cast<std::size_t>(f - done)];
      out.samples[at + 1] = right[static_cast<std::size_t>(f - done)];
    }
    if (progress) progress(static_cast<double>(end) / static_cast<double>(all));
  }
  if (!timeline.loop) fade_out(out);
  return out;
}

}  // namespace

std::vector<std::string_view> voicing_names() {
  std::vector<std::string_view> names;
  for (int i = 0; i < voice::k_voicings; ++i) names.emplace_back(voice::voicing(i).name);
  return names;
}

std::optional<int> parse_voicing(std::string_view name) {
  const auto names = voicing_names();
  const auto found = std::find(names.begin(), names.end(), lower(trim(name)));
  if (found == names.end()) return std::nullopt;
  return static_cast<int>(found - names.begin());
}

Result<Tracks> render(const Instrument& instrument, const Timeline& timeline, const RenderOptions& options,
                      const StopFlag* stop, const Progress& progress) {
  Result<Audio> strings = render_strings(instrument, timeline, options, stop, progress);
  if (!strings) return strings.error();
  return Tracks{std::move(strings).value(), render_click(timeline)};
}

}  // namespace fretloom
