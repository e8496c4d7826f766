// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/assess.hpp"
#include "base/result.hpp"
#include "report/document.hpp"
#include "units/quantity.hpp"

/// Papers and briefs made of an Assessment. They word results; they compute none.
namespace fw::report {

struct PaperOptions {
  units::System system = units::System::metric;
  PageSize size = PageSize::a4;
  std::string created;  ///< "2026-05-04T10:00:00Z", part of the bytes
};

/// What a technician reads on the terminal: each sheet's checks, worst first, what happens when a pump dies.
/// Errors: those of check(Document).
[[nodiscard]] Result<Document> brief(const assess::Assessment& assessment, const PaperOptions& options);

/// The supply on one page: lead, grade lines of the sheets at rated power, checks that do not hold, cautions, and where
/// the numbers come from.
[[nodiscard]] Result<Document> supply_page(const assess::Assessment& assessment, const PaperOptions& options);

/// "One check fails: pump inlet pressure, low side. Four hold." and the like.
[[nodiscard]] std::string lead_sentence(const supply::SheetJudgement& sheet);

}  // namespace fw::report
