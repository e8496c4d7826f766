// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <string>
#include <vector>

#include "fuel/fuel.hpp"

/// What the tests of room fuel share.
namespace fw::test {

constexpr double celsius(double value) { return value + 273.15; }

/// Half a unit of the last digit of a number as it is printed, e.g. "831.4" -> 0.05; a little more for the last bit.
[[nodiscard]] inline double half_unit(const std::string& printed) {
  const auto point = printed.find('.');
  const double digits = point == std::string::npos ? 0.0 : static_cast<double>(printed.size() - point - 1);
  return 0.5000001 * std::pow(10.0, -digits);
}

/// A grade with another density at 15 C.
[[nodiscard]] inline fuel::Fuel with_density(const char* grade, double density_15C_kg_per_m3) {
  fuel::Fuel fuel = fuel::grade(grade).value();
  fuel.density_15C_kg_per_m3 = density_15C_kg_per_m3;
  return fuel;
}

[[nodiscard]] inline fuel::Fuel mixed(const fuel::Fuel& a, const fuel::Fuel& b, double fraction_of_b) {
  const std::vector<fuel::Share> shares{{.fuel = a, .volume_fraction = 1.0 - fraction_of_b},
                                        {.fuel = b, .volume_fraction = fraction_of_b}};
  return fuel::blend(shares).value();
}

/// Every grade, and blends of every kind: ester, winter mix, petrol contamination, three parts.
[[nodiscard]] inline std::vector<fuel::Fuel> every_fuel() {
  std::vector<fuel::Fuel> all;
  for (const std::string& id : fuel::grade_ids()) all.push_back(fuel::grade(id).value());
  const auto g = [](const char* id) { return fuel::grade(id).value(); };
  for (const double x : {0.07, 0.5}) all.push_back(mixed(g("d975_2d"), g("fame_b100"), x));
  all.push_back(mixed(g("d975_2d"), g("jp8"), 0.4));
  all.push_back(mixed(g("en590"), g("petrol"), 0.1));
  all.push_back(mixed(g("en590"), g("hvo"), 0.3));
  all.push_back(mixed(mixed(g("en590"), g("fame_b100"), 0.07), g("jp8"), 0.3));
  return all;
}

}  // namespace fw::test
