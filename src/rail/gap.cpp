// SPDX-License-Identifier: Apache-2.0
#include "rail/gap.hpp"

#include <array>
#include <cmath>
#include <numbers>

namespace fw::rail {

namespace {

// Nodes and weights of Gauss and Legendre, eight points on [-1, 1] (Abramowitz & Stegun, table 25.4), positive half.
constexpr std::array<double, 4> gauss_node{0.183434642495649805, 0.525532409916328986, 0.796666477413626740,
                                           0.960289856497536232};
constexpr std::array<double, 4> gauss_weight{0.362683783378361983, 0.313706645877887287, 0.222381034453374471,
                                             0.101228536290376259};

}  // namespace

Result<GapOpening> gap_opening(const Barrel& barrel) {
  InputCheck check;
  check.positive(barrel.bore_m, "barrel.bore_m")
      .positive(barrel.steel.young_Pa, "barrel.steel.young_Pa")
      .within(barrel.steel.poisson, {.low = 0.0, .high = 0.5}, "barrel.steel.poisson")
      .within(barrel.outer_over_bore, {.low = 1.05, .high = 100.0}, "barrel.outer_over_bore");
  if (check.failed()) return check.fault();
  const double r_over_e = 0.5 * barrel.bore_m / barrel.steel.young_Pa;
  const double square = barrel.outer_over_bore * barrel.outer_over_bore;
  return GapOpening{.barrel_m_per_Pa = r_over_e * ((square + 1.0) / (square - 1.0) + barrel.steel.poisson),
                    .plunger_m_per_Pa = r_over_e * (1.0 - barrel.steel.poisson)};
}

void check_gap(InputCheck& check, const SealGap& gap, const std::string& name) {
  check.positive(gap.bore_m, name + ".bore_m")
      .positive(gap.length_m, name + ".length_m")
      .positive(gap.clearance_m, name + ".clearance_m")
      .non_negative(gap.opening_m_per_Pa, name + ".opening_m_per_Pa")
      .non_negative(gap.axial_loss_m_per_Pa, name + ".axial_loss_m_per_Pa")
      .within(gap.eccentricity, {.low = 0.0, .high = 1.0}, name + ".eccentricity");
}

GapFlow gap_flow_unchecked(const SealGap& gap, const RailLiquid& liquid, double pressure_Pa) {
  const double open_m = gap.clearance_m - gap.axial_loss_m_per_Pa * pressure_Pa;
  const double half_Pa = 0.5 * pressure_Pa;
  double sum = 0.0;
  const auto integrand = [&](double p) {
    const double h = std::max(0.0, open_m + gap.opening_m_per_Pa * p);
    return h * h * h / liquid.viscosity_at(p);
  };
  for (std::size_t i = 0; i < gauss_node.size(); ++i) {
    sum += gauss_weight[i] * (integrand(half_Pa * (1.0 - gauss_node[i])) + integrand(half_Pa * (1.0 + gauss_node[i])));
  }
  return {.flow_m3_per_s = std::numbers::pi * gap.bore_m / (12.0 * gap.length_m) *
                           (1.0 + 1.5 * gap.eccentricity * gap.eccentricity) * sum * half_Pa,
          .touches = open_m <= 0.0};
}

Result<GapFlow> gap_flow(const SealGap& gap, const RailLiquid& liquid, double pressure_Pa) {
  InputCheck check;
  check_gap(check, gap, "gap");
  check_liquid(check, liquid);
  check.non_negative(pressure_Pa, "pressure_Pa");
  if (check.failed()) return check.fault();
  return gap_flow_unchecked(gap, liquid, pressure_Pa);
}

}  // namespace fw::rail
