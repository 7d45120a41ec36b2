#pragma once

#include <chrono>
#include <condition_variable>
#include <mutex>

namespace fretloom::studio {

/// Wakes the threads that wait for something to change, and sends them home when the server ends.
class News {
 public:
  void tell() {
    const std::lock_guard guard(mutex_);
    told_.notify_all();
  }
  void end() {
    const std::lock_guard guard(mutex_);
    has_ended_ = true;
    told_.notify_all();
  }

  /// Until `is_there()`, the end, or `at_most` has passed. What nobody tells is looked at `every` so often.
  template <class Condition>
  void wait(std::chrono::milliseconds at_most, std::chrono::milliseconds every, Condition is_there) {
    const auto until = std::chrono::steady_clock::now() + at_most;
    while (!is_there() && std::chrono::steady_clock::now() < until) {
      std::unique_lock lock(mutex_);
      if (has_ended_) return;
      told_.wait_for(lock, every);
      if (has_ended_) return;
    }
  }

 private:
  std::mutex mutex_;
  std::condition_variable told_;
  bool has_ended_ = false;
};

}  // namespace fretloom::studio
