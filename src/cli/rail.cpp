// SPDX-License-Identifier: Apache-2.0
#include "app/rail_questions.hpp"
#include "cli/commands.hpp"
#include "cli/long_work.hpp"
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
  const auto text = in_long_work([&](const Run& run) {
    const app::Request request = request_of(line);
    switch (line.command) {
      case Command::rail_capacity: return app::rail_capacity_text(question, request, run);
      case Command::rail_leakdown: return app::leak_down_text(question, request, run);
      case Command::heat: return app::heat_text(question, request, run);
      default: return app::rail_run_text(question, request, run);
    }
  });
  return answer(text, line);
}

}  // namespace fw::cli
