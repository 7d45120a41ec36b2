// fretloom verify: a pack against its lesson made anew.

#include "pack/verify.h"

#include <algorithm>
#include <filesystem>
#include <memory>

#include "cli/command.h"
#include "cli/music_font.h"
#include "cli/option_values.h"
#include "cli/progress.h"
#include "pack/practice_file.h"
#include "pack/work_folder.h"

namespace fretloom {

namespace {

struct VerifyArguments {
  std::vector<std::string> packs;
  std::optional<int> threads;
};

int verify_one(const std::string& path, const VerifyArguments& arguments, const PackTools& tools) {
  const auto pack = read_pack(path);
  if (!pack) return fail(pack.error().what);
  Result<VerifyReport> report = VerifyReport();
  {
    ProgressBar bar("verify");
    report =
        verify_pack(*pack, tools, arguments.threads.value_or(0), &stop_flag(), [&](double part) { bar.show(part); });
  }
  if (!report) return fail(path + ": " + report.error().what);
  for (const std::string& problem : report->problems)
    std::fprintf(stderr, "%s: error: %s\n", path.c_str(), problem.c_str());
  for (const std::string& note : report->notes) std::fprintf(stderr, "%s: note: %s\n", path.c_str(), note.c_str());
  if (!report->problems.empty()) return k_exit_errors;
  return print(path + ": all " + std::to_string(report->parts) + " parts are what the lesson gives\n");
}

/// What a stopped run left in the folder of the packs is finished or undone first.
bool recover_around(const std::filesystem::path& pack) {
  std::error_code error;
  const auto path = std::filesystem::weakly_canonical(std::filesystem::absolute(pack, error), error);
  for (const auto& folder : {path, path.parent_path()}) {
    Disk disk;
    const auto recovered = recover_packs(disk, folder);
    if (recovered) continue;
    fail(recovered.error().what +
         (recovered.error().repair.empty() ? "" : " (repair: " + recovered.error().repair + ")"));
    return false;
  }
  return true;
}

int verify_all(const std::string& path, const VerifyArguments& arguments, const PackTools& tools) {
  if (!recover_around(path)) return k_exit_errors;
  const auto inside = packs_in_folder(path);
  if (inside.empty()) return verify_one(path, arguments, tools);
  int code = k_exit_clean;
  for (const std::string& pack : inside) code = std::max(code, verify_one(pack, arguments, tools));
  return code;
}

int run_verify(const VerifyArguments& arguments) {
  const auto font = load_font();
  if (!font) return fail(font.error().what + " (repair: " + font.error().repair + ")", k_exit_errors);
  const PackTools tools{&*font, program_hash(), practice_files(), usual_samples()};
  listen_for_stop();
  int code = k_exit_clean;
  for (const std::string& path : arguments.packs) code = std::max(code, verify_all(path, arguments, tools));
  return code;
}

}  // namespace

std::function<int()> add_verify(Arguments& arguments) {
  auto options = std::make_shared<VerifyArguments>();
  arguments.required("pack", options->packs, "Packs: the folder NAME or NAME.zip, or a folder of packs", "PACK");
  arguments.option("--threads", options->threads, "Parts made side by side; one a core if left out", "N");
  return [options] { return run_verify(*options); };
}

}  // namespace fretloom
