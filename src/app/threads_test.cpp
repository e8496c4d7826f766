// SPDX-License-Identifier: Apache-2.0
#include "app/threads.hpp"

#include <atomic>
#include <barrier>
#include <cmath>
#include <cstring>
#include <mutex>
#include <set>
#include <stdexcept>
#include <string>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"

namespace fw::app {
namespace {

std::vector<double> numbers(Executor& executor) {
  std::vector<double> values(1000);
  executor.for_each_block(10, [&](std::size_t block) {
    for (std::size_t i = block * 100; i < (block + 1) * 100; ++i) values[i] = std::sin(static_cast<double>(i));
  });
  return values;
}

TEST(ThreadExecutor, SameBytesForAnyNumberOfThreads) {
  InlineExecutor alone;
  const std::vector<double> expected = numbers(alone);
  for (const std::size_t threads : {1U, 2U, 7U}) {
    ThreadExecutor executor(threads);
    EXPECT_EQ(executor.threads(), threads);
    const std::vector<double> found = numbers(executor);
    EXPECT_EQ(std::memcmp(found.data(), expected.data(), expected.size() * sizeof(double)), 0) << threads;
  }
}

TEST(ThreadExecutor, CallsEveryBlockOnce) {
  ThreadExecutor executor(4);
  for (const std::size_t blocks : {0U, 1U, 3U, 1000U}) {
    std::vector<std::atomic<int>> calls(blocks);
    executor.for_each_block(blocks, [&](std::size_t block) { ++calls[block]; });
    for (const auto& count : calls) EXPECT_EQ(count, 1);
  }
}

// Two blocks that wait for each other end only when both run at the same time.
TEST(ThreadExecutor, RunsBlocksAtTheSameTime) {
  ThreadExecutor executor(2);
  std::barrier both(2);
  std::mutex mutex;
  std::set<std::thread::id> seen;
  executor.for_each_block(2, [&](std::size_t) {
    both.arrive_and_wait();
    const std::lock_guard lock(mutex);
    seen.insert(std::this_thread::get_id());
  });
  EXPECT_EQ(seen.size(), 2U);
  EXPECT_TRUE(seen.contains(std::this_thread::get_id())) << "the caller works too";
}

TEST(ThreadExecutor, OneThreadIsTheCaller) {
  ThreadExecutor executor(1);
  executor.for_each_block(
      5, [caller = std::this_thread::get_id()](std::size_t) { EXPECT_EQ(std::this_thread::get_id(), caller); });
}

TEST(ThreadExecutor, RethrowsTheExceptionOfTheLowestBlock) {
  ThreadExecutor executor(3);
  for (int repeat = 0; repeat < 50; ++repeat) {
    std::atomic<int> running = 0;
    std::string text;
    try {
      executor.for_each_block(100, [&](std::size_t block) {
        ++running;
        if (block == 7 || block == 8 || block == 9) {
          --running;
          throw std::runtime_error("block " + std::to_string(block));
        }
        --running;
      });
    } catch (const std::runtime_error& error) {
      text = error.what();
    }
    EXPECT_EQ(text, "block 7");
    EXPECT_EQ(running, 0) << "all running blocks have ended";
  }
}

TEST(ThreadExecutor, StaysUsableAfterAnException) {
  ThreadExecutor executor(2);
  EXPECT_THROW(executor.for_each_block(4, [](std::size_t) { throw std::runtime_error("no"); }), std::runtime_error);
  std::barrier both(2);
  executor.for_each_block(2, [&](std::size_t) { both.arrive_and_wait(); });
}

TEST(ThreadExecutor, CallsInsideABlockStayWithinTheThreads) {
  ThreadExecutor executor(3);
  std::atomic<int> running = 0;
  std::atomic<int> most = 0;
  std::atomic<int> calls = 0;
  executor.for_each_block(8, [&](std::size_t) {
    executor.for_each_block(16, [&](std::size_t) {
      const int at_once = ++running;
      int seen = most;
      while (at_once > seen && !most.compare_exchange_weak(seen, at_once)) {
      }
      ++calls;
      --running;
    });
  });
  EXPECT_EQ(calls, 8 * 16);
  EXPECT_LE(most, 3);
}

TEST(ThreadExecutor, NeedsAThread) {
  EXPECT_THROW(ThreadExecutor(0), ContractViolation);
  EXPECT_GE(hardware_threads(), 1U);
}

}  // namespace
}  // namespace fw::app
