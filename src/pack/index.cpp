#include "pack/index.h"

#include <algorithm>

#include "base/text.h"
#include "files/files.h"
#include "files/lock.h"
#include "pack/pack.h"
#include "pack/pack_files.h"
#include "words/cautions.h"
#include "words/english.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view k_index_file = "index.html";

constexpr std::string_view k_head = R"(<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Lessons</title>
<style>
:root { color-scheme: light dark; --paper: #fbf7ee; --ink: #26221c; --soft: #6d6557; --line: #d8cfbd; }
@media (prefers-color-scheme: dark) { :root { --paper: #1d1b18; --ink: #ece5d8; --soft: #a89f8f; --line: #3d3932; } }
body { background: var(--paper); color: var(--ink); font: 1.05rem/1.5 Georgia, serif; margin: 0 auto; max-width: 44rem; padding: 1.5rem 1rem 3rem; }
h1 { font-size: 1.7rem; font-weight: 600; margin: 0 0 1rem; }
ul { list-style: none; margin: 0; padding: 0; }
li { border-top: 1px solid var(--line); padding: 0.9rem 0; }
h2 { font-size: 1.15rem; font-weight: 600; margin: 0; overflow-wrap: anywhere; }
p { color: var(--soft); margin: 0.15rem 0 0.35rem; }
a { color: inherit; display: inline-block; margin-right: 1.1rem; text-underline-offset: 0.2em; }
a:focus-visible { outline: 2px solid currentColor; outline-offset: 3px; }
</style>
</head>
<body>
<h1>Lessons</h1>
<ul>
)";

/// A name as a step of a URL's path (RFC 3986, 2.3): a pack's folder may have been renamed by hand.
std::string url_step(std::string_view name) {
  constexpr std::string_view k_unreserved = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~";
  constexpr std::string_view k_hex = "0123456789ABCDEF";
  std::string out;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    if (k_unreserved.find(c) != std::string_view::npos) {
      out += c;
    } else {
      out += {'%', k_hex[byte >> 4U], k_hex[byte & 15U]};
    }
  }
  return out;
}

bool has_part(const Manifest& manifest, std::string_view path) {
  return std::any_of(manifest.parts.begin(), manifest.parts.end(), [&](const auto& part) { return part.path == path; });
}

std::string row(const CataloguePack& pack) {
  const Manifest& manifest = pack.manifest;
  std::string facts = manifest.author.empty() ? "" : plain_line(manifest.author) + ", ";
  facts += manifest.key + ", " + counted(manifest.ideas, "idea");
  std::string text =
      "<li>\n<h2>" + markup_text(plain_line(manifest.title)) + "</h2>\n<p>" + markup_text(facts) + "</p>\n";
  const std::string url = url_step(pack.name);
  for (const auto& [path, label] : {std::pair("handout.pdf", "Handout"), std::pair("tab.txt", "Text tab"),
                                    std::pair("practice-plan.txt", "Practice plan")}) {
    if (has_part(manifest, path)) text += "<a href=\"" + url + "/" + path + "\">" + label + "</a>\n";
  }
  return text + "<a href=\"" + url + ".zip\">Everything (zip)</a>\n</li>\n";
}

}  // namespace

std::string index_html(const std::vector<CataloguePack>& packs) {
  std::string html(k_head);
  for (const CataloguePack& pack : packs) html += row(pack);
  return html + "</ul>\n</body>\n</html>\n";
}

Result<std::size_t> write_index(const fs::path& root) {
  std::error_code error;
  if (!fs::is_directory(root / ".cache", error)) return std::size_t{0};
  const auto lock = FileLock::take(root / ".cache" / "index.lock");
  if (!lock) return lock.error();
  std::vector<CataloguePack> packs;
  std::vector<fs::path> leftovers;
  for (fs::directory_iterator it(root, error), end; !error && it != end; it.increment(error)) {
    if (is_temporary_of(it->path().filename().string(), k_index_file)) leftovers.push_back(it->path());
    const fs::path file = it->path() / k_manifest_file;
    if (!fs::is_regular_file(file, error)) continue;
    const auto json = read_file(file, k_max_manifest_bytes);
    if (!json && json.error().kind == ErrorKind::limit) continue;  // no manifest of ours is so large
    if (!json) return json.error();
    auto manifest = read_manifest(*json);
    // A folder that only looks like a pack is none of ours.
    if (manifest && fs::is_regular_file(root / (it->path().filename().string() + ".zip"), error))
      packs.push_back({it->path().filename().string(), std::move(manifest).value()});
  }
  for (const fs::path& path : leftovers) fs::remove(path, error);
  if (packs.empty()) return std::size_t{0};
  std::sort(packs.begin(), packs.end(), [](const CataloguePack& a, const CataloguePack& b) { return a.name < b.name; });
  const std::string html = index_html(packs);
  const fs::path page = root / k_index_file;
  if (fs::is_regular_file(fs::symlink_status(page, error))) {
    const auto before = read_file(page, html.size());
    if (before && *before == html) return packs.size();
  }
  const auto written = replace_file(page, html);
  if (!written) return written.error();
  return packs.size();
}

}  // namespace fretloom
