#pragma once
// What the page asks of the server: lessons of one folder, packs, files made of a lesson (docs/studio.md).

#include <filesystem>
#include <mutex>
#include <span>
#include <string>

#include "pack/parts.h"
#include "studio/lesson_folder.h"
#include "studio/news.h"
#include "studio/pack_worker.h"
#include "studio/request.h"

namespace fretloom::studio {

struct StudioOptions {
  std::filesystem::path folder;  ///< of the lessons; must exist and be no link
  PackPlace packs;               ///< its font must outlive the studio
};

class Studio {
 public:
  explicit Studio(StudioOptions options);
  Studio(const Studio&) = delete;
  Studio& operator=(const Studio&) = delete;
  ~Studio();

  /// The reply to a call that refuse() let through. `body` is the whole body. May wait for news, up to k_longest_wait.
  [[nodiscard]] Reply answer(const RequestHead& head, const std::string& body, const std::string& token);

  /// Sends home what waits, and stops what is being made.
  void end();

  LessonFolder lessons;
  News news;
  PackWorker packs;
  const sheet::MusicFont& font;
  std::span<const EmbeddedFile> practice;  ///< see practice_file.h; may be empty
  std::mutex rendering;                    ///< one output at a time: a page that asks for many must not take all cores
  StopFlag stop{false};
};

constexpr int k_longest_wait_seconds = 20;

/// {"error": {"kind", "message"}}
[[nodiscard]] Reply refusal(int status, const std::string& kind, const std::string& message);

}  // namespace fretloom::studio
