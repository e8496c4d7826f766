// SPDX-License-Identifier: Apache-2.0
#include "water/separator.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "water/liquid_water.hpp"

namespace fw::water {

namespace {

double logit(double p) { return std::log(p / (1.0 - p)); }

void check_bowl(InputCheck& check, const Bowled& bowl) {
  check.non_negative(bowl.undissolved, "bowl.undissolved")
      .non_negative(bowl.fuel_kg_per_s, "bowl.fuel_kg_per_s")
      .within(bowl.efficiency, {.low = 0.0, .high = 1.0}, "bowl.efficiency")
      .positive(bowl.volume_m3, "bowl.volume_m3");
}

}  // namespace

Result<double> efficiency_at(const Separator& separator, double drop_m) {
  InputCheck check;
  check.positive(drop_m, "drop_m").positive(separator.fine, "separator.fine");
  if (!check.failed()) {
    check
        .that(std::isfinite(separator.coarse) && separator.coarse < 1.0, "separator.coarse",
              fmt::format("{:.4g}", separator.coarse), "below 1: nothing stops every drop")
        .that(separator.fine <= separator.coarse, "separator.fine", fmt::format("{:.4g}", separator.fine),
              fmt::format("at most {:.4g}, what it stops of coarse drops", separator.coarse));
  }
  if (check.failed()) return check.fault();
  const double share = std::log(drop_m / fine_drop_m) / std::log(coarse_drop_m / fine_drop_m);
  const double x = logit(separator.fine) + share * (logit(separator.coarse) - logit(separator.fine));
  return 1.0 / (1.0 + std::exp(-x));
}

Result<double> tested_efficiency(const SeparatorTest& test) {
  InputCheck check;
  check.positive(test.in, "test.in")
      .non_negative(test.out, "test.out")
      .non_negative(test.saturation, "test.saturation");
  if (!check.failed()) {
    check
        .that(test.in > test.saturation, "test.in", fmt::format("{:.1f} mg/kg", 1e6 * test.in),
              fmt::format("above the {:.1f} mg/kg that dissolve", 1e6 * test.saturation),
              "Without free water there is nothing to separate")
        .that(test.out <= test.in, "test.out", fmt::format("{:.1f} mg/kg", 1e6 * test.out), "at most what came in");
  }
  if (check.failed()) return check.fault();
  return 1.0 - std::max(0.0, test.out - test.saturation) / (test.in - test.saturation);
}

Result<Filling> fill_bowl(const Bowled& bowl) {
  InputCheck check;
  check_bowl(check, bowl);
  if (check.failed()) return check.fault();
  const double water = bowl.undissolved * bowl.fuel_kg_per_s;
  const double caught = bowl.efficiency * water;
  return Filling{.caught_kg_per_s = caught,
                 .passed_kg_per_s = water - caught,
                 .time_to_full_s = caught > 0.0 ? bowl.volume_m3 * water_density_kg_per_m3 / caught
                                                : std::numeric_limits<double>::infinity()};
}

Result<double> drain_interval_s(const Bowled& bowl, double share) {
  InputCheck check;
  check.positive(share, "share").that(share <= 1.0, "share", fmt::format("{:.4g}", share), "at most 1");
  if (check.failed()) return check.fault();
  const auto filling = fill_bowl(bowl);
  if (!filling) return fail(filling.error());
  return share * filling->time_to_full_s;
}

Result<double> probe_resistance_ohm(const Probe& probe) {
  InputCheck check;
  check.positive(probe.cell_constant_per_m, "probe.cell_constant_per_m")
      .positive(probe.conductivity_S_per_m, "probe.conductivity_S_per_m");
  if (check.failed()) return check.fault();
  return probe.cell_constant_per_m / probe.conductivity_S_per_m;
}

const char* name(Blindness blindness) {
  switch (blindness) {
    case Blindness::sees: return "it warns";
    case Blindness::none_fitted: return "no sensor in the flow";
    case Blindness::disconnected: return "the sensor is unplugged or out of the flow";
    case Blindness::below_probe: return "the water stands below the electrodes";
    case Blindness::dispersed: return "water passes the bowl in fine drops or another way";
    case Blindness::too_pure: return "pure condensate conducts too little";
  }
  return "";
}

}  // namespace fw::water
