// SPDX-License-Identifier: Apache-2.0
#include "fuel/fuel.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "fuel/air.hpp"
#include "fuel/mixture.hpp"
#include "fuel/viscosity_laws.hpp"

namespace fw::fuel {

namespace {

constexpr double psi_Pa = 6894.757293168;
constexpr double noticeable_pressure_Pa = 10e6;  ///< below it the doubts of stiffness do not reach density or viscosity
constexpr std::size_t most_parts = 8;

struct State {
  double density_kg_per_m3 = required;
  double dynamic_viscosity_Pa_s = required;
  Doubts density;
  Doubts viscosity;  ///< without those of density
};

Doubts viscosity_doubts(const Fuel& fuel, const Families& families, double temperature_K, double pressure_Pa) {
  Doubts doubts;
  const double celsius = temperature_K - 273.15;
  doubts.add_if(celsius < -20.0 || celsius > 100.0, Doubt::viscosity_temperature);
  const double foreign = families.fame + families.paraffinic + families.petrol;
  doubts.add_if(pressure_Pa > 200e6 || (pressure_Pa > noticeable_pressure_Pa && foreign > minor_share),
                Doubt::viscosity_pressure);
  doubts.add_if(!fuel.shares.empty() && (families.petrol > 0.0 || families.paraffinic > minor_share),
                Doubt::viscosity_blend);
  doubts.add_if(families.petrol > 0.0, Doubt::viscosity_stand_in);
  return doubts;
}

struct WaxState {
  Cold cold = Cold::not_stated;
  Doubts doubts;
};

/// Cloud points of the parts of a blend, petrol left out.
struct PartsWax {
  bool all_stated = true;
  bool all_cfpp = true;
  double guess_K = 0.0;
  double highest_K = 0.0;
  double lowest_cfpp_K = std::numeric_limits<double>::max();
};

PartsWax wax_of_parts(const Fuel& fuel) {
  PartsWax wax;
  double volume = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    if (part.family == Family::petrol && !std::isfinite(part.cloud_point_K)) {
      // It never plugs a filter; more than a trace of it dilutes the wax by an amount that is not known.
      wax.all_cfpp = wax.all_cfpp && x <= minor_share;
      return;
    }
    if (!std::isfinite(part.cfpp_K)) {
      wax.all_cfpp = false;
    } else {
      wax.lowest_cfpp_K = std::min(wax.lowest_cfpp_K, part.cfpp_K);
    }
    if (!std::isfinite(part.cloud_point_K)) {
      wax.all_stated = false;
      return;
    }
    wax.guess_K += x * part.cloud_point_K;
    wax.highest_K = std::max(wax.highest_K, part.cloud_point_K);
    volume += x;
  });
  wax.all_stated = wax.all_stated && volume > 0.0;
  wax.all_cfpp = wax.all_cfpp && volume > 0.0;
  if (volume > 0.0) wax.guess_K /= volume;
  return wax;
}

double warmest_cloud_of_family_K(Family family) {
  switch (family) {
    case Family::fame: return 293.15;
    case Family::petrol:
    case Family::constant: return std::numeric_limits<double>::quiet_NaN();
    default: return 288.15;
  }
}

