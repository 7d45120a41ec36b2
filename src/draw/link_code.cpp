#include "draw/link_code.h"

#include <qrencode.h>

#include <algorithm>
#include <memory>

#include "base/text.h"

namespace fretloom::draw {

std::optional<sheet::LinkCode> link_code(const std::vector<std::string>& links) {
  const auto first = std::find_if(links.begin(), links.end(), [](const std::string& link) {
    const std::string start = lower(link.substr(0, 8));
    return start.starts_with("http://") || start.starts_with("https://");
  });
  if (first == links.end() || first->size() > k_longest_coded_link) return std::nullopt;
  const std::unique_ptr<QRcode, void (*)(QRcode*)> code(
      QRcode_encodeData(static_cast<int>(first->size()), reinterpret_cast<const unsigned char*>(first->data()), 0,
                        QR_ECLEVEL_M),
      QRcode_free);
  if (!code) return std::nullopt;
  sheet::LinkCode out{*first, code->width, {}};
  const auto modules = static_cast<std::size_t>(code->width) * static_cast<std::size_t>(code->width);
  for (std::size_t i = 0; i < modules; ++i) out.dark.push_back((code->data[i] & 1U) != 0);
  return out;
}

}  // namespace fretloom::draw
