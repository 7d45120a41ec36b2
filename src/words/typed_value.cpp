#include "words/typed_value.h"

#include <algorithm>
#include <array>
#include <optional>

#include "base/text.h"
#include "lesson/table_reader.h"
#include "words/choices.h"

namespace fretloom {

namespace {

/// How the file writes the value of a key.
enum class Form { text, number, number_or_text, numbers, number_or_numbers, texts, table };

struct KeyForm {
  std::string_view key;
  Form form;
};

constexpr std::array<KeyForm, 18> k_forms = {{{"frets", Form::number},
                                              {"scale_length", Form::number},
                                              {"capo", Form::number},
                                              {"reach", Form::number},
                                              {"layout.from", Form::number},
                                              {"layout.width", Form::number},
                                              {"layout.notes", Form::number_or_numbers},
                                              {"tempo.slow", Form::number},
                                              {"tempo.goal", Form::number},
                                              {"carry.strings", Form::number},
                                              {"carry.steps", Form::number},
                                              {"start.string", Form::number},
                                              {"start.ordinal", Form::number},
                                              {"start.beat", Form::number},
                                              {"repeats", Form::number_or_text},
                                              {"notes_per_beat", Form::numbers},
                                              {"scale", Form::texts},
                                              {"ending", Form::table}}};

Form form_of(std::string_view key) {
  const auto row = std::find_if(k_forms.begin(), k_forms.end(), [&](const KeyForm& form) { return form.key == key; });
  return row == k_forms.end() ? Form::text : row->form;
}

bool is_in_number(char c) { return (c >= '0' && c <= '9') || c == '.'; }

/// The numbers that stand in a text, as they are written there: "fret 12" has one, "4 and 6" two.
std::vector<std::string> numbers_in(std::string_view text) {
  std::vector<std::string> numbers;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (!is_in_number(text[i])) continue;
    const std::size_t sign = i > 0 && text[i - 1] == '-' ? i - 1 : i;
    while (i < text.size() && is_in_number(text[i])) ++i;
    std::string number(text.substr(sign, i - sign));
    while (!number.empty() && number.back() == '.') number.pop_back();
    const std::size_t zeros = number.find_first_not_of('0');  // TOML has no 07
    if (zeros != std::string::npos && zeros > 0 && number[zeros] != '.') number.erase(0, zeros);
    if (!number.empty() && number != "-") numbers.push_back(std::move(number));
  }
  return numbers;
}

std::string text_list(std::string_view typed) {
  std::vector<std::string> items;
  for (const Word& word : words(typed)) items.push_back(toml_string(trim(word.text)));
  return "[" + join(items, ", ") + "]";
}

/// Several pitches are strings tuned one by one.
bool is_pitch_list(std::string_view typed) {
  const std::vector<Word> list = words(typed);
  return list.size() > 1 && std::all_of(list.begin(), list.end(), [](const Word& word) {
           const std::string_view text = word.text;
           return text.size() >= 2 && text.back() >= '0' && text.back() <= '9' && lower(text.substr(0, 1))[0] >= 'a' &&
                  lower(text.substr(0, 1))[0] <= 'g';
         });
}

std::string by_form(std::string_view key, const std::string& typed) {
  const std::vector<std::string> numbers = numbers_in(typed);
  switch (form_of(key)) {
    case Form::number:
    case Form::number_or_text:
      if (!numbers.empty()) return numbers.front();
      break;
    case Form::numbers:
      if (!numbers.empty()) return "[" + join(numbers, ", ") + "]";
      break;
    case Form::number_or_numbers:
      if (numbers.size() == 1) return numbers.front();
      if (!numbers.empty()) return "[" + join(numbers, ", ") + "]";
      break;
    case Form::texts: return text_list(typed);
    case Form::text:
    case Form::table: break;
  }
  if (key == "tuning" && is_pitch_list(typed)) return text_list(typed);
  if (key == "key") {
    if (const auto read = parse_key(typed)) return toml_string(read->name());  // spelled as the sentence says it
  }
  return toml_string(typed);
}

}  // namespace

std::string typed_value(const CompiledLesson& lesson, const KeyPath& key, std::string_view typed) {
  const std::string given(trim(typed));
  const std::string wanted = lower(given);
  for (const Choice& choice : proposals(lesson, key)) {
    if (lower(choice.says) == wanted || lower(choice.value) == wanted ||
        lower(choice.value) == lower(toml_string(given)))
      return choice.value;
  }
  return by_form(key.key, given);
}

}  // namespace fretloom
