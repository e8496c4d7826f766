// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "base/result.hpp"

/// Wall friction of laminar flow that changes: the weighting function as a sum of decaying terms.
namespace fw::rail {

/// W(tau) = sum m exp(-n tau), tau = nu t/R^2:  dp/dx = -(32 rho nu/D^2) V - (16 rho nu/D^2) int (dV/dt) W.
struct FrictionMemory {
  std::vector<double> weight;  ///< m [-]
  std::vector<double> rate;    ///< n [-]

  [[nodiscard]] double at(double tau) const;
};

/// The ten terms of Kagawa et al. (1983), continued in the same ratio (1.7171, 2.9480) until two terms more than
/// `smallest_tau` n = 3.5 asks for: within 1 % of the exact series for tau >= smallest_tau. Laminar only: in turbulent
/// flow it stands in without proof. Errors: invalid_input `smallest_tau` outside 1e-9 to 1. Source: T. Kagawa et al.,
/// Trans. JSME B 49 (1983) 2638 (coefficients from memory, checked against the exact series); the continuation follows
/// from W ~ tau^-1/2.
[[nodiscard]] Result<FrictionMemory> friction_memory(double smallest_tau);

/// Factors of one step of dtau: y := decay y + gain dV, gain averaged over the step (Schohl 1993); the terms that the
/// sum leaves out decay within the step and are added to the last gain. Their mean over the first step is then within 1
/// % as well.
struct MemoryStep {
  std::vector<double> decay;
  std::vector<double> gain;
};
/// Precondition: dtau > 0.
[[nodiscard]] MemoryStep memory_step(const FrictionMemory& memory, double dtau);

}  // namespace fw::rail
