// SPDX-License-Identifier: Apache-2.0
#include "app/threads.hpp"

#include <algorithm>
#include <exception>
#include <mutex>
#include <system_error>
#include <thread>
#include <vector>

#include "base/contract.hpp"

namespace fw::app {

namespace {

/// What the threads of one call share.
class Blocks {
 public:
  Blocks(std::size_t count, const std::function<void(std::size_t)>& work) : count_(count), work_(work) {}

  /// Works until no block is left or one threw.
  void work_through() {
    while (!failed_.load(std::memory_order_relaxed)) {
      const std::size_t block = next_.fetch_add(1, std::memory_order_relaxed);
      if (block >= count_) return;
      // A block that was handed out is run even when another has failed meanwhile: so every block below the failed
      // one has run, and the lowest exception is the same for any number of threads.
      try {
        work_(block);
      } catch (...) {
        const std::lock_guard lock(mutex_);
        if (!exception_ || block < exception_block_) {
          exception_ = std::current_exception();
          exception_block_ = block;
        }
        failed_.store(true, std::memory_order_relaxed);
      }
    }
  }

  /// After all threads ended.
  void rethrow() const {
    if (exception_) std::rethrow_exception(exception_);
  }

 private:
  const std::size_t count_;
  const std::function<void(std::size_t)>& work_;
  std::atomic<std::size_t> next_ = 0;
  std::atomic<bool> failed_ = false;
  std::mutex mutex_;
  std::exception_ptr exception_;
  std::size_t exception_block_ = 0;
};

/// Helpers taken from those that are free, given back at the end of the scope.
class Helpers {
 public:
  Helpers(std::atomic<std::size_t>& free, std::size_t wanted) : free_(free) {
    std::size_t available = free_.load();
    do {
      count_ = std::min(available, wanted);
    } while (!free_.compare_exchange_weak(available, available - count_));
  }
  ~Helpers() { free_.fetch_add(count_); }
  Helpers(const Helpers&) = delete;
  Helpers& operator=(const Helpers&) = delete;

  [[nodiscard]] std::size_t count() const { return count_; }

 private:
  std::atomic<std::size_t>& free_;
  std::size_t count_ = 0;
};

}  // namespace

ThreadExecutor::ThreadExecutor(std::size_t threads) : threads_(threads), free_helpers_(0) {
  FW_EXPECTS(threads >= 1);
  free_helpers_ = threads - 1;
}

void ThreadExecutor::for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) {
  if (blocks == 0) return;
  Blocks shared(blocks, work);
  {
    const Helpers taken(free_helpers_, blocks - 1);
    std::vector<std::jthread> helpers;
    helpers.reserve(taken.count());
    try {
      for (std::size_t i = 0; i < taken.count(); ++i) helpers.emplace_back([&shared] { shared.work_through(); });
    } catch (const std::system_error&) {
      // No more threads to be had: those that started and the caller do the work.
    }
    shared.work_through();
  }
  shared.rethrow();
}

std::size_t hardware_threads() { return std::max<std::size_t>(1, std::thread::hardware_concurrency()); }

}  // namespace fw::app
