#include "lesson/read_idea.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "lesson/read_settings.h"
#include "lesson/source.h"
#include "score/limits.h"

namespace fretloom {

namespace {

constexpr int k_max_start_beat = 64;
constexpr int k_max_carry_steps = 48;  ///< scale steps, either way

std::size_t count_errors(const Diagnostics& findings) {
  return static_cast<std::size_t>(std::count_if(findings.findings().begin(), findings.findings().end(),
                                                [](const Finding& f) { return f.level == Level::error; }));
}

constexpr std::array<std::pair<std::string_view, Back>, 3> k_backs = {
    {{"none", Back::none}, {"retrograde", Back::retrograde}, {"mirrored", Back::mirrored}}};
constexpr std::array<std::pair<std::string_view, Picking>, 3> k_pickings = {
    {{"alternate", Picking::alternate}, {"grid", Picking::grid}, {"economy", Picking::economy}}};
constexpr std::array<std::pair<std::string_view, Stroke>, 2> k_strokes = {{{"down", Stroke::down}, {"up", Stroke::up}}};
constexpr std::array<std::pair<std::string_view, bool>, 2> k_endings = {{{"none", false}, {"auto", true}}};
constexpr std::array<std::pair<std::string_view, EndingKind>, 4> k_ending_kinds = {
    {{"fill", EndingKind::fill}, {"hold", EndingKind::hold}, {"late", EndingKind::late}, {"trim", EndingKind::trim}}};
constexpr std::array<std::pair<std::string_view, EndingOn>, 3> k_ending_places = {
    {{"beat", EndingOn::beat}, {"strong", EndingOn::strong}, {"bar", EndingOn::bar}}};

class IdeaReader {
 public:
  IdeaReader(const toml::table& table, int number, const SettingsDraft& settings, const SourceIndex& index,
             Diagnostics& findings, Level unknown_key_level)
      : path_{number, ""},
        table_(table, path_, findings, unknown_key_level),
        index_(index),
        findings_(findings),
        unknown_key_level_(unknown_key_level),
        draft_(settings) {
    idea_.number = number;
  }

  std::optional<Idea> read() {
    const std::size_t errors_before = count_errors(findings_);
    idea_.name = table_.string("name").value_or("");
    idea_.note = table_.string("note").value_or("");
    rule();
    const Given given = read_settings(table_, draft_, findings_, unknown_key_level_);
    resolve(draft_, given, path_, index_, findings_);
    carry();
    start();
    repeats();
    idea_.lick.back = table_.one_of("back", k_backs).value_or(Back::none);
    notes_per_beat();
    idea_.picking = table_.one_of("picking", k_pickings).value_or(Picking::alternate);
    idea_.first_stroke = table_.one_of("first_stroke", k_strokes).value_or(Stroke::down);
    ending();
    fingers();
    edits();
    table_.report_unknown_keys();
    check_start_beat();
    auto settings = settled(draft_);
    if (count_errors(findings_) > errors_before || !settings) return std::nullopt;
    idea_.settings = *std::move(settings);
    return std::move(idea_);
  }

 private:
  void rule() {
    const bool cell = table_.find("cell") != nullptr;
    const bool sequence = table_.find("sequence") != nullptr;
    if (cell == sequence) {
      if (cell) {
        table_.error("sequence", "rule-twice",
                     "an idea has one rule, but here are a cell and a sequence; remove one of them", "");
      } else {
        table_.missing("cell", "an idea needs a rule; write a cell or a sequence", "cell = \"1 2 3\"");
      }
      return;
    }
    const std::string key = cell ? "cell" : "sequence";
    const RuleKind kind = cell ? RuleKind::cell : RuleKind::sequence;
    const auto one_note = [&](const std::string& number) {
      // 1232 is four notes.
      std::string digits;
      for (const char digit : number) digits += digits.empty() ? std::string(1, digit) : std::string(" ") + digit;
      const auto rule = parse_rule(kind, digits);
      const std::string text = number.empty() ? "" : rule ? digits : rule.error().repair;
      return text.empty() ? "" : toml_string(text);
    };
    const auto text = table_.string(key, one_note);
    if (!text) return;
    auto rule = parse_rule(kind, *text);
    if (!rule) {
      const KeyPath where = table_.path(key);
      findings_.add({Level::error, "bad-rule", where,
                     place_in(index_, where, text->empty() ? "" : *text, rule.error().at), rule.error().what,
                     rule.error().repair.empty() ? "" : toml_string(rule.error().repair)});
      return;
    }
    idea_.lick.rule = std::move(rule).value();
  }

