#pragma once
// The lesson files of one folder, and those below it that are put away.
//
//   FOLDER/sixes.toml             the lesson "sixes"
//   FOLDER/put-away/old.toml      the lesson "put-away/old"
//
// A lesson is a regular file that ends in .toml, is UTF-8 and at most 1 MB; what else lies there is not seen. No link
// is followed below the folder. All functions may be called from several threads, and from several programs at a time.

#include <filesystem>
#include <map>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/result.h"
#include "files/lock.h"

namespace fretloom::studio {

struct KeptLesson {
  std::string text;
  std::string version;  ///< SHA-256 of the text, as `sha256sum` says
};

struct ListedLesson {
  std::string name;
  std::string title;  ///< of the lesson; its name where it has none
  KeptLesson kept;
  bool is_away = false;
};

struct NamedVersion {
  std::string name;
  std::string version;

  friend bool operator==(const NamedVersion&, const NamedVersion&) = default;
};

struct Written {
  std::string version;
};
/// Somebody else wrote the lesson since, and nothing was written now.
struct Conflict {
  KeptLesson there;
};
/// There is no such lesson any more.
struct Gone {};
using WriteOutcome = std::variant<Written, Conflict, Gone>;

/// Whether a lesson may be called so: "sixes", "put-away/sixes". At most 200 bytes of UTF-8 without control characters,
/// no other step than that one, no dot in front.
[[nodiscard]] bool is_lesson_name(std::string_view name);

class LessonFolder {
 public:
  /// `folder` must exist and be no link.
  explicit LessonFolder(std::filesystem::path folder);

  [[nodiscard]] const std::filesystem::path& path() const { return folder_; }
  [[nodiscard]] std::filesystem::path file_of(std::string_view name) const;

  /// By name. Error io: the folder cannot be read.
  [[nodiscard]] Result<std::vector<ListedLesson>> list();
  /// What lies there now, by name; files that seem unchanged are not read again. Error io.
  [[nodiscard]] Result<std::vector<NamedVersion>> versions();

  /// Nothing if there is no such lesson. Error range: no lesson is called so.
  [[nodiscard]] Result<std::optional<KeptLesson>> read(const std::string& name);
  /// `base` is the version that the text was made from; nothing: the lesson must not be there yet. A text that lies
  /// there already is written. Errors: range (no name or no text of a lesson); limit; io.
  [[nodiscard]] Result<WriteOutcome> write(const std::string& name, const std::string& text,
                                           const std::optional<std::string>& base);
  /// A new lesson whose name is like `wish`, a title or the name of a file. Errors: range, limit, io.
  [[nodiscard]] Result<NamedVersion> create(const std::string& wish, const std::string& text);

  /// These give the new name; nothing if there is no such lesson. Errors: range, io.
  [[nodiscard]] Result<std::optional<NamedVersion>> copy(const std::string& name);
  [[nodiscard]] Result<std::optional<NamedVersion>> put_away(const std::string& name);
  [[nodiscard]] Result<std::optional<NamedVersion>> bring_back(const std::string& name);

 private:
  /// What was found at a file when it was read last.
  struct Seen {
    std::string identity;
    std::string version;
    std::int64_t at = 0;  ///< milliseconds
  };

  /// Held while something is changed, by one program at a time.
  Result<FileLock> lock();
  Result<std::vector<std::string>> names();
  std::optional<KeptLesson> look(const std::string& name);
  [[nodiscard]] Result<NamedVersion> add(const std::string& stem, const std::string& text) const;
  Result<std::optional<NamedVersion>> move(const std::string& name, bool to_away);
  [[nodiscard]] bool is_free(const std::string& name) const;
  [[nodiscard]] std::string free_name(const std::string& step, const std::string& stem) const;

  std::filesystem::path folder_;
  std::mutex changing_;  ///< one change at a time
  std::mutex seeing_;    ///< guards seen_
  std::map<std::string, Seen> seen_;
};

}  // namespace fretloom::studio
