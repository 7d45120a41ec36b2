#include "studio/lesson_folder.h"

#include <algorithm>
#include <chrono>
#include <set>

#include "base/text.h"
#include "files/disk.h"
#include "files/files.h"
#include "files/swap.h"
#include "lesson/read.h"
#include "pack/hash.h"
#include "pack/lesson_pack.h"
#include "pack/own_file.h"

namespace fretloom::studio {

namespace {

namespace fs = std::filesystem;

constexpr std::string_view k_ending = ".toml";
constexpr std::string_view k_lock = ".fretloom/studio.lock";
constexpr std::size_t k_longest_name = 200;
/// A file that was written within this time may be written again without another time: file systems count in steps.
constexpr std::int64_t k_settled_ms = 2000;

const std::string k_away_step = std::string(k_away_folder) + "/";

std::int64_t now_ms() {
  return std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::system_clock::now().time_since_epoch())
      .count();
}

bool is_text(std::string_view text) {
  return utf8_prefix(text) == text.size() && text.find('\0') == std::string_view::npos;
}

bool is_plain(std::string_view text) {
  return std::none_of(text.begin(), text.end(), [](char c) {
    const auto code = static_cast<unsigned char>(c);
    return code < 0x20 || code == 0x7F;
  });
}

/// "sixes" of "put-away/sixes".
std::string_view stem_of(std::string_view name) {
  return name.starts_with(k_away_step) ? name.substr(k_away_step.size()) : name;
}

Error no_name(std::string_view name) {
  return {ErrorKind::range, 0, "no lesson can be called \"" + printable(name) + "\"", ""};
}

std::optional<Error> wrong_text(const std::string& text) {
  if (text.size() > k_max_lesson_bytes)
    return Error{
        ErrorKind::limit, 0,
        "The lesson is larger than " + byte_text(k_max_lesson_bytes) + ", the most that a lesson file may have.", ""};
  if (!is_text(text))
    return Error{ErrorKind::range, 0, "The lesson is not a text: it is not UTF-8, or has a zero.", ""};
  return std::nullopt;
}

std::string title_of(const std::string& text, const std::string& name) {
  const auto reading = read_lesson(text);
  const std::string title = reading.lesson ? one_line(reading.lesson->prose.title) : "";
  return title.empty() ? std::string(stem_of(name)) : title;
}

/// Names of lesson files in one folder; none where there is no folder.
Result<void> collect(const fs::path& folder, const std::string& step, std::vector<std::string>& names) {
  std::error_code error;
  if (!fs::is_directory(fs::symlink_status(folder, error))) return {};
  fs::directory_iterator it(folder, error);
  for (const fs::directory_iterator end; !error && it != end; it.increment(error)) {
    const std::string file = it->path().filename().string();
    if (!file.ends_with(k_ending)) continue;
    const std::string name = step + file.substr(0, file.size() - k_ending.size());
    std::error_code ignored;
    if (is_lesson_name(name) && fs::is_regular_file(it->symlink_status(ignored))) names.push_back(name);
  }
  if (error) return Error{ErrorKind::io, 0, "cannot read folder " + folder.string() + ": " + error.message(), ""};
  return {};
}

/// What a killed write left beside its file.
void remove_temporaries(const fs::path& folder) {
  std::error_code error;
  std::vector<fs::path> left;
  for (fs::directory_iterator it(folder, error), end; !error && it != end; it.increment(error)) {
    const std::string name = it->path().filename().string();
    const std::size_t ending = name.rfind(k_ending);
    if (ending != std::string::npos && is_temporary_of(name, name.substr(0, ending + k_ending.size())))
      left.push_back(it->path());
  }
  for (const fs::path& path : left) fs::remove(path, error);
}

}  // namespace

bool is_lesson_name(std::string_view name) {
  const std::string_view stem = stem_of(name);
  return !stem.empty() && name.size() <= k_longest_name && stem.front() != '.' &&
         stem.find('/') == std::string_view::npos && is_text(stem) && is_plain(stem);
}

