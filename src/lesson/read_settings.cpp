#include "lesson/read_settings.h"

#include <algorithm>

#include "lesson/layout_fit.h"
#include "lesson/source.h"
#include "score/limits.h"

namespace fretloom {

namespace {

constexpr std::string_view k_major_scale = "[\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\"]";

class SettingsReader {
 public:
  SettingsReader(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level)
      : table_(table), settings_(settings), findings_(findings), unknown_key_level_(unknown_key_level) {}

  Given read() {
    key();
    tuning();
    whole("frets", settings_.frets, 1, k_max_frets, given_.frets);
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
      const auto read = reader.number(key, k_slowest_bpm, k_fastest_bpm, value.to_double());
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
      const auto width = int_in(*reader.find("width"), 1, k_max_layout_size);
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
    const auto width = reader.integer("width", 1, k_max_layout_size, repair);
    rule.width = width.value_or(rule.width);
    return width.has_value();
  }

  /// [4, 3], if that is what stands there and both are legal.
  static std::optional<std::pair<int, int>> two_sizes(const toml::node& node) {
    const toml::array* list = node.as_array();
    if (list == nullptr || list->size() != 2) return std::nullopt;
    const auto thicker = int_in(*list->get(0), 1, k_max_layout_size);
    const auto thinner = int_in(*list->get(1), 1, k_max_layout_size);
    if (!thicker || !thinner) return std::nullopt;
    return std::pair(*thicker, *thinner);
  }

  bool layout_notes(TableReader& reader, LayoutRule& rule, LayoutRule wanted) {
    const toml::node* node = reader.find("notes");
    const auto pair = two_sizes(*node);
    if (rule.kind == LayoutKind::position) {
      const auto count = int_in(*node, 1, k_max_layout_size);
      wanted.kind = count ? LayoutKind::per_string : LayoutKind::octaves;
      wanted.notes = count.value_or(rule.notes);
      wanted.octave_notes = pair.value_or(wanted.octave_notes);
      reader.error("notes", "not-in-this-layout",
                   "notes belongs to the per-string and octaves layouts; position has width",
                   count || pair ? kind_repair(reader, "width", wanted) : "");
      return false;
    }
    if (rule.kind == LayoutKind::per_string) {
      const auto repair = [&](std::optional<int> near) {
        wanted.notes = near.value_or(with_default_notes(settings_, rule, false).notes);
        return fitting(wanted, [](const LayoutRule& r) { return std::to_string(r.notes); });
      };
      if (node->is_array()) {
        reader.wrong_type("notes", *node,
                          "one whole number from 1 to " + std::to_string(k_max_layout_size) + " (per string)",
                          repair(std::nullopt));
        return false;
      }
      const auto notes = reader.integer("notes", 1, k_max_layout_size, repair);
      rule.notes = notes.value_or(rule.notes);
      settings_.notes_given = settings_.notes_given || notes.has_value();
      return notes.has_value();
    }
    if (!pair) {
      wanted.octave_notes = LayoutRule{}.octave_notes;
      reader.error("notes", node->is_array() ? "out-of-range" : "wrong-type",
                   "in the octaves layout notes is a list of two whole numbers from 1 to " +
                       std::to_string(k_max_layout_size) + ", the thicker string's first",
                   fitting(wanted, [](const LayoutRule& r) {
                     return size_text(r).substr(std::string_view("notes = ").size());
                   }));
      return false;
    }
    rule.octave_notes = *pair;
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

}  // namespace

Given read_settings(TableReader& table, Settings& settings, Diagnostics& findings, Level unknown_key_level) {
  return SettingsReader(table, settings, findings, unknown_key_level).read();
}

}  // namespace fretloom
