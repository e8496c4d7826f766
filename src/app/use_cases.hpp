// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "assess/assess.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "report/papers.hpp"
#include "units/quantity.hpp"

/// One function per use case, shared by all faces.
namespace fw::app {

struct Request {
  units::System system = units::System::metric;
  std::uint64_t seed = 1;
  std::optional<std::string> out;  ///< where the PDF goes; not given: judge writes out/<case>.pdf, supply writes none
  int width = 80;                  ///< columns of the brief
  std::string catalog_folder;      ///< the shop's catalog over the built-in one, "" for none
  std::string created;             ///< creation time of papers, "2026-05-04T10:00:00Z"
};

struct Answer {
  assess::Assessment assessment;
  std::string brief;  ///< text for a terminal
  std::string json;   ///< schema fuelwright.assessment/1.0
  std::string paper;  ///< path of the PDF that was written, "" if none
};

/// Judges a case folder, or one line sheet as a case of its own, and writes the page.
/// Errors: those of the readers, the judge and the writer.
[[nodiscard]] Result<Answer> judge_case(const std::string& folder, const Request& request, const Run& run);
[[nodiscard]] Result<Answer> judge_sheet(const std::string& path, supply::Climate climate, const Request& request,
                                         const Run& run);

/// Properties of a grade at one temperature as a text table, or as JSON of schema "fuelwright.fuel/1.0".
struct FuelAnswer {
  std::string text;
  std::string json;
};
[[nodiscard]] Result<FuelAnswer> fuel_properties(const std::string& grade, double temperature_K, units::System system);

/// Writes a file whole or not at all: a new file beside it takes its place. Errors: io.
[[nodiscard]] Result<void> write_file(const std::string& path, const std::string& bytes);

}  // namespace fw::app