WaxState wax_state(const Fuel& fuel, double temperature_K) {
  const auto at_or_below = [&](double limit_K) { return temperature_K <= limit_K + rounding_K; };
  WaxState state;
  if (fuel.family == Family::constant) {
    state.cold = Cold::liquid;
    return state;
  }
  const bool stated = std::isfinite(fuel.cloud_point_K);
  const bool guessed = !stated && !fuel.shares.empty();
  const PartsWax parts = guessed ? wax_of_parts(fuel) : PartsWax{};
  if (std::isfinite(fuel.cfpp_K)) {
    if (at_or_below(fuel.cfpp_K)) state.cold = Cold::below_cfpp;
  } else if (guessed && parts.all_cfpp && at_or_below(parts.lowest_cfpp_K)) {
    state.cold = Cold::below_cfpp;
    state.doubts.add(Doubt::cold_by_blending);
  }
  if (state.cold != Cold::below_cfpp) {
    if (stated) {
      state.cold = at_or_below(fuel.cloud_point_K) ? Cold::below_cloud_point : Cold::liquid;
    } else if (guessed && at_or_below(parts.highest_K)) {
      // Dilution moves the cloud point by an amount that no rule gives: wax cannot be excluded.
      state.cold = Cold::below_cloud_point;
      state.doubts.add(Doubt::cold_by_blending);
    } else if (guessed && parts.all_stated) {
      state.cold = Cold::liquid;
    } else if (const double warmest_K = warmest_cloud_point_K(fuel); std::isfinite(warmest_K)) {
      state.cold = at_or_below(warmest_K) ? Cold::not_stated : Cold::liquid;
    }
  }
  const bool wax = state.cold == Cold::below_cloud_point || state.cold == Cold::below_cfpp;
  state.doubts.add_if(wax, Doubt::below_cloud_point);
  state.doubts.add_if(state.cold == Cold::below_cfpp, Doubt::below_cfpp);
  state.doubts.add_if(wax && fuel.freezing_point_for_cloud, Doubt::freezing_for_cloud);
  return state;
}

/// Precondition: checked fuel, temperature and pressure, not constant.
Result<State> state_of(const Fuel& fuel, const Families& families, double temperature_K, double pressure_Pa) {
  const auto at = atmospheric_state(fuel, temperature_K);
  if (!at) return fail(at.error());
  const auto nu0 = atmospheric_viscosity_m2_per_s(fuel, temperature_K);
  if (!nu0) return fail(nu0.error());
  State state{
      .density_kg_per_m3 = tait_density_kg_per_m3(at->tait, pressure_Pa),
      .dynamic_viscosity_Pa_s = roelands_viscosity_Pa_s({.dynamic_viscosity_Pa_s = *nu0 * at->tait.density_kg_per_m3,
                                                         .exponent = fuel.pressure_viscosity_exponent,
                                                         .rise_Pa = pressure_Pa - standard_pressure_Pa}),
      .density = at->density,
      .viscosity = viscosity_doubts(fuel, families, temperature_K, pressure_Pa)};
  if (pressure_Pa > noticeable_pressure_Pa) {
    state.density = state.density | at->stiffness | pressure_doubts(families, temperature_K, pressure_Pa);
  }
  return state;
}

Result<double> check_all(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  if (const auto ok = check_fuel(fuel); !ok) return ok;
  if (const auto ok = check_pressure(pressure_Pa); !ok) return ok;
  if (fuel.family != Family::constant) return check_temperature(temperature_K);
  return require_positive(temperature_K, "temperature_K");
}

Property property(double value, Doubts doubts, double relative_uncertainty) {
  return {.value = value, .range = doubts.range(), .doubts = doubts, .relative_uncertainty = relative_uncertainty};
}

/// Judged at the atmosphere and at 200 MPa; linear between, flat beyond.
struct Uncertainty {
  double low = required;
  double high = required;
};
constexpr Uncertainty density_uncertainty{.low = 0.003, .high = 0.007};
constexpr Uncertainty viscosity_uncertainty{.low = 0.0, .high = 0.35};

double at_pressure(const Uncertainty& uncertainty, double pressure_Pa) {
  return uncertainty.low + (uncertainty.high - uncertainty.low) * std::clamp(pressure_Pa / 200e6, 0.0, 1.0);
}

