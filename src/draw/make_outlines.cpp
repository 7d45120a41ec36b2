// make_outlines FONT LICENCE OUT: the build's step from the font file to the outlines that programs read. The first
// paragraph of the licence, which names the owner, goes into the file.

#include <cstdio>

#include "draw/open_type.h"
#include "files/files.h"
#include "sheet/outlines.h"

namespace fretloom {

namespace {

constexpr std::size_t k_max_licence_bytes = 1U << 20U;

int fail(const Error& error) {
  std::fprintf(stderr, "make_outlines: %s%s%s\n", error.what.c_str(), error.repair.empty() ? "" : "; run ",
               error.repair.c_str());
  return 1;
}

int run(const char* font_path, const char* licence_path, const char* out_path) {
  const auto font = draw::read_open_type(font_path);
  if (!font) return fail(font.error());
  const auto licence = read_file(licence_path, k_max_licence_bytes);
  if (!licence) return fail(licence.error());
  const std::string comment = "Outlines made from a font under the SIL Open Font License, Version 1.1 (OFL.txt).\n" +
                              licence->substr(0, licence->find("\n\n"));
  const auto written = write_file(out_path, sheet::write_outlines(*font, comment));
  return written ? 0 : fail(written.error());
}

}  // namespace

}  // namespace fretloom

int main(int argc, char** argv) {
  if (argc == 4) return fretloom::run(argv[1], argv[2], argv[3]);
  std::fprintf(stderr, "usage: make_outlines FONT LICENCE OUT\n");
  return 2;
}
