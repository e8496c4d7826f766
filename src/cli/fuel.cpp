// SPDX-License-Identifier: Apache-2.0
#include "app/use_cases.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

constexpr double sea_level_Pa = 101325.0;

/// A gauge reading at sea level, or an absolute pressure that says so; as absolute.
Result<double> absolute_Pa(const std::string& text) {
  auto gauge = units::parse(text, units::Dimension::gauge_pressure);
  if (gauge) return *gauge + sea_level_Pa;
  if (const auto absolute = units::parse(text, units::Dimension::absolute_pressure)) return absolute;
  return gauge;
}

}  // namespace

int run_fuel(const CommandLine& line) {
  app::FuelQuestion question{.fuel = line.target,
                             .temperatures_K = {},
                             .pressures_Pa = {},
                             .system = line.system,
                             .width = terminal_columns(),
                             .created = creation_time()};
  for (const std::string& text : line.at) {
    const auto temperature_K = units::parse(text, units::Dimension::temperature);
    if (!temperature_K) return report_errors(temperature_K.error().in_field("--at"));
    question.temperatures_K.push_back(*temperature_K);
  }
  for (const std::string& text : line.pressure) {
    const auto pressure_Pa = absolute_Pa(text);
    if (!pressure_Pa) return report_errors(pressure_Pa.error().in_field("--pressure"));
    question.pressures_Pa.push_back(*pressure_Pa);
  }
  const auto answer = app::fuel_properties(question);
  if (!answer) return report_errors(answer.error());
  print(line.json ? answer->json : answer->text);
  return computed;
}

}  // namespace fw::cli
