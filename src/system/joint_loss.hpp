// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

namespace fw::system {

/// Length of a joint's own bore [m] (typical).
inline constexpr double joint_length_m = 0.030;

/// Contraction plus expansion at a joint of bore d in a line of bore D: K = 3.3 (1 - (d/D)^4) on the joint's bore
/// (Hooper's laminar size-change law, Chem. Eng. 95(16) (1988) 89, at Re about 1500; typical, no measurement found).
/// The joint's own 30 mm of bore is a pipe of its own. No loss when the joint is not narrower than the line. Errors:
/// invalid_input naming the bore.
[[nodiscard]] Result<hydraulics::ResistorCoefficients> joint_size_loss(double joint_bore_m, double line_bore_m,
                                                                       const fuel::Liquid& liquid);

}  // namespace fw::system
