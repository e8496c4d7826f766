// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"

/// Metal, cleanliness, extent and water as sections of papers.
namespace fw::report {

/// One row per option: likely and unlucky cost, work, how many such jobs are back within a year.
[[nodiscard]] Table options_table(const extent::Decision& decision);
/// The same row as a line: "pump only (not offered by this shop): likely 3,090 USD, ...".
[[nodiscard]] std::string option_line(const extent::Decision& decision, const extent::OptionResult& option);
/// What an option replaces and cleans, what it does not cover, which risk stays, where the order turns.
[[nodiscard]] Bullets option_words(const extent::OptionResult& option);
[[nodiscard]] Table assumptions_table();

/// Section `number` of the technical report: debris map on the drawing and by place, cleanliness along the way, options
/// side by side with the dose over hours, what decides, what the next part buys, every assumption with its class.
/// `sheets` are the line sheets of the assessment in its order. Nothing where the case has no metal.
/// Errors: those of the figures.
[[nodiscard]] Result<void> add_metal(Document& document, const assess::Assessment& assessment,
                                     const std::vector<system::LineSheet>& sheets, const std::string& number,
                                     const PaperOptions& options);

/// Section `number`: water by sheet, what differs, what was assumed. Nothing where it was not asked.
void add_water(Document& document, const assess::Assessment& assessment, const std::string& number,
               const PaperOptions& options);

/// What differs from the system as designed to the one as found, whoever changed it: pressure, solids, water, warning
/// by a sensor, one sentence each with its band; "not determined" where the band holds no effect and no absence of one.
/// Minus signs are those of a keyboard. Empty without both sheets or where the comparison was not asked.
[[nodiscard]] std::vector<std::string> attribution_words(const assess::Assessment& assessment, units::System system);

}  // namespace fw::report
