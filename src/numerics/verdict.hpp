// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

namespace fw::numerics {

/// What a callback answers to a solver.
enum class Verdict : std::uint8_t {
  ok,
  retry_smaller_step,  ///< cannot be evaluated here; a shorter step may be possible
  stop,                ///< end here with the last good state
};

}  // namespace fw::numerics
