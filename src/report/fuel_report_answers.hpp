// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "diagnosis/fuel_report.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"

/// A laboratory's report read against its limits, on paper and as JSON. They word results; they compute none.
namespace fw::report {

[[nodiscard]] Document fuel_report_page(const diagnosis::LabReport& report, const diagnosis::FuelVerdict& verdict,
                                        const PaperOptions& options);

/// Schema fuelwright.fuel_report/1.0.
[[nodiscard]] std::string fuel_report_json(const diagnosis::LabReport& report, const diagnosis::FuelVerdict& verdict);

}  // namespace fw::report
