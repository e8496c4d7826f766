// SPDX-License-Identifier: Apache-2.0
#include "app/rail_questions.hpp"
#include "app/threads.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_rail(const CommandLine& line) {
  app::RailQuestion question{.sheet = line.target, .profile = line.rail_profile, .json = line.json};
  const auto inlet_K = units::parse(line.rail_inlet, units::Dimension::temperature);
  if (!inlet_K) return report_errors(inlet_K.error().in_field("--at"));
  question.inlet_K = *inlet_K;
  const auto air_K = units::parse(line.air, units::Dimension::temperature);
  if (!air_K) return report_errors(air_K.error().in_field("--air"));
  question.air_K = *air_K;
  const app::Request request{.system = line.system,
                             .out = {},
                             .width = terminal_columns(),
                             .catalog_folder = line.catalog_folder,
                             .created = creation_time()};
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  const Run run{executor, progress, {}};
  const auto text = line.command == Command::rail_capacity   ? app::rail_capacity_text(question, request, run)
                    : line.command == Command::rail_leakdown ? app::leak_down_text(question, request, run)
                    : line.command == Command::heat          ? app::heat_text(question, request, run)
                                                             : app::rail_run_text(question, request, run);
  if (!text) return report_errors(text.error());
  print(*text);
  return computed;
}

}  // namespace fw::cli
