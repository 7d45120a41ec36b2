#include "lesson/read_settings.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "lesson/source.h"

namespace fretloom {

namespace {

constexpr std::string_view k_major_scale = "[\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\"]";

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

/// The layout's rule as it holds for the key: without a count a five-note scale has two notes a string.
LayoutRule with_default_notes(const Settings& settings, LayoutRule rule, bool notes_given) {
  if (!notes_given) rule.notes = settings.key.size() == 5 ? 2 : 3;
  return rule;
}

/// The rule's layout, if its every note lies on the neck.
std::optional<Layout> layout_on_neck(const Settings& settings, const LayoutRule& rule) {
  const Neck neck = settings.neck();
  auto layout = make_layout(settings.key, neck, rule);
  if (!layout || off_neck(settings.key, neck, *layout)) return std::nullopt;
  return std::move(layout).value();
}

/// How many notes a layout has, as a key and its value: "notes = 2", "width = 4", "notes = [3, 3]".
std::string size_text(const LayoutRule& rule) {
  switch (rule.kind) {
    case LayoutKind::per_string: return "notes = " + std::to_string(rule.notes);
    case LayoutKind::position: return "width = " + std::to_string(rule.width);
    case LayoutKind::octaves:
      return "notes = [" + std::to_string(rule.octave_notes.first) + ", " + std::to_string(rule.octave_notes.second) +
             "]";
  }
  return {};
}

class SettingsReader {
 public:
  SettingsReader(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level)
      : table_(table), settings_(settings), findings_(findings), unknown_key_level_(unknown_key_level) {}

  Given read() {
    key();
    tuning();
    whole("frets", settings_.frets, 1, 48, given_.frets);
    real("scale_length", settings_.scale_length, 200, 1400, given_.spans);
    whole("capo", settings_.capo, 0, std::max(0, settings_.frets - 1), given_.frets);
    meter();
    tempo();
    clear_after();
    real("reach", settings_.reach, 20, 400, given_.spans);
    layout();
    vamp();
    return given_;
  }

 private:
  /// True if the key stands in the table; then an error of an outer table no longer matters.
  bool given(std::string_view key) {
    if (table_.find(key) == nullptr) return false;
    settings_.broken.erase(std::string(key));
    return true;
  }
  void broken(std::string_view key) { settings_.broken.insert(std::string(key)); }

  /// The key that an idea overrides half of: the lesson's, if that is sound.
  [[nodiscard]] bool has_outer_key() const { return is_idea() && !settings_.broken.contains("key"); }
  [[nodiscard]] bool is_idea() const { return !table_.path("").empty(); }

  void key() {
    const bool inherits = has_outer_key();
    const bool has_key = table_.find("key") != nullptr;
    const bool has_tonic = table_.find("tonic") != nullptr;
    const bool has_scale = table_.find("scale") != nullptr;
    if (!has_key && !has_tonic && !has_scale) return;
    given_.frets = given_.vamp = true;
    settings_.broken.erase("key");
    if (has_key && (has_tonic || has_scale)) {
      table_.error(has_tonic ? "tonic" : "scale", "key-twice", "the key is given twice; write key, or tonic and scale",
                   "");
      return broken("key");
    }
    const bool good = has_key ? named_key() : degree_key(inherits);
    if (!good) broken("key");
  }

  bool named_key() {
    const auto text = table_.string("key", always("\"C ionian\""));
    if (!text) return false;
    auto key = parse_key(*text);
    if (!key) {
      table_.error("key", "unknown-key-name", key.error().what,
                   key.error().repair.empty() ? "" : toml_string(key.error().repair));
      return false;
    }
    settings_.key = std::move(key).value();
    return true;
  }

  /// A half that is not given is the outer key's, where there is one.
  bool degree_key(bool inherits) {
    const bool has_tonic = table_.has("tonic");
    const bool has_scale = table_.has("scale");
    if (!is_idea() && !(has_tonic && has_scale)) {
      const std::string_view absent = has_tonic ? "scale" : "tonic";
      table_.missing(absent, "tonic and scale go together; " + std::string(absent) + " is missing",
                     has_scale ? "tonic = \"C\"" : "scale = " + std::string(k_major_scale));
      return false;
    }
    const Key outer = settings_.key;
    const auto tonic = has_tonic ? own_tonic() : outer.tonic();
    if (!has_scale) {
      if (tonic && inherits) settings_.key = Key(*tonic, outer.mode(), outer.degrees());
      return tonic && inherits;
    }
    const auto degrees = own_scale();
    if (!tonic || !degrees) return false;
    auto key = make_key(*tonic, *degrees);
    if (key) {
      settings_.key = std::move(key).value();
      return has_tonic || inherits;  // without a sound key of the lesson its own finding says enough
    }
    bad_scale(key.error());
    return false;
  }

