#include "engine/hand_places.h"

#include <algorithm>

#include "lick/rule_place.h"
#include "words/hand_words.h"

namespace fretloom::engine {

namespace {

using sheet::BandKind;
using sheet::LoomBand;
using sheet::LoomRow;

class LoomHands {
 public:
  LoomHands(const ChosenFeel& feel, const Drawing& drawing)
      : feel_(feel), drawing_(drawing), scale_(pixels_of(drawing.scene)) {}

  [[nodiscard]] Json json(const Json& rule, const Json& tokens) const {
    Json rows = Json::array();
    for (std::size_t row = 0; row < drawing_.loom.rows.size(); ++row) rows.push_back(row_json(row));
    const double unit = drawing_.loom_rows.empty() ? 0 : drawing_.loom_rows.front().unit;
    return {{"unit", rounded_pixels(unit * scale_)}, {"rows", rows}, {"rule", rule}, {"tokens", tokens}};
  }

  [[nodiscard]] Json rule_json(const Idea& idea) const {
    static constexpr std::array<std::string_view, 4> k_slurs = {"none", "hammer", "pull", "slide"};
    Json list = Json::array();
    for (std::size_t t = 0; t < feel_.idea->rule.tokens.size(); ++t) {
      const RuleToken& token = feel_.idea->rule.tokens[t];
      list.push_back({{"rest", token.rest},
                      {"ordinal", token.rest ? Json(nullptr) : Json(token.ordinal)},
                      {"alter", token.alter},
                      {"slur", k_slurs[static_cast<std::size_t>(token.attack)]},
                      {"accent", token.accent},
                      {"units", token.units},
                      {"said", token_said(idea.settings.ground, idea.lick, t)}});
    }
    return list;
  }

  /// Every token of every repetition that is drawn, in order of time.
  [[nodiscard]] Json tokens_json() const {
    Json list = Json::array();
    const std::vector<RuleToken>& rule = feel_.idea->rule.tokens;
    for (const LoomBand& band : drawing_.loom.bands) {
      if (band.kind == BandKind::ending) continue;
      const bool backward = is_backward(band.repeat);
      Rational slot = band.from;
      std::size_t note = band.first;
      for (std::size_t i = 0; i < rule.size() && slot < band.to; ++i) {
        const std::size_t token = backward ? rule.size() - 1 - i : i;
        add_token(list, slot, band.repeat, token, rule[token].rest ? std::nullopt : std::optional(note));
        if (!rule[token].rest) ++note;
        slot += Rational(rule[token].units);
      }
    }
    return list;
  }

 private:
  /// Of the edge before a slot.
  [[nodiscard]] double x_of(std::size_t row, const Rational& slot) const {
    const sheet::LoomRowMeasures& measures = drawing_.loom_rows[row];
    const double units = (slot - drawing_.loom.rows[row].from).to_double();
    return rounded_pixels((drawing_.rows[row].left + measures.left + units * measures.unit) * scale_);
  }

  [[nodiscard]] Json row_json(std::size_t at) const {
    const LoomRow& row = drawing_.loom.rows[at];
    Json lanes = Json::array();
    for (const sheet::LaneMeasures& lane : drawing_.loom_rows[at].lanes) {
      lanes.push_back({{"string", lane.string},
                       {"open", lane.open},
                       {"y", rounded_pixels((drawing_.rows[at].top + lane.y) * scale_)},
                       {"step", rounded_pixels(lane.step * scale_)},
                       {"low", lane.low},
                       {"high", lane.high}});
    }
    Json bands = Json::array();
    for (const LoomBand& band : drawing_.loom.bands) {
      const Rational from = std::max(band.from, row.from);
      const Rational to = std::min(band.to, row.to);
      if (from >= to) continue;
      bands.push_back({{"kind", kind_name(band.kind)},
                       {"repeat", band.repeat},
                       {"x", x_of(at, from)},
                       {"width", rounded_pixels(x_of(at, to) - x_of(at, from))},
                       {"ends", to == band.to}});
    }
    Json beats = Json::array();
    for (const sheet::LoomBeat& beat : drawing_.loom.beats) {
      if (beat.slot >= row.from && beat.slot < row.to) beats.push_back({{"x", x_of(at, beat.slot)}, {"bar", beat.bar}});
    }
    return {{"x", x_of(at, row.from)},
            {"width", rounded_pixels(x_of(at, row.to) - x_of(at, row.from))},
            {"lanes", lanes},
            {"bands", bands},
            {"beats", beats}};
  }

  static std::string_view kind_name(BandKind kind) {
    switch (kind) {
      case BandKind::rule: return "rule";
      case BandKind::again: return "again";
      case BandKind::back: return "back";
      case BandKind::ending: return "ending";
    }
    return "rule";
  }

  [[nodiscard]] bool is_backward(int repeat) const {
    return feel_.idea->back == Back::retrograde && repeat > feel_.idea->repeats;
  }
  void add_token(Json& list, const Rational& slot, int repeat, std::size_t token,
                 std::optional<std::size_t> note) const {
    const std::vector<LoomRow>& rows = drawing_.loom.rows;
    const auto row =
        std::find_if(rows.begin(), rows.end(), [&](const LoomRow& r) { return slot >= r.from && slot < r.to; });
    if (row == rows.end()) return;
    const auto at = static_cast<std::size_t>(row - rows.begin());
    list.push_back({{"token", token},
                    {"repeat", repeat},
                    {"backward", is_backward(repeat)},
                    {"row", at},
                    {"x", rounded_pixels(x_of(at, slot) + drawing_.loom_rows[at].unit * scale_ / 2)},
                    {"note", note ? Json(*note) : Json(nullptr)},
                    {"string", note ? Json(drawing_.loom.knots[*note].string) : Json(nullptr)},
                    {"ordinal", note ? Json(feel_.score().notes[*note].ordinal) : Json(nullptr)}});
  }

  const ChosenFeel& feel_;
  const Drawing& drawing_;
  double scale_;
};

}  // namespace

Json loom_hands_json(const ChosenFeel& feel, const Idea& idea, const Drawing& drawing) {
  const LoomHands hands(feel, drawing);
  return hands.json(hands.rule_json(idea), hands.tokens_json());
}

Json blank_hands_json(const ChosenFeel& feel, const Drawing& drawing) {
  return LoomHands(feel, drawing).json(Json::array(), Json::array());
}

Json neck_hands_json(const Drawing& drawing, Hand hand) {
  Json rows = Json::array();
  for (const sheet::FretPlaces& frets : drawing.frets) {
    Json list = Json::array();
    for (const double x : frets) list.push_back(rounded_pixels(x * pixels_of(drawing.scene)));
    rows.push_back({{"frets", list}});
  }
  return {{"rows", rows}, {"mirrored", hand == Hand::left}};
}

}  // namespace fretloom::engine
