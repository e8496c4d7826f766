// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/assess.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"

/// The sections rail and heat of an assessment in words: for the screen, and as chapters of the technical paper.
namespace fw::report {

/// "supply", "injectors"; "-" where nothing limits.
[[nodiscard]] std::string limit_words(rail::Limit limit);
/// A pressure in rail or pipes over that of the air, as every gauge and scan tool says it.
[[nodiscard]] std::string rail_words(double absolute_Pa, units::System system);
/// What a pump that delivers 15 % more would change.
[[nodiscard]] std::string swap_sentence(const assess::RailCapacity& answer);

/// "At 2,800 rpm and 290 kW the pump runs out before the supply does.", with what the rail holds along the engine's own
/// line of power; where the pump or the nozzles are not stated, that their margin is not known.
[[nodiscard]] std::string capacity_sentence(const assess::RailCapacity& answer, units::System system);
/// Highest fuel temperature of a work day and what a return cooler would have to do.
[[nodiscard]] std::string heat_sentence(const assess::FuelHeat& answer, units::System system);
[[nodiscard]] std::string cooler_sentence(const assess::FuelHeat& answer, units::System system);

/// One heading and one paragraph for each sheet, where the sections were computed; sheets of which the same is to be
/// said share one.
void add_rail_brief(Document& document, const assess::Assessment& assessment, units::System system);

/// Chapters of the technical paper, numbered on from `number`, which counts up; none where nothing was computed. The
/// film on the cam stands here only, as an explanation. Errors: those of curves_figure.
[[nodiscard]] Result<void> add_rail_chapters(Document& document, const assess::Assessment& assessment,
                                             const PaperOptions& options, int& number);

}  // namespace fw::report
