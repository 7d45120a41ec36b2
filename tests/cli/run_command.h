#pragma once
// The command as a user runs it.

#include <cstdlib>
#include <string>

#include "outside.h"

namespace fretloom::test {

struct Outcome {
  std::string out;
  std::string err;
  int code = -1;
};

/// The shell's words that run the command in a folder, which holds its cache too.
inline std::string command_in(const Folder& folder) {
  const std::string path = folder.path().string();
  return "cd '" + path + "' && XDG_CACHE_HOME='" + path + "/.cache' '" FRETLOOM_COMMAND "' ";
}

inline Outcome run(const Folder& folder, const std::string& arguments) {
  const int status = std::system((command_in(folder) + arguments + " >stdout.txt 2>stderr.txt").c_str());
  return {bytes_of(folder.path() / "stdout.txt"), bytes_of(folder.path() / "stderr.txt"),
          WIFEXITED(status) ? WEXITSTATUS(status) : -1};
}

}  // namespace fretloom::test
