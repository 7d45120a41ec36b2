#include "lesson/notes_json.h"

#include <nlohmann/json.hpp>

namespace fretloom {

namespace {

using Json = nlohmann::ordered_json;

Json to_json(const std::optional<Stroke>& stroke) {
  return stroke ? Json(std::string(1, letter(*stroke))) : Json(nullptr);
}

Json tuning_json(const Tuning& tuning) {
  Json list = Json::array();
  for (const SpelledPitch& pitch : tuning.open) list.push_back(pitch.midi());
  return list;
}

Json layout_json(const Ground& ground) { return layout_frets(ground.key, ground.neck, ground.layout); }

Json finding_json(const Finding& finding) {
  return {{"level", name(finding.level)},
          {"code", finding.code},
          {"where", finding.where.text()},
          {"line", finding.place.line},
          {"column", finding.place.column},
          {"message", finding.message},
          {"repair", finding.repair.empty() ? Json(nullptr) : Json(finding.repair)}};
}

Json findings_list(const CompiledLesson& compiled) {
  Json list = Json::array();
  for (const Finding& finding : compiled.findings) list.push_back(finding_json(finding));
  return list;
}

Json note_json(const LickNote& note, const std::optional<Stroke>& stroke, int finger) {
  return {{"string", note.string},     {"fret", note.fret},           {"ordinal", note.ordinal},
          {"midi", note.midi},         {"pitch", note.pitch.name()},  {"degree", note.degree.name()},
          {"stroke", to_json(stroke)}, {"attack", name(note.attack)}, {"finger", finger},
          {"accent", note.accent},     {"unit", note.unit},           {"units", note.units},
          {"repeat", note.repeat}};
}

Json change_json(const Change& change) {
  return {{"after_note", change.after_note},
          {"from", change.from},
          {"to", change.to},
          {"last", to_json(change.last)},
          {"first", to_json(change.first)},
          {"type", name(change.type)},
          {"free", change.free}};
}

Json proof_json(const Proof& proof) {
  return {{"sentence", parity_sentence(proof)},
          {"looped", proof.looped ? Json(*proof.looped) : Json(nullptr)},
          {"counter_example", proof.counter_example ? Json(*proof.counter_example) : Json(nullptr)}};
}

Json repair_json(const std::optional<Repair>& repair) {
  if (!repair) return nullptr;
  const bool possible = repair->possible;
  return {{"possible", possible},
          {"reason", repair->reason.empty() ? Json(nullptr) : Json(repair->reason)},
          {"first_stroke", possible ? Json(name(repair->first_stroke)) : Json(nullptr)},
          {"rule", possible ? Json(repair->rule) : Json(nullptr)},
          {"slurs", possible ? Json(repair->slurs) : Json(nullptr)},
          {"ties", repair->ties},
          {"note_by_note", repair->note_by_note ? Json(*repair->note_by_note) : Json(nullptr)}};
}

Json realign_json(const Realignment& realignment, const char* spans) {
  return {{"notes", realignment.notes}, {"groups", realignment.groups}, {spans, realignment.spans}};
}

/// A whole number without a decimal point, else the shortest decimal.
Json number_json(const Rational& number) { return number.is_whole() ? Json(number.num()) : Json(number.to_double()); }

Json changes_json(const std::vector<Change>& changes) {
  Json list = Json::array();
  for (const Change& change : changes) list.push_back(change_json(change));
  return list;
}

Json one_ending_json(const EndingOption& option, const std::vector<int>& fingers, const Meter& meter,
                     int notes_per_beat) {
  const Ending& ending = option.ending;
  Json fill = Json::array();
  for (std::size_t i = 0; i < option.fill.size(); ++i)
    fill.push_back(note_json(option.fill[i], option.strokes[option.body.size() + i], fingers[i]));
  return {{"kind", name(ending.kind)},
          {"fill", fill},
          {"landing", note_json(option.landing, option.strokes.back(), fingers.back())},
          {"slot", ending.slot},
          {"start_slot", ending.start_slot},
          {"changes", changes_json(ending.changes)},
          {"blocked", ending.blocked()},
          {"reason", reason(option, meter, notes_per_beat)},
          {"others", Json::array()}};
}

/// The first ending, with the others in their order.
Json ending_json(const Feel& feel, const Meter& meter) {
  Json first = nullptr;
  for (std::size_t i = 0; i < feel.endings.size(); ++i) {
    Json json = one_ending_json(feel.endings[i], feel.ending_fingers[i], meter, feel.notes_per_beat);
    if (i == 0) {
      first = std::move(json);
    } else {
      first["others"].push_back(std::move(json));
    }
  }
  return first;
}

Json feel_json(const Feel& feel, const Settings& settings) {
  Json onsets = Json::array();
  for (const Beats& onset : feel.onsets) onsets.push_back(onset.value.to_string());
  return {{"notes_per_beat", feel.notes_per_beat},
          {"ratio", feel.ratio ? Json(feel.ratio->name()) : Json(nullptr)},
          {"onsets", onsets},
          {"realign",
           {{"beat", realign_json(feel.beat, "beats")},
            {"bar", realign_json(feel.bar, "bars")},
            {"vamp", realign_json(feel.vamp, "vamps")}}},
          {"ending", ending_json(feel, settings.meter)},
          {"notes_per_second",
           {{"slow", number_json(notes_per_second(settings.tempo.slow_bpm, feel.notes_per_beat))},
            {"goal", number_json(notes_per_second(settings.tempo.goal_bpm, feel.notes_per_beat))}}}};
}

Json idea_json(const Idea& idea, const CompiledIdea& compiled) {
  const Settings& settings = idea.settings;
  Json json = {{"name", idea.name},
               {"key", settings.key().name()},
               {"tuning", tuning_json(settings.neck().tuning)},
               {"layout", layout_json(settings.ground)},
               {"rule", idea.lick.rule.text},
               {"group", idea.lick.rule.group()},
               {"units", idea.lick.rule.units()},
               {"repeats", compiled.phrase.repeats}};
  json["visits"] = Json::array();
  for (const Visit& visit : compiled.proof.visits) json["visits"].push_back(visit.notes);
  json["notes"] = Json::array();
  for (std::size_t i = 0; i < compiled.phrase.notes.size(); ++i)
    json["notes"].push_back(note_json(compiled.phrase.notes[i], compiled.strokes[i], compiled.fingering.fingers[i]));
  json["changes"] = changes_json(compiled.proof.changes);
  json["blocked"] = {{"upstroke", compiled.blocked.upstroke},
                     {"downstroke", compiled.blocked.downstroke},
                     {"own", compiled.blocked.own}};
  json["proof"] = proof_json(compiled.proof);
  json["repair"] = repair_json(compiled.repair);
  json["feels"] = Json::array();
  for (const Feel& feel : compiled.feels) json["feels"].push_back(feel_json(feel, settings));
  return json;
}

std::string print(const Json& json) { return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n"; }

}  // namespace

std::string notes_json(const CompiledLesson& compiled, std::optional<int> idea) {
  if (!compiled.lesson) return findings_json(compiled);
  const Lesson& lesson = *compiled.lesson;
  const SettingsDraft& settings = lesson.settings;
  Json json = {{"format", lesson.format},
               {"title", lesson.has_title ? Json(lesson.prose.title) : Json(nullptr)},
               {"key", settings.key.sound ? Json(settings.key.value.name()) : Json(nullptr)},
               {"tuning", settings.tuning.sound ? tuning_json(settings.tuning.value) : Json(nullptr)},
               {"capo", settings.capo.sound ? Json(settings.capo.value) : Json(nullptr)},
               {"layout", settings.ground ? layout_json(*settings.ground) : Json(nullptr)}};
  json["ideas"] = Json::array();
  for (const CompiledIdea& each : compiled.ideas) {
    const Idea& source = compiled.idea(each);
    if (!idea || *idea == source.number) json["ideas"].push_back(idea_json(source, each));
  }
  json["findings"] = findings_list(compiled);
  return print(json);
}

std::string everywhere_json(const CompiledLesson& compiled, std::optional<int> idea) {
  Json json = {{"ideas", Json::array()}};
  for (const CompiledIdea& each : compiled.ideas) {
    const Idea& source = compiled.idea(each);
    if (idea && *idea != source.number) continue;
    Json placements = Json::array();
    for (const Placement& p : everywhere(source)) {
      placements.push_back({{"key", p.key.name()},
                            {"from", p.from},
                            {"home", p.is_home},
                            {"playable", p.playable},
                            {"reason", p.reason.empty() ? Json(nullptr) : Json(p.reason)},
                            {"repeats", p.repeats},
                            {"blocked", p.blocked},
                            {"reach_mm", p.reach.value}});
    }
    json["ideas"].push_back({{"idea", source.number}, {"name", source.name}, {"placements", placements}});
  }
  json["findings"] = findings_list(compiled);
  return print(json);
}

std::string findings_json(const CompiledLesson& compiled) { return print(Json{{"findings", findings_list(compiled)}}); }

}  // namespace fretloom
