// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "diagnosis/diagnose.hpp"

/// The printed sheet for opening a failed pump: agreement first, cautions, photo places, measurements, findings.
namespace fw::report {

/// Text of at most `width` columns. Where the agreement of owner, payer or maker is missing the sheet says so first and
/// that the pump stays shut. Source of places and measurements: common practice, no source; the findings are those of
/// the tables that open the pump.
[[nodiscard]] std::string opening_sheet(const std::string& title, const diagnosis::Facts& facts,
                                        const diagnosis::Tables& tables, int width);
/// Schema fuelwright.opening/1.0.
[[nodiscard]] std::string opening_json(const std::string& title, const diagnosis::Facts& facts,
                                       const diagnosis::Tables& tables);

}  // namespace fw::report
