#include "studio/page.h"

#define ZLIB_CONST  // it only reads what it unpacks
#include <zlib.h>

#include <algorithm>
#include <array>

#include "base/text.h"
#include "files/disk.h"
#include "files/files.h"
#include "pack/hash.h"

namespace fretloom::studio {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view k_packed = ".gz";
constexpr std::string_view k_first = "index.html";
constexpr std::size_t k_largest_file = std::size_t{64} << 20U;

struct MediaType {
  std::string_view ending;
  std::string_view type;
};
constexpr std::array k_types = {
    MediaType{".html", "text/html; charset=utf-8"},
    MediaType{".js", "text/javascript; charset=utf-8"},
    MediaType{".css", "text/css; charset=utf-8"},
    MediaType{".wasm", "application/wasm"},
    MediaType{".woff2", "font/woff2"},
    MediaType{".svg", "image/svg+xml"},
    MediaType{".txt", "text/plain; charset=utf-8"},
};

std::string_view type_of(std::string_view name) {
  for (const MediaType& type : k_types) {
    if (name.ends_with(type.ending)) return type.type;
  }
  return "application/octet-stream";
}

/// "studio.js" of "studio.js.gz".
std::string_view unpacked_name(std::string_view name) {
  return name.ends_with(k_packed) ? name.substr(0, name.size() - k_packed.size()) : name;
}

/// Accept-Encoding, RFC 9110, 12.5.3: gzip is named, or all are; not with the weight 0. Without the header all will do.
bool takes_gzip(const RequestHead& head) {
  if (!head.has("accept-encoding")) return true;
  bool all = false;
  const std::string header = lower(head.header("accept-encoding"));
  for (const std::string_view item : split(header, ',')) {
    const auto parts = split(item, ';');
    const std::string_view coding = trim(parts.front());
    bool is_refused = false;
    for (std::size_t i = 1; i < parts.size(); ++i) {
      const std::string_view weight = trim(parts[i]);
      is_refused =
          is_refused || (weight.starts_with("q=0") && weight.find_first_not_of("0.", 2) == std::string_view::npos);
    }
    if (coding == "gzip") return !is_refused;
    if (coding == "*") all = !is_refused;
  }
  return all;
}

}  // namespace

Page::Page(std::span<const EmbeddedFile> files) {
  for (const EmbeddedFile& file : files) {
    const std::string_view name = unpacked_name(file.name);
    const PageReply reply{200, type_of(name), file.bytes, "\"" + sha256(file.bytes).substr(0, 32) + "\"",
                          name != file.name};
    files_.push_back({name == k_first ? "/" : "/" + std::string(name), reply});
  }
}

std::optional<PageReply> Page::file(const RequestHead& head) const {
  const auto found =
      std::find_if(files_.begin(), files_.end(), [&](const File& file) { return file.path == head.path; });
  if (found == files_.end()) return std::nullopt;
  PageReply reply = found->reply;
  if (head.header("if-none-match") == reply.etag) {
    reply.status = 304;
    reply.bytes = {};
  } else if (reply.is_packed && !takes_gzip(head)) {
    reply = {406, "text/plain; charset=utf-8", "This file comes packed by gzip.\n", "", false};
  }
  return reply;
}

std::span<const std::pair<std::string_view, std::string_view>> safety_headers() {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 6> k_headers = {{
      {"Content-Security-Policy",
       "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; connect-src 'self'; font-src "
       "'self'; img-src 'self' blob:; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"},
      {"X-Content-Type-Options", "nosniff"},
      {"Referrer-Policy", "no-referrer"},
      {"X-Frame-Options", "DENY"},
      {"Cross-Origin-Resource-Policy", "same-origin"},
      {"Cross-Origin-Opener-Policy", "same-origin"},
  }};
  return k_headers;
}

Result<std::string> gunzip(std::string_view bytes, std::size_t limit) {
  const Error damaged{ErrorKind::syntax, 0, "the packed file is damaged", ""};
  z_stream stream{};
  constexpr int k_gzip_only = 16 + MAX_WBITS;
  if (inflateInit2(&stream, k_gzip_only) != Z_OK) return damaged;
  stream.next_in = reinterpret_cast<const Bytef*>(bytes.data());
  stream.avail_in = static_cast<uInt>(bytes.size());
  std::string text;
  std::array<char, std::size_t{1} << 16U> block{};
  int state = Z_OK;
  while (state == Z_OK && text.size() <= limit) {
    stream.next_out = reinterpret_cast<Bytef*>(block.data());
    stream.avail_out = static_cast<uInt>(block.size());
    state = inflate(&stream, Z_NO_FLUSH);
    text.append(block.data(), block.size() - stream.avail_out);
  }
  const bool is_whole = state == Z_STREAM_END && stream.avail_in == 0;
  inflateEnd(&stream);
  if (text.size() > limit) return Error{ErrorKind::limit, 0, "the packed file has more than " + byte_text(limit), ""};
  if (!is_whole) return damaged;
  return text;
}

Result<fs::path> export_page(std::span<const EmbeddedFile> files, const fs::path& folder) {
  Disk disk;
  if (const auto made = disk.make_folder(folder); !made) return made.error();
  for (const EmbeddedFile& file : files) {
    const std::string_view name = unpacked_name(file.name);
    Result<std::string> bytes =
        name == file.name ? Result<std::string>(std::string(file.bytes)) : gunzip(file.bytes, k_largest_file);
    if (!bytes) return bytes.error();
    if (const auto written = write_file(folder / name, *bytes); !written) return written.error();
  }
  return folder / k_first;
}

}  // namespace fretloom::studio
