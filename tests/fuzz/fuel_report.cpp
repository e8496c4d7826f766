// SPDX-License-Identifier: Apache-2.0
// Whatever stands in a fuel-report.toml gives a report or errors that teach; a report gives a verdict or one error.
#include <cstddef>
#include <cstdint>
#include <string>

#include "casefile/fuel_report.hpp"
#include "checks.hpp"

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string text(reinterpret_cast<const char*>(data), size);
  const auto report = fw::casefile::read_fuel_report(text, "fuel-report.toml", fw::fuzz::book().spreads);
  fw::fuzz::check_errors(report);
  if (report) fw::fuzz::check_errors(fw::diagnosis::read_together(*report));
  return 0;
}
