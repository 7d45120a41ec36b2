#pragma once
// Independent pieces of work side by side.

#include <atomic>
#include <cstddef>
#include <functional>
#include <thread>
#include <vector>

namespace fretloom {

/// Calls work(0) to work(count - 1), each once, on up to `threads` threads (0: one a core), this one
/// among them. A call that returns false lets no further one begin. Returns when all have ended.
inline void run_parallel(std::size_t count, int threads, const std::function<bool(std::size_t)>& work) {
  std::size_t number = threads > 0 ? static_cast<std::size_t>(threads) : std::thread::hardware_concurrency();
  if (number > count) number = count;
  std::atomic<std::size_t> next{0};
  std::atomic<bool> halt{false};
  const auto take_turns = [&] {
    while (!halt.load()) {
      const std::size_t index = next.fetch_add(1);
      if (index >= count) return;
      if (!work(index)) halt.store(true);
    }
  };
  std::vector<std::thread> others;
  for (std::size_t t = 1; t < number; ++t) others.emplace_back(take_turns);
  take_turns();
  for (std::thread& thread : others) thread.join();
}

}  // namespace fretloom
