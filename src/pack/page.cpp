#include "pack/page.h"

#include "base/text.h"

namespace fretloom {

namespace {

constexpr std::string_view k_style = R"(<style>
:root { color-scheme: light dark; --paper: #fbf7ee; --ink: #26221c; --soft: #6d6557; --line: #d8cfbd; }
@media (prefers-color-scheme: dark) { :root { --paper: #1d1b18; --ink: #ece5d8; --soft: #a89f8f; --line: #3d3932; } }
* { box-sizing: border-box; }
body { background: var(--paper); color: var(--ink); font: 1.05rem/1.5 Georgia, serif; margin: 0; }
main { margin: 0 auto; max-width: 46rem; padding: 1.5rem 1rem 3rem; }
h1 { font-size: 1.7rem; font-weight: 600; line-height: 1.2; margin: 0 0 0.4rem; overflow-wrap: anywhere; }
h2 { font-size: 1.2rem; font-weight: 600; margin: 0; overflow-wrap: anywhere; }
h3 { font-size: 1rem; font-weight: 600; margin: 1rem 0 0.3rem; }
section, li.pack { border-top: 1px solid var(--line); margin-top: 1.4rem; padding-top: 1rem; }
ul { list-style: none; margin: 0; padding: 0; }
ul.files li { padding: 0.2rem 0; }
p { margin: 0.3rem 0; overflow-wrap: anywhere; }
.soft { color: var(--soft); }
.player { align-items: center; display: flex; flex-wrap: wrap; gap: 0.3rem 1rem; padding: 0.35rem 0; }
.player span { flex: 1 1 13rem; }
audio { flex: 1 1 16rem; height: 2.5rem; max-width: 100%; min-width: 0; }
.drawing { background: #fff; border: 1px solid var(--line); border-radius: 0.3rem; margin: 0.4rem 0; overflow-x: auto; padding: 0.4rem; }
.drawing img { display: block; height: auto; max-width: none; }
summary { cursor: pointer; padding: 0.3rem 0; }
a { color: inherit; text-underline-offset: 0.2em; }
.links a { display: inline-block; margin-right: 1.1rem; padding: 0.2rem 0; }
a:focus-visible, summary:focus-visible { outline: 2px solid currentColor; outline-offset: 3px; }
</style>
)";

/// For the browser to choose by (RFC 3555, RFC 5334, RFC 9639).
std::string_view type_of(std::string_view file) {
  if (file.ends_with(".mp3")) return "audio/mpeg";
  if (file.ends_with(".opus")) return "audio/ogg; codecs=opus";
  if (file.ends_with(".flac")) return "audio/flac";
  return "audio/wav";
}

}  // namespace

std::string page_head(std::string_view title, std::string_view meta) {
  return "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
         "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n" +
         std::string(meta) + "<title>" + markup_text(title) + "</title>\n" + std::string(k_style) +
         "</head>\n<body>\n<main>\n";
}

std::string player(const PageSound& sound) {
  const std::string label = markup_text(sound.label);
  std::string text =
      "<div class=\"player\"><span>" + label + "</span><audio controls preload=\"none\" aria-label=\"" + label + "\">";
  for (const std::string& file : sound.files)
    text += "<source src=\"" + link_path(file) + "\" type=\"" + std::string(type_of(file)) + "\">";
  return text + "</audio></div>\n";
}

std::string link_path(std::string_view path) {
  constexpr std::string_view k_unreserved = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
  constexpr std::string_view k_hex = "0123456789ABCDEF";
  std::string out;
  for (const char c : path) {
    const auto byte = static_cast<unsigned char>(c);
    if (k_unreserved.find(c) != std::string_view::npos) {
      out += c;
    } else {
      out += {'%', k_hex[byte >> 4U], k_hex[byte & 15U]};
    }
  }
  return out;
}

std::string link(std::string_view path, std::string_view label) {
  return "<a href=\"" + link_path(path) + "\">" + markup_text(label) + "</a>";
}

}  // namespace fretloom
