// The compressed container of MusicXML 4.0 ("Compressed .mxl files" in the standard's documentation).

#include "exchange/musicxml.h"
#include "files/zip.h"

namespace fretloom {

namespace {

constexpr std::string_view k_media_type = "application/vnd.recordare.musicxml";
constexpr std::string_view k_container =
    "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
    "<container>\n"
    "  <rootfiles>\n"
    "    <rootfile full-path=\"lesson.musicxml\" media-type=\"application/vnd.recordare.musicxml+xml\"/>\n"
    "  </rootfiles>\n"
    "</container>\n";

}  // namespace

Result<std::string> mxl_of(const Handout& handout, const MusicXmlOptions& options) {
  const auto document = musicxml_of(handout, options);
  if (!document) return document.error();
  return zip_bytes({{"mimetype", std::string(k_media_type), true},
                    {"META-INF/container.xml", std::string(k_container), false},
                    {"lesson.musicxml", *document, false}});
}

}  // namespace fretloom
