// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/resistor.hpp"

#include <cmath>
#include <numbers>

#include "base/contract.hpp"
#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

double bore_area_m2(double bore_m) { return 0.25 * std::numbers::pi * bore_m * bore_m; }

double bore_reynolds(double flow_m3_per_s, double bore_m, const fuel::Liquid& liquid) {
  return 4.0 * std::abs(flow_m3_per_s) / (std::numbers::pi * bore_m * liquid.kinematic_viscosity_m2_per_s());
}

ResistorCoefficients in_series(const ResistorCoefficients& first, const ResistorCoefficients& second) {
  return {.linear_Pa_s_per_m3 = first.linear_Pa_s_per_m3 + second.linear_Pa_s_per_m3,
          .quadratic_Pa_s2_per_m6 = first.quadratic_Pa_s2_per_m6 + second.quadratic_Pa_s2_per_m6};
}

ResistorCoefficients times(const ResistorCoefficients& loss, double count) {
  return {.linear_Pa_s_per_m3 = count * loss.linear_Pa_s_per_m3,
          .quadratic_Pa_s2_per_m6 = count * loss.quadratic_Pa_s2_per_m6};
}

PipeCoefficients with_loss(const PipeCoefficients& pipe, const ResistorCoefficients& loss) {
  PipeCoefficients sum = pipe;
  sum.linear_Pa_s_per_m3 += loss.linear_Pa_s_per_m3;
  sum.quadratic_Pa_s2_per_m6 += loss.quadratic_Pa_s2_per_m6;
  return sum;
}

double drop_Pa(const ResistorCoefficients& law, double flow_m3_per_s) {
  return (law.linear_Pa_s_per_m3 + law.quadratic_Pa_s2_per_m6 * std::abs(flow_m3_per_s)) * flow_m3_per_s;
}

double flow_at_drop_m3_per_s(const ResistorCoefficients& law, double drop_Pa) {
  const double a = law.linear_Pa_s_per_m3;
  const double b = law.quadratic_Pa_s2_per_m6;
  FW_EXPECTS(a > 0.0 || b > 0.0);
  if (drop_Pa == 0.0) return 0.0;
  return 2.0 * drop_Pa / (a + std::sqrt(a * a + 4.0 * b * std::abs(drop_Pa)));
}

Result<ResistorCoefficients> resistor_of(const LossCoefficient& loss, double bore_m, const fuel::Liquid& liquid) {
  InputCheck check;
  check.non_negative(loss.k1, "k1").non_negative(loss.k_infinity, "k_infinity").positive(bore_m, "bore_m");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double area_m2 = bore_area_m2(bore_m);
  return ResistorCoefficients{
      .linear_Pa_s_per_m3 = loss.k1 * liquid.dynamic_viscosity_Pa_s / (2.0 * bore_m * area_m2),
      .quadratic_Pa_s2_per_m6 = loss.k_infinity * liquid.density_kg_per_m3 / (2.0 * area_m2 * area_m2)};
}

double loss_coefficient_at(const ResistorCoefficients& law, double reynolds, double bore_m,
                           const fuel::Liquid& liquid) {
  const double velocity_m_per_s = reynolds * liquid.kinematic_viscosity_m2_per_s() / bore_m;
  return drop_Pa(law, velocity_m_per_s * bore_area_m2(bore_m)) /
         (0.5 * liquid.density_kg_per_m3 * velocity_m_per_s * velocity_m_per_s);
}

}  // namespace fw::hydraulics
