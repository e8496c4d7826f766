// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/filter_section.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"

/// How long the filters of each sheet last and what a year of them costs, as a page and as JSON.
namespace fw::report {

/// Sheet by sheet: elements in the order of the flow, a year of them, the pump inlet while they load; assumptions.
[[nodiscard]] Document filters_page(const assess::FilterSection& section, const PaperOptions& options);

/// Schema fuelwright.filters/1.0.
[[nodiscard]] std::string filters_json(const assess::FilterSection& section);

}  // namespace fw::report
