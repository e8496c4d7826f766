// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <functional>
#include <stop_token>
#include <string_view>

namespace fw {

/// Runs blocks of independent work. Results must not depend on the number of threads: every block writes
/// only to places of its own, sums are taken in block order afterwards.
class Executor {
 public:
  virtual ~Executor() = default;
  /// Calls work(block) once for every block in [0, blocks), in any order, perhaps at the same time.
  /// The first exception thrown by a block is rethrown after all running blocks ended.
  virtual void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) = 0;
  /// How many blocks may run at the same time, at least 1.
  [[nodiscard]] virtual std::size_t threads() const = 0;
};

/// One thread: the caller's.
class InlineExecutor final : public Executor {
 public:
  void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override;
  [[nodiscard]] std::size_t threads() const override { return 1; }
};

/// Told how far long work has come. May be called from any thread.
class Progress {
 public:
  virtual ~Progress() = default;
  /// `done` of `total` units of `what`.
  virtual void at(std::string_view what, std::size_t done, std::size_t total) = 0;
};

/// Says nothing.
class SilentProgress final : public Progress {
 public:
  void at(std::string_view, std::size_t, std::size_t) override {}
};

/// Where and how long work runs; last argument of every function that may take long. A stopped run ends
/// with ErrorCode::cancelled.
struct Run {
  Executor& executor;
  Progress& progress;
  std::stop_token stop;
};

}  // namespace fw
