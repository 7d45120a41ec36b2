// fretloom new: a small commented lesson to start from.

#include <filesystem>
#include <memory>

#include "cli/command.h"
#include "files/files.h"
#include "lesson/template.h"

namespace fretloom {

namespace {

struct NewOptions {
  std::string path;
  std::string title;
  std::string key = "D mixolydian";
};

int run_new(const NewOptions& options) {
  std::error_code error;
  if (std::filesystem::exists(options.path, error))
    return fail(options.path + " exists already; nothing was written", k_exit_errors);
  const std::string title = options.title.empty() ? std::filesystem::path(options.path).stem().string() : options.title;
  const auto text = new_lesson(title, options.key);
  if (!text)
    return fail(text.error().what + (text.error().repair.empty() ? "" : " (repair: " + text.error().repair + ")"),
                k_exit_errors);
  const auto written = write_file(options.path, *text);
  return written ? print("wrote " + options.path + "\n") : fail(written.error().what, k_exit_errors);
}

}  // namespace

std::function<int()> add_new(Arguments& arguments) {
  auto options = std::make_shared<NewOptions>();
  arguments.required("file", options->path, "Lesson file to write; it must not exist", "FILE");
  arguments.option("--title", options->title, "The lesson's title (the file's name if left out)", "TEXT");
  arguments.option("--key", options->key, "Tonic and mode, D mixolydian if left out", "KEY");
  return [options] { return run_new(*options); };
}

}  // namespace fretloom
