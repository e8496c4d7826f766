// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/run.hpp"

namespace fw::test {

/// Where a test runs long work: on its own thread, saying nothing, never stopped.
struct QuietRun {
  InlineExecutor executor;
  SilentProgress progress;
  [[nodiscard]] Run run() { return {executor, progress, {}}; }
};

}  // namespace fw::test