/// Both viscosities with the doubts that make them extrapolated.
Result<Property> viscosity_property(const Fuel& fuel, double temperature_K, double pressure_Pa, bool kinematic) {
  if (const auto ok = check_all(fuel, temperature_K, pressure_Pa); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) {
    const double nu = fuel.kinematic_viscosity_40C_m2_per_s;
    return Property{.value = kinematic ? nu : nu * fuel.density_15C_kg_per_m3};
  }
  const auto state = state_of(fuel, families_of(fuel), temperature_K, pressure_Pa);
  if (!state) return fail(state.error());
  const double value =
      kinematic ? state->dynamic_viscosity_Pa_s / state->density_kg_per_m3 : state->dynamic_viscosity_Pa_s;
  return property(value, state->density | state->viscosity | wax_state(fuel, temperature_K).doubts,
                  pressure_Pa > noticeable_pressure_Pa ? at_pressure(viscosity_uncertainty, pressure_Pa) : 0.0);
}

/// Precondition: checked fuel, not constant.
double vapour_of(const Fuel& fuel, double temperature_K) {
  double moles = 0.0;
  double sum = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    const double amount = x * part.density_15C_kg_per_m3 / part.molar_mass_kg_per_mol;
    moles += amount;
    sum += amount * std::exp(part.vapour.intercept - part.vapour.slope_K / temperature_K);
  });
  return psi_Pa * sum / moles;
}

Doubts vapour_doubts(const Fuel& fuel, const Families& families, double temperature_K) {
  double stand_in = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) { stand_in += part.vapour.stand_in ? x : 0.0; });
  Doubts doubts;
  doubts.add_if(temperature_K < 277.15 || temperature_K > 311.15, Doubt::vapour_temperature);
  doubts.add_if(stand_in > minor_share, Doubt::vapour_stand_in);
  doubts.add_if(families.petrol > 0.0 && !fuel.shares.empty(), Doubt::vapour_by_raoult);
  return doubts;
}

std::string percent(double fraction) { return fmt::format("{:.4g} %", 100.0 * fraction); }

Result<double> add_share(Fuel& made, const Fuel& part, double fraction) {
  if (part.family == Family::constant) {
    return invalid(part.id, "a fluid of constant density and viscosity", "a grade or a blend of grades",
                   "Give the part a grade");
  }
  if (part.family == Family::blend) {
    for (const Share& share : part.shares) {
      const auto ok = add_share(made, share.fuel, fraction * share.volume_fraction);
      if (!ok) return ok;
    }
    return fraction;
  }
  if (made.shares.size() == most_parts) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "shares"},
                      .found = fmt::format("more than {} parts", most_parts),
                      .expected = fmt::format("a blend of at most {} parts", most_parts),
                      .hint = "Leave out the smallest parts"});
  }
  made.shares.push_back({.fuel = part, .volume_fraction = fraction});
  return fraction;
}

}  // namespace

