// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/use_cases.hpp"

/// The scale card: printed, and read from a photo.
namespace fw::app {

/// Writes the card as a PDF to request.out and returns its path. Errors: those of the writer.
[[nodiscard]] Result<std::string> print_card(const Request& request);

struct CardQuestion {
  std::string photo;
  std::string keep_in;  ///< case folder whose evidence log keeps the photo; "" for none
  std::string zone;     ///< of the entry
  std::string person;   ///< of the entry, with keep_in
  std::string time;     ///< of the entry, with keep_in
  bool json = false;
};
/// What the photo tells, and where it was kept: a copy in CASE/photos and an entry in the evidence log, after it was
/// read. Errors: those of the photo and the reading; conflict for another photo of that name in the case; those of the
/// log.
[[nodiscard]] Result<std::string> read_card_text(const CardQuestion& question, const Request& request);

}  // namespace fw::app
