#include "cli/progress.h"

#include <unistd.h>

#include <algorithm>
#include <cmath>
#include <csignal>
#include <cstdio>

namespace fretloom {

ProgressBar::ProgressBar(std::string what) : what_(std::move(what)), shown_(::isatty(STDERR_FILENO) == 1) {}

ProgressBar::~ProgressBar() {
  if (drawn_ >= 0) std::fputs("\r\033[K", stderr);
}

void ProgressBar::show(double part) {
  using FractionalSeconds = std::chrono::duration<double>;
  const double elapsed = FractionalSeconds(std::chrono::steady_clock::now() - start_).count();
  const int percent = static_cast<int>(part * 100.0);
  if (!shown_ || elapsed < 1.0 || percent == drawn_) return;
  drawn_ = percent;
  constexpr int k_width = 30;
  const auto full = static_cast<std::size_t>(std::clamp(percent * k_width / 100, 0, k_width));
  const std::string bar = std::string(full, '#') + std::string(k_width - full, '.');
  const int left = part > 0.02 ? static_cast<int>(std::lround(elapsed / part - elapsed)) : -1;
  const std::string rest = left < 0 ? "" : ", " + std::to_string(left) + " s left";
  std::fprintf(stderr, "\r\033[K%.24s [%s] %d %%%s", what_.c_str(), bar.c_str(), percent, rest.c_str());
}

StopFlag& stop_flag() {
  static StopFlag flag{false};
  return flag;
}

extern "C" {
static void on_interrupt(int /*signal*/) { stop_flag().store(true); }
}

void listen_for_stop() {
  stop_flag().store(false);  // made before a signal can want it
  std::signal(SIGINT, on_interrupt);
  std::signal(SIGTERM, on_interrupt);
}

}  // namespace fretloom
