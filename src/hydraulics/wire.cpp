// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/wire.hpp"

#include <array>
#include <cstddef>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double celsius_zero_K = 273.15;
constexpr double fuse_drop_V = 0.1;  // at rated current, from memory

struct LoadTestRow {
  double celsius = 0.0;
  double least_V = 0.0;
};
// Half the cold-cranking current for 15 s; one factory load test, seen in two copies.
constexpr std::array load_test{
    LoadTestRow{.celsius = -18.0, .least_V = 8.5}, LoadTestRow{.celsius = -12.0, .least_V = 8.7},
    LoadTestRow{.celsius = -7.0, .least_V = 8.9},  LoadTestRow{.celsius = -1.0, .least_V = 9.1},
    LoadTestRow{.celsius = 4.0, .least_V = 9.3},   LoadTestRow{.celsius = 10.0, .least_V = 9.4},
    LoadTestRow{.celsius = 16.0, .least_V = 9.5},  LoadTestRow{.celsius = 20.0, .least_V = 9.6},
};
constexpr double cranking_over_least_V = 0.8;

double least_cranking_V(double celsius) {
  if (celsius <= load_test.front().celsius) return load_test.front().least_V;
  for (std::size_t i = 1; i < load_test.size(); ++i) {
    if (celsius > load_test[i].celsius) continue;
    const double share = (celsius - load_test[i - 1].celsius) / (load_test[i].celsius - load_test[i - 1].celsius);
    return load_test[i - 1].least_V + share * (load_test[i].least_V - load_test[i - 1].least_V);
  }
  return load_test.back().least_V;
}

}  // namespace

Result<double> harness_resistance_ohm(const Harness& harness) {
  InputCheck check;
  check.positive(harness.wire.area_m2, "harness.wire.area_m2")
      .positive(harness.length_m, "harness.length_m")
      .positive(harness.temperature_K, "harness.temperature_K")
      .non_negative(harness.contact_count, "harness.contact_count")
      .non_negative(harness.contact_resistance_ohm, "harness.contact_resistance_ohm")
      .non_negative(harness.relay_resistance_ohm, "harness.relay_resistance_ohm")
      .non_negative(harness.ground_resistance_ohm, "harness.ground_resistance_ohm")
      .non_negative(harness.fuse_rating_A, "harness.fuse_rating_A");
  if (check.failed()) return check.fault();
  const auto copper = units::copper_resistance_ohm_per_m(harness.wire, harness.temperature_K);
  if (!copper) return fail(copper.error().in_field("harness"));
  const double fuse_ohm = harness.fuse_rating_A > 0.0 ? fuse_drop_V / harness.fuse_rating_A : 0.0;
  return *copper * harness.length_m + harness.contact_count * harness.contact_resistance_ohm +
         harness.relay_resistance_ohm + harness.ground_resistance_ohm + fuse_ohm;
}

Result<double> harness_drop_V(const Harness& harness, double current_A) {
  InputCheck check;
  check.non_negative(current_A, "current_A");
  if (check.failed()) return check.fault();
  const auto resistance = harness_resistance_ohm(harness);
  if (!resistance) return fail(resistance.error());
  return current_A * *resistance;
}

Result<double> harness_from_reading_ohm(const DropReading& reading) {
  InputCheck check;
  check.positive(reading.supply_V, "reading.supply_V")
      .non_negative(reading.connector_V, "reading.connector_V")
      .positive(reading.current_A, "reading.current_A");
  if (check.failed()) return check.fault();
  check.that(reading.connector_V <= reading.supply_V, "reading.connector_V",
             {.found = fmt::format("{:.6g} V", reading.connector_V),
              .expected = fmt::format("at most the supply, {:.6g} V", reading.supply_V),
              .hint = "Read both while the pump runs"});
  if (check.failed()) return check.fault();
  return (reading.supply_V - reading.connector_V) / reading.current_A;
}

Result<SystemVoltage> regulated_voltage(double temperature_K) {
  InputCheck check;
  check.positive(temperature_K, "temperature_K");
  if (check.failed()) return check.fault();
  const double celsius = temperature_K - celsius_zero_K;
  if (celsius < -60.0 || celsius > 130.0) {
    return outside("temperature_K", fmt::format("{:.6g} C", celsius), "-60 to 130 C at the regulator");
  }
  const double nominal_V = 14.36 - 0.0104 * celsius;
  return SystemVoltage{.nominal_V = nominal_V,
                       .low_V = nominal_V - 0.5,
                       .high_V = nominal_V + 0.5,
                       .range = celsius >= -20.0 && celsius <= 80.0 ? Range::fitted : Range::extrapolated};
}

Result<SystemVoltage> cranking_voltage(double temperature_K) {
  InputCheck check;
  check.within(temperature_K, {.low = 213.15, .high = 400.0}, "temperature_K");
  if (check.failed()) return check.fault();
  const double celsius = temperature_K - celsius_zero_K;
  const double least_V = least_cranking_V(celsius);
  return SystemVoltage{.nominal_V = least_V + cranking_over_least_V,
                       .low_V = least_V,
                       .high_V = least_V + 2.0 * cranking_over_least_V,
                       .range = celsius >= load_test.front().celsius ? Range::fitted : Range::extrapolated};
}

}  // namespace fw::hydraulics
