#pragma once
// Packs made beside the server's answers, one at a time.

#include <atomic>
#include <cstdint>
#include <filesystem>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "base/result.h"
#include "pack/choice.h"
#include "pack/manifest.h"
#include "pack/names.h"
#include "pack/parts.h"
#include "play/render.h"
#include "studio/lesson_folder.h"
#include "studio/news.h"

namespace fretloom::studio {

struct PackPlace {
  std::filesystem::path root;   ///< the folder of the packs
  std::filesystem::path cache;  ///< see PartCache; empty: none
  PackTools tools;
};

/// Where a pack lies.
struct PackMade {
  std::filesystem::path folder;
  std::filesystem::path teacher;
  std::filesystem::path zip;
  std::filesystem::path start;
  std::size_t files = 0;
};

enum class PackPhase { idle, running, done, stopped, failed };
[[nodiscard]] std::string_view name(PackPhase phase);

struct PackState {
  std::int64_t number = 0;  ///< another one when anything has changed
  PackPhase phase = PackPhase::idle;
  std::string lesson;   ///< its name in the folder
  double part = 0.0;    ///< 0 to 1
  std::string message;  ///< a sentence: what was made, or why it was not
  std::optional<PackMade> made;
  std::vector<std::string> changes;  ///< in what is played and printed, since the pack before
  std::vector<std::string> notes;    ///< what the teacher should know
};

/// What there is before a pack is made.
struct PackAbout {
  std::filesystem::path folder;
  PackChoice choice;  ///< of the pack that lies there, or the usual one
  std::optional<PackMade> made;
  std::vector<std::string> changes;
};

class PackWorker {
 public:
  PackWorker(LessonFolder& lessons, PackPlace place, News& news);
  PackWorker(const PackWorker&) = delete;
  PackWorker& operator=(const PackWorker&) = delete;
  /// Stops what is being made.
  ~PackWorker();

  [[nodiscard]] PackState state() const;
  /// Errors: range (no such lesson), io.
  [[nodiscard]] Result<PackAbout> about(const std::string& lesson);
  /// False while another pack is being made.
  [[nodiscard]] bool start(const std::string& lesson, const PackChoice& choice);
  /// The pack before stays.
  void stop() { stop_.store(true); }

 private:
  void run(const std::string& lesson, const PackChoice& choice);
  Result<PackState> make(const std::string& lesson, const PackChoice& choice);
  Result<PackName> pack_name_of(const std::string& lesson);
  [[nodiscard]] std::optional<Manifest> manifest_of(const std::string& name) const;
  [[nodiscard]] PackMade made_by(const Manifest& manifest) const;
  template <class Change>
  void change(Change change);

  LessonFolder& lessons_;
  PackPlace place_;
  News& news_;
  mutable std::mutex mutex_;  ///< guards state_
  PackState state_;
  StopFlag stop_{false};
  std::thread thread_;
};

}  // namespace fretloom::studio
