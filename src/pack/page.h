#pragma once
// What the pages of a folder of packs share: plain HTML without scripts or outside requests, light and dark, from the
// width of a phone on.

#include <string>
#include <string_view>
#include <vector>

namespace fretloom {

/// A sound to play, in as many formats as there are files.
struct PageSound {
  std::string label;
  std::vector<std::string> files;  ///< links
};

/// All before the page's first heading. `title` is plain text; `meta` goes into the head as it is.
[[nodiscard]] std::string page_head(std::string_view title, std::string_view meta);
constexpr std::string_view k_page_foot = "</main>\n</body>\n</html>\n";

/// A player with its label; nothing is fetched before it is pressed.
[[nodiscard]] std::string player(const PageSound& sound);
/// A path as a link: RFC 3986, 2.3, and "/" between steps.
[[nodiscard]] std::string link_path(std::string_view path);
[[nodiscard]] std::string link(std::string_view path, std::string_view label);

}  // namespace fretloom
