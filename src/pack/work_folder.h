#pragma once
// Where packs are built, beside the folder that is published.
//
//   WORK/NAME/          a swap of the pack NAME (files/swap.h)
//   WORK/NAME.lock      held while the pack is made
//   WORK/.index/        a swap of the index page
//   WORK/.index.lock
//   WORK/.due-NAME      the pack has changed and the index page does not show it yet
//
// The folder goes with the last lock.

#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"
#include "files/disk.h"

namespace fretloom {

/// For a folder that exists: "../.DIR.fretloom" for DIR, or "DIR/.fretloom" where the folder above is another file
/// system or cannot be written.
[[nodiscard]] std::filesystem::path work_folder(const std::filesystem::path& root);

/// Both of them: another run may have used the other one.
[[nodiscard]] std::vector<std::filesystem::path> work_folders(const std::filesystem::path& root);

[[nodiscard]] std::filesystem::path lock_path(const std::filesystem::path& work, const std::string& name);
constexpr std::string_view k_due = ".due-";

/// Finishes or undoes what stopped runs left in a folder of packs, and brings its index page up to date. Packs that
/// another program is making now are left to it. Error io.
[[nodiscard]] Result<void> recover_packs(Disk& disk, const std::filesystem::path& root);

}  // namespace fretloom