  /// Strings that a rule can be carried over, either way.
  [[nodiscard]] int most_carry_strings() const { return is_sequence() ? 0 : k_max_strings - 1; }
  [[nodiscard]] bool is_sequence() const { return idea_.lick.rule.kind == RuleKind::sequence; }

  /// A whole number where a table should be, as its first key: 6 is { string = 6 }.
  static std::function<std::string(const toml::node&)> whole_in(std::string key, int low, int high) {
    return [key = std::move(key), low, high](const toml::node& node) {
      const auto number = int_in(node, low, high);
      return number ? "{ " + key + " = " + std::to_string(*number) + " }" : std::string();
    };
  }

  void carry() {
    Carry& carry = idea_.lick.carry;
    carry = is_sequence() ? Carry{0, 1} : Carry{1, 0};
    const toml::table* values = table_.table("carry", whole_in("strings", -most_carry_strings(), most_carry_strings()));
    if (values == nullptr) return;
    TableReader reader(*values, table_.path("carry"), findings_, unknown_key_level_);
    if (reader.find("strings") != nullptr) {
      const int most = most_carry_strings();
      const NumberRepair repair = near_or(std::to_string(carry.strings));
      carry.strings = reader.integer("strings", -most, most, repair).value_or(carry.strings);
    }
    const NumberRepair repair = near_or(std::to_string(carry.steps));
    carry.steps = reader.integer("steps", -k_max_carry_steps, k_max_carry_steps, repair).value_or(carry.steps);
    reader.report_unknown_keys();
  }

  void start() {
    idea_.lick.start_string = draft_.tuning.value.strings();
    const toml::table* values = table_.table("start", whole_in("string", 1, draft_.tuning.value.strings()));
    if (values == nullptr) return;
    TableReader reader(*values, table_.path("start"), findings_, unknown_key_level_);
    if (reader.find("string") != nullptr) {
      const int strings = draft_.tuning.value.strings();
      idea_.lick.start_string =
          reader.integer("string", 1, strings, near_or(std::to_string(strings))).value_or(idea_.lick.start_string);
    }
    if (is_sequence()) {
      idea_.lick.start_ordinal = reader.integer("ordinal", 1, 99, near_or("1")).value_or(1);
    } else if (reader.has("ordinal")) {
      reader.error("ordinal", "not-in-a-cell",
                   "only a sequence says which note it starts on; a cell names its string notes itself", "");
      (void)reader.find("ordinal");
    }
    start_beat_ = reader.number("beat", -k_max_start_beat, k_max_start_beat, 0).value_or(0);
    reader.report_unknown_keys();
  }

  /// "start.beat times every k must be whole."
  void check_start_beat() {
    const auto& feels = idea_.notes_per_beat;
    const int parts = std::accumulate(feels.begin(), feels.end(), 0, [](int a, int b) { return std::gcd(a, b); });
    const bool read = nearest_fraction(start_beat_, k_max_notes_per_beat, idea_.start_beat);
    if (read && (idea_.start_beat * Rational(parts)).is_whole()) return;
    const auto off =
        std::find_if(feels.begin(), feels.end(), [&](int k) { return !(idea_.start_beat * Rational(k)).is_whole(); });
    const std::string what = read ? "a start at beat " + idea_.start_beat.to_string() + " falls between two notes at " +
                                        std::to_string(*off) + " a beat"
                                  : "no note can fall on beat " + number_text(start_beat_);
    const Rational near(std::llround(start_beat_ * parts), parts);
    const KeyPath where = first_known(index_, {table_.path("start.beat")});
    findings_.add({Level::error, "start-beat", where, place_in(index_, where),
                   what + "; write " +
                       (parts == 1 ? std::string("whole beats") : "multiples of 1/" + std::to_string(parts)) +
                       for_all(feels),
                   decimal(near)});
  }

  /// ", which suit both 4 and 6 a beat" where there are several, so that the reader sees where the range comes from.
  static std::string for_all(const std::vector<int>& feels) {
    if (feels.size() < 2) return {};
    std::string text = feels.size() == 2 ? ", which suit both " : ", which suit ";
    for (std::size_t i = 0; i < feels.size(); ++i)
      text += (i == 0 ? "" : i + 1 < feels.size() ? ", " : " and ") + std::to_string(feels[i]);
    return text + " a beat";
  }

  /// The shortest decimal that is read back as this fraction: -0.333333.
  static std::string decimal(const Rational& fraction) {
    double scale = 1;
    for (int digits = 0; digits < 9; ++digits, scale *= 10) {
      const double rounded = std::round(fraction.to_double() * scale) / scale;
      Rational back;
      if (nearest_fraction(rounded, k_max_notes_per_beat, back) && back == fraction)
        return number_text(rounded == 0 ? 0 : rounded);
    }
    return number_text(fraction.to_double());
  }

