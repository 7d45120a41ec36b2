#include "pack/pack_files.h"

#include <algorithm>
#include <filesystem>
#include <map>

#include "base/text.h"
#include "files/files.h"
#include "files/zip.h"
#include "pack/manifest.h"
#include "pack/pack.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t k_largest_pack = std::size_t{2} << 30U;
constexpr std::size_t k_always_read = std::size_t{16} << 20U;  ///< of a part, whatever the manifest says

/// Reads a folder without following a link, only what the manifest lists, and nothing that grew huge.
class FolderReader {
 public:
  explicit FolderReader(const fs::path& folder) : folder_(folder) {}

  Result<PackFiles> read() {
    if (auto bad = read_sizes()) return *bad;
    std::error_code error;
    for (fs::recursive_directory_iterator it(folder_, error), end; !error && it != end; it.increment(error)) {
      const auto bad = take(it->path(), it->symlink_status(error));
      if (bad) return *bad;
    }
    if (error) return Error{ErrorKind::io, 0, "cannot read folder " + folder_.string() + ": " + error.message(), ""};
    std::sort(pack_.files.begin(), pack_.files.end());
    std::sort(pack_.faults.begin(), pack_.faults.end());
    return std::move(pack_);
  }

 private:
  using Bad = std::optional<Error>;

  /// What the manifest lists. One that cannot be read lists nothing; verify_pack says why.
  Bad read_sizes() {
    std::error_code error;
    const fs::path path = folder_ / k_manifest_file;
    if (!fs::is_regular_file(fs::symlink_status(path, error))) return std::nullopt;
    const auto json = read_file(path, k_max_manifest_bytes);
    if (!json) return json.error();
    pack_.files.emplace_back(k_manifest_file, *json);
    const auto manifest = read_manifest(*json);
    if (!manifest) return std::nullopt;
    for (const ManifestPart& part : manifest->parts) sizes_.emplace(part.path, part.bytes);
    return std::nullopt;
  }

  void fault(const std::string& path, const std::string& what) { pack_.faults.emplace_back(path, what); }

  Bad take(const fs::path& file, const fs::file_status& status) {
    const std::string path = file.lexically_relative(folder_).generic_string();
    const auto listed = sizes_.find(path);
    if (fs::is_directory(status)) {
      if (listed != sizes_.end()) fault(path, "is a folder");
    } else if (fs::is_symlink(status)) {
      fault(path, "is a link; a pack holds files only");
    } else if (!fs::is_regular_file(status)) {
      fault(path, "is no file");
    } else if (path != k_manifest_file) {
      if (listed != sizes_.end()) return take_listed(file, path, listed->second);
      pack_.files.emplace_back(path, "");  // foreign
    }
    return std::nullopt;
  }

  Bad take_listed(const fs::path& file, const std::string& path, std::size_t size) {
    std::error_code error;
    const std::uintmax_t real = fs::file_size(file, error);
    if (real > std::max<std::uintmax_t>(size, k_always_read)) {
      fault(path, "was changed: it has " + std::to_string(real) + " bytes, the manifest says " + std::to_string(size));
      return std::nullopt;
    }
    if (real > k_largest_pack - total_)
      return Error{ErrorKind::limit, 0, folder_.string() + " is larger than " + byte_text(k_largest_pack), ""};
    total_ += real;
    auto bytes = read_file(file, real);
    if (!bytes) return bytes.error();
    pack_.files.emplace_back(path, std::move(bytes).value());
    return std::nullopt;
  }

  fs::path folder_;
  PackFiles pack_;
  std::map<std::string, std::uintmax_t> sizes_;
  std::size_t total_ = 0;
};

/// The entries below their one folder. What another program packed is told, for the bytes of a zip are this
/// program's promise too; it is no fault, since archives are packed anew on their way.
Result<PackFiles> read_zip(const std::string& bytes) {
  auto read = unzip(bytes, k_largest_pack);
  if (!read) return read.error();
  std::vector<ZipEntry> entries = std::move(read).value();
  PackFiles pack;
  const auto again = zip_bytes(entries);
  if (!again || *again != bytes)
    pack.notes.emplace_back("the zip itself: other bytes than this program writes, the same files");
  const std::string top = entries.empty() ? "" : entries.front().name.substr(0, entries.front().name.find('/') + 1);
  for (ZipEntry& entry : entries) {
    if (top.empty() || !entry.name.starts_with(top))
      return Error{ErrorKind::syntax, 0, "\"" + printable(entry.name) + "\" does not lie in the zip's one folder", ""};
    pack.files.emplace_back(entry.name.substr(top.size()), std::move(entry.bytes));
  }
  return pack;
}

}  // namespace

const std::string* PackFiles::find(std::string_view path) const {
  for (const auto& [name, bytes] : files) {
    if (name == path) return &bytes;
  }
  return nullptr;
}

Result<PackFiles> read_pack(const std::string& path) {
  std::error_code error;
  const auto status = fs::status(path, error);
  if (fs::is_directory(status)) return FolderReader(path).read();
  if (fs::exists(status) && !fs::is_regular_file(status))
    return Error{ErrorKind::io, 0, path + " is neither a folder nor a file", ""};
  const auto bytes = read_file(path, k_largest_pack);
  if (!bytes) return bytes.error();
  auto pack = read_zip(*bytes);
  if (pack) return pack;
  Error bad = pack.error();
  bad.what = path + ": " + printable(bad.what);
  return bad;
}

}  // namespace fretloom
