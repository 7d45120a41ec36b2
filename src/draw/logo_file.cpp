#include "draw/logo_file.h"

#include "files/files.h"

namespace fretloom::draw {

Result<sheet::Logo> load_logo(const std::filesystem::path& path) {
  auto bytes = read_file(path, sheet::k_max_logo_bytes);
  if (!bytes && bytes.error().kind == ErrorKind::limit) return bytes.error();
  if (!bytes) {
    return Error{ErrorKind::io, 0, "no logo at " + path.string(), "put a PNG there, or remove `logo` from the lesson"};
  }
  return sheet::make_logo(std::move(bytes).value(), path.string());
}

}  // namespace fretloom::draw
