// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "fuel/fuel.hpp"

namespace fw::fuel {

/// The fuel that a text names: a grade, or a blend by volume at 15 C.
///
///   FUEL = TERM { "+" TERM }        TERM = GRADE | SHARE "%" GRADE
///
/// A share is of the finished blend. One term may stand without a share and takes the rest to 100 %; otherwise the
/// shares make 100 % within 0.0001 %. "d975_2d + 5 % petrol" is 95 % d975_2d; "80 % en590 + 20 % jp8" is the same as
/// "en590 + 20 % jp8". Grades: grade_ids(). Blanks are free, capitals are not.
///
/// The id of a blend is the text in its plain form, which names the same fuel again. Rules and limits: blend().
///
/// Errors, exactly one, with what was found and a text that would be right:
///  - not_found: no such grade; names the nearest
///  - invalid_input: nothing, a share that is no number, has a decimal comma, lacks "%", stands behind its grade, is
///    below 0.001 % or leaves nothing for the rest; shares that do not make 100 %; two terms without a share; a grade
///    twice; a constant fluid in a blend
///  - too_large: over 200 characters, over eight parts
/// Check: "d975_2d + 5 % petrol" -> 0.95 x 845 + 0.05 x 747.5 = 840.125 kg/m3 at 15 C.
[[nodiscard]] Result<Fuel> fuel_of_text(std::string_view text);

}  // namespace fw::fuel
