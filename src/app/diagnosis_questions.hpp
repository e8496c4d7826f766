// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "app/use_cases.hpp"
#include "casefile/six_facts.hpp"

/// What happened, why, and what to look at next.
namespace fw::app {

/// A case folder with findings, or six facts told at the counter.
struct DiagnosisQuestion {
  std::string folder;  ///< "" for six facts
  casefile::SixFacts facts;
  bool two_steps = false;  ///< next: look two steps ahead
  bool opening = false;    ///< next: the sheet for opening the failed pump instead
  std::string cause;       ///< explain: id
};

struct TextAndJson {
  std::string text;
  std::string json;
};

/// State, causes, what not to do, the next three looks. Schema fuelwright.diagnosis/2.1.
/// Errors: those of the readers and of diagnosis::diagnose; invalid_input for a case without findings.
[[nodiscard]] Result<TextAndJson> diagnosis_text(const DiagnosisQuestion& question, const Request& request,
                                                 const Run& run);

/// What speaks for and against one cause and what would overturn it. Schema fuelwright.explanation/2.1.
[[nodiscard]] Result<TextAndJson> explanation_text(const DiagnosisQuestion& question, const Request& request,
                                                   const Run& run);

/// The looks worth most, as a sheet to print with boxes. Schema fuelwright.looks/1.2;
/// with `opening` the sheet for opening the pump, fuelwright.opening/1.0.
[[nodiscard]] Result<TextAndJson> next_text(const DiagnosisQuestion& question, const Request& request, const Run& run);

}  // namespace fw::app
