// SPDX-License-Identifier: Apache-2.0
#include "units/quantity.hpp"

#include <string>

#include "units/reading.hpp"
#include "units/text.hpp"

namespace fw::units {

Result<double> parse(std::string_view text, Dimension dimension) {
  const Field field{.typed = text, .dimension = dimension};
  const std::string clean = plain(text);
  const auto quantity = read_quantity(clean, field);
  if (!quantity) return fail(quantity.error());
  return in_si(*quantity, field);
}

}  // namespace fw::units
