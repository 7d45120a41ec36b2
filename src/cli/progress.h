#pragma once

#include <chrono>
#include <string>

#include "play/render.h"

namespace fretloom {

/// A bar with the time left on a terminal's last line, from the second after the start; nothing where
/// stderr is no terminal. It goes when it ends.
class ProgressBar {
 public:
  explicit ProgressBar(std::string what);
  ProgressBar(const ProgressBar&) = delete;
  ProgressBar& operator=(const ProgressBar&) = delete;
  ~ProgressBar();

  void show(double part);

 private:
  std::string what_;
  bool shown_;
  int drawn_ = -1;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

/// Set by Ctrl-C or a request to end, once listen_for_stop() was called: what is being made is given up, and
/// no file is left half written.
StopFlag& stop_flag();
void listen_for_stop();

}  // namespace fretloom
