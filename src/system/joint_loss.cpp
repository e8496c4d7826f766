// SPDX-License-Identifier: Apache-2.0
#include "system/joint_loss.hpp"

#include "hydraulics/resistor.hpp"

namespace fw::system {

Result<hydraulics::ResistorCoefficients> joint_size_loss(double joint_bore_m, double line_bore_m,
                                                         const fuel::Liquid& liquid) {
  if (const auto ok = require_positive(line_bore_m, "line_bore_m"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(joint_bore_m, "joint_bore_m"); !ok) return fail(ok.error());
  if (joint_bore_m >= line_bore_m) return hydraulics::no_loss;
  const double ratio = joint_bore_m / line_bore_m;
  return hydraulics::resistor_of({.k1 = 0.0, .k_infinity = 3.3 * (1.0 - ratio * ratio * ratio * ratio)}, joint_bore_m,
                                 liquid);
}

}  // namespace fw::system
