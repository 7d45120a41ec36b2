#include "files/zip.h"

#include <zip.h>

#include <memory>
#include <optional>
#include <set>

#include "base/text.h"

namespace fretloom {

namespace {

// 1980-01-01 00:00, the earliest a zip can say. Given as it is stored: a time_t would depend on the zone.
constexpr zip_uint16_t k_dos_time = 0;
constexpr zip_uint16_t k_dos_date = (0 << 9) | (1 << 5) | 1;
constexpr zip_uint32_t k_level = 9;
constexpr zip_int64_t k_most_entries = 100'000;
// Text packs to a tenth, and only what was made to burst a reader to a thousandth.
constexpr std::size_t k_most_times = 100;
constexpr std::size_t k_small = std::size_t{64} << 10U;

struct DropSource {
  void operator()(zip_source_t* source) const { zip_source_free(source); }
};
using Source = std::unique_ptr<zip_source_t, DropSource>;

struct DropArchive {
  void operator()(zip_t* archive) const { zip_discard(archive); }
};
using Archive = std::unique_ptr<zip_t, DropArchive>;

struct CloseFile {
  void operator()(zip_file_t* file) const { zip_fclose(file); }
};
using InsideFile = std::unique_ptr<zip_file_t, CloseFile>;

/// `entry` must outlive the archive.
bool add_entry(zip_t* archive, const ZipEntry& entry) {
  Source source(zip_source_buffer(archive, entry.bytes.data(), entry.bytes.size(), 0));
  if (!source) return false;
  const zip_int64_t index = zip_file_add(archive, entry.name.c_str(), source.get(), ZIP_FL_ENC_UTF_8);
  if (index < 0) return false;
  static_cast<void>(source.release());  // the archive owns it now
  const auto at = static_cast<zip_uint64_t>(index);
  return zip_set_file_compression(archive, at, entry.stored ? ZIP_CM_STORE : ZIP_CM_DEFLATE,
                                  entry.stored ? 0 : k_level) == 0 &&
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

Error damaged(const std::string& what) { return {ErrorKind::syntax, 0, "no zip archive: " + what, ""}; }

/// A name that stays below the folder where the archive is unpacked, on any system; folders end with "/".
bool stays_below(std::string_view name) {
  if (name.ends_with('/')) name.remove_suffix(1);
  if (name.find_first_of("\\:") != std::string_view::npos) return false;
  for (const std::string_view step : split(name, '/')) {
    if (step.empty() || step == "." || step == "..") return false;
  }
  return true;
}

/// Neither a file nor a folder, for programs that keep Unix's modes: a link, a pipe, a device.
bool is_special(zip_t* archive, zip_uint64_t index) {
  constexpr zip_uint32_t k_type = 0170000;
  constexpr zip_uint32_t k_file = 0100000;
  constexpr zip_uint32_t k_folder = 0040000;
  zip_uint8_t system = 0;
  zip_uint32_t attributes = 0;
  if (zip_file_get_external_attributes(archive, index, 0, &system, &attributes) != 0) return true;
  const zip_uint32_t type = (attributes >> 16U) & k_type;
  return system == ZIP_OPSYS_UNIX && type != 0 && type != k_file && type != k_folder;
}

/// What forbids to take the entry.
std::optional<Error> check_entry(zip_t* archive, const zip_stat_t& stat, std::set<std::string>& names) {
  const std::string name = stat.name;
  const auto wrong = [&](const std::string& what) {
    return Error{ErrorKind::range, 0, "\"" + name + "\" " + what, ""};
  };
  if (!stays_below(name)) return wrong("would be unpacked outside of its folder");
  if (!names.insert(name).second) return wrong("is in the zip archive twice");
  if (is_special(archive, stat.index)) return wrong("is no file but a link or device");
  if ((stat.valid & ZIP_STAT_ENCRYPTION_METHOD) != 0 && stat.encryption_method != ZIP_EM_NONE)
    return wrong("is encrypted");
  return std::nullopt;
}

Result<ZipEntry> read_entry(zip_t* archive, const zip_stat_t& stat) {
  ZipEntry entry{stat.name, std::string(stat.size, '\0'), stat.comp_method == ZIP_CM_STORE};
  const InsideFile file(zip_fopen_index(archive, stat.index, 0));
  if (!file) return damaged("\"" + entry.name + "\" cannot be opened");
  // One byte more than there is: only so does libzip compare the checksum.
  std::size_t have = 0;
  char beyond = 0;
  while (true) {
    const bool full = have == entry.bytes.size();
    const zip_int64_t read = full ? zip_fread(file.get(), &beyond, 1)
                                  : zip_fread(file.get(), entry.bytes.data() + have, entry.bytes.size() - have);
    if (read < 0 || (full && read > 0)) return damaged("\"" + entry.name + "\" is damaged");
    if (read == 0) break;
    have += static_cast<std::size_t>(read);
  }
  if (have != entry.bytes.size()) return damaged("\"" + entry.name + "\" is cut off");
  return entry;
}

}  // namespace

Result<std::string> zip_bytes(const std::vector<ZipEntry>& entries) {
  const Error failed{ErrorKind::io, 0, "the zip archive could not be built", ""};
  std::set<std::string_view> names;
  for (const ZipEntry& entry : entries) {
    if (entry.name.empty() || !names.insert(entry.name).second)
      return Error{ErrorKind::range, 0, "\"" + entry.name + "\" cannot be the name of one file in a zip archive", ""};
  }
  const Source bytes(zip_source_buffer_create(nullptr, 0, 0, nullptr));
  if (!bytes) return failed;
  Archive archive(zip_open_from_source(bytes.get(), ZIP_TRUNCATE, nullptr));
  if (!archive) return failed;
  zip_source_keep(bytes.get());  // closing the archive drops its own hold
  for (const ZipEntry& entry : entries) {
    if (!add_entry(archive.get(), entry)) return failed;
  }
  if (zip_close(archive.get()) != 0) return failed;
  static_cast<void>(archive.release());
  std::string result;
  if (!read_all(bytes.get(), result)) return failed;
  return result;
}

Result<std::vector<ZipEntry>> unzip(std::string_view bytes, std::size_t limit) {
  Source source(zip_source_buffer_create(bytes.data(), bytes.size(), 0, nullptr));
  if (!source) return damaged("out of memory");
  const Archive archive(zip_open_from_source(source.get(), ZIP_RDONLY | ZIP_CHECKCONS, nullptr));
  if (!archive) return damaged("its list of files is missing or damaged");
  static_cast<void>(source.release());  // the archive owns it now
  const zip_int64_t count = zip_get_num_entries(archive.get(), 0);
  if (count > k_most_entries) return Error{ErrorKind::limit, 0, "the zip archive has too many files", ""};
  std::vector<zip_stat_t> stats;
  std::set<std::string> names;
  std::size_t total = 0;
  for (zip_int64_t i = 0; i < count; ++i) {
    zip_stat_t stat;
    constexpr zip_uint64_t k_needed = ZIP_STAT_NAME | ZIP_STAT_SIZE | ZIP_STAT_INDEX | ZIP_STAT_COMP_METHOD;
    if (zip_stat_index(archive.get(), static_cast<zip_uint64_t>(i), 0, &stat) != 0 ||
        (stat.valid & k_needed) != k_needed)
      return damaged("an entry cannot be read");
    if (auto bad = check_entry(archive.get(), stat, names)) return *bad;
    if (std::string_view(stat.name).ends_with('/')) continue;
    if (stat.size > limit - total)
      return Error{ErrorKind::limit, 0, "the zip archive unpacks to more than " + std::to_string(limit) + " bytes", ""};
    total += stat.size;
    if (total / k_most_times > bytes.size() + k_small)
      return Error{ErrorKind::limit, 0,
                   "the zip archive unpacks to more than " + std::to_string(k_most_times) + " times its size", ""};
    stats.push_back(stat);
  }
  std::vector<ZipEntry> entries;
  for (const zip_stat_t& stat : stats) {
    auto entry = read_entry(archive.get(), stat);
    if (!entry) return entry.error();
    entries.push_back(std::move(entry).value());
  }
  return entries;
}

}  // namespace fretloom
