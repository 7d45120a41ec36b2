#include "lesson/resolve.h"

#include <algorithm>
#include <array>
#include <charconv>

#include "base/text.h"
#include "lesson/layout_fit.h"
#include "lesson/source.h"
#include "lesson/table_reader.h"

namespace fretloom {

namespace {

std::string prefixed(const std::string& path, std::string_view key) {
  return path.empty() ? std::string(key) : path + "." + std::string(key);
}

/// 96.65 mm as "96.7".
std::string tenths(double value) {
  std::array<char, 32> buffer{};
  const auto [end, error] =
      std::to_chars(buffer.data(), buffer.data() + buffer.size(), value, std::chars_format::fixed, 1);
  return error == std::errc{} ? std::string(buffer.data(), end) : std::string();
}

class Resolver {
 public:
  Resolver(Settings& settings, const std::string& path, const SourceIndex& index, Diagnostics& findings)
      : settings_(settings), path_(path), index_(index), findings_(findings) {}

  void run(const Given& given) {
    if (given.frets || given.spans) {
      settings_.ground.reset();
      if (given.frets) settings_.broken.erase("layout fit");
      if (!is_broken({"key", "tuning", "frets", "capo", "layout", "scale_length"})) layout(given.frets);
    }
    if (given.vamp) {
      settings_.vamp = {};
      settings_.broken.erase("vamp fit");
      if (!is_broken({"key", "meter", "vamp"})) vamp();
    }
  }

 private:
  [[nodiscard]] bool is_broken(std::initializer_list<std::string_view> keys) const {
    return std::any_of(keys.begin(), keys.end(),
                       [&](std::string_view k) { return settings_.broken.contains(std::string(k)); });
  }

  /// The key's value in this table, else in the lesson's, else what made the layout what it is.
  [[nodiscard]] std::string blame(std::string_view key, std::string_view table) const {
    return first_known(
        index_, {prefixed(path_, key), prefixed(path_, table), prefixed(path_, "key"), prefixed(path_, "scale"),
                 prefixed(path_, "tuning"), path_, std::string(key), std::string(table), "key", "scale", "tuning"});
  }

  /// What the lesson's own layout and vamp have been told already is said once.
  void add(Level level, std::string code, const std::string& where, std::string message, std::string repair,
           std::string_view within = {}, std::size_t at = 0) {
    const auto is_told = [&](const Finding& f) {
      return f.code == code && f.message == message && !f.where.starts_with("idea[");
    };
    const bool own = index_.contains(prefixed(path_, "layout")) || index_.contains(prefixed(path_, "vamp"));
    if (!own && std::any_of(findings_.findings().begin(), findings_.findings().end(), is_told)) return;
    findings_.add(
        {level, std::move(code), where, place_in(index_, where, within, at), std::move(message), std::move(repair)});
  }

  /// `moved`: the layout's frets may differ from the outer table's, whose findings stand already.
  void layout(bool moved) {
    LayoutRule& rule = settings_.layout;
    rule = with_default_notes(settings_, rule, settings_.notes_given);
    const Neck neck = settings_.neck();
    if (settings_.capo >= settings_.frets) {
      if (moved) capo_off_neck();
      return;
    }
    auto layout = make_layout(settings_.key, neck, rule);
    if (!layout) {
      if (moved) not_ascending(layout.error().what);
      return;
    }
    settings_.ground = Ground{settings_.key, neck, std::move(layout).value()};
    const auto frets = layout_frets(settings_.key, neck, settings_.ground->layout);
    const auto off = off_neck(settings_.key, neck, settings_.ground->layout);
    if (off && moved) report_off_neck(neck, *off, frets);
    report_reach(neck, frets);
  }

  void capo_off_neck() {
    Settings tried = settings_;
    for (tried.capo = settings_.frets - 1; tried.capo > 0 && !layout_on_neck(tried, tried.layout);) --tried.capo;
    const bool fits = layout_on_neck(tried, tried.layout).has_value();
    add(Level::error, "capo-off-neck", blame("capo", "frets"),
        "a capo at fret " + std::to_string(settings_.capo) + " leaves no fret of " + std::to_string(settings_.frets),
        fits ? std::to_string(tried.capo) : "");
    settings_.broken.insert("layout fit");
  }