Result<Fuel> constant_fluid(double density_kg_per_m3, double kinematic_viscosity_m2_per_s) {
  if (const auto ok = require_positive(density_kg_per_m3, "density"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(kinematic_viscosity_m2_per_s, "kinematic_viscosity"); !ok) {
    return fail(ok.error());
  }
  return Fuel{.id = "constant",
              .title = "fluid as given",
              .family = Family::constant,
              .density_15C_kg_per_m3 = density_kg_per_m3,
              .kinematic_viscosity_40C_m2_per_s = kinematic_viscosity_m2_per_s,
              .viscosity_slope = 0.0,
              .source = "given by the user"};
}

Result<Fuel> blend(std::span<const Share> shares) {
  if (shares.empty()) return invalid("shares", "no part", "at least one part", "Name the parts of the blend");
  double sum = 0.0;
  for (const Share& share : shares) {
    if (const auto ok = check_fuel(share.fuel); !ok) return fail(ok.error().in_field(share.fuel.id));
    const double x = share.volume_fraction;
    if (!std::isfinite(x) || x < 0.0 || x > 1.0) {
      return invalid(share.fuel.id + ".volume_fraction", std::isfinite(x) ? percent(x) : "not a number",
                     "0 to 100 % of the volume", "Enter the share of this part");
    }
    sum += x;
  }
  if (std::abs(sum - 1.0) > 1e-6) {
    return invalid("shares", "parts that sum to " + percent(sum), "100 % of the volume", "Correct one of the shares");
  }
  Fuel made{.id = "blend", .title = {}, .family = Family::blend, .source = "blending rules"};
  for (const Share& share : shares) {
    if (share.volume_fraction == 0.0) continue;
    if (share.volume_fraction == 1.0) return share.fuel;
    const auto ok = add_share(made, share.fuel, share.volume_fraction / sum);
    if (!ok) return fail(ok.error());
  }
  for (const Share& share : made.shares) {
    // Viscosities of the parts must lie where the blending rules are defined.
    const auto ok = viscosity_line(
        {.kinematic_viscosity_m2_per_s = share.fuel.kinematic_viscosity_40C_m2_per_s, .temperature_K = 313.15},
        share.fuel.viscosity_slope);
    if (!ok) return fail(ok.error().in_field(share.fuel.id));
    made.title +=
        fmt::format("{}{} {}", made.title.empty() ? "" : ", ", percent(share.volume_fraction), share.fuel.title);
  }
  made.density_15C_kg_per_m3 = density_of_parts_kg_per_m3(made);
  made.kinematic_viscosity_40C_m2_per_s = viscosity_of_parts_m2_per_s(made);
  double exponent = 0.0;
  double moles_per_m3 = 0.0;
  for (const Share& share : made.shares) {
    exponent += share.volume_fraction * share.fuel.pressure_viscosity_exponent;
    moles_per_m3 += share.volume_fraction * share.fuel.density_15C_kg_per_m3 / share.fuel.molar_mass_kg_per_mol;
  }
  made.pressure_viscosity_exponent = exponent;
  made.molar_mass_kg_per_mol = made.density_15C_kg_per_m3 / moles_per_m3;
  return made;
}

Result<VapourLaw> petrol_vapour(double reid_vapour_pressure_Pa, double distillation_slope) {
  if (const auto ok = require_positive(reid_vapour_pressure_Pa, "reid_vapour_pressure_Pa"); !ok) {
    return fail(ok.error());
  }
  if (const auto ok = require_positive(distillation_slope, "distillation_slope"); !ok) return fail(ok.error());
  if (reid_vapour_pressure_Pa < 20e3 || reid_vapour_pressure_Pa > 120e3) {
    return invalid("reid_vapour_pressure_Pa", fmt::format("{:.4g} Pa", reid_vapour_pressure_Pa), "20 to 120 kPa",
                   "Enter the Reid vapour pressure of the petrol");
  }
  if (distillation_slope < 0.5 || distillation_slope > 10.0) {
    return invalid("distillation_slope", fmt::format("{:.4g}", distillation_slope), "0.5 to 10",
                   "3 is usual for motor petrol");
  }
  const double root = std::sqrt(distillation_slope);
  const double ln_rvp = std::log(reid_vapour_pressure_Pa / psi_Pa);
  return VapourLaw{.intercept = 15.64 - 1.854 * root - (0.8742 - 0.3280 * root) * ln_rvp,
                   .slope_K = (8742.0 - 1042.0 * root - (1049.0 - 179.4 * root) * ln_rvp) / 1.8};
}

Result<Property> density_kg_per_m3(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  if (const auto ok = check_all(fuel, temperature_K, pressure_Pa); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) return Property{.value = fuel.density_15C_kg_per_m3};
  const auto at = atmospheric_state(fuel, temperature_K);
  if (!at) return fail(at.error());
  Doubts doubts = at->density;
  if (pressure_Pa > noticeable_pressure_Pa) {
    doubts = doubts | at->stiffness | pressure_doubts(families_of(fuel), temperature_K, pressure_Pa);
  }
  return property(tait_density_kg_per_m3(at->tait, pressure_Pa), doubts, at_pressure(density_uncertainty, pressure_Pa));
}

Result<Property> kinematic_viscosity_m2_per_s(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  return viscosity_property(fuel, temperature_K, pressure_Pa, true);
}

Result<Property> dynamic_viscosity_Pa_s(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  return viscosity_property(fuel, temperature_K, pressure_Pa, false);
}

Result<Property> vapour_pressure_Pa(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) return Property{.value = 0.0};
  if (const auto ok = check_temperature(temperature_K); !ok) return fail(ok.error());
  return property(vapour_of(fuel, temperature_K), vapour_doubts(fuel, families_of(fuel), temperature_K), 0.0);
}

