// Speed and size of the sheet. Targets: five ideas at two feels each to SVG with looms in 10 ms, one idea's strip
// (loom, neck and music on a phone) in 2 ms, one changed idea again in 3 ms; PDF against Cairo drawing the same
// symbols, lines and words with no layout at all.

#include <benchmark/benchmark.h>
#include <cairo-ft.h>
#include <cairo-pdf.h>
#include <ft2build.h>
#include FT_FREETYPE_H
#include <sys/resource.h>

#include "draw/font_file.h"
#include "draw/pdf.h"
#include "draw/png.h"
#include "lesson/compile.h"
#include "sheet/build.h"
#include "sheet/engrave.h"
#include "sheet/loom_drawing.h"
#include "sheet/svg.h"

namespace {

using namespace fretloom;
using namespace fretloom::sheet;

Scene scene_of(const Handout& handout, const SheetOptions& options = {}) {
  return engrave(handout, test::demo_sentences(), options, test::music_font()).value().scene;
}

void handout_to_svg(benchmark::State& state) {
  const Handout handout = test::demo_handout();
  SheetOptions options;
  options.row = state.range(0) != 0;
  std::size_t bytes = 0;
  for (auto _ : state) {
    const std::string svg = write_svg(scene_of(handout, options), test::music_font());
    bytes = svg.size();
    benchmark::DoNotOptimize(svg.data());
  }
  state.counters["bytes"] = static_cast<double>(bytes);
}
BENCHMARK(handout_to_svg)->Arg(0)->Arg(1)->ArgName("row")->Unit(benchmark::kMillisecond);

/// Five ideas with blocked changes, slurs, rests and ways back, as a lesson has them.
const Handout& lesson_handout() {
  static const Handout handout = make_handout(compile_lesson(R"(
format = 1
title = "Five"
key = "E dorian"
[layout]
from = 12
[vamp]
chords = "Em7 | A7"
[[idea]]
name = "Six that folds back"
cell = "1 3 2 3 + 2 1"
notes_per_beat = [4, 6]
[[idea]]
name = "Threes that catch"
cell = "1 2 3"
notes_per_beat = [3, 4]
[[idea]]
name = "Pull and rest"
cell = "3 p1 2 r + 1 h2 h3 r"
notes_per_beat = [4, 8]
[[idea]]
name = "There and back"
cell = "1 2 3 2!"
back = "mirrored"
notes_per_beat = [4, 6]
[[idea]]
name = "Fives"
cell = "1 2 3 2 + 1"
start = { beat = -1 }
notes_per_beat = [5, 4]
)"));
  return handout;
}

void lesson_to_svg_with_looms(benchmark::State& state) {
  SheetOptions options;
  std::size_t bytes = 0;
  for (auto _ : state) {
    const std::string svg =
        write_svg(engrave(lesson_handout(), test::demo_sentences(), options, test::music_font()).value().scene,
                  test::music_font());
    bytes = svg.size();
    benchmark::DoNotOptimize(svg.data());
  }
  state.counters["bytes"] = static_cast<double>(bytes);
}
BENCHMARK(lesson_to_svg_with_looms)->Unit(benchmark::kMillisecond);

/// What a phone shows of an idea at one feel: loom, neck and music at 390 pixels.
void strip_on_a_phone(benchmark::State& state) {
  Handout handout = lesson_handout();
  handout.ideas = {with_feel(handout.ideas[static_cast<std::size_t>(state.range(0))], 0)};
  SheetOptions options;
  options.set_paper(screen_paper(390));
  options.prose = options.vamp = options.signs = options.row = options.ladder = options.code = false;
  std::size_t bytes = 0;
  for (auto _ : state) {
    const std::string svg =
        write_svg(engrave(handout, {}, options, test::music_font()).value().scene, test::music_font());
    bytes = svg.size();
    benchmark::DoNotOptimize(svg.data());
  }
  state.counters["bytes"] = static_cast<double>(bytes);
}
BENCHMARK(strip_on_a_phone)->DenseRange(0, 4)->ArgName("idea")->Unit(benchmark::kMillisecond);

/// The loom alone: laid, drawn and its words placed.
void loom_alone(benchmark::State& state) {
  const IdeaSheet& idea = lesson_handout().ideas[static_cast<std::size_t>(state.range(0))];
  const SheetOptions options;
  for (auto _ : state) {
    const Loom loom = lay_loom(idea, idea.feels[0], loom_units(loom_size(idea, options), 110));
    benchmark::DoNotOptimize(draw_loom(loom, idea, idea.feels[0], 0, 110, options, test::music_font()).size());
  }
}
BENCHMARK(loom_alone)->DenseRange(0, 4)->ArgName("idea")->Unit(benchmark::kMicrosecond);

/// What the studio does on a keystroke: one idea, both feels, on its own.
void one_changed_idea(benchmark::State& state) {
  const Handout handout = test::demo_handout();
  SheetOptions options;
  options.only = {{0, 0}, {0, 1}};
  for (auto _ : state) {
    const std::string svg = write_svg(scene_of(handout, options), test::music_font());
    benchmark::DoNotOptimize(svg.data());
  }
}
BENCHMARK(one_changed_idea)->Unit(benchmark::kMillisecond);

void engrave_and_write_pdf(benchmark::State& state) {
  const Handout handout = test::demo_handout();
  std::size_t pages = 0;
  std::size_t bytes = 0;
  for (auto _ : state) {
    const Scene scene = scene_of(handout);
    const auto pdf = draw::write_pdf(scene, test::music_font());
    pages += scene.pages.size();
    bytes = pdf->bytes.size();
  }
  state.counters["pages/s"] = benchmark::Counter(static_cast<double>(pages), benchmark::Counter::kIsRate);
  state.counters["bytes"] = static_cast<double>(bytes);
}
BENCHMARK(engrave_and_write_pdf)->Unit(benchmark::kMillisecond);

cairo_status_t count_bytes(void* total, const unsigned char*, unsigned int length) {
  *static_cast<std::size_t*>(total) += length;
  return CAIRO_STATUS_SUCCESS;
}

/// Cairo alone: its own glyph, text, stroke and fill calls for every item of ready pages.
struct Bare {
  cairo_t* cr;
  cairo_font_face_t* music;
  FT_Face face;

  void operator()(const GlyphShape& s) const {
    cairo_set_font_face(cr, music);
    cairo_set_font_size(cr, 5 * s.scale);
    const cairo_glyph_t glyph{FT_Get_Char_Index(face, row_of(s.symbol).code), s.at.x, s.at.y};
    cairo_show_glyphs(cr, &glyph, 1);
  }
  void operator()(const LineShape& s) const {
    cairo_set_line_width(cr, s.width);
    cairo_move_to(cr, s.from.x, s.from.y);
    cairo_line_to(cr, s.to.x, s.to.y);
    cairo_stroke(cr);
  }
  void operator()(const QuadShape& s) const {
    for (const Point p : s.corners) cairo_line_to(cr, p.x, p.y);
    cairo_close_path(cr);
    cairo_fill(cr);
  }
  void operator()(const BowShape& s) const {
    cairo_set_line_width(cr, s.middle);
    cairo_move_to(cr, s.from.x, s.from.y);
    cairo_curve_to(cr, s.control_1.x, s.control_1.y, s.control_2.x, s.control_2.y, s.to.x, s.to.y);
    cairo_stroke(cr);
  }
  void operator()(const TextShape& s) const {
    cairo_select_font_face(cr, "Gentium Plus",
                           s.style == TextStyle::italic ? CAIRO_FONT_SLANT_ITALIC : CAIRO_FONT_SLANT_NORMAL,
                           s.style == TextStyle::bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
    cairo_set_font_size(cr, s.size);
    cairo_move_to(cr, s.at.x, s.at.y);
    cairo_show_text(cr, s.text.c_str());
  }
  void operator()(const RingShape& s) const {
    cairo_new_path(cr);
    cairo_arc(cr, s.centre.x, s.centre.y, s.radius, 0, 6.2831853);
    cairo_stroke(cr);
  }
  void operator()(const DotsShape& s) const {
    const double dots[] = {0, s.step()};
    cairo_set_dash(cr, dots, 2, 0);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_ROUND);
    (*this)(LineShape{s.from, s.to, s.width});
    cairo_set_dash(cr, nullptr, 0, 0);
    cairo_set_line_cap(cr, CAIRO_LINE_CAP_BUTT);
  }
  void operator()(const PolygonShape& s) const {
    for (const auto& contour : s.contours) {
      for (const Point p : contour) cairo_line_to(cr, p.x, p.y);
      cairo_close_path(cr);
    }
    cairo_set_line_width(cr, s.line);
    s.line > 0 ? cairo_stroke(cr) : cairo_fill(cr);
  }
  void operator()(const BoxShape& s) const {
    cairo_rectangle(cr, s.box.left, s.box.top, s.box.width(), s.box.height());
    cairo_set_line_width(cr, s.line);
    s.line > 0 ? cairo_stroke(cr) : cairo_fill(cr);
  }
  void operator()(const ImageShape&) const {}
};

void bare_cairo_pdf(benchmark::State& state) {
  const Scene scene = scene_of(test::demo_handout());
  FT_Library library = nullptr;
  FT_Face face = nullptr;
  FT_Init_FreeType(&library);
  if (FT_New_Face(library, FRETLOOM_BRAVURA_FILE, 0, &face) != 0) {
    state.SkipWithError("no music font: npm install");
    return;
  }
  cairo_font_face_t* music = cairo_ft_font_face_create_for_ft_face(face, 0);
  const double unit = scene.staff_space.value * 72 / 25.4;
  std::size_t pages = 0;
  for (auto _ : state) {
    std::size_t bytes = 0;
    cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(count_bytes, &bytes, scene.pages[0].width * unit,
                                                                   scene.pages[0].height * unit);
    cairo_t* cr = cairo_create(surface);
    for (const ScenePage& page : scene.pages) {
      cairo_save(cr);
      cairo_scale(cr, unit, unit);
      for (const SceneItem& item : page.items) std::visit(Bare{cr, music, face}, item.shape);
      cairo_restore(cr);
      cairo_show_page(cr);
    }
    cairo_destroy(cr);
    cairo_surface_finish(surface);
    cairo_surface_destroy(surface);
    pages += scene.pages.size();
  }
  state.counters["pages/s"] = benchmark::Counter(static_cast<double>(pages), benchmark::Counter::kIsRate);
  cairo_font_face_destroy(music);
}
BENCHMARK(bare_cairo_pdf)->Unit(benchmark::kMillisecond);

void png_page_150_dpi(benchmark::State& state) {
  const Scene scene = scene_of(test::demo_handout());
  for (auto _ : state) benchmark::DoNotOptimize(draw::write_png(scene, test::music_font(), 0, 150)->bytes.size());
}
BENCHMARK(png_page_150_dpi)->Unit(benchmark::kMillisecond);

/// A handout of about 200 pages, scene and PDF; the process's largest resident size is the figure.
void handout_of_200_pages(benchmark::State& state) {
  Handout handout = test::demo_handout();
  const auto ideas = handout.ideas;
  for (int i = 0; i < 54; ++i) handout.ideas.insert(handout.ideas.end(), ideas.begin(), ideas.end());
  for (std::size_t i = 0; i < handout.ideas.size(); ++i) handout.ideas[i].number = static_cast<int>(i) + 1;
  SheetOptions options;
  options.row = false;
  std::size_t pages = 0;
  std::size_t bytes = 0;
  for (auto _ : state) {
    const Scene scene = scene_of(handout, options);
    pages = scene.pages.size();
    bytes = draw::write_pdf(scene, test::music_font())->bytes.size();
  }
  rusage usage{};
  getrusage(RUSAGE_SELF, &usage);
  state.counters["pages"] = static_cast<double>(pages);
  state.counters["pdf_MB"] = static_cast<double>(bytes) / 1e6;
  state.counters["peak_MB"] = static_cast<double>(usage.ru_maxrss) / 1024;
}
BENCHMARK(handout_of_200_pages)->Unit(benchmark::kMillisecond)->Iterations(1);

}  // namespace
