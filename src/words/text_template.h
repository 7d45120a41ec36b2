#pragma once
// The texts of a lesson from templates: plain text with places that Fretloom fills in.
//
//   Hello,
//
//   I have a new lesson for you{if title}, "{title}"{end}.
//   {each idea}
//   - {name}: {shape}
//   {end}
//   Licence: {licence}
//   {# This is for my own eyes and is never printed.}
//
// {name}             a placeholder: its value, on one line. Nothing where the lesson does not say it.
// {each idea} {end}  what stands between is written once for each (each feel within an idea; each enclosed, each link).
// {if title} {end}   what stands between is written only where {title} has a value.
// {# ...}            a remark, never printed.
// {{                 a brace. A lone } is itself.
//
// A line whose placeholders are all empty is left out, and so is a line of blocks and remarks alone; several empty
// lines become one. One line of a template is one paragraph: the e-mail and the script break long lines by themselves.
// A full stop behind a value that has one already is left out. Case and blanks within braces do not matter. Values are
// never read as templates.

#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include "base/diagnostics.h"
#include "words/placeholders.h"

namespace fretloom {

enum class TemplateKind { email, description, script };
constexpr std::size_t k_template_kinds = 3;

/// "email.txt", "description.txt", "script.txt": in the folder k_template_folder beside the lesson.
[[nodiscard]] std::string_view template_file_name(TemplateKind kind);
constexpr std::string_view k_template_folder = "templates";
constexpr std::size_t k_max_template_bytes = std::size_t{64} << 10U;

/// A template as a file has it.
struct TemplateFile {
  TemplateKind kind = TemplateKind::email;
  std::string text;
};

/// Our own three, as `fretloom new --templates` writes them.
[[nodiscard]] std::vector<TemplateFile> default_templates();

/// A step of a template. A block's steps follow it, up to `end`.
struct TemplateStep {
  const Placeholder* value = nullptr;  ///< a placeholder, or the condition of a block
  const TextList* list = nullptr;      ///< a block for each of a list
  bool is_block = false;
  std::size_t end = 0;  ///< of a block: index of the first step behind it
  std::string text;     ///< where there is neither
};

/// A template that was read. The default one is empty.
struct TextTemplate {
  std::vector<TemplateStep> steps;
};

struct TemplateReading {
  TextTemplate text;
  /// Errors, each with line, column and what may stand there. Nothing of the file is lost for them: what is not
  /// understood stays in the text as it was typed.
  ///   template-name   no such placeholder, or not here; the repair stands for the whole of {...}
  ///   template-brace  a { without its }; the repair stands for the brace
  ///   template-end    a block without {end}: the repair goes behind the text; an {end} without a block
  ///   template-depth  more than k_deepest_block blocks within each other; no repair
  ///   template-text   bytes that are no text (ill-formed UTF-8, control characters): the first; the repair stands for
  ///   it template-size   more than k_max_template_bytes; nothing is read, no repair
  std::vector<Finding> findings;
};
constexpr std::size_t k_deepest_block = 16;
/// More are not listed: whoever has so many mends these first.
constexpr std::size_t k_most_template_findings = 100;

[[nodiscard]] TemplateReading read_template(std::string_view text);

/// The built-in template of a kind.
[[nodiscard]] TextTemplate default_template(TemplateKind kind);
/// The teacher's own template among `files`, else the built-in one.
[[nodiscard]] TemplateReading template_for(TemplateKind kind, const std::vector<TemplateFile>& files);

/// The text, line by line, ended by one line break; not wrapped yet.
[[nodiscard]] std::string fill(const TextTemplate& text, const TextFacts& facts);

}  // namespace fretloom
