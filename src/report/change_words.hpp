// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "supply/compare.hpp"
#include "units/print.hpp"

/// What a change of the supply did, in sentences. They word supply::compare; they compute nothing.
namespace fw::report {

struct ChangeWords {
  std::vector<std::string> effects;  ///< found effects and changed outcomes, one sentence or two each
  std::string rest;                  ///< what shows no effect, what is not determined; may be empty
};

/// Minus signs are those of a keyboard: paper passes the words through with_minus().
[[nodiscard]] ChangeWords change_words(const std::vector<supply::Difference>& lines, units::System system);

/// Checks that only one of the two systems has, and checks without a number whose outcome changed.
[[nodiscard]] std::vector<std::string> changed_checks(const supply::SheetJudgement& first,
                                                      const supply::SheetJudgement& second);

}  // namespace fw::report
