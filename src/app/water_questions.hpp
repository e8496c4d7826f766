// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "app/supply_questions.hpp"

/// Water in the fuel, what a laboratory says of it, and how to clean.
namespace fw::app {

/// Water from tank to pump inlet for a case folder or one line sheet, by assess::water_section; with the water of the
/// case's fuel report where it has one. Schema fuelwright.water/1.0.
/// Errors: those of the readers and of assess::water_section.
[[nodiscard]] Result<SupplyAnswer> water_answer(const std::string& target, supply::Climate climate,
                                                const Request& request, const Run& run);

/// A laboratory's report, of a case folder with a fuel-report.toml or the file itself, read against its limits. Fails
/// where a test is beyond its fuel standard. Schema fuelwright.fuel_report/1.0.
/// Errors: those of the reader and of diagnosis::read_together.
[[nodiscard]] Result<SupplyAnswer> fuel_report_answer(const std::string& target, const Request& request);

/// A clean-up as typed, every text with its unit; empty texts were not given.
struct FlushQuestion {
  std::string tank;               ///< volume that is circulated
  std::string flow;               ///< of the cart
  std::vector<std::string> beta;  ///< of its filter at 4 um(c), or at 4, 6 and 14
  std::string from, to;           ///< ISO 4406 codes
  std::string ingress;            ///< particles per minute that come in at the governing size, a plain number
  std::string dead;               ///< share of the tank off the flow, "10 %"
  std::string exchange;           ///< flow between the dead part and the rest
  std::string bore, service;      ///< a line to flush, and its flow in service
  std::string fuel = "en590";
  std::string at = "20 C";
  std::string flash;  ///< measured flash point
  bool rated_for_petrol = false;
  std::vector<std::string> extracted;  ///< masses of repeated extractions
  std::vector<std::string> samples;    ///< codes counted at the draw-off, oldest first
};
/// Turnovers and time to the target, dead volume, a turbulent flush, verification. Fails while it is not verified.
/// Schema fuelwright.flush/1.0. Errors: by option, "--tank"; conflict for a light or unknown fuel in equipment that is
/// not rated for petrol.
[[nodiscard]] Result<SupplyAnswer> flush_answer(const FlushQuestion& question, const Request& request);

}  // namespace fw::app
