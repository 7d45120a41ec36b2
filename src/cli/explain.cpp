// fretloom explain: the rule behind a phrase.

#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <iostream>
#include <iterator>
#include <memory>

#include "base/text.h"
#include "cli/command.h"
#include "exchange/open_mxl.h"
#include "exchange/read_note_list.h"
#include "exchange/read_phrases.h"
#include "files/files.h"
#include "insight/answer_json.h"
#include "insight/lesson_text.h"
#include "insight/sentence.h"

namespace fretloom {

namespace {

constexpr std::size_t k_max_phrase_file = 16U << 20U;  // as much as its largest reader takes

struct ExplainOptions {
  std::string input;
  std::string tuning;
  std::string output;
  std::string answer;
  std::string phrase;
  bool json = false;
};

/// What was given, and what it is called in messages.
struct Source {
  std::string name;
  std::string bytes;
};

Result<Source> source_of(const std::string& input) {
  if (input == "-") {
    std::string bytes(std::istreambuf_iterator<char>(std::cin), {});
    return Source{"standard input", std::move(bytes)};
  }
  std::error_code error;
  if (!std::filesystem::exists(input, error) && input.find_first_of(": ") != std::string::npos &&
      looks_like_note_list(input))
    return Source{"notes", input};
  auto bytes = read_file(input, k_max_phrase_file);
  if (!bytes) return bytes.error();
  return Source{input, std::move(bytes).value()};
}

/// Line and column of a byte; nothing in a file of bytes.
Place place_of(std::string_view text, std::size_t at) {
  if (text.starts_with("MThd") || looks_like_zip(text)) return {};
  const std::string_view before = text.substr(0, std::min(at, text.size()));
  const auto line = static_cast<std::uint32_t>(std::count(before.begin(), before.end(), '\n') + 1);
  const std::size_t begin = before.rfind('\n') == std::string_view::npos ? 0 : before.rfind('\n') + 1;
  return {line, static_cast<std::uint32_t>(count_code_points(before.substr(begin)) + 1)};
}

Finding finding_of(const Source& source, const Error& error) {
  Finding finding;
  finding.code = error.kind == ErrorKind::limit ? "too-large" : error.kind == ErrorKind::range ? "range" : "unreadable";
  finding.place = place_of(source.bytes, error.at);
  finding.message = error.what;
  if (source.bytes.starts_with("MThd") && error.at > 0) finding.message += " (byte " + std::to_string(error.at) + ")";
  return finding;
}

void print_findings(const Source& source, const std::vector<Finding>& findings) {
  for (const Finding& finding : findings) std::fprintf(stderr, "%s\n", to_line(finding, source.name).c_str());
}

int refuse(const ExplainOptions& options, const Source& source, const Error& error) {
  const std::vector<Finding> findings = {finding_of(source, error)};
  if (options.json) {
    print(explain_json({}, findings));
  } else {
    print_findings(source, findings);
  }
  return k_exit_unreadable;
}

/// What a reader has passed over.
std::optional<Finding> left_out_finding(const GivenPhrase& phrase) {
  if (phrase.left_out == 0) return std::nullopt;
  Finding finding;
  finding.level = Level::warning;
  finding.code = "left-out";
  finding.place = phrase.place;
  finding.message = counted(static_cast<std::size_t>(phrase.left_out), "note") +
                    (phrase.left_out == 1 ? " was" : " were") +
                    " left out: of notes that sound together only one is taken, and no grace notes";
  return finding;
}

std::string text_of(const ExplainedPhrase& phrase, bool only) {
  std::string text;
  if (!only) {
    text += "Phrase " + std::to_string(phrase.number);
    if (!phrase.given.name.empty()) text += ", " + phrase.given.name;
    if (phrase.given.place.line > 0) text += " (line " + std::to_string(phrase.given.place.line) + ")";
    text += "\n";
  }
  const auto paragraph = [&](const std::string& sentence, const std::string& first, const std::string& indent) {
    constexpr std::size_t k_width = 100;
    bool begins = true;
    for (const std::string& line : wrap(sentence, k_width - indent.size())) {
      text += (begins ? first : indent) + line + "\n";
      begins = false;
    }
  };
  if (phrase.explanation.why_not) paragraph(std::string(sentence_of(*phrase.explanation.why_not)), "", "");
  for (std::size_t i = 0; i < phrase.explanation.answers.size(); ++i) {
    const Answer& answer = phrase.explanation.answers[i];
    paragraph(sentence_of(answer), std::to_string(i + 1) + ". ", "   ");
    if (i > 0) continue;
    for (const std::string& reason : reasons_of(answer)) paragraph(reason, "   - ", "     ");
  }
  return text;
}

/// The number given to an option: 1 if the option is left out, 0 if its text is not a number.
int number_or_one(const std::string& text) { return text.empty() ? 1 : std::max(0, parse_int(text).value_or(0)); }

/// Writes the lesson of the answer that was asked for.
int write_lesson(const ExplainOptions& options, const std::vector<ExplainedPhrase>& phrases) {
  const auto phrase = static_cast<std::size_t>(number_or_one(options.phrase));
  const auto answer = static_cast<std::size_t>(number_or_one(options.answer));
  if (phrase < 1 || phrase > phrases.size()) return fail("the input has no phrase " + options.phrase, k_exit_errors);
  const std::vector<Answer>& answers = phrases[phrase - 1].explanation.answers;
  if (answer < 1 || answer > answers.size())
    return fail("answer " + std::to_string(answer) + " was not found, so nothing is written", k_exit_errors);
  std::error_code error;
  if (std::filesystem::exists(options.output, error))
    return fail(options.output + " exists already; nothing was written", k_exit_errors);
  const auto written = write_file(options.output, lesson_text(answers[answer - 1]));
  return written ? print("wrote " + options.output + "\n") : fail(written.error().what, k_exit_errors);
}

std::optional<Tuning> tuning_option(const ExplainOptions& options) {
  if (options.tuning.empty()) return std::nullopt;
  auto tuning = parse_tuning(std::string_view(options.tuning));
  if (tuning) return *tuning;
  std::vector<std::string> pitches;
  for (const Word& word : words(options.tuning)) pitches.emplace_back(word.text);
  auto listed = parse_tuning(std::span<const std::string>(pitches));
  return listed ? std::optional(*listed) : std::nullopt;
}

int run_explain(const ExplainOptions& options) {
  auto source = source_of(options.input);
  if (!source) return fail(source.error().what);
  const auto tuning = tuning_option(options);
  if (!options.tuning.empty() && !tuning)
    return fail("--tuning does not know \"" + options.tuning +
                "\"; write a name such as \"drop D\", or the open strings");
  std::string bytes = source->bytes;
  if (looks_like_zip(bytes)) {
    auto document = open_mxl(bytes);
    if (!document) return refuse(options, *source, document.error());
    bytes = std::move(document).value();
  }
  const auto given = read_phrases(bytes);
  if (!given) return refuse(options, {source->name, bytes}, given.error());
  std::vector<ExplainedPhrase> phrases;
  std::vector<Finding> findings;
  int code = k_exit_clean;
  for (const GivenPhrase& phrase : *given) {
    if (const auto finding = left_out_finding(phrase)) findings.push_back(*finding);
    auto explanation = explain(phrase, tuning);
    const int number = static_cast<int>(phrases.size()) + 1;
    if (!explanation) {
      findings.push_back(finding_of({source->name, bytes}, explanation.error()));
      findings.back().place = phrase.place;
      phrases.push_back({number, phrase, {}});
    } else {
      phrases.push_back({number, phrase, std::move(explanation).value()});
    }
    if (phrases.back().explanation.answers.empty()) code = k_exit_errors;
  }
  if (options.json) return std::max(code, print(explain_json(phrases, findings)));
  print_findings(*source, findings);
  if (!options.output.empty()) return std::max(code, write_lesson(options, phrases));
  std::string text;
  for (const ExplainedPhrase& phrase : phrases)
    text += (text.empty() ? "" : "\n") + text_of(phrase, phrases.size() == 1);
  return std::max(code, print(text));
}

}  // namespace

std::function<int()> add_explain(Arguments& arguments) {
  auto options = std::make_shared<ExplainOptions>();
  arguments.required(
      "file", options->input,
      "Text tab, MIDI or MusicXML (.musicxml, .mxl), - for standard input, or the notes themselves, as in "
      "\"6: 12 15 14 15 | 5: 14 12\"",
      "FILE");
  arguments.option("--tuning", options->tuning,
                   "Name or open strings, where the file does not say (standard if left out)", "TUNING");
  arguments.option("-o", options->output, "Lesson file to write an answer to; it must not exist", "FILE");
  arguments.option("--phrase", options->phrase, "Which phrase of the file to write (the first if left out)", "N");
  arguments.option("--answer", options->answer, "Which of its answers to write (the first if left out)", "N");
  arguments.flag("--json", options->json, "Answers as JSON on standard output");
  return [options] { return run_explain(*options); };
}

}  // namespace fretloom
