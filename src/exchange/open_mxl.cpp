#include "exchange/open_mxl.h"

#include <pugixml.hpp>
#include <vector>

#include "base/text.h"
#include "exchange/read_musicxml.h"
#include "files/zip.h"

namespace fretloom {

namespace {

/// The path of the first root file, empty where the container names none.
std::string named_document(const std::string& container) {
  pugi::xml_document document;
  if (!document.load_buffer(container.data(), container.size())) return {};
  return document.child("container").child("rootfiles").child("rootfile").attribute("full-path").value();
}

}  // namespace

bool looks_like_zip(std::string_view bytes) { return bytes.starts_with("PK"); }

Result<std::string> open_mxl(std::string_view bytes) {
  // Room for pictures beside the document; the document's own limit is its reader's.
  auto entries = unzip(bytes, 4 * k_max_musicxml_bytes);
  if (!entries) return entries.error();
  std::string path;
  constexpr std::size_t k_largest_container = 1U << 16U;
  for (const ZipEntry& entry : *entries) {
    if (entry.name == "META-INF/container.xml" && entry.bytes.size() <= k_largest_container)
      path = named_document(entry.bytes);
  }
  for (const ZipEntry& entry : *entries) {
    const bool is_score = entry.name.ends_with(".musicxml") || entry.name.ends_with(".xml");
    if (path.empty() ? is_score && !entry.name.starts_with("META-INF/") : entry.name == path) return entry.bytes;
  }
  return Error{ErrorKind::syntax, 0,
               path.empty() ? "the archive holds no MusicXML document"
                            : "the archive does not hold its document \"" + printable(path) + "\"",
               ""};
}

}  // namespace fretloom
