#include "lesson/read_settings.h"

#include <algorithm>
#include <cmath>

#include "lesson/layout_fit.h"
#include "lesson/source.h"
#include "score/limits.h"

namespace fretloom {

namespace {

constexpr std::array<std::pair<std::string_view, Clear>, 4> k_clears = {
    {{"upstroke", Clear::upstroke}, {"downstroke", Clear::downstroke}, {"both", Clear::both}, {"none", Clear::none}}};
constexpr std::array<std::pair<std::string_view, LayoutKind>, 3> k_layouts = {
    {{"per-string", LayoutKind::per_string}, {"position", LayoutKind::position}, {"octaves", LayoutKind::octaves}}};

constexpr double k_shortest_scale = 200;  ///< mm
constexpr double k_longest_scale = 1400;

constexpr std::string_view k_major_scale = "[\"1\", \"2\", \"3\", \"4\", \"5\", \"6\", \"7\"]";

class SettingsReader {
 public:
  SettingsReader(TableReader& table, SettingsDraft& draft, Diagnostics& findings, Level unknown_key_level)
      : table_(table), draft_(draft), findings_(findings), unknown_key_level_(unknown_key_level) {}

  Given read() {
    key();
    tuning();
    whole("frets", draft_.frets, 1, k_max_frets, given_.frets);
    scale_length();
    whole("capo", draft_.capo, 0, std::max(0, draft_.frets.value - 1), given_.frets);
    meter();
    tempo();
    clear_after();
    real("reach", draft_.reach, 20, 400, given_.spans);
    layout();
    vamp();
    return given_;
  }

 private:
  /// True if the key stands in the table; then an error of an outer table no longer matters.
  template <class T>
  bool given(std::string_view key, Checked<T>& value) {
    if (table_.find(key) == nullptr) return false;
    value.sound = true;
    return true;
  }

  /// The key that an idea overrides half of: the lesson's, if that is sound.
  [[nodiscard]] bool has_outer_key() const { return is_idea() && draft_.key.sound; }
  [[nodiscard]] bool is_idea() const { return table_.path("").idea != 0; }

  void key() {
    const bool inherits = has_outer_key();
    const bool has_key = table_.find("key") != nullptr;
    const bool has_tonic = table_.find("tonic") != nullptr;
    const bool has_scale = table_.find("scale") != nullptr;
    if (!has_key && !has_tonic && !has_scale) return;
    given_.frets = given_.vamp = true;
    if (has_key && (has_tonic || has_scale)) {
      table_.error(has_tonic ? "tonic" : "scale", "key-twice", "the key is written twice; keep key, or tonic and scale",
                   "");
      draft_.key.sound = false;
      return;
    }
    draft_.key.sound = has_key ? named_key() : degree_key(inherits);
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
    draft_.key.value = std::move(key).value();
    return true;
  }

