// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <mutex>
#include <stop_token>
#include <string_view>
#include <thread>

#include "app/threads.hpp"
#include "app/use_cases.hpp"
#include "base/run.hpp"
#include "cli/command_line.hpp"
#include "cli/progress.hpp"

namespace fw::cli {

/// What every judging command asks of the use cases.
[[nodiscard]] app::Request request_of(const CommandLine& line);

/// A line on standard error that moves, only where that is a terminal, and only for work that takes longer than a
/// glance (0.4 s). It is wiped at the end.
class TerminalProgress final : public Progress {
 public:
  TerminalProgress();
  ~TerminalProgress() override;
  TerminalProgress(const TerminalProgress&) = delete;
  TerminalProgress& operator=(const TerminalProgress&) = delete;

  void at(std::string_view what, std::size_t done, std::size_t total) override;

 private:
  bool shown_ = false;    ///< standard error is a terminal that can wipe a line
  bool on_line_ = false;  ///< something stands on the line
  std::mutex mutex_;      ///< guards what follows and on_line_
  ProgressShare share_;
  std::chrono::steady_clock::time_point next_;
};

/// Ctrl-C as a stop request. The first one asks the work to stop, the second one ends the program with status 130 at
/// once. Where the caller of the program ignores the signal (nohup, a background job of a script) it stays ignored.
/// One object at a time.
class Interrupts {
 public:
  Interrupts();
  ~Interrupts();
  Interrupts(const Interrupts&) = delete;
  Interrupts& operator=(const Interrupts&) = delete;

  [[nodiscard]] std::stop_token stop() const { return source_.get_token(); }

 private:
  void watch();

  std::stop_source source_;
  std::thread watcher_;  ///< not running where the signal is ignored
};

/// Runs work(run) on all processors, with progress on the terminal, stopped by Ctrl-C. A template because every command
/// has its own type of result.
template <class Work>
[[nodiscard]] auto in_long_work(Work work) {
  const Interrupts interrupts;  // first: threads made later inherit that they do not take the signal
  app::ThreadExecutor executor(app::hardware_threads());
  TerminalProgress progress;
  return work(Run{.executor = executor, .progress = progress, .stop = interrupts.stop()});
}

}  // namespace fw::cli
