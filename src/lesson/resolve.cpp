#include "lesson/resolve.h"

#include <algorithm>

#include "base/decimal.h"
#include "base/text.h"
#include "lesson/layout_fit.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

/// 96.65 mm as "96.7".
std::string tenths(double value) { return fixed_decimal(value, 1); }

class Resolver {
 public:
  Resolver(SettingsDraft& draft, const KeyPath& table, const SourceIndex& index, Diagnostics& findings)
      : draft_(draft), table_(table), index_(index), findings_(findings) {}

  void run(const Given& given) {
    if (given.frets || given.spans) {
      draft_.ground.reset();
      if (given.frets) draft_.layout_fits = true;
      if (draft_.has_sound_neck() && draft_.layout.sound) layout(given.frets);
    }
    if (given.vamp) {
      draft_.chords.reset();
      if (draft_.key.sound && draft_.meter.sound && draft_.vamp.sound) vamp();
    }
  }

 private:
  /// The key's value in this table, else in the lesson's, else what made the layout what it is.
  [[nodiscard]] KeyPath blame(std::string_view key, std::string_view outer) const {
    return first_known(index_, {table_ / key, table_ / outer, table_ / "key", table_ / "scale", table_ / "tuning",
                                table_, top(key), top(outer), top("key"), top("scale"), top("tuning")});
  }
  [[nodiscard]] static KeyPath top(std::string_view key) { return {0, std::string(key)}; }

  /// What the lesson's own layout and vamp have been told already is said once.
  void add(Level level, std::string code, const KeyPath& where, std::string message, std::string repair,
           std::string_view within = {}, std::size_t at = 0) {
    const auto is_told = [&](const Finding& f) { return f.code == code && f.message == message && f.where.idea == 0; };
    const bool own = index_.contains(table_ / "layout") || index_.contains(table_ / "vamp");
    if (!own && std::any_of(findings_.findings().begin(), findings_.findings().end(), is_told)) return;
    findings_.add(
        {level, std::move(code), where, place_in(index_, where, within, at), std::move(message), std::move(repair)});
  }

  /// `moved`: the layout's frets may differ from the outer table's, whose findings stand already.
  void layout(bool moved) {
    LayoutRule& rule = draft_.layout.value;
    rule = with_default_notes(draft_, rule, draft_.notes_given);
    const Neck neck = draft_.neck();
    if (draft_.capo.value >= draft_.frets.value) {
      if (moved) capo_off_neck();
      return;
    }
    auto layout = make_layout(draft_.key.value, neck, rule);
    if (!layout) {
      if (moved) not_ascending(layout.error().what);
      return;
    }
    draft_.ground = Ground{draft_.key.value, neck, std::move(layout).value()};
    const auto frets = layout_frets(draft_.key.value, neck, draft_.ground->layout);
    const auto off = off_neck(draft_.key.value, neck, draft_.ground->layout);
    if (off && moved) report_off_neck(neck, *off, frets);
    report_reach(neck, frets);
  }

  void capo_off_neck() {
    SettingsDraft tried = draft_;
    int& capo = tried.capo.value;
    for (capo = draft_.frets.value - 1; capo > 0 && !layout_on_neck(tried, tried.layout.value);) --capo;
    const bool fits = layout_on_neck(tried, tried.layout.value).has_value();
    add(Level::error, "capo-off-neck", blame("capo", "frets"),
        "a capo at fret " + std::to_string(draft_.capo.value) + " leaves no fret to play on a neck of " +
            counted(static_cast<std::size_t>(draft_.frets.value), "fret"),
        fits ? std::to_string(capo) : "");
    draft_.layout_fits = false;
  }

  void not_ascending(const std::string& what) {
    LayoutRule across = draft_.layout.value;
    across.kind = LayoutKind::position;
    add(Level::error, "tuning-not-ascending", blame("layout.kind", "layout"), what,
        has_notes_key() || !layout_on_neck(draft_, across) ? "" : "kind = \"position\"");
    draft_.layout_fits = false;
  }

  /// True if a layout's table has notes, which a position has not.
  [[nodiscard]] bool has_notes_key() const {
    return index_.contains(table_ / "layout.notes") || index_.contains(top("layout.notes"));
  }

