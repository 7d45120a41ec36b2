// The lesson for other programs.

#include "band/play_vamp.h"
#include "engine/calls.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/text_tab.h"

namespace fretloom::engine {

Result<Answer> midi(Session& session, Request& request) {
  static constexpr std::array<std::pair<std::string_view, MidiSpeed>, 2> k_speeds = {
      {{"goal", MidiSpeed::goal}, {"slow", MidiSpeed::slow}}};
  static constexpr std::array<std::pair<std::string_view, MidiChannels>, 2> k_channels = {
      {{"one", MidiChannels::one}, {"per-string", MidiChannels::per_string}}};
  MidiOptions options;
  options.speed = request.one_of("speed", k_speeds, options.speed);
  options.channels = request.one_of("channels", k_channels, options.channels);
  if (const auto fault = request.fault()) return *fault;
  const auto bands =
      play_vamps(session.handout(), options.speed == MidiSpeed::slow ? BandSpeed::slow : BandSpeed::goal);
  if (!bands) return bands.error();
  const auto file = midi_of(session.handout(), options, *bands);
  if (!file) return file.error();
  std::string bytes = write_midi(*file);
  return Answer{print({{"bytes", bytes.size()}}), std::move(bytes)};
}

Result<Answer> musicxml(Session& session, Request& request) {
  static constexpr std::array<std::pair<std::string_view, MusicXmlSpeed>, 2> k_speeds = {
      {{"goal", MusicXmlSpeed::goal}, {"slow", MusicXmlSpeed::slow}}};
  MusicXmlOptions options;
  options.speed = request.one_of("speed", k_speeds, options.speed);
  if (const auto fault = request.fault()) return *fault;
  const auto document = musicxml_of(session.handout(), options);
  if (!document) return document.error();
  return answer({{"text", *document}});
}

Result<Answer> tab(Session& session, Request& request) {
  TextTabOptions options;
  options.width = static_cast<std::size_t>(request.integer("width", 40, 400, static_cast<int>(options.width)));
  if (const auto fault = request.fault()) return *fault;
  const auto text = text_handout(session.handout(), session.sentences(), options);
  if (!text) return text.error();
  return answer({{"text", *text}});
}

}  // namespace fretloom::engine
