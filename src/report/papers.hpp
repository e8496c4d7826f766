// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "base/result.hpp"
#include "casefile/evidence_log.hpp"
#include "report/document.hpp"
#include "units/quantity.hpp"

/// Papers and briefs made of an Assessment. They word results; they compute none.
namespace fw::report {

struct PaperOptions {
  units::System system = units::System::metric;
  PageSize size = PageSize::a4;
  std::string created;  ///< "2026-05-04T10:00:00Z", part of the bytes
  /// The evidence log of the case, an annex of the technical paper; empty: none.
  std::vector<casefile::EvidenceEntry> evidence;
};

/// What a technician reads on the terminal: each sheet's checks, worst first, what happens when a pump dies.
/// Errors: those of check(Document).
[[nodiscard]] Result<Document> brief(const assess::Assessment& assessment, const PaperOptions& options);

/// The supply on one page: lead, grade lines of the sheets at rated power, checks that do not hold, cautions, and where
/// the numbers come from.
[[nodiscard]] Result<Document> supply_page(const assess::Assessment& assessment, const PaperOptions& options);

/// What the owner reads: one page in plain words about the supply, with the one drawing that shows where the fuel goes.
/// Says "likely", speaks of no fault, and puts each caution before the step it belongs to. `sheets` are the line sheets
/// of the assessment in its order.
/// Errors: invalid_input where the sheets are not those of the assessment; those of the figures and of check(Document).
[[nodiscard]] Result<Document> owner_paper(const assess::Assessment& assessment,
                                           const std::vector<system::LineSheet>& sheets, const PaperOptions& options);

/// What a technician, an insurer or a warranty desk reads: contents, comparison, each sheet with its drawing, grade
/// lines, checks and dead pumps, readings at the test ports after their cautions, and annexes: line sheets as tables,
/// every number with its origin, whose limits they are, how it was judged. Quantities that a part is ordered by or a
/// gauge shows stand in both unit systems. Errors: as owner_paper.
[[nodiscard]] Result<Document> technical_paper(const assess::Assessment& assessment,
                                               const std::vector<system::LineSheet>& sheets,
                                               const PaperOptions& options);

/// What the owner signs: options as rows with likely and unlucky cost and days, what each does not cover, the risk that
/// stays in words, what decides between them, and two permissions apart: to take apart and look, to repair. Tells no
/// law. Options that the shop's policy bars are told with their reason and cannot be ticked.
/// Errors: those of debris map and extent where they could not be computed; not_found where the extent was not asked or
/// the case has no metal.toml; those of check(Document).
[[nodiscard]] Result<Document> authorisation_paper(const assess::Assessment& assessment, const PaperOptions& options);

/// "One check fails: pump inlet pressure, low side. Four hold." and the like.
[[nodiscard]] std::string lead_sentence(const supply::SheetJudgement& sheet, std::size_t most = 4);

}  // namespace fw::report