  std::optional<PitchClass> own_tonic() {
    const auto text = table_.string("tonic", always("\"C\""));
    if (!text) return std::nullopt;
    const auto tonic = parse_pitch_class(*text);
    if (tonic) return *tonic;
    table_.error("tonic", "unknown-note", tonic.error().what, "\"C\"");
    return std::nullopt;
  }

  std::optional<std::vector<std::string>> own_scale() {
    const auto degree = [](const std::string& number) {
      const auto found = parse_degree(number);
      return found && found->number <= 7 ? toml_string(number) : std::string();
    };
    return table_.strings("scale", degree, std::string(k_major_scale));
  }

  void bad_scale(const Error& error) {
    const auto* list = table_.array("scale", "a list of texts");
    const toml::node* item = list != nullptr ? list->get(error.at) : nullptr;
    const std::string repair = !error.repair.empty()                 ? toml_string(error.repair)
                               : item == nullptr || list->size() < 2 ? std::string(k_major_scale)
                                                                     : "";
    if (item != nullptr && list->size() >= 2) {
      table_.report(Level::error, *item, "scale", "bad-scale", error.what, repair);
    } else {
      table_.error("scale", "bad-scale", error.what, repair);
    }
  }

  void tuning() {
    if (!given("tuning")) return;
    given_.frets = true;
    const toml::node* node = table_.find("tuning");
    if (const auto* preset = node->as_string()) {
      auto tuning = parse_tuning(preset->get());
      if (tuning) {
        settings_.tuning = std::move(tuning).value();
        return;
      }
      table_.error("tuning", "unknown-tuning", tuning.error().what, toml_string(tuning.error().repair));
      return broken("tuning");
    }
    if (!node->is_array()) {
      table_.wrong_type("tuning", *node, "a preset's name or a list of open strings, thick to thin", "\"standard\"");
      return broken("tuning");
    }
    // A whole number is a pitch as MIDI counts it.
    const auto pitch = [](const std::string& number) {
      const auto midi = parse_int(number);
      const std::string name = midi && *midi >= 0 && *midi <= 127 ? spell_sharp(*midi).name() : "E2";
      return toml_string(name);
    };
    const auto pitches = table_.strings("tuning", pitch, "\"standard\"");
    if (!pitches) return broken("tuning");
    auto tuning = parse_tuning(*pitches);
    if (tuning) {
      settings_.tuning = std::move(tuning).value();
      return;
    }
    const toml::node* item = node->as_array()->get(tuning.error().at);
    const std::string repair = tuning.error().repair.empty() ? "" : toml_string(tuning.error().repair);
    if (tuning.error().kind == ErrorKind::syntax && item != nullptr) {
      table_.report(Level::error, *item, "tuning", "bad-pitch", tuning.error().what, repair);
    } else {
      table_.error("tuning", "string-count", tuning.error().what, first_strings(*pitches));
    }
    broken("tuning");
  }

  /// As many of the strings as a tuning may have.
  static std::string first_strings(const std::vector<std::string>& pitches) {
    if (pitches.empty()) return "\"standard\"";
    std::string list;
    for (std::size_t i = 0; i < pitches.size() && i < k_max_strings; ++i)
      list += (i > 0 ? ", " : "") + toml_string(pitches[i]);
    return "[" + list + "]";
  }

  void whole(std::string_view key, int& value, int low, int high, bool& touches) {
    if (!given(key)) return;
    touches = true;
    if (const auto read = table_.integer(key, low, high, near_or(std::to_string(std::clamp(value, low, high))))) {
      value = *read;
    } else {
      broken(key);
    }
  }

  void real(std::string_view key, double& value, double low, double high, bool& touches) {
    if (!given(key)) return;
    touches = true;
    if (const auto read = table_.number(key, low, high, value)) {
      value = *read;
    } else {
      broken(key);
    }
  }

  void meter() {
    if (!given("meter")) return;
    given_.vamp = true;
    const auto quarters = [](const std::string& number) {
      return toml_string(!number.empty() && parse_meter(number + "/4") ? number + "/4" : "4/4");
    };
    const auto text = table_.string("meter", quarters);
    if (!text) return broken("meter");
    auto meter = parse_meter(*text);
    if (!meter) {
      table_.error("meter", "bad-meter", meter.error().what, toml_string(meter.error().repair));
      return broken("meter");
    }
    settings_.meter = std::move(meter).value();
  }

