#pragma once
// A command's options, behind a wall: only arguments.cpp and main.cpp compile the parser.

#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace fretloom {

/// Enters options of one command. The targets must outlive the parse; `value` names the value in help
/// ("FILE").
class Arguments {
 public:
  explicit Arguments(CLI::App& app) : app_(app) {}

  void required(const std::string& name, std::vector<std::string>& target, const std::string& help,
                const std::string& value);
  void required(const std::string& name, std::string& target, const std::string& help, const std::string& value);
  void option(const std::string& name, std::string& target, const std::string& help, const std::string& value);
  void option(const std::string& name, std::optional<int>& target, const std::string& help, const std::string& value);
  void flag(const std::string& name, bool& target, const std::string& help);

 private:
  CLI::App& app_;
};

/// One row of the command table. `add` enters the options and returns what runs.
struct Command {
  const char* name;
  const char* summary;
  std::function<int()> (*add)(Arguments& arguments);
};

}  // namespace fretloom
