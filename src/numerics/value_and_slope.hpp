// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fw::numerics {

/// A function at one place, with its derivative there.
struct ValueAndSlope {
  double value;
  double slope;
};

}  // namespace fw::numerics
