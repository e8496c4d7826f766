// SPDX-License-Identifier: Apache-2.0
// Whatever is typed as a quantity, a bore or a wire gives a finite number or one error that teaches; never anything
// else. What is read prints, and what is typed comes back. The first byte chooses the dimension, the rest is the text.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "units/quantity.hpp"
#include "units/wire.hpp"

namespace {

using fw::units::Dimension;
using fw::units::System;

void check(bool holds) {
  if (!holds) std::abort();
}

template <typename T>  // the same for every kind of result
void check_errors(const fw::Result<T>& result) {
  if (result) return;
  check(result.error().size() == 1);
  check(!result.error().front().expected.empty());
  check(!result.error().front().hint.empty());
  check(!to_text(result.error().front()).empty());
}

void check_stated(const fw::Result<fw::Stated>& stated, std::string_view text) {
  check_errors(stated);
  if (!stated) return;
  check(stated->origin.as_typed == text);
  if (stated->unknown) {
    check(!stated->given());
    return;
  }
  check(std::isfinite(stated->value));
  const fw::Spread& spread = stated->spread;
  for (const double number : {spread.half_width, spread.factor, spread.low, spread.high}) check(std::isfinite(number));
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  const auto dimension = static_cast<Dimension>(data[0] % fw::units::dimension_count);
  const std::string_view text(reinterpret_cast<const char*>(data + 1), size - 1);

  const auto number = fw::units::parse(text, dimension);
  check_errors(number);
  if (number) {
    check(std::isfinite(*number));
    for (const System system : {System::us, System::metric, System::si}) {
      check(!fw::units::print_both(*number, dimension, system).empty());
      check(!fw::units::print_number(*number, dimension, system).empty());
    }
  }
  check_stated(fw::units::parse_stated(text, dimension), text);

  const auto bore = fw::units::parse_bore(text);
  check_stated(bore, text);
  if (bore && !bore->unknown) check(bore->value > 0.0);
  const auto wire = fw::units::parse_wire(text);
  check_errors(wire);
  if (wire) check(wire->area_m2 > 0.0);
  return 0;
}