  /// "4" and "4 times" as 4, else "fit".
  static std::string number_repair(std::string_view text) {
    const auto parts = words(text);
    const auto number = parts.empty() ? std::nullopt : parse_int(parts.front().text);
    return number ? std::to_string(std::clamp(*number, 1, k_max_repeats)) : "\"fit\"";
  }

  void repeats() {
    const toml::node* node = table_.find("repeats");
    if (node == nullptr) return;
    if (const auto* text = node->as_string()) {
      if (text->get() == "fit") return;
      table_.error("repeats", "unknown-word",
                   "\"" + text->get() + "\" cannot stand here; write \"fit\" or a number from 1 to " +
                       std::to_string(k_max_repeats),
                   number_repair(text->get()));
      return;
    }
    idea_.lick.repeats = table_.integer("repeats", 1, k_max_repeats, near_or("\"fit\""));
  }

  /// The number that stands where a list should, brought into the range, as that list; else `otherwise`.
  std::string listed(std::string_view key, int low, int high, std::string otherwise) {
    const toml::node* node = table_.find(key);
    if (node == nullptr) return otherwise;
    std::optional<int> number;
    if (const auto* text = node->as_string()) number = parse_int(trim(text->get()));
    if (const auto whole = node->value<std::int64_t>(); node->is_number() && whole)
      number = static_cast<int>(std::clamp<std::int64_t>(*whole, low, high));
    return number ? "[" + std::to_string(std::clamp(*number, low, high)) + "]" : otherwise;
  }

  void notes_per_beat() {
    const std::string range = "1 to " + std::to_string(k_max_notes_per_beat);
    const toml::array* list = table_.array("notes_per_beat", "a list of whole numbers from " + range,
                                           listed("notes_per_beat", 1, k_max_notes_per_beat, "[4]"));
    if (list == nullptr) return;
    if (list->empty()) {
      table_.error("notes_per_beat", "empty-list",
                   "there are no notes per beat; write one or more whole numbers from " + range, "[4]");
      return;
    }
    std::vector<int> found;
    for (const toml::node& item : *list) {
      const auto k = int_in(item, 1, k_max_notes_per_beat);
      if (!k) {
        const auto* whole = item.as_integer();
        const std::string near =
            std::to_string(whole == nullptr ? 4 : std::clamp<std::int64_t>(whole->get(), 1, k_max_notes_per_beat));
        table_.report(Level::error, item, "notes_per_beat", whole == nullptr ? "wrong-type" : "out-of-range",
                      "notes per beat must be whole numbers from " + range + ", but this is " +
                          (whole == nullptr ? std::string("not one") : std::to_string(whole->get())),
                      near);
        continue;
      }
      if (std::find(found.begin(), found.end(), *k) != found.end()) {
        table_.report(Level::warning, item, "notes_per_beat", "twice",
                      std::to_string(*k) + " notes per beat stand here twice; they are taken once");
        continue;
      }
      found.push_back(*k);
    }
    if (!found.empty()) idea_.notes_per_beat = found;
  }

  /// The degree that a text begins with: of "5th" 5; else 1.
  static std::string degree_repair(std::string_view text) {
    const std::string plain = plain_accidentals(trim(text));
    const std::string_view sign = std::string_view(plain).substr(0, plain.find_first_not_of("#b"));
    if (sign.size() >= plain.size() || plain[sign.size()] < '1' || plain[sign.size()] > '7') return "1";
    const std::string degree = plain.substr(0, sign.size() + 1);
    return sign.empty() ? degree : parse_degree(degree) ? toml_string(degree) : "1";
  }

  /// One word of an ending's table where the table should be: "hold" is { kind = "hold" }.
  static std::string ending_repair(std::string_view word) {
    const auto is_word = [&](const auto& row) { return row.first == word; };
    if (std::any_of(k_ending_kinds.begin(), k_ending_kinds.end(), is_word))
      return "{ kind = " + toml_string(word) + " }";
    if (std::any_of(k_ending_places.begin(), k_ending_places.end(), is_word))
      return "{ on = " + toml_string(word) + " }";
    const auto degree = parse_degree(word);
    return degree && degree->number <= 7 ? "{ degree = " + toml_string(word) + " }" : "\"auto\"";
  }

