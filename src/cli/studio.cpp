// fretloom studio: lessons in the browser, from a server on this machine.

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <chrono>
#include <filesystem>
#include <memory>
#include <thread>

#include "cli/command.h"
#include "cli/music_font.h"
#include "cli/option_values.h"
#include "cli/progress.h"
#include "pack/practice_file.h"
#include "studio/page.h"
#include "studio/page_files.h"
#include "studio/server.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

struct StudioArguments {
  std::string folder = ".";
  std::string packs;
  std::string export_to;
  std::optional<int> port;
  bool open = false;
};

std::string words_of(const Error& error) {
  return error.what + (error.repair.empty() ? "" : " (repair: " + error.repair + ")");
}

int write_page(const std::string& folder) {
  const auto page = studio::export_page(studio::static_files(), folder);
  if (!page) return fail(words_of(page.error()), k_exit_errors);
  return print("wrote " + page->string() +
               ": the studio as a page of its own. Open it in a browser, or put the folder on a web server.\n");
}

/// In the browser that the desktop names. What is printed stands there anyway, so nothing is said where it does not
/// work.
void open_in_browser(const std::string& address) {
  std::string program = "xdg-open";
  std::string argument = address;
  const std::array<char*, 3> arguments{program.data(), argument.data(), nullptr};
  pid_t child = 0;
  if (::posix_spawnp(&child, program.c_str(), nullptr, nullptr, arguments.data(), environ) == 0)
    ::waitpid(child, nullptr, 0);
}

int run_studio(const StudioArguments& arguments) {
  if (!arguments.export_to.empty()) return write_page(arguments.export_to);
  constexpr int k_last_port = 65535;
  if (arguments.port && (*arguments.port < 0 || *arguments.port > k_last_port))
    return fail("--port must be from 0 to 65535, but this is " + std::to_string(*arguments.port));
  std::error_code error;
  const fs::path folder = fs::canonical(arguments.folder, error);
  if (error || !fs::is_directory(folder, error))
    return fail("there is no folder " + arguments.folder + "; name one that holds lessons, or will hold them");
  const auto font = load_font();
  if (!font) return fail(words_of(font.error()), k_exit_errors);
  const fs::path packs = arguments.packs.empty() ? folder / "packs" : fs::absolute(arguments.packs, error);
  studio::Studio studio(
      {folder, {packs, part_cache_folder(), {&*font, program_hash(), practice_files(), usual_samples()}}});
  const auto server =
      studio::Server::start(studio, studio::page_files(), static_cast<std::uint16_t>(arguments.port.value_or(0)));
  if (!server) return fail(words_of(server.error()), k_exit_errors);
  listen_for_stop();
  print("The studio with the lessons of " + folder.string() + " is at\n\n    " + (*server)->address() +
        "\n\nOpen that address in a browser on this machine. Ctrl-C ends the studio.\n");
  if (arguments.open) open_in_browser((*server)->address());
  while (!stop_flag().load()) std::this_thread::sleep_for(std::chrono::milliseconds(50));
  return print("\nThe studio is closed. Your lessons are in " + folder.string() + ".\n");
}

}  // namespace

std::function<int()> add_studio(Arguments& arguments) {
  auto options = std::make_shared<StudioArguments>();
  arguments.option("folder", options->folder, "Folder of the lessons; this one if left out", "DIR");
  arguments.option("--port", options->port, "Port on 127.0.0.1; a free one if left out, or 0", "N");
  arguments.option("--packs", options->packs, "Folder for the packs; packs in the lessons' folder if left out", "DIR");
  arguments.flag("--open", options->open, "Open the studio in the desktop's browser");
  arguments.option("--export", options->export_to,
                   "Write the studio as a page that needs no server into this folder, and end", "DIR");
  return [options] { return run_studio(*options); };
}

}  // namespace fretloom
