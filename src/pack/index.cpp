#include "pack/index.h"

#include <algorithm>

#include "base/text.h"
#include "files/files.h"
#include "files/lock.h"
#include "files/swap.h"
#include "pack/hash.h"
#include "pack/own_file.h"
#include "pack/pack_files.h"
#include "pack/page.h"
#include "pack/work_folder.h"
#include "words/cautions.h"
#include "words/english.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view k_index_file = "index.html";
constexpr std::string_view k_mark = "<meta name=\"fretloom-index\" content=\"";
constexpr std::size_t k_largest_index = std::size_t{256} << 20U;
constexpr std::size_t k_most_beside = 100;

std::string links_of(const Manifest& manifest) {
  std::string text;
  for (const auto& [group, label] :
       {std::pair("start", "Start here"), std::pair("practice", "Practise"), std::pair("handout", "Handout"),
        std::pair("tab", "Text tab"), std::pair("plan", "Practice plan"), std::pair("zip", "Everything (zip)")}) {
    for (const ManifestPart& part : manifest.parts) {
      if (part.group == "practice" && !part.path.ends_with(".html"))
        continue;  // what the page needs is nothing to open
      // A page to read is the teacher's own where there is one; the zip is the one that holds the pack.
      if (part.group == group) text += link(part.group == "zip" ? part.at : part.path, label) + "\n";
    }
  }
  return text.empty() ? "" : "<p class=\"links\">" + text + "</p>\n";
}

/// The formats of one sound lie one behind the other.
std::string sounds_of(const Manifest& manifest) {
  std::vector<PageSound> sounds;
  for (const ManifestPart& part : manifest.parts) {
    if (part.group != "audio") continue;
    if (sounds.empty() || sounds.back().label != part.title) sounds.push_back({part.title, {}});
    sounds.back().files.push_back(part.path);
  }
  if (sounds.empty()) return "";
  std::string text = "<details>\n<summary>Listen (" + counted(sounds.size(), "sound") + ")</summary>\n";
  for (const PageSound& sound : sounds) text += player(sound);
  return text + "</details>\n";
}

std::string row(const Manifest& manifest) {
  std::string facts = manifest.author.empty() ? "" : plain_line(manifest.author) + ", ";
  facts += manifest.key + ", " + counted(manifest.ideas, "idea");
  return "<li class=\"pack\">\n<h2>" + markup_text(plain_line(manifest.title)) + "</h2>\n<p class=\"soft\">" +
         markup_text(facts) + "</p>\n" + links_of(manifest) + sounds_of(manifest) + "</li>\n";
}

Result<std::vector<Manifest>> packs_in(const fs::path& root) {
  std::vector<Manifest> packs;
  std::error_code error;
  for (fs::directory_iterator it(root, error), end; !error && it != end; it.increment(error)) {
    const std::string folder = it->path().filename().string();
    if (!folder.ends_with(k_teacher_ending)) continue;
    const auto json = own_bytes(root, folder + "/" + std::string(k_manifest_file), k_max_manifest_bytes);
    if (!json) continue;
    auto manifest = read_manifest(*json);
    // A folder that only looks like a pack's is not one.
    if (!manifest || teacher_folder(manifest->name) != folder) continue;
    std::error_code ignored;
    if (fs::is_directory(root / manifest->name, ignored)) packs.push_back(std::move(manifest).value());
  }
  if (error) return Error{ErrorKind::io, 0, "cannot read folder " + root.string() + ": " + error.message(), ""};
  std::sort(packs.begin(), packs.end(), [](const Manifest& a, const Manifest& b) { return a.name < b.name; });
  return packs;
}

std::vector<fs::path> due_marks(const fs::path& root) {
  std::vector<fs::path> marks;
  for (const fs::path& work : work_folders(root)) {
    std::error_code error;
    for (fs::directory_iterator it(work, error), end; !error && it != end; it.increment(error)) {
      if (it->path().filename().string().starts_with(k_due)) marks.push_back(it->path());
    }
  }
  return marks;
}

/// The first place that is free or holds a page of ours; pages of ours behind it are no longer needed.
fs::path place_page(const fs::path& root, const std::string& html, FileSwap& swap) {
  fs::path page;
  for (std::size_t i = 0; i < k_most_beside; ++i) {
    const std::string name = beside(std::string(k_index_file), static_cast<int>(i));
    std::error_code error;
    const bool is_free = !fs::exists(fs::symlink_status(root / name, error));
    const std::string identity = identity_of(root / name);
    const auto bytes = own_bytes(root, name, k_largest_index);
    const bool is_own = bytes && is_own_index(*bytes);
    if (page.empty() && (is_free || is_own)) {
      page = root / name;
      if (bytes != std::optional(html)) {
        if (const auto put = swap.put(name, html, identity); !put) return {};
      }
    } else if (is_own) {
      swap.take(name, identity);
    } else if (is_free) {
      break;
    }
  }
  return page;
}

}  // namespace

std::string index_html(const std::vector<Manifest>& packs) {
  const std::string zeros(k_sha256_digits, '0');
  std::string html = page_head("Lessons", std::string(k_mark) + zeros + "\">\n");
  const bool has_sound = std::any_of(packs.begin(), packs.end(), [](const Manifest& pack) {
    return std::any_of(pack.parts.begin(), pack.parts.end(), [](const auto& part) { return part.group == "audio"; });
  });
  html += "<h1>Lessons</h1>\n";
  if (has_sound) html += "<p class=\"soft\">" + std::string(k_listening_caution) + "</p>\n";
  html += "<ul>\n";
  for (const Manifest& pack : packs) html += row(pack);
  html += "</ul>\n" + std::string(k_page_foot);
  return html.replace(html.find(k_mark) + k_mark.size(), k_sha256_digits, sha256(html));
}

bool is_own_index(const std::string& html) {
  const auto mark = html.find(k_mark);
  if (mark == std::string::npos || html.size() < mark + k_mark.size() + k_sha256_digits) return false;
  const auto at = mark + k_mark.size();
  std::string blank = html;
  blank.replace(at, k_sha256_digits, k_sha256_digits, '0');
  return sha256(blank) == html.substr(at, k_sha256_digits);
}

Result<IndexReport> write_index(Disk& disk, const fs::path& root) {
  const fs::path work = work_folder(root);
  const auto lock = FileLock::take(work / ".index.lock");
  if (!lock) return lock.error();
  const fs::path aside = work / ".index";
  if (const auto recovered = recover_swap(disk, root, aside); !recovered) return recovered.error();
  const auto marks = due_marks(root);  // read before the manifests: what comes later is marked again
  const auto packs = packs_in(root);
  if (!packs) return packs.error();
  IndexReport report{packs->size(), {}};
  FileSwap swap(disk, root, aside);
  if (!packs->empty()) {
    report.page = place_page(root, index_html(*packs), swap);
    if (report.page.empty()) {
      static_cast<void>(recover_swap(disk, root, aside));
      return Error{ErrorKind::io, 0, "cannot write " + (root / k_index_file).string(), ""};
    }
  }
  if (!swap.is_empty()) {
    if (const auto done = swap.commit(); !done) return done.error();
  }
  for (const fs::path& mark : marks) {
    if (const auto gone = disk.remove(mark); !gone) return gone.error();
  }
  return report;
}

}  // namespace fretloom