  void tempo() {
    if (!given("tempo")) return;
    const toml::table* values = table_.table("tempo");
    if (values == nullptr) return broken("tempo");
    TableReader reader(*values, table_.path("tempo"), findings_, unknown_key_level_);
    const auto bpm = [&](std::string_view key, Rational& value) {
      if (reader.find(key) == nullptr) return;
      const auto read = reader.number(key, 10, 600, value.to_double());
      if (!read) return broken("tempo");
      value = Rational(std::llround(*read * 1000), 1000);  // a thousandth of a beat a minute is fine enough
    };
    bpm("slow", settings_.slow_bpm);
    bpm("goal", settings_.goal_bpm);
    reader.report_unknown_keys();
    if (!settings_.broken.contains("tempo") && settings_.slow_bpm > settings_.goal_bpm) {
      const std::string_view at = reader.has("slow") ? "slow" : "goal";
      reader.report(Level::warning, *reader.find(at), at, "tempo-order",
                    "the slow tempo (" + number_text(settings_.slow_bpm.to_double()) + ") is above the goal (" +
                        number_text(settings_.goal_bpm.to_double()) + ")");
    }
  }

  void clear_after() {
    if (!given("clear_after")) return;
    if (const auto word = table_.choice("clear_after", {"upstroke", "downstroke", "both", "none"})) {
      settings_.clear_after = static_cast<Clear>(*word);
    } else {
      broken("clear_after");
    }
  }

  void layout() {
    if (!given("layout")) return;
    given_.frets = true;
    const toml::table* values = table_.table("layout");
    if (values == nullptr) return broken("layout");
    TableReader reader(*values, table_.path("layout"), findings_, unknown_key_level_);
    LayoutRule& rule = settings_.layout;
    const auto check = [&](bool good) {
      if (!good) broken("layout");
    };
    if (reader.find("kind") != nullptr) {
      const auto word = reader.choice("kind", {"per-string", "position", "octaves"});
      if (word) rule.kind = static_cast<LayoutKind>(*word);
      check(word.has_value());
    }
    const int most_from = std::max(0, settings_.frets - settings_.capo);
    const toml::node* from_node = reader.find("from");
    // Repairs are tried on the fret that the file gives, whether it is legal or not.
    LayoutRule wanted = rule;
    if (from_node != nullptr) wanted.from = int_in(*from_node, 0, most_from).value_or(rule.from);
    if (reader.find("notes") != nullptr) check(layout_notes(reader, rule, wanted));
    if (reader.find("width") != nullptr) check(layout_width(reader, rule, wanted));
    if (from_node != nullptr) {
      const auto legal_from = [&](std::optional<int> near) {
        LayoutRule moved = with_default_notes(settings_, rule, settings_.notes_given);
        moved.from = near.value_or(rule.from);
        if (!has_ground()) return std::to_string(moved.from);
        const auto legal = nearest_legal_from(settings_.key, settings_.neck(), moved);
        return legal ? std::to_string(*legal) : std::string();
      };
      const auto from = reader.integer("from", 0, most_from, legal_from);
      rule.from = from.value_or(rule.from);
      check(from.has_value());
    }
    reader.report_unknown_keys();
  }

  /// True if a layout can be tried: nothing that it stands on is in error.
  [[nodiscard]] bool has_ground() const {
    for (const char* key : {"key", "tuning", "frets", "capo", "scale_length"}) {
      if (settings_.broken.contains(key)) return false;
    }
    return true;
  }

  /// The rule's size, or the largest smaller one that lies on the neck, written by `text`.
  template <class F>
  std::string fitting(LayoutRule rule, F text) const {
    if (!has_ground() || layout_on_neck(settings_, rule)) return text(rule);
    for (const LayoutRule& smaller : smaller_rules(rule)) {
      if (layout_on_neck(settings_, smaller)) return text(smaller);
    }
    return text(rule);  // another `from` is needed, which the layout's own finding will say
  }

  /// The kind that the key belongs to, if that is all the layout needs.
  [[nodiscard]] std::string kind_repair(TableReader& reader, std::string_view other_size,
                                        const LayoutRule& rule) const {
    if (reader.has(other_size) || !has_ground() || !layout_on_neck(settings_, rule)) return {};
    return "kind = " + toml_string(name(rule.kind));
  }

  bool layout_width(TableReader& reader, LayoutRule& rule, LayoutRule wanted) {
    if (rule.kind != LayoutKind::position) {
      wanted.kind = LayoutKind::position;
      const auto width = int_in(*reader.find("width"), 1, 12);
      wanted.width = width.value_or(rule.width);
      reader.error("width", "not-in-this-layout",
                   "width belongs to the position layout; " + std::string(name(rule.kind)) + " has notes",
                   width ? kind_repair(reader, "notes", wanted) : "");
      return false;
    }
    const auto repair = [&](std::optional<int> near) {
      wanted.width = near.value_or(rule.width);
      return fitting(wanted, [](const LayoutRule& r) { return std::to_string(r.width); });
    };
    const auto width = reader.integer("width", 1, 12, repair);
    rule.width = width.value_or(rule.width);
    return width.has_value();
  }