Result<Property> cloud_point_K(const Fuel& fuel) {
  if (std::isfinite(fuel.cloud_point_K)) {
    Doubts doubts;
    doubts.add_if(fuel.freezing_point_for_cloud, Doubt::freezing_for_cloud);
    return property(fuel.cloud_point_K, doubts, 0.0);
  }
  if (!fuel.shares.empty()) {
    const PartsWax parts = wax_of_parts(fuel);
    if (parts.all_stated) {
      Doubts doubts;
      doubts.add(Doubt::cold_by_blending);
      return property(parts.guess_K, doubts, 0.0);
    }
  }
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.file = {}, .line = 0, .column = 0, .field = "cloud_point_K"},
                    .found = "no cloud point of " + fuel.title,
                    .expected = "a cloud point",
                    .hint = "Enter it from the fuel report (ASTM D2500)"});
}

Result<Property> cfpp_K(const Fuel& fuel) {
  if (std::isfinite(fuel.cfpp_K)) return property(fuel.cfpp_K, Doubts{}, 0.0);
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.file = {}, .line = 0, .column = 0, .field = "cfpp_K"},
                    .found = "no cold filter plugging point of " + fuel.title,
                    .expected = "a cold filter plugging point",
                    .hint = "Enter it from the fuel report (EN 116)"});
}

double warmest_cloud_point_K(const Fuel& fuel) {
  if (std::isfinite(fuel.cloud_point_K)) return std::numeric_limits<double>::quiet_NaN();
  double warmest_K = std::numeric_limits<double>::quiet_NaN();
  for_each_part(fuel, [&](const Fuel& part, double) {
    if (std::isfinite(part.cloud_point_K)) return;
    const double here_K = warmest_cloud_of_family_K(part.family);
    if (std::isfinite(here_K) && !(std::isfinite(warmest_K) && warmest_K >= here_K)) warmest_K = here_K;
  });
  return warmest_K;
}

Cold cold_state(const Fuel& fuel, double temperature_K) {
  FW_EXPECTS(std::isfinite(temperature_K));
  return wax_state(fuel, temperature_K).cold;
}

Result<Liquid> liquid_at(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  if (const auto ok = check_all(fuel, temperature_K, pressure_Pa); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) {
    const double rho = fuel.density_15C_kg_per_m3;
    return Liquid{.density_kg_per_m3 = rho, .dynamic_viscosity_Pa_s = fuel.kinematic_viscosity_40C_m2_per_s * rho};
  }
  const Families families = families_of(fuel);
  const auto state = state_of(fuel, families, temperature_K, pressure_Pa);
  if (!state) return fail(state.error());
  const WaxState wax = wax_state(fuel, temperature_K);
  const auto air = air_solubility(fuel, temperature_K);
  if (!air) return fail(air.error());
  const Doubts flow = state->density | state->viscosity | wax.doubts;
  return Liquid{.density_kg_per_m3 = state->density_kg_per_m3,
                .dynamic_viscosity_Pa_s = state->dynamic_viscosity_Pa_s,
                .vapour_pressure_Pa = vapour_of(fuel, temperature_K),
                .air_solubility = air->value,
                .range = flow.range(),
                .cold = wax.cold,
                .doubts = flow | vapour_doubts(fuel, families, temperature_K) | air->doubts};
}

}  // namespace fw::fuel
