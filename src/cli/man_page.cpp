#include "cli/man_page.h"

#include <CLI/CLI.hpp>
#include <string_view>

namespace fretloom {

namespace {

/// Text that the formatter prints as it is: no escape, no request, and every hyphen one that can be searched for.
std::string plain(std::string_view text) {
  std::string out = text.starts_with('.') || text.starts_with('\'') ? "\\&" : "";
  for (const char c : text) {
    if (c == '\\') {
      out += "\\e";
    } else if (c == '-') {
      out += "\\-";
    } else {
      out += c == '\n' ? ' ' : c;
    }
  }
  return out;
}

std::string bold(std::string_view text) { return "\\fB" + plain(text) + "\\fR"; }
std::string italic(std::string_view text) { return "\\fI" + plain(text) + "\\fR"; }

/// "-o, --output FILE"
std::string option_head(const CLI::Option& option) {
  std::string head;
  for (const std::string& name : option.get_snames()) head += (head.empty() ? "" : ", ") + bold("-" + name);
  for (const std::string& name : option.get_lnames()) head += (head.empty() ? "" : ", ") + bold("--" + name);
  if (option.get_type_size_max() > 0) head += " " + italic(option.get_type_name());
  return head;
}

bool is_shown(const CLI::Option* option) { return option->nonpositional() && !option->get_group().empty(); }

std::string options_of(const CLI::App& app) {
  std::string text;
  for (const CLI::Option* option : app.get_options(is_shown)) {
    text += ".TP\n" + option_head(*option) + "\n" + plain(option->get_description());
    text += option->get_required() ? ". It must be given.\n" : ".\n";
  }
  return text;
}

/// What stands after the command's name: what must be given, then the rest.
std::string synopsis_of(const CLI::App& command) {
  std::string text = bold("fretloom " + command.get_name());
  for (const CLI::Option* option : command.get_options()) {
    if (option->get_positional())
      text += " " + italic(option->get_type_name()) + (option->get_items_expected_max() > 1 ? "\\ ..." : "");
  }
  for (const CLI::Option* option : command.get_options()) {
    if (is_shown(option) && option->get_required()) text += " " + option_head(*option);
  }
  return text + " [" + italic("OPTION") + "\\ ...]";
}

std::string positionals_of(const CLI::App& command) {
  std::string text;
  for (const CLI::Option* option : command.get_options()) {
    if (option->get_positional())
      text += ".TP\n" + italic(option->get_type_name()) + "\n" + plain(option->get_description()) + ".\n";
  }
  return text;
}

constexpr const char* k_after_commands = R"(.SH EXIT STATUS
.TP
.B 0
All went well; there may have been warnings.
.TP
.B 1
A lesson has errors, or something could not be written.
.TP
.B 2
A lesson could not be read, or the command was not given as it should be.
.SH ENVIRONMENT
.TP
.B FRETLOOM_DATA
The folder of
.IR music\-font.outlines ,
where it is not the one below.
.SH FILES
The program looks for its data from where it lies itself, here from
.IR /usr/bin .
.TP
.I /usr/share/fretloom/music\-font.outlines
The music symbols that sheets are drawn with.
.TP
.I /usr/share/fretloom/demos
Lessons to look at, to change and to pack.
.TP
.I /usr/share/doc/fretloom
The documents.
.SH EXAMPLES
Write a first lesson, look what is wrong with it, and draw its sheet:
.PP
.RS
.nf
fretloom new first.toml
fretloom check first.toml
fretloom sheet first.toml \-o first.pdf
.fi
.RE
.PP
Pack the demo lessons:
.PP
.RS
.nf
fretloom pack /usr/share/fretloom/demos \-o packs
.fi
.RE
)";

}  // namespace

std::string man_page(const CLI::App& app) {
  std::string text = ".TH FRETLOOM 1 \"\" " + plain("\"Fretloom " FRETLOOM_VERSION "\"") + " \"User Commands\"\n";
  text += ".SH NAME\nfretloom \\- work out, draw and pack picking\\-technique lessons for guitar\n";
  const auto commands = app.get_subcommands(std::function<bool(const CLI::App*)>());
  text += ".SH SYNOPSIS\n.nf\n.ad l\n";
  for (const CLI::App* command : commands) text += synopsis_of(*command) + "\n";
  text += ".fi\n.SH DESCRIPTION\n" + plain(app.get_description()) + "\n.SH COMMANDS\n";
  for (const CLI::App* command : commands) {
    text += ".SS " + bold(command->get_name()) + "\n" + plain(command->get_description()) + ".\n";
    text += positionals_of(*command) + options_of(*command);
  }
  return text + ".SH OPTIONS\n" + options_of(app) + k_after_commands;
}

}  // namespace fretloom