  void report_off_neck(const Neck& neck, const OffNeck& off, const std::vector<std::vector<int>>& frets) {
    draft_.layout_fits = false;
    const auto legal = nearest_legal_from(draft_.key.value, neck, draft_.layout.value);
    const auto fewer = fewer_notes([](const Layout&) { return true; });
    const std::string side =
        off.fret < 0 ? "below the nut" : "but the neck ends at fret " + std::to_string(neck.highest_fret());
    const std::string way = legal   ? "the nearest fret it can start from is " + std::to_string(*legal)
                            : fewer ? "no fret to start from works; take fewer notes on each string"
                                    : "no fret to start from works with so many notes on each string";
    add(Level::error, "layout-off-neck", blame("layout.from", "layout"),
        "the layout runs off the neck: note " + std::to_string(off.ordinal) + " of string " +
            std::to_string(off.string) + " would be fret " + std::to_string(off.fret) + ", " + side + " (" +
            frets_text(frets) + "); " + way,
        legal   ? "from = " + std::to_string(*legal)
        : fewer ? size_text(*fewer)
                : "");
  }

  /// The largest smaller rule, from the same fret, that lies on the neck and pleases.
  template <class F>
  [[nodiscard]] std::optional<LayoutRule> fewer_notes(F pleases) const {
    for (const LayoutRule& smaller : smaller_rules(draft_.layout.value)) {
      const auto layout = layout_on_neck(draft_, smaller);
      if (layout && pleases(*layout)) return smaller;
    }
    return std::nullopt;
  }

  void report_reach(const Neck& neck, const std::vector<std::vector<int>>& frets) {
    const Reach reach = widest(neck, frets);
    if (reach.span.value <= draft_.reach.value) return;
    const auto is_empty = [](const std::vector<int>& row) { return row.empty(); };
    const auto empty_rows = std::count_if(frets.begin(), frets.end(), is_empty);
    const auto fewer = fewer_notes([&](const Layout& layout) {
      const auto rows = layout_frets(draft_.key.value, neck, layout);
      return widest(neck, rows).span.value <= draft_.reach.value &&
             std::count_if(rows.begin(), rows.end(), is_empty) <= empty_rows;
    });
    std::string offer;
    if (fewer && fewer->kind == LayoutKind::per_string) {
      offer = "; with " + std::to_string(fewer->notes) + " notes on each string the layout is " +
              frets_text(layout_frets(draft_.key.value, neck, *layout_on_neck(draft_, *fewer)));
    }
    add(Level::warning, "reach", blame("layout.notes", "layout"),
        "the notes of string " + std::to_string(reach.string) + " lie " + tenths(reach.span.value) +
            " mm apart, but the hand reaches " + number_text(draft_.reach.value) + " mm" + offer,
        fewer ? size_text(*fewer) : "");
  }

  /// A compound beat divides in three: it has no pair of off-beats, so that a wish for swing is told and left out.
  Rational swing(const VampWish& wish) {
    const Meter& meter = draft_.meter.value;
    const Rational own(wish.rhythm.swing);
    if (!meter.is_compound()) return wish.swing.value_or(own);
    if (wish.swing.value_or(Rational(1)) != Rational(1)) {
      add(Level::warning, "swing-in-compound",
          first_known(index_, {table_ / "vamp.swing", table_ / "meter", top("vamp.swing"), top("meter")}),
          "in " + meter.name() + " every beat divides in three, so nothing can swing; the vamp is played straight",
          "\"1:1\"");
    }
    return Rational(1);
  }

  void vamp() {
    const VampWish& wish = draft_.vamp.value;
    const std::string text = wish.chords.empty() ? default_vamp(draft_.key.value) : wish.chords;
    auto vamp = parse_vamp(text, draft_.meter.value, draft_.key.value.tonic().name());
    if (vamp) {
      draft_.chords = std::move(vamp).value();
      draft_.chords->rhythm = wish.rhythm;
      draft_.chords->swing = swing(wish);
      return;
    }
    const KeyPath own = table_ / "vamp.chords";
    const KeyPath where = first_known(index_, {own, table_ / "meter", top("vamp.chords"), top("meter")});
    const bool inside = where.last() == "chords";
    add(Level::error, "bad-vamp", where, vamp.error().what,
        vamp.error().repair.empty() ? "" : toml_string(vamp.error().repair),
        inside ? std::string_view(text) : std::string_view(), inside ? vamp.error().at : 0);
  }

  SettingsDraft& draft_;
  const KeyPath& table_;
  const SourceIndex& index_;
  Diagnostics& findings_;
};

}  // namespace

void resolve(SettingsDraft& draft, const Given& given, const KeyPath& table, const SourceIndex& index,
             Diagnostics& findings) {
  Resolver(draft, table, index, findings).run(given);
}

}  // namespace fretloom
