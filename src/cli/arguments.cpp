#include "cli/arguments.h"

#include <CLI/CLI.hpp>

namespace fretloom {

void Arguments::required(const std::string& name, std::vector<std::string>& target, const std::string& help,
                         const std::string& value) {
  app_.add_option(name, target, help)->required()->type_name(value);
}
void Arguments::required(const std::string& name, std::string& target, const std::string& help,
                         const std::string& value) {
  app_.add_option(name, target, help)->required()->type_name(value);
}
void Arguments::option(const std::string& name, std::string& target, const std::string& help,
                       const std::string& value) {
  app_.add_option(name, target, help)->type_name(value);
}
void Arguments::option(const std::string& name, std::optional<int>& target, const std::string& help,
                       const std::string& value) {
  app_.add_option(name, target, help)->type_name(value);
}
void Arguments::flag(const std::string& name, bool& target, const std::string& help) {
  app_.add_flag(name, target, help);
}

}  // namespace fretloom