  void not_ascending(const std::string& what) {
    LayoutRule across = settings_.layout;
    across.kind = LayoutKind::position;
    add(Level::error, "tuning-not-ascending", blame("layout.kind", "layout"), what,
        has_notes_key() || !layout_on_neck(settings_, across) ? "" : "kind = \"position\"");
    settings_.broken.insert("layout fit");
  }

  /// True if a layout's table has notes, which a position has not.
  [[nodiscard]] bool has_notes_key() const {
    return index_.contains(prefixed(path_, "layout.notes")) || index_.contains("layout.notes");
  }

  void report_off_neck(const Neck& neck, const OffNeck& off, const std::vector<std::vector<int>>& frets) {
    settings_.broken.insert("layout fit");
    const auto legal = nearest_legal_from(settings_.key, neck, settings_.layout);
    const auto fewer = fewer_notes([](const Layout&) { return true; });
    const std::string side = off.fret < 0 ? std::to_string(off.fret) + " < 0"
                                          : std::to_string(off.fret) + " > " + std::to_string(neck.highest_fret());
    const std::string way = legal   ? "the nearest legal from is " + std::to_string(*legal)
                            : fewer ? "no from is legal, take fewer notes a string"
                                    : "no from is legal for so many notes a string";
    add(Level::error, "layout-off-neck", blame("layout.from", "layout"),
        "the layout runs off the neck: string " + std::to_string(off.string) + " note " + std::to_string(off.ordinal) +
            " fret " + side + " (" + frets_text(frets) + "); " + way,
        legal   ? "from = " + std::to_string(*legal)
        : fewer ? size_text(*fewer)
                : "");
  }

  /// The largest smaller rule, from the same fret, that lies on the neck and pleases.
  template <class F>
  [[nodiscard]] std::optional<LayoutRule> fewer_notes(F pleases) const {
    for (const LayoutRule& smaller : smaller_rules(settings_.layout)) {
      const auto layout = layout_on_neck(settings_, smaller);
      if (layout && pleases(*layout)) return smaller;
    }
    return std::nullopt;
  }

  void report_reach(const Neck& neck, const std::vector<std::vector<int>>& frets) {
    const Reach reach = widest(neck, frets);
    if (reach.span.value <= settings_.reach) return;
    const auto is_empty = [](const std::vector<int>& row) { return row.empty(); };
    const auto empty_rows = std::count_if(frets.begin(), frets.end(), is_empty);
    const auto fewer = fewer_notes([&](const Layout& layout) {
      const auto rows = layout_frets(settings_.key, neck, layout);
      return widest(neck, rows).span.value <= settings_.reach &&
             std::count_if(rows.begin(), rows.end(), is_empty) <= empty_rows;
    });
    std::string offer;
    if (fewer && fewer->kind == LayoutKind::per_string) {
      offer = "; " + std::to_string(fewer->notes) +
              " a string: " + frets_text(layout_frets(settings_.key, neck, *layout_on_neck(settings_, *fewer)));
    }
    add(Level::warning, "reach", blame("layout.notes", "layout"),
        "string " + std::to_string(reach.string) + " spans " + tenths(reach.span.value) + " mm; the reach is " +
            number_text(settings_.reach) + " mm" + offer,
        fewer ? size_text(*fewer) : "");
  }

  void vamp() {
    const bool own = settings_.chords.empty();
    const std::string text = own ? default_vamp(settings_.key) : settings_.chords;
    auto vamp = parse_vamp(text, settings_.meter, settings_.key.tonic().name());
    if (vamp) {
      settings_.vamp = std::move(vamp).value();
      return;
    }
    const std::string where =
        first_known(index_, {prefixed(path_, "vamp.chords"), prefixed(path_, "meter"), "vamp.chords", "meter"});
    const bool inside = where == prefixed(path_, "vamp.chords") || where == "vamp.chords";
    add(Level::error, "bad-vamp", where, vamp.error().what, toml_string(vamp.error().repair),
        inside ? std::string_view(text) : std::string_view(), inside ? vamp.error().at : 0);
    settings_.broken.insert("vamp fit");
  }

  Settings& settings_;
  const std::string& path_;
  const SourceIndex& index_;
  Diagnostics& findings_;
};

}  // namespace

void resolve(Settings& settings, const Given& given, const std::string& path, const SourceIndex& index,
             Diagnostics& findings) {
  Resolver(settings, path, index, findings).run(given);
}

}  // namespace fretloom
