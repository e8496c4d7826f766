// SPDX-License-Identifier: Apache-2.0
#include "fuel/mixture.hpp"

#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "fuel/viscosity_laws.hpp"

namespace fw::fuel {

namespace {

constexpr double zero_C_K = 273.15;
constexpr double at_15C_K = 288.15;
constexpr double at_40C_K = 313.15;
constexpr double tait_c_hydrocarbon = 0.0880;
constexpr double tait_c_ester = 0.0967;
constexpr std::size_t most_parts = 8;

struct Bounds {
  double low = required;
  double high = required;
};
bool between(double value, const Bounds& bounds) { return value >= bounds.low && value <= bounds.high; }

struct ValueAndSlope {
  double value = required;
  double slope = required;  ///< d(value)/dT
};

ValueAndSlope density_of(const Fuel& part, double temperature_K) {
  const double rho15 = part.density_15C_kg_per_m3;
  const double dT = temperature_K - at_15C_K;
  switch (part.family) {
    case Family::fame: return {.value = rho15 - 0.7420 * dT + 3.845e-4 * dT * dT, .slope = -0.7420 + 7.69e-4 * dT};
    case Family::paraffinic: return {.value = rho15 - 0.70 * dT, .slope = -0.70};
    default: break;
  }
  const double a15 = expansion_15C_per_K(rho15);
  const double x = a15 * dT;
  const double rho = rho15 * std::exp(-x * (1.0 + 0.8 * x));
  return {.value = rho, .slope = -rho * a15 * (1.0 + 1.6 * x)};
}

/// cp [J/kg/K] in the wave equations: Cragoe for petroleum; after the equations of state for ester and paraffin.
ValueAndSlope heat_capacity_of(const Fuel& part, double celsius) {
  switch (part.family) {
    case Family::fame: return {.value = 2227.0 + 1.2 * celsius, .slope = 1.2};
    case Family::paraffinic: return {.value = 2123.0 + 3.55 * celsius, .slope = 3.55};
    default: break;
  }
  const double scale = 4186.8 / std::sqrt(part.density_15C_kg_per_m3 / 1000.0);
  return {.value = scale * (0.388 + 0.00045 * (1.8 * celsius + 32.0)), .slope = scale * 0.00081};
}

/// B = b0 + b1 t + b2 t^2 [MPa], t in C.
struct Polynomial {
  double b0 = required;
  double b1 = required;
  double b2 = required;
};
constexpr Polynomial ester_stiffness{.b0 = 159.77, .b1 = -0.86197, .b2 = 0.00179199};
constexpr Polynomial paraffinic_stiffness{.b0 = 116.714, .b1 = -0.74434, .b2 = 0.0015706};

ValueAndSlope stiffness_of(const Polynomial& b, double celsius) {
  return {.value = 1e6 * (b.b0 + celsius * (b.b1 + celsius * b.b2)), .slope = 1e6 * (b.b1 + 2.0 * celsius * b.b2)};
}

/// B of petroleum from density alone (Batzle & Wang 1992, eq. 20a, at atmospheric pressure), exact slope.
ValueAndSlope petroleum_stiffness(const Fuel& part, double temperature_K, const ValueAndSlope& rho,
                                  const ValueAndSlope& cp) {
  const double celsius = temperature_K - zero_C_K;
  const double d = part.density_15C_kg_per_m3 / 1000.0;
  const double c0 = 2096.0 * std::sqrt(d / (2.6 - d)) - 3.7 * celsius;
  const double a15 = expansion_15C_per_K(part.density_15C_kg_per_m3);
  const double a0 = -rho.slope / rho.value;
  const double isentropic = 1.0 / (rho.value * c0 * c0);
  const double thermal = a0 * a0 * temperature_K / (rho.value * cp.value);
  const double isentropic_slope = isentropic * (a0 + 2.0 * 3.7 / c0);
  const double thermal_slope = thermal * (2.0 * 1.6 * a15 * a15 / a0 + 1.0 / temperature_K + a0 - cp.slope / cp.value);
  const double modulus = 1.0 / (isentropic + thermal);
  return {.value = tait_c_hydrocarbon * modulus - standard_pressure_Pa,
          .slope = -tait_c_hydrocarbon * modulus * modulus * (isentropic_slope + thermal_slope)};
}

struct Parts {
  ValueAndSlope density{.value = 0.0, .slope = 0.0};
  ValueAndSlope stiffness{.value = 0.0, .slope = 0.0};
  double c = 0.0;
  double heat_capacity = 0.0;
  Doubts density_doubts;
  Doubts stiffness_doubts;
};

void add_doubts(Parts& sum, const Fuel& part, double celsius) {
  switch (part.family) {
    case Family::fame:
      sum.density_doubts.add_if(!between(celsius, {.low = -5.0, .high = 100.0}), Doubt::density_temperature);
      sum.stiffness_doubts.add_if(!between(celsius, {.low = -5.0, .high = 100.0}), Doubt::stiffness_temperature);
      break;
    case Family::paraffinic:
      sum.density_doubts.add_if(!between(celsius, {.low = -5.0, .high = 120.0}), Doubt::density_temperature);
      sum.stiffness_doubts.add_if(!between(celsius, {.low = -5.0, .high = 120.0}), Doubt::stiffness_temperature);
      sum.stiffness_doubts.add(Doubt::stiffness_paraffinic);
      break;
    default:
      sum.density_doubts.add_if(!between(celsius, {.low = -18.0, .high = 90.0}), Doubt::density_temperature);
      sum.stiffness_doubts.add_if(!between(celsius, {.low = -20.0, .high = 120.0}), Doubt::stiffness_temperature);
      sum.stiffness_doubts.add_if(!between(part.density_15C_kg_per_m3, {.low = 790.0, .high = 880.0}),
                                  Doubt::stiffness_density);
      break;
  }
  sum.density_doubts.add_if(celsius > 120.0, Doubt::density_hot);
}

/// Every part by volume, before any measured density or sound speed of the whole.
Parts sum_of_parts(const Fuel& fuel, double temperature_K) {
  Parts sum;
  const double celsius = temperature_K - zero_C_K;
  double mass = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    const ValueAndSlope rho = density_of(part, temperature_K);
    const ValueAndSlope cp = heat_capacity_of(part, celsius);
    const ValueAndSlope stiffness = part.family == Family::fame ? stiffness_of(ester_stiffness, celsius)
                                    : part.family == Family::paraffinic
                                        ? stiffness_of(paraffinic_stiffness, celsius)
                                        : petroleum_stiffness(part, temperature_K, rho, cp);
    sum.density.value += x * rho.value;
    sum.density.slope += x * rho.slope;
    sum.stiffness.value += x * stiffness.value;
    sum.stiffness.slope += x * stiffness.slope;
    sum.c += x * (part.family == Family::fame ? tait_c_ester : tait_c_hydrocarbon);
    sum.heat_capacity += x * part.density_15C_kg_per_m3 * cp.value;
    mass += x * part.density_15C_kg_per_m3;
    if (x > minor_share) add_doubts(sum, part, celsius);
  });
  sum.heat_capacity /= mass;
  return sum;
}

