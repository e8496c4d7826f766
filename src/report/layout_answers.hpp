// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/layouts.hpp"
#include "report/papers.hpp"

namespace fw::report {

/// The answer over all layouts: what it means that the layout is not known, what to find out first, the layouts side by
/// side, what hangs on the layout and what does not, what stands in for facts not told.
[[nodiscard]] Document layouts_page(const assess::LayoutsAnswer& answer, const PaperOptions& options);

/// Schema "fuelwright.layouts/1.0".
[[nodiscard]] std::string layouts_json(const assess::LayoutsAnswer& answer);

}  // namespace fw::report
