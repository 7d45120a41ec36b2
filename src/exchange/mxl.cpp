// The compressed container of MusicXML 4.0 ("Compressed .mxl files" in the standard's documentation).

#include <zip.h>

#include <memory>

#include "exchange/musicxml.h"

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

// 1980-01-01 00:00, the earliest a zip can say. Given as it is stored: a time_t would depend on the zone.
constexpr zip_uint16_t k_dos_time = 0;
constexpr zip_uint16_t k_dos_date = (0 << 9) | (1 << 5) | 1;
constexpr zip_uint32_t k_level = 9;

struct DropSource {
  void operator()(zip_source_t* source) const { zip_source_free(source); }
};
using Source = std::unique_ptr<zip_source_t, DropSource>;

struct DropArchive {
  void operator()(zip_t* archive) const { zip_discard(archive); }
};
using Archive = std::unique_ptr<zip_t, DropArchive>;

/// `data` must outlive the archive.
bool add_file(zip_t* archive, const char* name, std::string_view data, zip_int32_t method) {
  Source source(zip_source_buffer(archive, data.data(), data.size(), 0));
  if (!source) return false;
  const zip_int64_t index = zip_file_add(archive, name, source.get(), ZIP_FL_ENC_UTF_8);
  if (index < 0) return false;
  static_cast<void>(source.release());  // the archive owns it now
  const auto at = static_cast<zip_uint64_t>(index);
  return zip_set_file_compression(archive, at, method, method == ZIP_CM_STORE ? 0 : k_level) == 0 &&
         zip_file_set_dostime(archive, at, k_dos_time, k_dos_date, 0) == 0;
}

/// All bytes of a source whose archive is closed.
bool read_all(zip_source_t* source, std::string& bytes) {
  zip_stat_t stat;
  if (zip_source_stat(source, &stat) != 0 || (stat.valid & ZIP_STAT_SIZE) == 0) return false;
  if (zip_source_open(source) != 0) return false;
  bytes.resize(stat.size);
  const zip_int64_t read = zip_source_read(source, bytes.data(), bytes.size());
  zip_source_close(source);
  return read >= 0 && static_cast<std::size_t>(read) == bytes.size();
}

}  // namespace

Result<std::string> mxl_of(const Handout& handout, const MusicXmlOptions& options) {
  const auto document = musicxml_of(handout, options);
  if (!document) return document.error();
  const Error failed{ErrorKind::io, 0, "the compressed MusicXML file could not be built", ""};

  const Source bytes(zip_source_buffer_create(nullptr, 0, 0, nullptr));
  if (!bytes) return failed;
  Archive archive(zip_open_from_source(bytes.get(), ZIP_TRUNCATE, nullptr));
  if (!archive) return failed;
  zip_source_keep(bytes.get());  // closing the archive drops its own hold
  if (!add_file(archive.get(), "mimetype", k_media_type, ZIP_CM_STORE) ||
      !add_file(archive.get(), "META-INF/container.xml", k_container, ZIP_CM_DEFLATE) ||
      !add_file(archive.get(), "lesson.musicxml", *document, ZIP_CM_DEFLATE))
    return failed;
  if (zip_close(archive.get()) != 0) return failed;
  static_cast<void>(archive.release());
  std::string result;
  if (!read_all(bytes.get(), result)) return failed;
  return result;
}

}  // namespace fretloom