/// Scales B so that the sound speed at the measurement comes out as measured.
double measured_sound_scale(const Fuel& fuel, double density_scale) {
  const double T = fuel.sound_temperature_K;
  const Parts at = sum_of_parts(fuel, T);
  const double rho = density_scale * at.density.value;
  const double a = -at.density.slope / at.density.value;
  const double isothermal_compliance =
      1.0 / (rho * fuel.sound_speed_m_per_s * fuel.sound_speed_m_per_s) + a * a * T / (rho * at.heat_capacity);
  return (at.c / isothermal_compliance - standard_pressure_Pa) / at.stiffness.value;
}

/// Hydrocarbons by mass (Refutas), esters by volume, the two groups by volume (Arrhenius).
class Blender {
 public:
  void add(const Fuel& part, double x, double viscosity_m2_per_s) {
    const bool ester = part.family == Family::fame;
    std::size_t& count = ester ? esters_ : hydrocarbons_;
    FW_EXPECTS(count < most_parts);
    const double amount = ester ? x : x * part.density_15C_kg_per_m3;
    (ester ? ester_ : hydrocarbon_)[count++] = {.kinematic_viscosity_m2_per_s = viscosity_m2_per_s, .fraction = amount};
    (ester ? ester_volume_ : hydrocarbon_volume_) += x;
  }
  [[nodiscard]] double viscosity_m2_per_s() {
    const double ester = esters_ == 0 ? 0.0 : arrhenius_blend_m2_per_s(normalised(ester_, esters_));
    const double oil = hydrocarbons_ == 0 ? 0.0 : refutas_blend_m2_per_s(normalised(hydrocarbon_, hydrocarbons_));
    if (esters_ == 0) return oil;
    if (hydrocarbons_ == 0) return ester;
    const double volume = ester_volume_ + hydrocarbon_volume_;
    const std::array<ViscosityShare, 2> groups{
        {{.kinematic_viscosity_m2_per_s = oil, .fraction = hydrocarbon_volume_ / volume},
         {.kinematic_viscosity_m2_per_s = ester, .fraction = ester_volume_ / volume}}};
    return arrhenius_blend_m2_per_s(groups);
  }

