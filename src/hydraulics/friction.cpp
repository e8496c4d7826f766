// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/friction.hpp"

#include <cmath>

#include <fmt/format.h>

#include "hydraulics/lanes_friction.hpp"

namespace fw::hydraulics {
namespace {

bool inside(double value, double low, double high) { return std::isfinite(value) && value >= low && value < high; }

}  // namespace

Result<PipeFriction> pipe_friction_factor(const PipeFlow& flow) {
  if (!std::isfinite(flow.reynolds) || flow.reynolds <= 0.0) {
    return invalid("reynolds", fmt::format("{}", flow.reynolds), "a finite number above 0");
  }
  if (!inside(flow.relative_roughness, 0.0, 1.0)) {
    return invalid("relative_roughness", fmt::format("{}", flow.relative_roughness), "a number from 0 to below 1");
  }
  if (!inside(flow.curvature, 0.0, 1.0)) {
    return invalid("curvature", fmt::format("{}", flow.curvature), "a number from 0 to below 1");
  }
  if (flow.transition_reynolds != 0.0 && !inside(flow.transition_reynolds, 1000.0, 10000.0)) {
    return invalid("transition_reynolds", fmt::format("{}", flow.transition_reynolds), "0, or from 1000 to 10000");
  }
  const Friction<double> law =
      pipe_friction<ExactChurchill>(flow.reynolds, flow.relative_roughness, flow.curvature, flow.transition_reynolds);
  const bool bent_range = flow.curvature <= 0.0 || flow.curvature * flow.reynolds <= 3000.0 || flow.reynolds <= 1e5;
  const bool straight_range = flow.reynolds <= friction_reynolds_end && flow.relative_roughness <= 0.05;
  return PipeFriction{.factor = law.phi * 64.0 / flow.reynolds,
                      .phi = law.phi,
                      .phi_slope = law.slope,
                      .range = bent_range && straight_range ? Range::fitted : Range::extrapolated};
}

}  // namespace fw::hydraulics
