// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "debris/scale_card.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"

namespace fw::report {

/// The scale card at its true size.
[[nodiscard]] Figure scale_card_figure();

/// Drawn metal on four cloths of 40 mm at true size, one for each grade by eye: none, few specks, film, paste. Specks
/// are steel spheres of 0.15 to 0.3 mm; those of "few specks" and "film" together weigh what lies in the middle of
/// their grade by its logarithm, between 0.1, 3 and 100 mg (the limits are assumed, debris_map.hpp).
[[nodiscard]] Figure grades_figure();

/// The card with how to use it, to print at 100 %. Errors: none but those of check(Document).
[[nodiscard]] Document scale_card_page(const PaperOptions& options);

/// What one photo told.
struct CardAnswer {
  std::string photo;  ///< as named
  debris::CardReading reading;
  std::string kept;  ///< where the evidence log has it; "" where it was not kept
};
[[nodiscard]] Document card_reading_page(const CardAnswer& answer, const PaperOptions& options);
[[nodiscard]] std::string card_reading_json(const CardAnswer& answer);

}  // namespace fw::report
