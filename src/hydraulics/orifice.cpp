// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/orifice.hpp"

#include <cmath>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double tube_switch = 50.0;
constexpr double blend_width = 0.2;  // of the switch, either side; common practice, no source
constexpr double largest_vent_vacuum_Pa = 1.0e4;

/// 0 below 0.8 of the switch, 1 above 1.2, cubic between.
double blend_weight(double value, double at) {
  const double t = (value / at - (1.0 - blend_width)) / (2.0 * blend_width);
  if (t <= 0.0) return 0.0;
  if (t >= 1.0) return 1.0;
  return t * t * (3.0 - 2.0 * t);
}

double low_branch(double x) { return 1.0 / std::sqrt(2.28 + 64.0 / x); }
double high_branch(double x) { return 1.0 / std::sqrt(1.5 + 13.74 / std::sqrt(x)); }

double tube_discharge(double x, BranchJoin join) {
  const double weight = join == BranchJoin::hard ? (x > tube_switch ? 1.0 : 0.0) : blend_weight(x, tube_switch);
  return (1.0 - weight) * low_branch(x) + weight * high_branch(x);
}

void check_orifice(InputCheck& check, const Orifice& orifice) {
  check.positive(orifice.bore_m, "orifice.bore_m")
      .positive(orifice.discharge, "orifice.discharge")
      .non_negative(orifice.transition_reynolds, "orifice.transition_reynolds")
      .positive(orifice.count, "orifice.count");
}

void check_vent(InputCheck& check, const Vent& vent) {
  check.positive(vent.bore_m, "vent.bore_m")
      .positive(vent.discharge, "vent.discharge")
      .positive(vent.air_density_kg_per_m3, "vent.air_density_kg_per_m3")
      .positive(vent.air_kinematic_viscosity_m2_per_s, "vent.air_kinematic_viscosity_m2_per_s");
}

/// (rho/2)/(Cd A)^2 of all holes together.
double jet_resistance(double density_kg_per_m3, double throat_m2) {
  return 0.5 * density_kg_per_m3 / (throat_m2 * throat_m2);
}

}  // namespace

Result<double> sharp_orifice_discharge(double reynolds, const SharpEdge& edge) {
  InputCheck check;
  check.non_negative(reynolds, "reynolds")
      .positive(edge.delta, "edge.delta")
      .positive(edge.turbulent_discharge, "edge.turbulent_discharge");
  if (check.failed()) return check.fault();
  return std::fmin(edge.delta * std::sqrt(reynolds), edge.turbulent_discharge);
}

Result<double> short_tube_discharge(double reynolds, double length_over_bore, BranchJoin join) {
  InputCheck check;
  check.positive(reynolds, "reynolds").positive(length_over_bore, "length_over_bore");
  if (check.failed()) return check.fault();
  return tube_discharge(reynolds / length_over_bore, join);
}

Result<ResistorCoefficients> orifice_law(const Orifice& orifice, const fuel::Liquid& liquid) {
  InputCheck check;
  check_orifice(check, orifice);
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double area_m2 = orifice.count * bore_area_m2(orifice.bore_m);
  const double b = jet_resistance(liquid.density_kg_per_m3, orifice.discharge * area_m2);
  const double turning_flow =
      orifice.transition_reynolds * area_m2 * liquid.kinematic_viscosity_m2_per_s() / orifice.bore_m;
  return ResistorCoefficients{.linear_Pa_s_per_m3 = b * turning_flow, .quadratic_Pa_s2_per_m6 = b};
}

Result<double> fourth_root_flow_m3_per_s(const Orifice& orifice, const fuel::Liquid& liquid, double drop_Pa) {
  InputCheck check;
  check_orifice(check, orifice);
  check.finite(drop_Pa, "drop_Pa").positive(orifice.transition_reynolds, "orifice.transition_reynolds");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double throat_m2 = orifice.discharge * orifice.count * bore_area_m2(orifice.bore_m);
  const double critical_m_per_s =
      orifice.transition_reynolds * liquid.kinematic_viscosity_m2_per_s() / (orifice.discharge * orifice.bore_m);
  const double critical_Pa = 0.5 * liquid.density_kg_per_m3 * critical_m_per_s * critical_m_per_s;
  return throat_m2 * std::sqrt(2.0 / liquid.density_kg_per_m3) * drop_Pa / std::sqrt(std::hypot(drop_Pa, critical_Pa));
}

Result<ResistorCoefficients> short_tube_law(const ShortTube& tube, const fuel::Liquid& liquid,
                                            double reference_flow_m3_per_s) {
  InputCheck check;
  check.positive(tube.bore_m, "tube.bore_m")
      .positive(tube.length_m, "tube.length_m")
      .non_negative(reference_flow_m3_per_s, "reference_flow_m3_per_s");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double length_over_bore = tube.length_m / tube.bore_m;
  double k_infinity = 2.28;
  const double x = bore_reynolds(reference_flow_m3_per_s, tube.bore_m, liquid) / length_over_bore;
  if (x > (1.0 - blend_width) * tube_switch) {
    const double cd = tube_discharge(x, BranchJoin::blended);
    k_infinity = 1.0 / (cd * cd) - 64.0 / x;
  }
  return resistor_of({.k1 = 64.0 * length_over_bore, .k_infinity = k_infinity}, tube.bore_m, liquid);
}

Result<VentDrop> vent_drop(const Vent& vent, double withdrawal_m3_per_s) {
  InputCheck check;
  check_vent(check, vent);
  check.finite(withdrawal_m3_per_s, "withdrawal_m3_per_s");
  if (check.failed()) return check.fault();
  const double vacuum_Pa = jet_resistance(vent.air_density_kg_per_m3, vent.discharge * bore_area_m2(vent.bore_m)) *
                           withdrawal_m3_per_s * std::abs(withdrawal_m3_per_s);
  return VentDrop{.vacuum_Pa = vacuum_Pa,
                  .range = std::abs(vacuum_Pa) > largest_vent_vacuum_Pa ? Range::extrapolated : Range::fitted};
}

Result<ResistorCoefficients> vent_law(const Vent& vent) {
  InputCheck check;
  check_vent(check, vent);
  if (check.failed()) return check.fault();
  return orifice_law({.bore_m = vent.bore_m, .discharge = vent.discharge},
                     {.density_kg_per_m3 = vent.air_density_kg_per_m3,
                      .dynamic_viscosity_Pa_s = vent.air_kinematic_viscosity_m2_per_s * vent.air_density_kg_per_m3});
}

}  // namespace fw::hydraulics
