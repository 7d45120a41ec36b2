#include "lesson/read_settings.h"

#include <array>
#include <charconv>
#include <cmath>

#include "lesson/source.h"

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

class SettingsReader {
 public:
  SettingsReader(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level)
      : table_(table), settings_(settings), findings_(findings), unknown_key_level_(unknown_key_level) {}

  bool read() {
    key();
    tuning();
    whole("frets", settings_.frets, 1, 48);
    real("scale_length", settings_.scale_length, 200, 1400);
    whole("capo", settings_.capo, 0, std::max(0, settings_.frets - 1));
    meter();
    tempo();
    clear_after();
    real("reach", settings_.reach, 20, 400);
    layout();
    vamp();
    return any_;
  }

 private:
  /// True if the key stands in the table; then an error of an outer table no longer matters.
  bool given(std::string_view key) {
    if (table_.find(key) == nullptr) return false;
    any_ = true;
    settings_.broken.erase(std::string(key));
    return true;
  }
  void broken(std::string_view key) { settings_.broken.insert(std::string(key)); }

  void key() {
    const bool has_key = given("key");
    const bool has_tonic = table_.find("tonic") != nullptr;
    const bool has_scale = table_.find("scale") != nullptr;
    if (!has_key && !has_tonic && !has_scale) return;
    any_ = true;
    settings_.broken.erase("key");
    if (has_key && (has_tonic || has_scale)) {
      table_.error(has_tonic ? "tonic" : "scale", "key-twice", "the key is given twice; write key, or tonic and scale",
                   "");
      return broken("key");
    }
    const bool good = has_key ? named_key() : degree_key();
    if (!good) broken("key");
  }

