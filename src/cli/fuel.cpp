// SPDX-License-Identifier: Apache-2.0
#include "app/use_cases.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_fuel(const CommandLine& line) {
  const auto temperature_K = units::parse(line.at, units::Dimension::temperature);
  if (!temperature_K) return report_errors(temperature_K.error().in_field("--at"));
  const auto answer = app::fuel_properties(line.target, *temperature_K, line.system);
  if (!answer) return report_errors(answer.error());
  print(line.json ? answer->json : answer->text);
  return computed;
}

}  // namespace fw::cli
