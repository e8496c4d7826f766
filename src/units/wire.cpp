// SPDX-License-Identifier: Apache-2.0
#include "units/wire.hpp"

#include <cmath>
#include <numbers>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "base/required.hpp"
#include "units/quantity.hpp"
#include "units/text.hpp"
#include "units/unit_table.hpp"

namespace fw::units {

namespace {

constexpr int finest_gauge = 40;
constexpr double smallest_area_m2 = 0.005e-6;
constexpr double largest_area_m2 = 200e-6;

/// The gauge number of "12", "0", "00", "2/0"; nothing for any other text.
std::optional<int> gauge_number(std::string_view text) {
  if (text == "0" || text == "1/0") return 0;
  if (text == "00" || text == "2/0") return -1;
  if (text == "000" || text == "3/0") return -2;
  if (text == "0000" || text == "4/0") return -3;
  if (text.empty() || text.size() > 2 || text.front() == '0') return std::nullopt;
  int gauge = 0;
  for (const char digit : text) {
    if (digit < '0' || digit > '9') return std::nullopt;
    gauge = 10 * gauge + (digit - '0');
  }
  return gauge <= finest_gauge ? std::optional<int>(gauge) : std::nullopt;
}

/// The text of the gauge in "12 AWG" or "AWG 12".
std::optional<std::string_view> gauge_text(std::string_view words) {
  if (words.ends_with("awg")) return trimmed(words.substr(0, words.size() - 3));
  if (words.starts_with("awg")) return trimmed(words.substr(3));
  return std::nullopt;
}

}  // namespace

Result<Wire> parse_wire(std::string_view text) {
  const std::string words = lower(std::string(trimmed(plain(text))));
  const std::string hint = "Write \"12 AWG\" or \"4 mm2\"";
  if (const auto gauge = gauge_text(words)) {
    const std::optional<int> number = gauge_number(*gauge);
    if (!number) {
      return invalid({}, quoted(text), fmt::format("a gauge from 4/0 AWG to {} AWG", finest_gauge), hint);
    }
    const double diameter_m = 0.127e-3 * std::pow(92.0, (36.0 - *number) / 39.0);
    return Wire{.area_m2 = std::numbers::pi / 4.0 * diameter_m * diameter_m};
  }
  const auto area = parse(text, Dimension::area);
  if (!area) return invalid({}, quoted(text), "a wire: its gauge with \"AWG\", or its section in mm2", hint);
  if (*area < smallest_area_m2 || *area > largest_area_m2) {
    return invalid({}, quoted(text), "a section from 0.005 to 200 mm2", hint);
  }
  return Wire{.area_m2 = *area};
}

Result<double> copper_resistance_ohm_per_m(const Wire& wire, double temperature_K) {
  constexpr double resistivity_ohm_m = 1.7241e-8;  // at 20 C, annealed copper, IEC 60028
  constexpr double change_per_K = 0.00393;         // IEC 60028
  constexpr double reference_K = 293.15;
  constexpr double coldest_K = 213.15;
  constexpr double hottest_K = 473.15;
  const auto area_m2 = require_positive(wire.area_m2, "wire.area_m2");
  if (!area_m2) return fail(area_m2.error());
  const auto finite_K = require_finite(temperature_K, "temperature_K");
  if (!finite_K) return fail(finite_K.error());
  if (temperature_K < coldest_K || temperature_K > hottest_K) {
    return outside("temperature_K", print(temperature_K, Dimension::temperature, System::metric),
                   "a conductor between -60 and 200 C",
                   "Write \"20 C\" for a cool wire, \"80 C\" for one in an engine bay");
  }
  return resistivity_ohm_m * (1.0 + change_per_K * (temperature_K - reference_K)) / *area_m2;
}

}  // namespace fw::units