  void ending() {
    const toml::node* node = table_.find("ending");
    if (node == nullptr) return;
    if (const auto* word = node->as_string()) {
      const auto is_word = [&](const auto& row) { return row.first == word->get(); };
      const auto row = std::find_if(k_endings.begin(), k_endings.end(), is_word);
      if (row != k_endings.end()) {
        idea_.ending.wanted = row->second;
      } else {
        table_.error("ending", "unknown-word",
                     "\"" + word->get() +
                         "\" cannot stand here; write \"none\", \"auto\" or a table with kind, degree "
                         "and on",
                     ending_repair(word->get()));
      }
      return;
    }
    if (!node->is_table()) {
      table_.wrong_type("ending", *node, "\"none\", \"auto\" or a table with kind, degree and on", "\"auto\"");
      return;
    }
    TableReader reader(*node->as_table(), table_.path("ending"), findings_, unknown_key_level_);
    idea_.ending.kind = reader.one_of("kind", k_ending_kinds);
    if (const toml::node* degree = reader.find("degree")) {
      std::string text;
      if (const auto* whole = degree->as_integer()) text = std::to_string(whole->get());
      if (const auto* word = degree->as_string()) text = word->get();
      idea_.ending.degree = parse_degree(text);
      if (!idea_.ending.degree || idea_.ending.degree->number > 7) {
        reader.error("degree", "bad-degree",
                     "the degree it lands on must be a scale degree from 1 to 7, with b or # in quotes, as in \"b3\"",
                     degree_repair(text));
      }
    }
    idea_.ending.on = reader.one_of("on", k_ending_places, 1);
    reader.report_unknown_keys();
  }

  /// A list whose items are tables; a wrong item is a finding and is passed over.
  template <class F>
  void each_table(std::string_view key, const toml::array& list, F read) {
    std::size_t number = 0;
    for (const toml::node& item : list) {
      ++number;
      const std::string item_key = std::string(key) + "[" + std::to_string(number) + "]";
      if (const auto* values = item.as_table()) {
        TableReader reader(*values, table_.path(item_key), findings_, unknown_key_level_);
        read(reader);
        reader.report_unknown_keys();
      } else {
        table_.report(Level::error, item, item_key, "wrong-type",
                      "everything in " + std::string(key) + " must be a table like { repeat = 2, note = 3, ... }");
      }
    }
  }

  void edits() {
    const toml::array* list = table_.array("edits", "a list of tables");
    if (list == nullptr) return;
    const int highest = draft_.neck().highest_fret();
    each_table("edits", *list, [&](TableReader& reader) {
      for (const std::string_view key : {"repeat", "note", "fret"}) {
        if (!reader.has(key))
          reader.missing(key, "an edit needs repeat, note and fret; " + std::string(key) + " is missing",
                         std::string(key) + " = 1");
      }
      const auto repeat = reader.integer("repeat", 1, 2 * k_max_repeats);
      const auto note = reader.integer("note", 1, k_max_rule_tokens);
      const auto fret = reader.integer("fret", 0, std::max(0, highest));
      if (repeat && note && fret) idea_.lick.edits.push_back({*repeat, *note, *fret});
    });
  }

  void fingers() {
    const toml::array* list = table_.array("fingers", "a list", listed("fingers", -1, 4, ""));
    if (list == nullptr) return;
    const bool plain = !list->empty() && list->get(0)->is_integer();
    if (!plain) {
      each_table("fingers", *list, [&](TableReader& reader) {
        for (const std::string_view key : {"note", "finger"}) {
          if (!reader.has(key))
            reader.missing(key, "a pinned finger needs note and finger; " + std::string(key) + " is missing",
                           std::string(key) + " = 1");
        }
        const auto repeat = reader.integer("repeat", 1, 2 * k_max_repeats);
        const auto note = reader.integer("note", 1, k_max_rule_tokens);
        const auto finger = reader.integer("finger", 0, 4);
        if (note && finger) idea_.fingers.push_back({repeat, *note, *finger, reader.path("finger").key});
      });
      return;
    }
    // A plain list pins the rule's notes in order, in every repetition; -1 leaves a note free.
    int number = 0;
    for (const toml::node& item : *list) {
      ++number;
      const auto finger = int_in(item, -1, 4);
      if (!finger) {
        table_.report(Level::error, item, "fingers", "out-of-range",
                      "a finger must be 1 to 4, 0 for an open string, or -1 to leave the note free", "-1");
      } else if (*finger >= 0) {
        idea_.fingers.push_back({std::nullopt, number, *finger, "fingers[" + std::to_string(number) + "]"});
      }
    }
  }

  KeyPath path_;
  TableReader table_;
  const SourceIndex& index_;
  Diagnostics& findings_;
  Level unknown_key_level_;
  double start_beat_ = 0;  ///< as the file says it
  SettingsDraft draft_;
  Idea idea_;
};

}  // namespace

std::optional<Idea> read_idea(const toml::table& table, int number, const SettingsDraft& settings,
                              const SourceIndex& index, Diagnostics& findings, Level unknown_key_level) {
  return IdeaReader(table, number, settings, index, findings, unknown_key_level).read();
}

}  // namespace fretloom
