// fretloom new: a small commented lesson to start from, and the templates of the texts that go out with a lesson.

#include <filesystem>
#include <memory>

#include "cli/command.h"
#include "files/files.h"
#include "lesson/template.h"
#include "words/text_template.h"

namespace fretloom {

namespace {

struct NewOptions {
  std::string path;
  std::string title;
  std::string key = "D mixolydian";
  std::string templates;  ///< folder for the templates of the texts; empty: none are written
};

/// Our own templates into a folder, for the teacher to edit. What is there already is kept.
int write_templates(const std::string& folder) {
  std::error_code error;
  std::filesystem::create_directories(folder, error);
  int code = k_exit_clean;
  for (const TemplateFile& file : default_templates()) {
    const std::filesystem::path path = std::filesystem::path(folder) / template_file_name(file.kind);
    if (std::filesystem::exists(std::filesystem::symlink_status(path, error))) {
      code = fail(path.string() + " exists already and was kept", k_exit_errors);
      continue;
    }
    const auto written = write_file(path, file.text);
    if (!written) return fail(written.error().what, k_exit_errors);
    print("wrote " + path.string() + "\n");
  }
  return code;
}

int run_new(const NewOptions& options) {
  if (options.path.empty() && options.templates.empty())
    return fail("name the lesson file to write: fretloom new FILE", k_exit_unreadable);
  if (!options.templates.empty()) {
    const int code = write_templates(options.templates);
    if (code != k_exit_clean || options.path.empty()) return code;
  }
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
  arguments.option("file", options->path, "Lesson file to write; it must not exist", "FILE");
  arguments.option("--title", options->title, "The lesson's title (the file's name if left out)", "TEXT");
  arguments.option("--key", options->key, "Tonic and mode, D mixolydian if left out", "KEY");
  arguments.option("--templates", options->templates,
                   "Folder to write email.txt, description.txt and script.txt into, for you to edit", "DIR");
  return [options] { return run_new(*options); };
}

}  // namespace fretloom