LessonFolder::LessonFolder(fs::path folder) : folder_(std::move(folder)) {
  const auto held = lock();  // or another program is writing what looks like left over
  if (!held) return;
  remove_temporaries(folder_);
  if (!blocked_way(folder_, k_away_step + "x")) remove_temporaries(folder_ / k_away_folder);
}

fs::path LessonFolder::file_of(std::string_view name) const {
  return folder_ / (std::string(name) + std::string(k_ending));
}

Result<FileLock> LessonFolder::lock() { return FileLock::take(folder_ / k_lock); }

Result<std::vector<std::string>> LessonFolder::names() {
  std::vector<std::string> names;
  if (const auto read = collect(folder_, "", names); !read) return read.error();
  if (const auto read = collect(folder_ / k_away_folder, k_away_step, names); !read) return read.error();
  std::sort(names.begin(), names.end());
  return names;
}

std::optional<KeptLesson> LessonFolder::look(const std::string& name) {
  // Before the file is read: what comes meanwhile makes it another one.
  Seen seen{identity_of(file_of(name)), "", now_ms()};
  auto text = own_bytes(folder_, name + std::string(k_ending), k_max_lesson_bytes);
  if (!text || !is_text(*text)) return std::nullopt;
  KeptLesson kept{std::move(*text), ""};
  kept.version = seen.version = sha256(kept.text);
  const std::lock_guard guard(seeing_);
  seen_[name] = seen;
  return kept;
}

Result<std::vector<ListedLesson>> LessonFolder::list() {
  const auto all = names();
  if (!all) return all.error();
  std::vector<ListedLesson> lessons;
  for (const std::string& name : *all) {
    auto kept = look(name);
    if (!kept) continue;
    std::string title = title_of(kept->text, name);
    lessons.push_back({name, std::move(title), std::move(*kept), name.starts_with(k_away_step)});
  }
  return lessons;
}

Result<std::vector<NamedVersion>> LessonFolder::versions() {
  const auto all = names();
  if (!all) return all.error();
  std::vector<NamedVersion> versions;
  for (const std::string& name : *all) {
    std::error_code error;
    const auto written = fs::last_write_time(file_of(name), error);
    const auto written_ms = std::chrono::duration_cast<std::chrono::milliseconds>(
                                std::chrono::file_clock::to_sys(written).time_since_epoch())
                                .count();
    std::string version;
    {
      const std::lock_guard guard(seeing_);
      const auto seen = seen_.find(name);
      if (seen != seen_.end() && seen->second.at > written_ms + k_settled_ms &&
          seen->second.identity == identity_of(file_of(name)))
        version = seen->second.version;
    }
    if (version.empty()) {
      const auto kept = look(name);
      if (!kept) continue;
      version = kept->version;
    }
    versions.push_back({name, version});
  }
  const std::lock_guard guard(seeing_);
  const std::set<std::string> there(all->begin(), all->end());
  std::erase_if(seen_, [&](const auto& entry) { return !there.contains(entry.first); });
  return versions;
}

Result<std::optional<KeptLesson>> LessonFolder::read(const std::string& name) {
  if (!is_lesson_name(name)) return no_name(name);
  return look(name);
}

