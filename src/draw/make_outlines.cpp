// make_outlines FONT LICENCE OUT BYTES: the build's step from the font file to the outlines that programs read, and to
// the same in packed bytes, as C++ has them between braces, for programs that carry them. The first paragraph of the
// licence, which names the owner, goes into both files.

#include <cstdio>

#include "base/text.h"
#include "draw/open_type.h"
#include "files/files.h"
#include "sheet/outline_bytes.h"
#include "sheet/outlines.h"

namespace fretloom {

namespace {

constexpr std::size_t k_max_licence_bytes = 1U << 20U;

int fail(const Error& error) {
  std::fprintf(stderr, "make_outlines: %s%s%s\n", error.what.c_str(), error.repair.empty() ? "" : "; run ",
               error.repair.c_str());
  return 1;
}

/// The bytes as numbers, twenty a line, behind the comment.
std::string as_numbers(std::string_view bytes, std::string_view comment) {
  std::string text;
  for (const std::string_view line : split(comment, '\n')) text += "// " + std::string(line) + "\n";
  for (std::size_t i = 0; i < bytes.size(); ++i)
    text += std::to_string(static_cast<unsigned char>(bytes[i])) + (i % 20 == 19 ? ",\n" : ",");
  return text + "\n";
}

int run(const char* font_path, const char* licence_path, const char* out_path, const char* bytes_path) {
  const auto font = draw::read_open_type(font_path);
  if (!font) return fail(font.error());
  const auto licence = read_file(licence_path, k_max_licence_bytes);
  if (!licence) return fail(licence.error());
  const std::string comment = "Outlines made from a font under the SIL Open Font License, Version 1.1 (OFL.txt).\n" +
                              licence->substr(0, licence->find("\n\n"));
  const auto bytes = sheet::pack_outlines(*font);
  if (!bytes) return fail(bytes.error());
  if (const auto written = write_file(bytes_path, as_numbers(*bytes, comment)); !written) return fail(written.error());
  const auto written = write_file(out_path, sheet::write_outlines(*font, comment));
  return written ? 0 : fail(written.error());
}

}  // namespace

}  // namespace fretloom

int main(int argc, char** argv) {
  if (argc == 5) return fretloom::run(argv[1], argv[2], argv[3], argv[4]);
  std::fprintf(stderr, "usage: make_outlines FONT LICENCE OUT BYTES\n");
  return 2;
}
