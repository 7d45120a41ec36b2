#include "pack/pack_files.h"

#include <algorithm>
#include <filesystem>
#include <set>

#include "base/text.h"
#include "files/files.h"
#include "pack/own_file.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr std::size_t k_largest_pack = std::size_t{2} << 30U;
constexpr std::size_t k_always_read = std::size_t{16} << 20U;  ///< of a part, whatever the manifest says

bool lies(const fs::path& path) {
  std::error_code error;
  return fs::exists(fs::symlink_status(path, error));
}

/// A pack's place: the folder of the packs and its name.
struct PackPlace {
  fs::path root;
  std::string name;
};

PackPlace place_of(const std::string& text) {
  std::error_code error;
  fs::path path = fs::path(text).lexically_normal();
  if (!path.has_filename()) path = path.parent_path();                                       // "out/sixes/"
  if (path.filename() == "." || path.filename() == "..") path = fs::canonical(path, error);  // a pack from inside
  std::string name = path.filename().string();
  const bool is_teachers = name.ends_with(k_teacher_ending) && lies(path / k_manifest_file);
  if (is_teachers) name.resize(name.size() - k_teacher_ending.size());
  if (name.ends_with(".zip") && !fs::is_directory(path, error)) name.resize(name.size() - 4);
  return {path.parent_path(), name};
}

class PackReader {
 public:
  explicit PackReader(PackPlace place) : root_(std::move(place.root)), name_(std::move(place.name)) {}

  Result<PackFiles> read() {
    if (auto bad = read_manifest_file()) return *bad;
    for (const ManifestPart& part : pack_.manifest.parts) {
      if (auto bad = read_part(part)) return *bad;
    }
    for (const std::string& folder : {name_, teacher_folder(name_)}) find_foreign(folder);
    return std::move(pack_);
  }

 private:
  using Bad = std::optional<Error>;

  Bad read_manifest_file() {
    const std::string path = manifest_path(name_);
    if (auto bad = blocked_way(root_, path)) return bad;
    const bool is_link = fs::is_symlink(root_ / path);
    if (!lies(root_ / path) || is_link) {
      return Error{ErrorKind::syntax, 0,
                   (is_link ? (root_ / path).string() + " is a link" : "there is no " + (root_ / path).string()) +
                       "; a pack is verified by the folders " + name_ + " and " + teacher_folder(name_) +
                       ", and the second holds the lesson file and the manifest",
                   ""};
    }
    auto json = read_file(root_ / path, k_max_manifest_bytes);
    if (!json) return json.error();
    auto manifest = read_manifest(*json);
    if (!manifest) return Error{manifest.error().kind, 0, (root_ / path).string() + ": " + manifest.error().what, ""};
    if (manifest->name != name_)
      return Error{
          ErrorKind::range, 0,
          (root_ / path).string() + " is of the pack \"" + manifest->name + "\"; the folder has another name now", ""};
    pack_.manifest_json = std::move(json).value();
    pack_.manifest = std::move(manifest).value();
    return std::nullopt;
  }

  Bad read_part(const ManifestPart& part) {
    listed_.insert(part.at);
    const fs::path file = root_ / part.at;
    if (blocked_way(root_, part.at)) {
      pack_.faults.emplace_back(part.path, "lies behind a link; a pack holds files only");
      return std::nullopt;
    }
    if (!lies(file)) return std::nullopt;
    std::error_code error;
    const auto status = fs::symlink_status(file, error);
    if (!fs::is_regular_file(status)) {
      pack_.faults.emplace_back(part.path, fs::is_symlink(status)     ? "is a link; a pack holds files only"
                                           : fs::is_directory(status) ? "is a folder"
                                                                      : "is not a file");
      return std::nullopt;
    }
    const std::uintmax_t real = fs::file_size(file, error);
    if (real > std::max<std::uintmax_t>(part.bytes, k_always_read)) {
      pack_.changed.emplace_back(part.path, "was changed: it has " + std::to_string(real) +
                                                " bytes, the manifest says " + std::to_string(part.bytes));
      return std::nullopt;
    }
    if (real > k_largest_pack - total_)
      return Error{ErrorKind::limit, 0, "the pack is larger than " + byte_text(k_largest_pack), ""};
    total_ += real;
    auto bytes = read_file(file, real);
    if (!bytes) return bytes.error();
    pack_.files.emplace_back(part.path, std::move(bytes).value());
    return std::nullopt;
  }

  void find_foreign(const std::string& folder) {
    std::error_code error;
    if (!fs::is_directory(fs::symlink_status(root_ / folder, error))) return;
    for (fs::recursive_directory_iterator it(root_ / folder, error), end; !error && it != end; it.increment(error)) {
      std::error_code ignored;
      if (fs::is_directory(it->symlink_status(ignored))) continue;
      const std::string path = folder + "/" + it->path().lexically_relative(root_ / folder).generic_string();
      if (path != manifest_path(name_) && !listed_.contains(path)) pack_.foreign.push_back(path);
    }
    std::sort(pack_.foreign.begin(), pack_.foreign.end());
  }

  fs::path root_;
  std::string name_;
  PackFiles pack_;
  std::set<std::string> listed_;
  std::size_t total_ = 0;
};

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
  if (!fs::exists(status)) return Error{ErrorKind::io, 0, "there is no " + path, ""};
  if (!fs::is_directory(status) && !fs::is_regular_file(status))
    return Error{ErrorKind::io, 0, path + " is neither a folder nor a file", ""};
  if (!fs::is_directory(status) && !path.ends_with(".zip"))
    return Error{ErrorKind::syntax, 0, path + " is not a pack: name its folder or its zip", ""};
  return PackReader(place_of(path)).read();
}

std::vector<std::string> packs_in_folder(const std::string& path) {
  std::vector<std::string> packs;
  std::error_code error;
  if (!fs::is_directory(path, error)) return packs;
  for (fs::directory_iterator it(path, error), end; !error && it != end; it.increment(error)) {
    const std::string folder = it->path().filename().string();
    if (!folder.ends_with(k_teacher_ending) || !lies(it->path() / k_manifest_file)) continue;
    packs.push_back((fs::path(path) / folder.substr(0, folder.size() - k_teacher_ending.size())).string());
  }
  std::sort(packs.begin(), packs.end());
  return packs;
}

}  // namespace fretloom
