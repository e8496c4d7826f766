// SPDX-License-Identifier: Apache-2.0
#include "cli/long_work.hpp"

#include <gtest/gtest.h>
#include <signal.h>  // NOLINT(modernize-deprecated-headers): kill() is not in <csignal>
#include <unistd.h>

#include <chrono>
#include <thread>

namespace fw::cli {
namespace {

/// Waits a while for the stop: the watcher is a thread of its own.
bool stops(const std::stop_token& stop) {
  for (int i = 0; i < 400 && !stop.stop_requested(); ++i) std::this_thread::sleep_for(std::chrono::milliseconds(5));
  return stop.stop_requested();
}

TEST(LongWork, IsAskedToStopByCtrlC) {
  const bool stopped = in_long_work([](const fw::Run& run) {
    kill(getpid(), SIGINT);
    return stops(run.stop);
  });
  EXPECT_TRUE(stopped);
}

TEST(LongWork, TakesTwoSignalsOfOnePressAsOne) {
  const bool stopped = in_long_work([](const fw::Run& run) {
    kill(getpid(), SIGINT);
    const bool first = stops(run.stop);
    kill(getpid(), SIGINT);  // at once: a parent process passes the same press on
    return first;
  });
  EXPECT_TRUE(stopped);
}

TEST(LongWork, EndsAtOnceAtTheSecondPress) {
  EXPECT_EXIT(static_cast<void>(in_long_work([](const fw::Run& run) {
                kill(getpid(), SIGINT);
                const bool first = stops(run.stop);
                std::this_thread::sleep_for(std::chrono::milliseconds(400));
                kill(getpid(), SIGINT);
                std::this_thread::sleep_for(std::chrono::seconds(5));
                return first;
              })),
              testing::ExitedWithCode(130), "");
}

TEST(LongWork, LeavesAnIgnoredSignalIgnored) {
  struct sigaction ignored{};
  ignored.sa_handler = SIG_IGN;
  struct sigaction before{};
  sigaction(SIGINT, &ignored, &before);
  const bool stopped = in_long_work([](const fw::Run& run) {
    kill(getpid(), SIGINT);
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    return run.stop.stop_requested();
  });
  sigaction(SIGINT, &before, nullptr);
  EXPECT_FALSE(stopped);
}

}  // namespace
}  // namespace fw::cli
