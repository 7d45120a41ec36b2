#pragma once

#include <string>

namespace CLI {
class App;
}

namespace fretloom {

/// The manual page fretloom(1), in the man macros of groff_man(7): every command and option of `app` as --help names
/// them, and by hand what help has no room for. The build prints it once.
[[nodiscard]] std::string man_page(const CLI::App& app);

}  // namespace fretloom