  bool named_key() {
    const auto text = table_.string("key");
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

  bool degree_key() {
    if (!table_.has("tonic") || !table_.has("scale")) {
      const std::string_view absent = table_.has("tonic") ? "scale" : "tonic";
      table_.missing(absent, "tonic and scale go together; " + std::string(absent) + " is missing",
                     absent == "tonic" ? "tonic = \"C\"" : "scale = [\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\"]");
      return false;
    }
    const auto tonic_text = table_.string("tonic");
    const auto degrees = table_.strings("scale");
    if (!tonic_text || !degrees) return false;
    const auto tonic = parse_pitch_class(*tonic_text);
    if (!tonic) {
      table_.error("tonic", "unknown-note", tonic.error().what, "\"C\"");
      return false;
    }
    auto key = make_key(*tonic, *degrees);
    if (!key) {
      const auto* list = table_.array("scale", "a list of texts");
      const toml::node* item = list != nullptr ? list->get(key.error().at) : nullptr;
      const std::string repair = !key.error().repair.empty() ? toml_string(key.error().repair)
                                 : item == nullptr || list->size() < 2
                                     ? "[\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\"]"
                                     : "";
      if (item != nullptr && list->size() >= 2) {
        table_.report(Level::error, *item, "scale", "bad-scale", key.error().what, repair);
      } else {
        table_.error("scale", "bad-scale", key.error().what, repair);
      }
      return false;
    }
    settings_.key = std::move(key).value();
    return true;
  }

  void tuning() {
    if (!given("tuning")) return;
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
    const auto pitches = table_.strings("tuning");
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

  void whole(std::string_view key, int& value, int low, int high) {
    if (!given(key)) return;
    if (const auto read = table_.integer(key, low, high)) {
      value = *read;
    } else {
      broken(key);
    }
  }

  void real(std::string_view key, double& value, double low, double high) {
    if (!given(key)) return;
    if (const auto read = table_.number(key, low, high)) {
      value = *read;
    } else {
      broken(key);
    }
  }

  void meter() {
    if (!given("meter")) return;
    const auto text = table_.string("meter");
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
      const auto read = reader.number(key, 10, 600);
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
    if (reader.find("notes") != nullptr) check(layout_notes(reader, rule));
    if (reader.find("width") != nullptr) {
      if (rule.kind != LayoutKind::position) {
        reader.error("width", "not-in-this-layout",
                     "width belongs to the position layout; " + std::string(name(rule.kind)) + " has notes",
                     "kind = \"position\"");
        check(false);
      } else {
        const auto width = reader.integer("width", 1, 12);
        rule.width = width.value_or(rule.width);
        check(width.has_value());
      }
    }
    if (reader.find("from") != nullptr) {
      const auto from = reader.integer("from", 0, std::max(0, settings_.frets - settings_.capo));
      rule.from = from.value_or(rule.from);
      check(from.has_value());
    }
    reader.report_unknown_keys();
  }

  bool layout_notes(TableReader& reader, LayoutRule& rule) {
    const toml::node* node = reader.find("notes");
    if (rule.kind == LayoutKind::position) {
      reader.error("notes", "not-in-this-layout",
                   "notes belongs to the per-string and octaves layouts; position has width", "width = 5");
      return false;
    }
    if (rule.kind == LayoutKind::per_string) {
      if (node->is_array()) {
        reader.wrong_type("notes", *node, "one whole number from 1 to 12 (per string)", "3");
        return false;
      }
      const auto notes = reader.integer("notes", 1, 12);
      rule.notes = notes.value_or(rule.notes);
      settings_.notes_given = settings_.notes_given || notes.has_value();
      return notes.has_value();
    }
    const auto* pair = node->as_array();
    const auto first = pair != nullptr && pair->size() == 2 ? int_in(*pair->get(0), 1, 12) : std::nullopt;
    const auto second = pair != nullptr && pair->size() == 2 ? int_in(*pair->get(1), 1, 12) : std::nullopt;
    if (!first || !second) {
      reader.error(
          "notes", pair == nullptr ? "wrong-type" : "out-of-range",
          "in the octaves layout notes is a list of two whole numbers from 1 to 12, the thicker string's first",
          "[4, 3]");
      return false;
    }
    rule.octave_notes = {*first, *second};
    return true;
  }

  void vamp() {
    if (!given("vamp")) return;
    const toml::table* values = table_.table("vamp");
    if (values == nullptr) return broken("vamp");
    TableReader reader(*values, table_.path("vamp"), findings_, unknown_key_level_);
    if (reader.find("chords") != nullptr) {
      const auto chords = reader.string("chords");
      if (chords) settings_.chords = *chords;
      if (!chords) broken("vamp");
    }
    if (reader.find("rhythm") != nullptr) {
      const auto rhythm =
          reader.choice("rhythm", {"held", "whole notes", "halves", "quarters", "eighths", "triplets", "sixteenths"});
      if (rhythm) settings_.rhythm = vamp_rhythms()[*rhythm].name;
      if (!rhythm) broken("vamp");
    }
    if (reader.find("swing") != nullptr && !swing(reader)) broken("vamp");
    reader.report_unknown_keys();
  }

  bool swing(TableReader& reader) {
    const auto text = reader.string("swing");
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
  bool any_ = false;
};

class Resolver {
 public:
  Resolver(Settings& settings, const std::string& path, const SourceIndex& index, Diagnostics& findings)
      : settings_(settings), path_(path), index_(index), findings_(findings) {}

  void run() {
    settings_.ground.reset();
    settings_.vamp = {};
    settings_.broken.erase("layout fit");
    settings_.broken.erase("vamp fit");
    if (!is_broken({"key", "tuning", "frets", "capo", "layout", "scale_length"})) layout();
    if (!is_broken({"key", "meter", "vamp"})) vamp();
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

  void add(Level level, std::string code, const std::string& where, std::string message, std::string repair,
           std::string_view within = {}, std::size_t at = 0) {
    findings_.add(
        {level, std::move(code), where, place_in(index_, where, within, at), std::move(message), std::move(repair)});
  }

  void layout() {
    LayoutRule& rule = settings_.layout;
    if (!settings_.notes_given) rule.notes = settings_.key.size() == 5 ? 2 : 3;
    const Neck neck = settings_.neck();
    if (settings_.capo >= settings_.frets) {
      add(Level::error, "capo-off-neck", blame("capo", "frets"),
          "a capo at fret " + std::to_string(settings_.capo) + " leaves no fret of " + std::to_string(settings_.frets),
          std::to_string(settings_.frets - 1));
      settings_.broken.insert("layout fit");
      return;
    }
    auto layout = make_layout(settings_.key, neck, rule);
    if (!layout) {
      add(Level::error, "tuning-not-ascending", blame("layout.kind", "layout"), layout.error().what,
          "kind = \"position\"");
      settings_.broken.insert("layout fit");
      return;
    }
    settings_.ground = Ground{settings_.key, neck, std::move(layout).value()};
    const auto frets = layout_frets(settings_.key, neck, settings_.ground->layout);
    if (const auto off = off_neck(settings_.key, neck, settings_.ground->layout)) report_off_neck(neck, *off, frets);
    report_reach(neck, frets);
  }

  void report_off_neck(const Neck& neck, const OffNeck& off, const std::vector<std::vector<int>>& frets) {
    settings_.broken.insert("layout fit");
    const auto legal = nearest_legal_from(settings_.key, neck, settings_.layout);
    const std::string side = off.fret < 0 ? std::to_string(off.fret) + " < 0"
                                          : std::to_string(off.fret) + " > " + std::to_string(neck.highest_fret());
    add(Level::error, "layout-off-neck", blame("layout.from", "layout"),
        "the layout runs off the neck: string " + std::to_string(off.string) + " note " + std::to_string(off.ordinal) +
            " fret " + side + " (" + frets_text(frets) + "); " +
            (legal ? "the nearest legal from is " + std::to_string(*legal)
                   : std::string("no from is legal, take fewer notes a string")),
        legal ? "from = " + std::to_string(*legal)
              : "notes = " + std::to_string(std::max(1, settings_.layout.notes - 1)));
  }

  void report_reach(const Neck& neck, const std::vector<std::vector<int>>& frets) {
    const Reach reach = widest(neck, frets);
    if (reach.span.value <= settings_.reach) return;
    std::string offer;
    std::string repair;
    if (settings_.layout.kind == LayoutKind::per_string && settings_.layout.notes > 1) {
      LayoutRule fewer = settings_.layout;
      --fewer.notes;
      const auto layout = make_layout(settings_.key, neck, fewer);
      if (layout && !off_neck(settings_.key, neck, *layout)) {
        offer =
            "; " + std::to_string(fewer.notes) + " a string: " + frets_text(layout_frets(settings_.key, neck, *layout));
        repair = "notes = " + std::to_string(fewer.notes);
      }
    } else if (settings_.layout.kind == LayoutKind::position && settings_.layout.width > 1) {
      repair = "width = " + std::to_string(settings_.layout.width - 1);
    }
    add(Level::warning, "reach", blame("layout.notes", "layout"),
        "string " + std::to_string(reach.string) + " spans " + tenths(reach.span.value) + " mm; the reach is " +
            number_text(settings_.reach) + " mm" + offer,
        repair);
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

bool read_settings(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level) {
  return SettingsReader(table, settings, findings, unknown_key_level).read();
}

void resolve(Settings& settings, const std::string& path, const SourceIndex& index, Diagnostics& findings) {
  Resolver(settings, path, index, findings).run();
}

}  // namespace fretloom
