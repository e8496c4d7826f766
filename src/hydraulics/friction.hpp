// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw::hydraulics {

/// State of flow in one pipe, all pure numbers.
struct PipeFlow {
  double reynolds = required;        ///< V D / nu [-]
  double relative_roughness = 0.0;   ///< eps / D [-]
  double curvature = 0.0;            ///< sqrt(bore / bend diameter) [-]; 0 straight
  double transition_reynolds = 0.0;  ///< 0: Churchill; else the drawn transition law with this Re_m [-]
};

struct PipeFriction {
  double factor = required;     ///< Darcy f [-]
  double phi = required;        ///< f Re / 64 [-], 1 in laminar flow of a straight pipe
  double phi_slope = required;  ///< d(phi)/d(ln Re) [-]; drop = r phi Q has the slope r (phi + phi_slope)
  Range range = Range::fitted;
};

/// Darcy friction factor of a round pipe, drop = f (L/D) rho V|V|/2, in all regimes.
///
/// transition_reynolds 0: Churchill (1977); phi = (1 + T)^(1/12) as in lanes_friction.hpp. Otherwise 64/Re below
/// 0.9 Re_m, Colebrook-White (1939) above 1.1 Re_m, ln(phi) cubic in ln(Re) between, value and slope continuous.
/// curvature > 0: laminar and turbulent branch by Mishra & Gupta (1979). drop(Q) is strictly monotone (test). The
/// network solver evaluates the same text in lanes: same bits.
///
/// Validity: straight Re <= 1e8, e <= 0.05; curved De = k Re <= 3000 in laminar flow or Re <= 1e5. Beyond:
/// Range::extrapolated (above Re 1e8 phi is held). Between Re 2000 and 4000 the flow is intermittent: the truth
/// lies anywhere between 64/Re and Colebrook.
///
/// Errors: invalid_input for a number that is not finite, reynolds <= 0, roughness outside [0, 1), curvature
/// outside [0, 1), a transition that is neither 0 nor inside [1000, 10000].
///
/// Source: S. W. Churchill, Chem. Eng. 84(24) (1977) 91; C. F. Colebrook, J. ICE 11 (1939) 133; P. Mishra, S. N.
/// Gupta, Ind. Eng. Chem. Process Des. Dev. 18 (1979) 130.
/// Check: Re 4000, e 0 -> 0.04058973296 (Churchill); tests/published/hydraulics/hyd_friction_factor.csv.
[[nodiscard]] Result<PipeFriction> pipe_friction_factor(const PipeFlow& flow);

}  // namespace fw::hydraulics