 private:
  using Group = std::array<ViscosityShare, most_parts>;
  static std::span<const ViscosityShare> normalised(Group& group, std::size_t count) {
    double sum = 0.0;
    for (std::size_t i = 0; i < count; ++i) sum += group[i].fraction;
    for (std::size_t i = 0; i < count; ++i) group[i].fraction /= sum;
    return {group.data(), count};
  }
  Group ester_{};
  Group hydrocarbon_{};
  std::size_t esters_ = 0;
  std::size_t hydrocarbons_ = 0;
  double ester_volume_ = 0.0;
  double hydrocarbon_volume_ = 0.0;
};

Result<double> check_part(const Fuel& part) {
  if (const auto ok = require_positive(part.density_15C_kg_per_m3, "density_15C_kg_per_m3"); !ok) {
    return fail(ok.error());
  }
  if (const auto ok = require_positive(part.kinematic_viscosity_40C_m2_per_s, "kinematic_viscosity_40C_m2_per_s");
      !ok) {
    return fail(ok.error());
  }
  if (part.family == Family::constant) return part.density_15C_kg_per_m3;
  if (!between(part.density_15C_kg_per_m3, {.low = 653.0, .high = 1075.0})) {
    return outside("density_15C_kg_per_m3", fmt::format("{:.6g} kg/m3", part.density_15C_kg_per_m3),
                   "653 to 1075 kg/m3 (ASTM D1250 table 54B)", "Check the density and its unit");
  }
  return require_positive(part.viscosity_slope, "viscosity_slope");
}

Result<double> check_whole(const Fuel& fuel) {
  const double Z = fuel.pressure_viscosity_exponent;
  if (const auto ok = require_non_negative(Z, "pressure_viscosity_exponent"); !ok) return fail(ok.error());
  if (Z > 1.0) {
    return invalid("pressure_viscosity_exponent", fmt::format("{:.4g}", Z), "0 to 1", "0.72 is fitted to n-dodecane");
  }
  if (std::isnan(fuel.sound_speed_m_per_s)) return Z;
  const double c = fuel.sound_speed_m_per_s;
  if (const auto ok = require_positive(c, "sound_speed_m_per_s"); !ok) return fail(ok.error());
  if (!between(c, {.low = 500.0, .high = 3000.0})) {
    return invalid("sound_speed_m_per_s", fmt::format("{:.4g} m/s", c), "500 to 3000 m/s for a liquid fuel",
                   "Check the measured sound speed");
  }
  if (fuel.family == Family::constant) return Z;
  const auto at = check_temperature(fuel.sound_temperature_K);
  if (!at) return fail(at.error().in_field("sound"));
  return Z;
}

Result<double> check_vapour(const Fuel& part) {
  if (const auto ok = require_finite(part.vapour.intercept, "vapour.intercept"); !ok) return fail(ok.error());
  if (!between(part.vapour.intercept, {.low = -50.0, .high = 50.0})) {
    return invalid("vapour.intercept", fmt::format("{:.4g}", part.vapour.intercept), "-50 to 50",
                   "12.101 is No. 2 distillate");
  }
  if (const auto ok = require_positive(part.vapour.slope_K, "vapour.slope_K"); !ok) return fail(ok.error());
  return require_positive(part.molar_mass_kg_per_mol, "molar_mass_kg_per_mol");
}

}  // namespace

Families families_of(const Fuel& fuel) {
  Families sum;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    if (part.family == Family::fame) sum.fame += x;
    if (part.family == Family::paraffinic) sum.paraffinic += x;
    if (part.family == Family::petrol) sum.petrol += x;
  });
  return sum;
}

Result<double> check_temperature(double temperature_K) {
  if (const auto ok = require_positive(temperature_K, "temperature_K"); !ok) return fail(ok.error());
  if (!between(temperature_K, {.low = lowest_temperature_K - rounding_K, .high = highest_temperature_K + rounding_K})) {
    return outside("temperature_K", fmt::format("{:.6g} C", temperature_K - zero_C_K),
                   "a fuel temperature from -60 to 200 C", "No correlation here covers it");
  }
  return temperature_K;
}

Result<double> check_pressure(double pressure_Pa) {
  if (const auto ok = require_positive(pressure_Pa, "pressure_Pa"); !ok) return fail(ok.error());
  if (pressure_Pa > highest_pressure_Pa) {
    return outside("pressure_Pa", fmt::format("{:.4g} Pa", pressure_Pa), "an absolute pressure up to 350 MPa",
                   "No correlation here covers it");
  }
  return pressure_Pa;
}

