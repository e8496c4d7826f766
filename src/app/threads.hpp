// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <atomic>
#include <cstddef>

#include "base/run.hpp"

namespace fw::app {

/// Runs blocks on up to `threads` threads at the same time; the calling thread is one of them.
///
/// The helpers of one executor are shared: calls from several threads, and calls made inside a block, take the
/// helpers that are free and go on alone when there are none. So a nested call never waits for itself, and one
/// executor never runs more than threads - 1 helpers. Helpers live as long as the call that took them; when the
/// system has no more threads to give, the call goes on with those it has.
///
/// Blocks are handed out in rising order. When one throws, no further block is handed out, and the exception of the
/// lowest block that threw is rethrown: the same one that InlineExecutor lets through.
///
/// Results do not depend on the number of threads as long as each block writes to places of its own.
/// Check: threads_test.cpp compares the bytes written with 1, 2 and 7 threads.
class ThreadExecutor final : public Executor {
 public:
  /// Precondition: threads >= 1.
  explicit ThreadExecutor(std::size_t threads);

  void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override;
  [[nodiscard]] std::size_t threads() const override { return threads_; }

 private:
  std::size_t threads_;
  std::atomic<std::size_t> free_helpers_;
};

/// Threads that the machine runs at the same time, at least 1.
[[nodiscard]] std::size_t hardware_threads();

}  // namespace fw::app
