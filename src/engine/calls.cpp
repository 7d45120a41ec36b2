#include "engine/calls.h"

#include <array>

namespace fretloom::engine {

namespace {

Result<Answer> list(Session&, Request& request) {
  if (const auto fault = request.fault()) return *fault;
  Json names = Json::array();
  for (const Call& call : calls()) names.push_back(call.name);
  return answer({{"calls", names}});
}

constexpr std::array k_calls = {Call{"calls", list},
                                Call{"replace", replace},
                                Call{"text", text},
                                Call{"edit", edit},
                                Call{"repair", repair},
                                Call{"unset", unset},
                                Call{"add_idea", add_idea},
                                Call{"move_idea", move_idea},
                                Call{"remove_idea", remove_idea},
                                Call{"new_lesson", new_text},
                                Call{"sentences", sentences},
                                Call{"findings", findings},
                                Call{"mends", mends},
                                Call{"choices", choices},
                                Call{"reshape", reshape},
                                Call{"positions", positions},
                                Call{"practice", practice},
#ifndef FRETLOOM_WITHOUT_EXPLAIN
                                Call{"explain", explain},
#endif
                                Call{"notes", notes},
                                Call{"everywhere", everywhere},
                                Call{"vamp", vamp},
                                Call{"loom", loom},
                                Call{"neck", neck},
                                Call{"sheet", sheet_at_width},
                                Call{"note_boxes", note_boxes},
                                Call{"pages", pages},
                                Call{"voice", voice},
                                Call{"band", band},
                                Call{"midi", midi},
                                Call{"musicxml", musicxml},
                                Call{"text_tab", tab}};

}  // namespace

std::span<const Call> calls() { return k_calls; }

}  // namespace fretloom::engine
