#pragma once
// The choice of a pack as the page says it (PackChoice of web/studio/store.ts).

#include <optional>
#include <string_view>

#include "base/rational.h"
#include "base/result.h"
#include "pack/choice.h"
#include "studio/json.h"

namespace fretloom::studio {

/// "60", "92.5": a tempo that is legal, or nothing.
[[nodiscard]] std::optional<Rational> tempo_of(std::string_view text);

[[nodiscard]] Json to_json(const PackChoice& choice);

/// `choice` with what `wanted` says instead. Error range: a member that is unknown, or a value that is not legal.
[[nodiscard]] Result<PackChoice> with_wishes(PackChoice choice, const Json& wanted);

}  // namespace fretloom::studio
