#pragma once
// Files of the page as replies, and written out for hosting.

#include <filesystem>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.h"
#include "files/embedded.h"
#include "studio/request.h"

namespace fretloom::studio {

/// A file as it is sent. The bytes live as long as the program.
struct PageReply {
  int status = 200;
  std::string_view type;
  std::string_view bytes;
  std::string etag;  ///< of the bytes, in quotes (RFC 9110, 8.8.3)
  bool is_packed = false;
};

class Page {
 public:
  explicit Page(std::span<const EmbeddedFile> files);

  /// Nothing where the page has no such file. Status 304 without bytes where the browser has it (If-None-Match), 406
  /// where it does not take gzip and the file has no other form.
  [[nodiscard]] std::optional<PageReply> file(const RequestHead& head) const;

 private:
  struct File {
    std::string path;  ///< "/studio.js"
    PageReply reply;
  };
  std::vector<File> files_;
};

/// What every reply carries: what the page may do (Content Security Policy 3), and what others may do with it.
[[nodiscard]] std::span<const std::pair<std::string_view, std::string_view>> safety_headers();

/// What gzip (RFC 1952) packed. Errors: syntax (no gzip, or damaged), limit (more than `limit` bytes).
[[nodiscard]] Result<std::string> gunzip(std::string_view bytes, std::size_t limit);

/// Writes the page that needs no server into a folder, which is made. Error io. Gives the file to open.
[[nodiscard]] Result<std::filesystem::path> export_page(std::span<const EmbeddedFile> files,
                                                        const std::filesystem::path& folder);

}  // namespace fretloom::studio
