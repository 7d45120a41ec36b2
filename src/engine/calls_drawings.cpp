// The lesson drawn: neck and sheet of an idea for a page on a screen, and pages of paper.

#include "engine/calls.h"
#include "engine/drawing.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"

namespace fretloom::engine {

namespace {

void read_signs(Request& request, sheet::SheetOptions& options) {
  options.strokes = request.flag("strokes", options.strokes);
  options.fingers = request.flag("fingers", options.fingers);
  options.ordinals = request.flag("ordinals", options.ordinals);
}

/// One idea at one feel, music alone, for a screen.
Result<sheet::Engraved> engraved_at_width(Session& session, Request& request) {
  sheet::SheetOptions options;
  options.paper = sheet::screen_paper(request.number("width", k_least_width, k_most_width, k_usual_width));
  options.staff_space = sheet::pixels(request.number("staff_space", 4, 20, 8.5));
  options.paper.margin = sheet::pixels(request.number("margin", 0, 100, 0));
  options.neck = false;
  options.prose = false;
  read_signs(request, options);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  return engrave(*chosen->idea, static_cast<int>(chosen->feel), options, session.font());
}

Result<Answer> scene_answer(Session& session, const Result<sheet::Engraved>& engraved, WithSvg with_svg) {
  if (!engraved) return engraved.error();
  return answer(scene_json(engraved->scene, session.font(), with_svg));
}

}  // namespace

Result<Answer> neck(Session& session, Request& request) {
  const double width = request.number("width", k_least_width, k_most_width, k_usual_width);
  const Hand hand = request_hand(request);
  const auto chosen = chosen_feel(session, request);
  if (!chosen) return chosen.error();
  const sheet::Scene scene = neck_scene(*chosen->idea, chosen->score(), width, hand, session.font());
  return answer(scene_json(scene, session.font(), WithSvg::yes));
}

Result<Answer> sheet_at_width(Session& session, Request& request) {
  return scene_answer(session, engraved_at_width(session, request), WithSvg::yes);
}

Result<Answer> note_boxes(Session& session, Request& request) {
  return scene_answer(session, engraved_at_width(session, request), WithSvg::no);
}

Result<Answer> pages(Session& session, Request& request) {
  static constexpr std::array<std::pair<std::string_view, sheet::Paper>, 2> k_papers = {
      {{"a4", sheet::k_a4}, {"letter", sheet::k_letter}}};
  sheet::SheetOptions options;
  options.paper = request.one_of("paper", k_papers, sheet::k_a4);
  options.staff_space = request.flag("large_print", false) ? sheet::k_large_print_space : sheet::k_staff_space;
  options.hand = request_hand(request);
  options.neck = request.flag("neck", options.neck);
  options.row = request.flag("row", options.row);
  read_signs(request, options);
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
