// fretloom sheet: the handout as PDF, SVG or PNG.

#include <array>
#include <filesystem>
#include <memory>

#include "cli/command.h"
#include "cli/music_font.h"
#include "cli/option_values.h"
#include "draw/link_code.h"
#include "draw/logo_file.h"
#include "draw/pdf.h"
#include "draw/png.h"
#include "files/files.h"
#include "lesson/source.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"
#include "words/sentences_of.h"

namespace fretloom {

namespace {

namespace fs = std::filesystem;

struct SheetArguments {
  LessonArguments lessons;
  std::string output;
  std::string format;
  std::string paper = "a4";
  std::string layout = "flowing";
  std::optional<int> idea;
  std::optional<int> width;
  std::optional<int> dpi;
  bool large_print = false;
  bool left_handed = false;
  bool no_repeats = false;
  std::array<bool, sheet::k_sheet_switches.size()> turned{};  ///< by row of k_sheet_switches
};

constexpr int k_usual_dpi = 150;
constexpr int k_screen_dpi = 96;       ///< a dot is a pixel
constexpr double k_large_digits = 18;  ///< pixels, of the tab on a screen

/// What is wrong, and what mends it.
std::string words_of(const Error& error) {
  return error.repair.empty() ? error.what : error.what + " (repair: " + error.repair + ")";
}

std::optional<sheet::Paper> chosen_paper(const SheetArguments& arguments) {
  const auto paper = sheet::parse_paper(arguments.paper);
  if (!paper) {
    fail(words_of(paper.error()));
    return std::nullopt;
  }
  if (arguments.width && !paper->is_screen()) {
    fail("--width is a screen's width; it goes with --paper screen");
    return std::nullopt;
  }
  int width = sheet::k_usual_screen;
  if (!read_count("width", arguments.width, sheet::k_narrowest_screen, sheet::k_widest_screen, width))
    return std::nullopt;
  return paper->is_screen() ? sheet::screen_paper(width) : *paper;
}

std::optional<sheet::SheetOptions> sheet_options(const SheetArguments& arguments) {
  sheet::SheetOptions options;
  const auto paper = chosen_paper(arguments);
  if (!paper) return std::nullopt;
  options.set_paper(*paper);
  if (arguments.layout != "flowing" && arguments.layout != "cover") {
    fail("--layout cannot be \"" + arguments.layout + "\"; choose from flowing, cover");
    return std::nullopt;
  }
  if (arguments.layout == "cover") options.layout = sheet::PageLayout::cover;
  if (arguments.large_print)
    options.set_print(paper->is_screen() ? sheet::screen_print(k_large_digits) : sheet::k_large_print);
  if (arguments.left_handed) options.hand = sheet::Hand::left;
  if (arguments.no_repeats) options.repeats = sheet::RepeatSigns::never;
  for (std::size_t i = 0; i < arguments.turned.size(); ++i) {
    const sheet::SheetSwitch& part = sheet::k_sheet_switches[i];
    if (arguments.turned[i]) options.*part.part = !part.is_usual();
  }
  return options;
}

/// Only one idea of the handout, where that is asked for; its étude would be itself.
Handout chosen(const LoadedLesson& lesson, std::optional<int> idea) {
  Handout handout = make_handout(lesson.compiled);
  if (idea) std::erase_if(handout.ideas, [&](const IdeaSheet& sheet) { return sheet.number != *idea; });
  return handout;
}

void print_sheet_findings(const Diagnostics& findings, const std::string& path) {
  for (const Finding& finding : findings.findings()) std::fprintf(stderr, "%s\n", to_line(finding, path).c_str());
}

/// One file a format; a PNG of several pages is numbered behind the name: X-2.png.
int write_sheet(const sheet::Engraved& engraved, const sheet::MusicFont& font, const std::string& format,
                const fs::path& path, int dpi, WrittenFiles& files) {
  const std::size_t all_pages = engraved.scene.pages.size();
  if (format == "svg") {
    const auto written = write_file(path, sheet::write_svg(engraved.scene, font));
    if (!written) return fail(written.error().what, k_exit_errors);
    files.add(path, all_pages);
    return k_exit_clean;
  }
  const int pages = format == "png" ? static_cast<int>(all_pages) : 1;
  for (int page = 0; page < pages; ++page) {
    const auto rendered =
        format == "pdf" ? draw::write_pdf(engraved.scene, font) : draw::write_png(engraved.scene, font, page, dpi);
    if (!rendered) return fail(rendered.error().what, k_exit_errors);
    if (page == 0) print_sheet_findings(rendered->findings, path.string());
    fs::path target = path;
    if (page > 0)
      target.replace_filename(path.stem().string() + "-" + std::to_string(page + 1) + path.extension().string());
    const auto written = write_file(target, rendered->bytes);
    if (!written) return fail(written.error().what, k_exit_errors);
    files.add(target, format == "png" ? 1 : all_pages);
  }
  return k_exit_clean;
}

int sheet_lesson(const LoadedLesson& lesson, const SheetArguments& arguments, sheet::SheetOptions options,
                 const sheet::MusicFont& font, const std::string& format, const fs::path& path, int dpi,
                 WrittenFiles& files) {
  const Handout handout = chosen(lesson, arguments.idea);
  if (arguments.idea && handout.ideas.empty())
    return fail(lesson.path + " has no idea " + std::to_string(*arguments.idea) + " that can be drawn", k_exit_errors);
  if (!handout.prose.logo.empty()) {
    const auto logo = draw::load_logo(fs::path(lesson.path).parent_path() / handout.prose.logo);
    if (!logo) return fail(words_of(logo.error()), k_exit_errors);
    options.logo = *logo;
  }
  options.link_code = draw::link_code(handout.prose.links);
  const auto engraved = sheet::engrave(handout, sentences_of(lesson.compiled, handout), options, font);
  if (!engraved) return fail(lesson.path + ": " + words_of(engraved.error()), k_exit_errors);
  for (Finding finding : engraved->findings.findings()) {
    finding.place = place_near(lesson.compiled.lesson->source, finding.where);
    print_findings(lesson, {finding});
  }
  return write_sheet(*engraved, font, format, path, dpi, files);
}

int run_sheet(const SheetArguments& arguments) {
  const auto lessons = load(arguments.lessons);
  const auto options = sheet_options(arguments);
  if (!lessons || !options) return k_exit_unreadable;
  int dpi = options->paper.is_screen() ? k_screen_dpi : k_usual_dpi;
  if (!read_count("dpi", arguments.dpi, static_cast<int>(draw::k_least_dpi), static_cast<int>(draw::k_most_dpi), dpi))
    return k_exit_unreadable;
  const auto target = output_target(arguments.output, arguments.format, *lessons, {"pdf", "svg", "png"});
  if (!target) return k_exit_unreadable;
  const auto font = load_font();
  if (!font) return fail(words_of(font.error()), k_exit_errors);
  int code = k_exit_clean;
  WrittenFiles files;
  for (const LoadedLesson& lesson : *lessons) {
    print_findings(lesson);
    code = std::max(code, exit_code(lesson));
    if (exit_code(lesson) != k_exit_clean) {
      files.leave_out();
      continue;
    }
    code = std::max(
        code, sheet_lesson(lesson, arguments, *options, *font, target->format, target->path_for(lesson), dpi, files));
  }
  files.print_line(*target);
  return code;
}

}  // namespace

std::function<int()> add_sheet(Arguments& arguments) {
  auto options = std::make_shared<SheetArguments>();
  options->lessons.add_to(arguments);
  arguments.required("-o,--output", options->output, "File to write (.pdf, .svg, .png), or a folder for many lessons",
                     "FILE");
  arguments.option("--format", options->format, "Format where the output names none: pdf, svg, png", "NAME");
  arguments.option("--paper", options->paper,
                   "a4, letter, strip (one endless line) or screen (one endless page); a4 if left out", "NAME");
  arguments.option("--width", options->width, "Pixels of a screen, 240 to 4096; 768 if left out", "N");
  arguments.option("--layout", options->layout,
                   "flowing, or cover: a first page for the lesson, then each idea on pages of its own", "NAME");
  arguments.option("--dpi", options->dpi, "Dots an inch of a PNG, 36 to 1200; 150 if left out, 96 on a screen", "N");
  arguments.option("--idea", options->idea, "Only this idea, counted from 1", "N");
  arguments.flag("--large-print", options->large_print, "16 point words and a 9 mm staff");
  arguments.flag("--left-handed", options->left_handed, "Neck diagrams for a left-handed player");
  arguments.flag("--no-repeats", options->no_repeats, "No repeat signs around ideas that loop");
  for (std::size_t i = 0; i < sheet::k_sheet_switches.size(); ++i) {
    const sheet::SheetSwitch& part = sheet::k_sheet_switches[i];
    arguments.flag(part.flag(), options->turned[i], (part.is_usual() ? "Without " : "With ") + std::string(part.what));
  }
  return [options] { return run_sheet(*options); };
}

}  // namespace fretloom
