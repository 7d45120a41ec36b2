// The lesson drawn: loom, neck and sheet of an idea for a page on a screen, and pages of paper.

#include "engine/calls.h"
#include "engine/drawing.h"
#include "engine/hand_places.h"
#include "lesson/reshape_idea.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"

namespace fretloom::engine {

namespace {

void read_signs(Request& request, sheet::SheetOptions& options) {
  options.strokes = request.flag("strokes", options.strokes);
  options.fingers = request.flag("fingers", options.fingers);
  options.ordinals = request.flag("ordinals", options.ordinals);
  options.counting = request.flag("counting", options.counting);
}

/// What a drawing for a screen is asked with: "width" and "digits".
sheet::SheetOptions read_screen(Request& request) {
  const double width =
      request.number("width", sheet::k_narrowest_screen, sheet::k_widest_screen, sheet::k_usual_screen);
  return screen_options(width, request.number("digits", sheet::k_least_digits, k_most_digits, sheet::k_least_digits));
}

/// Ids of the drawings of one page must differ: "sheet-i1f1-".
std::string prefix_of(std::string_view call, const ChosenFeel& feel) {
  return std::string(call) + "-i" + std::to_string(feel.idea->number) + "f" + std::to_string(feel.feel + 1) + "-";
}

/// One idea at one feel, music alone.
Result<Answer> music(Session& session, Request& request, DrawingStyle style) {
  sheet::SheetOptions options = read_screen(request);
  options.paper.margin = sheet::pixels(request.number("margin", 0, 100, 0));
  options.neck = options.loom = options.prose = options.vamp = false;
  read_signs(request, options);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  auto engraved = engrave(*chosen->idea, static_cast<int>(chosen->feel), options, session.font());
  if (!engraved) return engraved.error();
  Drawing drawing{std::move(engraved).value().scene, {}};
  for (const sheet::SceneSystem& system : drawing.scene.systems) drawing.rows.push_back(system.box);
  return answer(drawing_json(drawing, prefix_of("sheet", *chosen), session.font(), style));
}

/// The strings of the lesson, where an idea is asked for that is yet to be begun.
Result<Answer> loom_to_begin(const Session& session, int idea, const sheet::SheetOptions& options, DrawingStyle style) {
  const auto begun = begin_idea(session.text());
  if (!begun) return begun.error();
  const Handout handout = make_handout(compile_lesson(begun->text));
  const ChosenFeel feel{&handout.ideas.back(), 0, handout.ideas.size() - 1};
  const Drawing drawing = draw_blank_loom(*feel.idea, feel.score(), options, session.font());
  Json json = drawing_json(drawing, "loom-i" + std::to_string(idea) + "f1-", session.font(), style);
  json["loom"] = blank_hands_json(feel, drawing);
  return answer(json);
}

}  // namespace

Result<Answer> loom(Session& session, Request& request) {
  sheet::SheetOptions options = read_screen(request);
  const DrawingStyle style = request_style(request);
  const bool hands = request.flag("hands", false);
  if (hands) options.lanes = sheet::LoomLanes::all;
  if (hands && is_next_idea(session, request)) {
    if (const auto fault = request.fault()) return *fault;
    return loom_to_begin(session, request.integer("idea", 1, k_max_ideas), options, style);
  }
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  if (const auto fault = fault_of(*chosen->idea, chosen->score())) return *fault;
  const Drawing drawing = draw_loom(*chosen, options, session.font());
  Json json = drawing_json(drawing, prefix_of("loom", *chosen), session.font(), style);
  const CompiledLesson& lesson = session.lesson();
  if (hands) json["loom"] = loom_hands_json(*chosen, lesson.idea(lesson.ideas[chosen->in_book]), drawing);
  return answer(json);
}

Result<Answer> neck(Session& session, Request& request) {
  sheet::SheetOptions options = read_screen(request);
  options.hand = request_hand(request);
  const DrawingStyle style = request_style(request);
  const bool hands = request.flag("hands", false);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const Drawing drawing = draw_neck(*chosen->idea, chosen->score(), options, session.font());
  Json json = drawing_json(drawing, prefix_of("neck", *chosen), session.font(), style);
  for (const ScoreNote& note : chosen->score().notes)
    json["path"].push_back({{"string", note.string}, {"fret", note.fret}});
  if (hands) json["neck"] = neck_hands_json(drawing, options.hand);
  return answer(json);
}

Result<Answer> sheet_at_width(Session& session, Request& request) {
  return music(session, request, request_style(request));
}

Result<Answer> note_boxes(Session& session, Request& request) { return music(session, request, DrawingStyle::boxes); }

Result<Answer> pages(Session& session, Request& request) {
  static constexpr std::array<std::pair<std::string_view, sheet::Paper>, 2> k_papers = {
      {{"a4", sheet::k_a4}, {"letter", sheet::k_letter}}};
  sheet::SheetOptions options;
  options.paper = request.one_of("paper", k_papers, sheet::k_a4);
  options.set_print(request.flag("large_print", false) ? sheet::k_large_print : sheet::k_usual_print);
  options.hand = request_hand(request);
  options.layout = request.flag("cover", false) ? sheet::PageLayout::cover : sheet::PageLayout::flowing;
  for (const sheet::SheetSwitch& part : sheet::k_sheet_switches)
    options.*part.part = request.flag(part.word, options.*part.part);
  if (const auto fault = request.fault()) return *fault;
  const auto engraved = engrave(session.handout(), session.sentences(), options, session.font());
  if (!engraved) return engraved.error();
  Json list = Json::array();
  for (std::size_t i = 0; i < engraved->scene.pages.size(); ++i) {
    sheet::SvgOptions svg;
    svg.page = static_cast<int>(i);
    svg.id_prefix = "p" + std::to_string(i + 1) + "-";
    list.push_back(write_svg(engraved->scene, session.font(), svg));
  }
  Json findings = Json::array();
  for (const Finding& finding : engraved->findings.findings())
    findings.push_back({{"level", name(finding.level)}, {"where", finding.where.text()}, {"message", finding.message}});
  return answer({{"width_mm", options.paper.width.value},
                 {"height_mm", options.paper.height.value},
                 {"pages", list},
                 {"findings", findings}});
}

}  // namespace fretloom::engine