Result<double> check_fuel(const Fuel& fuel) {
  const auto part = fuel.family == Family::blend ? require_positive(fuel.density_15C_kg_per_m3, "density_15C_kg_per_m3")
                                                 : check_part(fuel);
  if (!part) return fail(part.error());
  if (const auto ok = check_whole(fuel); !ok) return fail(ok.error());
  if (fuel.family != Family::blend) {
    FW_EXPECTS(fuel.shares.empty());
    return check_vapour(fuel);
  }
  FW_EXPECTS(!fuel.shares.empty() && fuel.shares.size() <= most_parts);
  if (const auto ok = require_positive(fuel.kinematic_viscosity_40C_m2_per_s, "kinematic_viscosity_40C_m2_per_s");
      !ok) {
    return fail(ok.error());
  }
  for (const Share& share : fuel.shares) {
    FW_EXPECTS(share.fuel.family != Family::blend && share.fuel.family != Family::constant);
    FW_EXPECTS(std::isfinite(share.volume_fraction) && share.volume_fraction > 0.0);
    if (const auto ok = check_part(share.fuel); !ok) return fail(ok.error().in_field(share.fuel.id));
    if (const auto ok = check_vapour(share.fuel); !ok) return fail(ok.error().in_field(share.fuel.id));
  }
  return fuel.density_15C_kg_per_m3;
}

double density_of_parts_kg_per_m3(const Fuel& fuel) {
  double sum = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) { sum += x * part.density_15C_kg_per_m3; });
  return sum;
}

double viscosity_of_parts_m2_per_s(const Fuel& fuel) {
  if (fuel.shares.empty()) return fuel.kinematic_viscosity_40C_m2_per_s;
  Blender blender;
  for_each_part(fuel, [&](const Fuel& part, double x) { blender.add(part, x, part.kinematic_viscosity_40C_m2_per_s); });
  return blender.viscosity_m2_per_s();
}

Result<Atmospheric> atmospheric_state(const Fuel& fuel, double temperature_K) {
  const Parts sum = sum_of_parts(fuel, temperature_K);
  const double density_scale =
      fuel.shares.empty() ? 1.0 : fuel.density_15C_kg_per_m3 / density_of_parts_kg_per_m3(fuel);
  double stiffness_scale = 1.0;
  if (std::isfinite(fuel.sound_speed_m_per_s)) stiffness_scale = measured_sound_scale(fuel, density_scale);
  const double B = stiffness_scale * sum.stiffness.value;
  if (!(B > 0.0)) {
    return outside("stiffness", fmt::format("a Tait stiffness of {:.4g} Pa", B), "a stiffness above zero",
                   "Check density and measured sound speed of the fuel");
  }
  return Atmospheric{.tait = {.temperature_K = temperature_K,
                              .density_kg_per_m3 = density_scale * sum.density.value,
                              .expansion_per_K = -sum.density.slope / sum.density.value,
                              .heat_capacity_J_per_kg_K = sum.heat_capacity,
                              .c = sum.c,
                              .stiffness_Pa = B,
                              .stiffness_slope_Pa_per_K = stiffness_scale * sum.stiffness.slope},
                     .density = sum.density_doubts,
                     .stiffness = sum.stiffness_doubts};
}

Doubts pressure_doubts(const Families& families, double temperature_K, double pressure_Pa) {
  Doubts doubts;
  doubts.add_if(pressure_Pa > (families.fame > minor_share ? 50e6 : 250e6), Doubt::pressure_above_fit);
  doubts.add_if(temperature_K < at_40C_K && pressure_Pa > 200e6, Doubt::pressure_freezing);
  return doubts;
}

Result<double> atmospheric_viscosity_m2_per_s(const Fuel& fuel, double temperature_K) {
  Blender blender;
  double alone = 0.0;
  std::optional<Errors> failed;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    if (failed) return;
    const auto line = viscosity_line(
        {.kinematic_viscosity_m2_per_s = part.kinematic_viscosity_40C_m2_per_s, .temperature_K = at_40C_K},
        part.viscosity_slope);
    const auto nu = line ? kinematic_viscosity_m2_per_s(*line, temperature_K) : fail(line.error());
    if (!nu) {
      failed = fuel.shares.empty() ? nu.error() : nu.error().in_field(part.id);
      return;
    }
    alone = *nu;
    if (!fuel.shares.empty()) blender.add(part, x, *nu);
  });
  if (failed) return fail(*failed);
  if (fuel.shares.empty()) return alone;
  return blender.viscosity_m2_per_s() * (fuel.kinematic_viscosity_40C_m2_per_s / viscosity_of_parts_m2_per_s(fuel));
}

}  // namespace fw::fuel