Result<WriteOutcome> LessonFolder::write(const std::string& name, const std::string& text,
                                         const std::optional<std::string>& base) {
  if (!is_lesson_name(name)) return no_name(name);
  if (const auto bad = wrong_text(text)) return *bad;
  if (auto blocked = blocked_way(folder_, name)) return *blocked;
  const std::lock_guard guard(changing_);
  const auto held = lock();
  if (!held) return held.error();
  const std::string version = sha256(text);
  const auto there = look(name);
  if (there && there->version == version) return WriteOutcome(Written{version});
  if (there && there->version != base) return WriteOutcome(Conflict{*there});
  if (!there && base) return WriteOutcome(Gone{});
  if (!there) {
    const auto added = add(name, text);
    if (!added) return added.error();
    return WriteOutcome(Written{added->version});
  }
  // The bytes go to the disk first, so that between the look at the other file and its replacement there is next to no
  // time for another program.
  auto opened = FileAside::open(file_of(name));
  if (!opened) return opened.error();
  FileAside aside = std::move(opened).value();
  if (const auto filled = aside.write(text); !filled) return filled.error();
  const auto now = look(name);
  if (!now) return WriteOutcome(Gone{});
  if (now->version != base) return WriteOutcome(Conflict{*now});
  if (const auto placed = aside.place(); !placed) return placed.error();
  return WriteOutcome(Written{version});
}

Result<NamedVersion> LessonFolder::create(const std::string& wish, const std::string& text) {
  if (const auto bad = wrong_text(text)) return *bad;
  const std::string_view plain =
      wish.ends_with(k_ending) ? std::string_view(wish).substr(0, wish.size() - k_ending.size()) : wish;
  const std::lock_guard guard(changing_);
  const auto held = lock();
  if (!held) return held.error();
  return add(free_name("", file_slug(plain, "lesson")), text);
}

Result<std::optional<NamedVersion>> LessonFolder::copy(const std::string& name) {
  if (!is_lesson_name(name)) return no_name(name);
  const std::lock_guard guard(changing_);
  const auto held = lock();
  if (!held) return held.error();
  const auto there = look(name);
  if (!there) return std::optional<NamedVersion>();
  auto added = add(free_name("", std::string(stem_of(name))), there->text);
  if (!added) return added.error();
  return std::optional(std::move(added).value());
}

Result<std::optional<NamedVersion>> LessonFolder::put_away(const std::string& name) { return move(name, true); }
Result<std::optional<NamedVersion>> LessonFolder::bring_back(const std::string& name) { return move(name, false); }

Result<std::optional<NamedVersion>> LessonFolder::move(const std::string& name, bool to_away) {
  if (!is_lesson_name(name)) return no_name(name);
  const std::lock_guard guard(changing_);
  const auto held = lock();
  if (!held) return held.error();
  const auto there = look(name);
  if (!there) return std::optional<NamedVersion>();
  if (name.starts_with(k_away_step) == to_away) return std::optional(NamedVersion{name, there->version});
  const std::string step = to_away ? k_away_step : "";
  if (auto blocked = blocked_way(folder_, step + "x")) return *blocked;
  Disk disk;
  if (const auto made = disk.make_folder(folder_ / step); !made) return made.error();
  const std::string free = free_name(step, std::string(stem_of(name)));
  if (const auto moved = disk.rename(file_of(name), file_of(free)); !moved) return moved.error();
  sync_folder(file_of(free).parent_path());
  sync_folder(file_of(name).parent_path());
  return std::optional(NamedVersion{free, there->version});
}

/// A file under a free name. It comes to its place whole, and never over another one.
Result<NamedVersion> LessonFolder::add(const std::string& stem, const std::string& text) const {
  if (!is_lesson_name(stem)) return no_name(stem);
  auto opened = FileAside::open(file_of(stem));
  if (!opened) return opened.error();
  FileAside aside = std::move(opened).value();
  if (const auto filled = aside.write(text); !filled) return filled.error();
  if (const auto placed = aside.place_new(); !placed) return placed.error();
  return NamedVersion{stem, sha256(text)};
}

bool LessonFolder::is_free(const std::string& name) const {
  std::error_code error;
  return !fs::exists(fs::symlink_status(file_of(name), error));
}

/// "sixes", else "sixes-2" and so on.
std::string LessonFolder::free_name(const std::string& step, const std::string& stem) const {
  std::string free = step + stem;
  for (int number = 2; !is_free(free); ++number) free = step + stem + "-" + std::to_string(number);
  return free;
}

}  // namespace fretloom::studio
