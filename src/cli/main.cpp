// The fretloom command: one row a subcommand.

#include <CLI/CLI.hpp>
#include <array>
#include <csignal>
#include <vector>

#include "cli/command.h"
#include "cli/man_page.h"

namespace fretloom {

namespace {

constexpr std::array k_commands = {
    Command{"check", "List what is wrong or worth knowing in lessons", add_check},
    Command{"notes", "Print every note, stroke and string change", add_notes},
    Command{"list", "List the modes, tunings, rhythms or chords that a lesson can name", add_list},
    Command{"export", "Write a lesson as another file (txt, mid, musicxml, mxl)", add_export},
    Command{"sheet", "Engrave a lesson as PDF, SVG or PNG", add_sheet},
    Command{"sound", "Make audio files of a lesson's ideas", add_sound},
    Command{"pack", "Make and publish everything of a lesson: a folder and a zip", add_pack},
    Command{"verify", "Make a pack anew and compare every part", add_verify},
    Command{"explain", "Find the rule behind a phrase (text tab, MIDI, MusicXML, a list of notes)", add_explain},
    Command{"studio", "Make, hear and pack lessons in the browser", add_studio},
    Command{"new", "Write a small commented lesson to start from", add_new},
};

int run(int argc, char** argv) {
  CLI::App app("Fretloom works out picking-technique lessons: a rule on the strings goes in, proven notes come out.",
               "fretloom");
  app.require_subcommand(1);
  app.set_version_flag("--version", "fretloom " FRETLOOM_VERSION);
  app.footer("Exit codes: 0 clean or warnings only, 1 errors, 2 unreadable input or misuse.");
  std::vector<std::pair<CLI::App*, std::function<int()>>> runs;
  for (const Command& command : k_commands) {
    CLI::App* sub = app.add_subcommand(command.name, command.summary);
    Arguments arguments(*sub);
    runs.emplace_back(sub, command.add(arguments));
  }
  const auto print_man_page = [&app] {
    if (print(man_page(app)) != k_exit_clean) throw CLI::RuntimeError(k_exit_errors);
    throw CLI::Success();
  };
  app.add_flag_callback("--man-page", print_man_page)->group("");  // for the build: no row in help
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    return app.exit(error) == 0 ? k_exit_clean : k_exit_unreadable;
  }
  for (const auto& [sub, run] : runs) {
    if (sub->parsed()) return run();
  }
  return k_exit_unreadable;
}

}  // namespace

}  // namespace fretloom

int main(int argc, char** argv) {
  std::signal(SIGXFSZ, SIG_IGN);  // a file that may not grow is an error of the write, not the end
  return fretloom::run(argc, argv);
}