  /// A half that is not given is the outer key's, where there is one.
  bool degree_key(bool inherits) {
    const bool has_tonic = table_.has("tonic");
    const bool has_scale = table_.has("scale");
    if (!is_idea() && !(has_tonic && has_scale)) {
      const std::string_view absent = has_tonic ? "scale" : "tonic";
      table_.missing(absent, "tonic and scale belong together; " + std::string(absent) + " is missing",
                     has_scale ? "tonic = \"C\"" : "scale = " + std::string(k_major_scale));
      return false;
    }
    const Key outer = draft_.key.value;
    const auto tonic = has_tonic ? own_tonic() : outer.tonic();
    if (!has_scale) {
      if (tonic && inherits) draft_.key.value = outer.on(*tonic);
      return tonic && inherits;
    }
    const auto degrees = own_scale();
    if (!tonic || !degrees) return false;
    auto key = make_key(*tonic, *degrees);
    if (key) {
      draft_.key.value = std::move(key).value();
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
    const std::string english = english_note(*text);
    table_.error("tonic", "unknown-note", tonic.error().what,
                 parse_pitch_class(english).ok() ? toml_string(english) : "\"C\"");
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
    if (!given("tuning", draft_.tuning)) return;
    given_.frets = true;
    const toml::node& node = *table_.find("tuning");
    const auto* preset = node.as_string();
    auto tuning = preset != nullptr ? named_tuning(preset->get()) : listed_tuning(node);
    draft_.tuning.sound = tuning.has_value();
    if (tuning) draft_.tuning.value = *std::move(tuning);
  }

  std::optional<Tuning> named_tuning(const std::string& preset) {
    auto tuning = parse_tuning(preset);
    if (tuning) return std::move(tuning).value();
    table_.error("tuning", "unknown-tuning", tuning.error().what, toml_string(tuning.error().repair));
    return std::nullopt;
  }

  std::optional<Tuning> listed_tuning(const toml::node& node) {
    if (!node.is_array()) {
      table_.wrong_type("tuning", node, "the name of a tuning or a list of open strings, thick to thin",
                        "\"standard\"");
      return std::nullopt;
    }
    // A whole number is a pitch as MIDI counts it.
    const auto pitch = [](const std::string& number) {
      const auto midi = parse_int(number);
      const std::string name = midi && *midi >= 0 && *midi <= 127 ? spell_sharp(*midi).name() : "E2";
      return toml_string(name);
    };
    const auto pitches = table_.strings("tuning", pitch, "\"standard\"");
    if (!pitches) return std::nullopt;
    auto tuning = parse_tuning(*pitches);
    if (tuning) return std::move(tuning).value();
    const auto is_note = [](const std::string& name) { return parse_pitch_class(name).ok(); };
    if (std::all_of(pitches->begin(), pitches->end(), is_note)) {
      const auto preset = parse_tuning(join(*pitches, " "));
      table_.error("tuning", "bad-pitch",
                   "the strings of a tuning need octaves, as in \"E2\"; octave 4 begins at middle C",
                   preset ? "" : toml_string(preset.error().repair));
      return std::nullopt;
    }
    const toml::node* item = node.as_array()->get(tuning.error().at);
    const std::string repair = tuning.error().repair.empty() ? "" : toml_string(tuning.error().repair);
    if (tuning.error().kind == ErrorKind::syntax && item != nullptr) {
      table_.report(Level::error, *item, "tuning", "bad-pitch", tuning.error().what, repair);
    } else {
      table_.error("tuning", "string-count", tuning.error().what, first_strings(*pitches));
    }
    return std::nullopt;
  }

  /// As many of the strings as a tuning may have.
  static std::string first_strings(const std::vector<std::string>& pitches) {
    if (pitches.empty()) return "\"standard\"";
    std::string list;
    for (std::size_t i = 0; i < pitches.size() && i < k_max_strings; ++i)
      list += (i > 0 ? ", " : "") + toml_string(pitches[i]);
    return "[" + list + "]";
  }

  void whole(std::string_view key, Checked<int>& value, int low, int high, bool& touches) {
    if (!given(key, value)) return;
    touches = true;
    const auto read = table_.integer(key, low, high, near_or(std::to_string(std::clamp(value.value, low, high))));
    value = {read.value_or(value.value), read.has_value()};
  }

  void real(std::string_view key, Checked<double>& value, double low, double high, bool& touches) {
    if (!given(key, value)) return;
    touches = true;
    const auto read = table_.number(key, low, high, value.value);
    value = {read.value_or(value.value), read.has_value()};
  }

  void scale_length() {
    constexpr double k_mm_per_inch = 25.4;
    const toml::node* node = table_.find("scale_length");
    const double inches = node != nullptr && node->is_number() ? node->value<double>().value_or(0) : 0;
    const double mm = std::round(inches * k_mm_per_inch * 10) / 10;
    if (mm < k_shortest_scale || mm > k_longest_scale) {
      real("scale_length", draft_.scale_length, k_shortest_scale, k_longest_scale, given_.spans);
      return;
    }
    given_.spans = true;
    draft_.scale_length.sound = false;
    table_.error("scale_length", "out-of-range",
                 "the scale length is in millimetres, from " + number_text(k_shortest_scale) + " to " +
                     number_text(k_longest_scale) + "; " + number_text(inches) + " inches are " + number_text(mm) +
                     " mm",
                 number_text(mm));
  }

  void meter() {
    if (!given("meter", draft_.meter)) return;
    given_.vamp = true;
    const auto quarters = [](const std::string& number) {
      return toml_string(!number.empty() && parse_meter(number + "/4") ? number + "/4" : "4/4");
    };
    draft_.meter.sound = false;
    const auto text = table_.string("meter", quarters);
    if (!text) return;
    auto meter = parse_meter(*text);
    if (!meter) {
      table_.error("meter", "bad-meter", meter.error().what, toml_string(meter.error().repair));
      return;
    }
    draft_.meter = {std::move(meter).value(), true};
  }

  /// One tempo where two should be is the goal; "120 bpm" is a tempo too.
  static std::string tempo_repair(const toml::node& node) {
    std::optional<int> bpm;
    if (const auto* text = node.as_string(); text != nullptr && !words(text->get()).empty())
      bpm = parse_int(words(text->get()).front().text);
    if (const auto* whole = node.as_integer())
      bpm = static_cast<int>(std::clamp<std::int64_t>(whole->get(), k_slowest_bpm, k_fastest_bpm));
    if (!bpm) return {};
    const int goal = std::clamp(*bpm, k_slowest_bpm, k_fastest_bpm);
    const int slow = std::min(goal, static_cast<int>(Tempo{}.slow_bpm.floor()));
    return "{ slow = " + std::to_string(slow) + ", goal = " + std::to_string(goal) + " }";
  }

  /// The kind alone where the layout's table should be.
  static std::string layout_kind(const toml::node& node) {
    const auto* text = node.as_string();
    const auto is_kind = [&](const auto& row) { return text != nullptr && row.first == text->get(); };
    const bool good = std::any_of(k_layouts.begin(), k_layouts.end(), is_kind);
    return good ? "{ kind = " + toml_string(text->get()) + " }" : std::string();
  }

  void tempo() {
    if (!given("tempo", draft_.tempo)) return;
    const toml::table* values = table_.table("tempo", tempo_repair);
    draft_.tempo.sound = values != nullptr;
    if (values == nullptr) return;
    TableReader reader(*values, table_.path("tempo"), findings_, unknown_key_level_);
    Tempo& tempo = draft_.tempo.value;
    const auto bpm = [&](std::string_view key, Rational& value) {
      if (reader.find(key) == nullptr) return;
      const auto read = reader.number(key, k_slowest_bpm, k_fastest_bpm, value.to_double());
      if (!read) draft_.tempo.sound = false;
      if (read) value = Rational(std::llround(*read * 1000), 1000);  // a thousandth of a beat a minute is fine enough
    };
    bpm("slow", tempo.slow_bpm);
    bpm("goal", tempo.goal_bpm);
    reader.report_unknown_keys();
    if (draft_.tempo.sound && tempo.slow_bpm > tempo.goal_bpm) {
      const std::string_view at = reader.has("slow") ? "slow" : "goal";
      reader.report(Level::warning, *reader.find(at), at, "tempo-order",
                    "the slow tempo (" + number_text(tempo.slow_bpm.to_double()) + ") is faster than the goal (" +
                        number_text(tempo.goal_bpm.to_double()) + ")");
    }
  }

  void clear_after() {
    if (!given("clear_after", draft_.clear_after)) return;
    const auto clear = table_.one_of("clear_after", k_clears);
    draft_.clear_after = {clear.value_or(draft_.clear_after.value), clear.has_value()};
  }

  void layout() {
    if (!given("layout", draft_.layout)) return;
    given_.frets = true;
    const toml::table* values = table_.table("layout", layout_kind);
    draft_.layout.sound = values != nullptr;
    if (values == nullptr) return;
    TableReader reader(*values, table_.path("layout"), findings_, unknown_key_level_);
    LayoutRule& rule = draft_.layout.value;
    const auto check = [&](bool good) { draft_.layout.sound = draft_.layout.sound && good; };
    if (reader.find("kind") != nullptr) {
      const auto kind = reader.one_of("kind", k_layouts);
      rule.kind = kind.value_or(rule.kind);
      check(kind.has_value());
    }
    const int most_from = std::max(0, draft_.frets.value - draft_.capo.value);
    const toml::node* from_node = reader.find("from");
    // Repairs are tried on the fret that the file gives, whether it is legal or not.
    LayoutRule wanted = rule;
    if (from_node != nullptr) wanted.from = int_in(*from_node, 0, most_from).value_or(rule.from);
    if (reader.find("notes") != nullptr) check(layout_notes(reader, rule, wanted));
    if (reader.find("width") != nullptr) check(layout_width(reader, rule, wanted));
    if (from_node != nullptr) {
      const auto legal_from = [&](std::optional<int> near) {
        LayoutRule moved = with_default_notes(draft_, rule, draft_.notes_given);
        moved.from = near.value_or(rule.from);
        if (!draft_.has_sound_neck()) return std::to_string(moved.from);
        const auto legal = nearest_legal_from(draft_.key.value, draft_.neck(), moved);
        return legal ? std::to_string(*legal) : std::string();
      };
      const auto from = reader.integer("from", 0, most_from, legal_from);
      rule.from = from.value_or(rule.from);
      check(from.has_value());
    }
    reader.report_unknown_keys();
  }

  /// The rule's size, or the largest smaller one that lies on the neck, written by `text`.
  template <class F>
  std::string fitting(LayoutRule rule, F text) const {
    if (!draft_.has_sound_neck() || layout_on_neck(draft_, rule)) return text(rule);
    for (const LayoutRule& smaller : smaller_rules(rule)) {
      if (layout_on_neck(draft_, smaller)) return text(smaller);
    }
    return text(rule);  // another `from` is needed, which the layout's own finding will say
  }

  /// The kind that the key belongs to, if that is all the layout needs.
  [[nodiscard]] std::string kind_repair(TableReader& reader, std::string_view other_size,
                                        const LayoutRule& rule) const {
    if (reader.has(other_size) || !draft_.has_sound_neck() || !layout_on_neck(draft_, rule)) return {};
    return "kind = " + toml_string(name(rule.kind));
  }

  bool layout_width(TableReader& reader, LayoutRule& rule, LayoutRule wanted) {
    if (rule.kind != LayoutKind::position) {
      wanted.kind = LayoutKind::position;
      const auto width = int_in(*reader.find("width"), 1, k_max_layout_size);
      wanted.width = width.value_or(rule.width);
      reader.error("width", "not-in-this-layout",
                   "only a position layout has a width; a " + std::string(name(rule.kind)) + " layout has notes",
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
                   "a position layout has a width; notes are for per-string and octaves layouts",
                   count || pair ? kind_repair(reader, "width", wanted) : "");
      return false;
    }
    if (rule.kind == LayoutKind::per_string) {
      const auto repair = [&](std::optional<int> near) {
        wanted.notes = near.value_or(with_default_notes(draft_, rule, false).notes);
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
      draft_.notes_given = draft_.notes_given || notes.has_value();
      return notes.has_value();
    }
    if (!pair) {
      wanted.octave_notes = LayoutRule{}.octave_notes;
      reader.error("notes", node->is_array() ? "out-of-range" : "wrong-type",
                   "an octaves layout needs two numbers of notes from 1 to " + std::to_string(k_max_layout_size) +
                       " in a list, the thicker string's first",
                   fitting(wanted, [](const LayoutRule& r) {
                     return size_text(r).substr(std::string_view("notes = ").size());
                   }));
      return false;
    }
    rule.octave_notes = *pair;
    return true;
  }

  void vamp() {
    if (!given("vamp", draft_.vamp)) return;
    given_.vamp = true;
    const toml::table* values = table_.table("vamp", [this](const toml::node& node) {
      const auto* text = node.as_string();
      const bool good = text != nullptr && draft_.meter.sound && parse_vamp(text->get(), draft_.meter.value);
      return good ? "{ chords = " + toml_string(text->get()) + " }" : std::string();
    });
    draft_.vamp.sound = values != nullptr;
    if (values == nullptr) return;
    TableReader reader(*values, table_.path("vamp"), findings_, unknown_key_level_);
    if (reader.find("chords") != nullptr) {
      const std::string own = draft_.key.sound ? toml_string(default_vamp(draft_.key.value)) : "";
      take(reader.string("chords", always(own)), draft_.vamp.value.chords);
    }
    if (reader.find("rhythm") != nullptr) take(rhythm(reader), draft_.vamp.value.rhythm);
    if (reader.find("swing") != nullptr) {
      draft_.vamp.value.swing = swing(reader);
      if (!draft_.vamp.value.swing) draft_.vamp.sound = false;
    }
    reader.report_unknown_keys();
  }

  template <class T>
  void take(std::optional<T> read, T& target) {
    if (read) target = *std::move(read);
    if (!read) draft_.vamp.sound = false;
  }

  static std::optional<VampRhythm> rhythm(TableReader& reader) {
    std::vector<std::string_view> names;
    for (const VampRhythm& row : vamp_rhythms()) names.push_back(row.name);
    const auto usual = std::find(names.begin(), names.end(), Vamp{}.rhythm.name) - names.begin();
    const auto row = reader.choice("rhythm", names, static_cast<std::size_t>(usual));
    return row ? std::optional(vamp_rhythms()[*row]) : std::nullopt;
  }

  static std::optional<Rational> swing(TableReader& reader) {
    const auto text = reader.string("swing", always("\"2:1\""));
    if (!text) return std::nullopt;
    const auto parts = split(*text, ':');
    const auto first = parse_int(trim(parts.front()));
    const auto second = parts.size() == 2 ? parse_int(trim(parts.back())) : std::nullopt;
    if (first && second && *second >= 1 && *first >= *second && *first <= 4 * *second && *first <= 64)
      return Rational(*first, *second);
    reader.error("swing", "bad-swing",
                 "\"" + *text + "\" is not a swing ratio; write the long note to the short one, from 1:1 to 4:1",
                 "\"2:1\"");
    return std::nullopt;
  }

  TableReader& table_;
  SettingsDraft& draft_;
  Diagnostics& findings_;
  Level unknown_key_level_;
  Given given_;
};

}  // namespace

Given read_settings(TableReader& table, SettingsDraft& draft, Diagnostics& findings, Level unknown_key_level) {
  return SettingsReader(table, draft, findings, unknown_key_level).read();
}

}  // namespace fretloom