  bool layout_notes(TableReader& reader, LayoutRule& rule, LayoutRule wanted) {
    const toml::node* node = reader.find("notes");
    const auto* pair = node->as_array();
    const auto first = pair != nullptr && pair->size() == 2 ? int_in(*pair->get(0), 1, 12) : std::nullopt;
    const auto second = pair != nullptr && pair->size() == 2 ? int_in(*pair->get(1), 1, 12) : std::nullopt;
    if (rule.kind == LayoutKind::position) {
      const auto count = int_in(*node, 1, 12);
      wanted.kind = count ? LayoutKind::per_string : LayoutKind::octaves;
      wanted.notes = count.value_or(rule.notes);
      if (first && second) wanted.octave_notes = {*first, *second};
      reader.error("notes", "not-in-this-layout",
                   "notes belongs to the per-string and octaves layouts; position has width",
                   count || (first && second) ? kind_repair(reader, "width", wanted) : "");
      return false;
    }
    if (rule.kind == LayoutKind::per_string) {
      const auto repair = [&](std::optional<int> near) {
        wanted.notes = near.value_or(with_default_notes(settings_, rule, false).notes);
        return fitting(wanted, [](const LayoutRule& r) { return std::to_string(r.notes); });
      };
      if (node->is_array()) {
        reader.wrong_type("notes", *node, "one whole number from 1 to 12 (per string)", repair(std::nullopt));
        return false;
      }
      const auto notes = reader.integer("notes", 1, 12, repair);
      rule.notes = notes.value_or(rule.notes);
      settings_.notes_given = settings_.notes_given || notes.has_value();
      return notes.has_value();
    }
    if (!first || !second) {
      wanted.octave_notes = LayoutRule{}.octave_notes;
      reader.error(
          "notes", pair == nullptr ? "wrong-type" : "out-of-range",
          "in the octaves layout notes is a list of two whole numbers from 1 to 12, the thicker string's first",
          fitting(wanted,
                  [](const LayoutRule& r) { return size_text(r).substr(std::string_view("notes = ").size()); }));
      return false;
    }
    rule.octave_notes = {*first, *second};
    return true;
  }

  void vamp() {
    if (!given("vamp")) return;
    given_.vamp = true;
    const toml::table* values = table_.table("vamp");
    if (values == nullptr) return broken("vamp");
    TableReader reader(*values, table_.path("vamp"), findings_, unknown_key_level_);
    if (reader.find("chords") != nullptr) {
      const std::string own = settings_.broken.contains("key") ? "" : toml_string(default_vamp(settings_.key));
      const auto chords = reader.string("chords", always(own));
      if (chords) settings_.chords = *chords;
      if (!chords) broken("vamp");
    }
    if (reader.find("rhythm") != nullptr) {
      const auto rhythm = reader.choice(
          "rhythm", {"held", "whole notes", "halves", "quarters", "eighths", "triplets", "sixteenths"}, 6);
      if (rhythm) settings_.rhythm = vamp_rhythms()[*rhythm].name;
      if (!rhythm) broken("vamp");
    }
    if (reader.find("swing") != nullptr && !swing(reader)) broken("vamp");
    reader.report_unknown_keys();
  }

  bool swing(TableReader& reader) {
    const auto text = reader.string("swing", always("\"2:1\""));
    if (!text) return false;
    const auto parts = split(*text, ':');
    const auto first = parse_int(trim(parts.front()));
    const auto second = parts.size() == 2 ? parse_int(trim(parts.back())) : std::nullopt;
    if (first && second && *second >= 1 && *first >= *second && *first <= 4 * *second && *first <= 64) {
      settings_.swing = Rational(*first, *second);
      return true;
    }
    reader.error("swing", "bad-swing", "\"" + *text + "\" is no swing ratio; write long to short, 1:1 to 4:1",
                 "\"2:1\"");
    return false;
  }

  TableReader& table_;
  Settings& settings_;
  Diagnostics& findings_;
  Level unknown_key_level_;
  Given given_;
};

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

Given read_settings(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level) {
  return SettingsReader(table, settings, findings, unknown_key_level).read();
}

void resolve(Settings& settings, const Given& given, const std::string& path, const SourceIndex& index,
             Diagnostics& findings) {
  Resolver(settings, path, index, findings).run(given);
}

}  // namespace fretloom
