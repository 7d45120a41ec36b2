#pragma once
// What the independent library npm tonal 6.4.3 says, read from tonal_values.mjs.

#include <array>
#include <cstdio>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "base/text.h"

namespace fretloom {

using TonalLine = std::vector<std::string>;

/// Runs the script; returns all its lines, or none if node, the script or the package failed.
inline std::vector<TonalLine> read_tonal_table() {
  const std::string command = "node '" FRETLOOM_SOURCE_DIR "/tests/theory/tonal_values.mjs'";
  std::string output;
  {
    const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
    if (!pipe) return {};
    std::array<char, 65536> buffer{};
    for (std::size_t n = 0; (n = fread(buffer.data(), 1, buffer.size(), pipe.get())) > 0;) {
      output.append(buffer.data(), n);
    }
  }
  std::vector<TonalLine> lines;
  for (const std::string_view line : split(trim(output), '\n')) {
    TonalLine fields;
    for (const std::string_view field : split(line, '\t')) fields.emplace_back(field);
    lines.push_back(std::move(fields));
  }
  // The last line counts the others, so that a cut-off table is no table.
  if (lines.back() != TonalLine{"end", std::to_string(lines.size() - 1)}) return {};
  return lines;
}

/// The lines of one kind. Computed once; empty if the script failed.
inline std::vector<TonalLine> tonal_lines(std::string_view kind) {
  static const std::vector<TonalLine> k_lines = read_tonal_table();
  std::vector<TonalLine> found;
  for (const TonalLine& line : k_lines) {
    if (line.front() == kind) found.push_back(line);
  }
  return found;
}

}  // namespace fretloom
