#include "studio/pack_worker.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "files/disk.h"
#include "pack/cache.h"
#include "pack/changes.h"
#include "pack/index.h"
#include "pack/lesson_pack.h"
#include "pack/manifest.h"
#include "pack/own_file.h"
#include "pack/pack.h"
#include "pack/pack_files.h"
#include "pack/work_folder.h"
#include "studio/pack_choice_json.h"
#include "studio/sentence.h"

namespace fretloom::studio {

namespace {

namespace fs = std::filesystem;

constexpr std::array<std::string_view, 5> k_phases = {"idle", "running", "done", "stopped", "failed"};
constexpr std::size_t k_most_changes = 40;

Error gone(const std::string& lesson) {
  return {ErrorKind::range, 0, "The lesson " + lesson + " is no longer in the folder.", ""};
}

std::vector<std::string> changes_from(const std::string& before, const std::string& now,
                                      const CompiledLesson& compiled) {
  if (before.empty() || before == now) return {};
  std::vector<std::string> lines = changes(make_handout(compile_lesson(before)), make_handout(compiled));
  if (lines.size() > k_most_changes) {
    const std::size_t more = lines.size() - k_most_changes;
    lines.resize(k_most_changes);
    lines.push_back("and " + std::to_string(more) + " more");
  }
  return lines;
}

/// The first error, where a lesson has one.
std::optional<Error> error_in(const CompiledLesson& compiled) {
  for (const Finding& finding : compiled.findings) {
    if (finding.level == Level::error)
      return Error{ErrorKind::range, 0, "the lesson has an error, so no pack was made: " + finding.message, ""};
  }
  return std::nullopt;
}

std::vector<std::string> notes_of(const fs::path& root, const PackPlan& plan, const PackName& name,
                                  const PackReport& report) {
  std::vector<std::string> notes;
  if (const std::string missing = missing_text(plan.missing); !missing.empty())
    notes.push_back("The lesson has " + missing + "; the texts leave that out.");
  if (!name.other.empty())
    notes.push_back("The pack of " + fs::path(name.other).filename().string() +
                    " has this name already; this one is called " + name.name + ".");
  for (const FileNote& note : kept_files(root, report)) notes.push_back(note.path.string() + ": " + note.what + ".");
  return notes;
}

}  // namespace

std::string_view name(PackPhase phase) { return k_phases[static_cast<std::size_t>(phase)]; }

PackWorker::PackWorker(LessonFolder& lessons, PackPlace place, News& news)
    : lessons_(lessons), place_(std::move(place)), news_(news) {}

PackWorker::~PackWorker() {
  stop();
  if (thread_.joinable()) thread_.join();
}

PackState PackWorker::state() const {
  const std::lock_guard guard(mutex_);
  return state_;
}

template <class Change>
void PackWorker::change(Change change) {
  {
    const std::lock_guard guard(mutex_);
    change(state_);
    ++state_.number;
  }
  news_.tell();
}

bool PackWorker::start(const std::string& lesson, const PackChoice& choice) {
  const std::lock_guard guard(mutex_);
  if (state_.phase == PackPhase::running) return false;
  if (thread_.joinable()) thread_.join();  // it has said its last word
  stop_.store(false);
  state_ = {state_.number + 1, PackPhase::running, lesson, 0.0, "", std::nullopt, {}, {}};
  thread_ = std::thread([this, lesson, choice] { run(lesson, choice); });
  return true;
}

void PackWorker::run(const std::string& lesson, const PackChoice& choice) {
  const auto made = make(lesson, choice);
  change([&](PackState& state) {
    if (made) {
      const std::int64_t number = state.number;
      state = *made;
      state.number = number;
      return;
    }
    const bool is_stopped = made.error().kind == ErrorKind::stopped;
    state.phase = is_stopped ? PackPhase::stopped : PackPhase::failed;
    state.message = is_stopped ? "Stopped; the pack is as it was before." : as_sentence(made.error());
  });
}

std::optional<Manifest> PackWorker::manifest_of(const std::string& name) const {
  const auto json = own_bytes(place_.root, manifest_path(name), k_max_manifest_bytes);
  if (!json) return std::nullopt;
  auto manifest = read_manifest(*json);
  return manifest ? std::optional(std::move(manifest).value()) : std::nullopt;
}

PackMade PackWorker::made_by(const Manifest& manifest) const {
  const fs::path& root = place_.root;
  const std::string& name = manifest.name;
  return {root / name, root / teacher_folder(name), root / zip_path(name), root / name / "start.html",
          manifest.parts.size()};
}

Result<PackName> PackWorker::pack_name_of(const std::string& lesson) {
  const auto files = lessons_to_pack({lessons_.path().string()});
  if (!files) return files.error();
  for (PackName& name : pack_names(place_.root, *files)) {
    if (fs::path(name.lesson) == lessons_.file_of(lesson)) return name;
  }
  return Error{ErrorKind::range, 0, "The lesson is put away; bring it back before you pack it.", ""};
}

Result<PackAbout> PackWorker::about(const std::string& lesson) {
  const auto kept = lessons_.read(lesson);
  if (!kept) return kept.error();
  if (!*kept) return gone(lesson);
  const auto name = pack_name_of(lesson);
  if (!name) return name.error();
  PackAbout about{place_.root / name->name, usual_pack(), std::nullopt, {}};
  const auto manifest = manifest_of(name->name);
  if (!manifest) return about;
  about.made = made_by(*manifest);
  if (const auto choice = parse_choice(manifest->choice)) about.choice = *choice;
  const std::string before = own_bytes(place_.root, lesson_path(name->name), k_max_lesson_bytes).value_or("");
  about.changes = changes_from(before, (*kept)->text, compile_lesson((*kept)->text));
  return about;
}

Result<PackState> PackWorker::make(const std::string& lesson, const PackChoice& choice) {
  const auto kept = lessons_.read(lesson);
  if (!kept) return kept.error();
  if (!*kept) return gone(lesson);
  const std::string& text = (*kept)->text;
  const CompiledLesson compiled = compile_lesson(text);
  if (auto bad = error_in(compiled)) return *bad;
  Disk disk;
  if (const auto recovered = recover_packs(disk, place_.root); !recovered) return recovered.error();
  const auto name = pack_name_of(lesson);
  if (!name) return name.error();
  std::vector<std::string> told;
  const auto planned =
      plan_lesson_pack({lessons_.file_of(lesson), text, compiled}, place_.root, *name, {}, choice,
                       ChoiceBefore::forgotten, place_.tools, [&](const std::string& line) { told.push_back(line); });
  if (!planned) {
    Error error = planned.error();
    if (!told.empty()) error.what += ": " + told.front();
    return error;
  }
  int shown = -1;
  PackRun run{place_.root, 0, &stop_, {}, {}, place_.cache, nullptr};
  run.progress = [&](double part) {
    const int percent = static_cast<int>(part * 100.0);
    if (percent == shown) return;
    shown = percent;
    change([part](PackState& state) { state.part = part; });
  };
  const auto report = make_pack(planned->plan, run);
  if (!report) return report.error();
  if (!place_.cache.empty()) prune_cache(place_.cache);
  if (const auto index = write_index(disk, place_.root); !index) return index.error();
  PackState state{0, PackPhase::done, lesson, 1.0, "", std::nullopt, {}, {}};
  if (const auto manifest = manifest_of(name->name)) state.made = made_by(*manifest);
  state.message = as_sentence(made_text(*report));
  state.changes = changes_from(planned->before, text, compiled);
  state.notes = notes_of(place_.root, planned->plan, *name, *report);
  return state;
}

}  // namespace fretloom::studio
