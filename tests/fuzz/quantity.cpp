// SPDX-License-Identifier: Apache-2.0
// Whatever is typed as a quantity gives a finite number or errors that say what is expected; never anything else. The
// first byte chooses the dimension, the rest is the text.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "units/quantity.hpp"

namespace {

using fw::units::Dimension;

void check(bool holds) {
  if (!holds) std::abort();
}

template <typename T>  // the same for every kind of result
void check_errors(const fw::Result<T>& result) {
  if (result) return;
  check(!result.error().front().expected.empty());
  check(!to_text(result.error().front()).empty());
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  if (size == 0) return 0;
  constexpr int dimensions = static_cast<int>(Dimension::ratio) + 1;
  const auto dimension = static_cast<Dimension>(data[0] % dimensions);
  const std::string_view text(reinterpret_cast<const char*>(data + 1), size - 1);

  const auto number = fw::units::parse(text, dimension);
  check_errors(number);
  if (number) check(std::isfinite(*number));

  const auto stated = fw::units::parse_stated(text, dimension);
  check_errors(stated);
  if (stated && !stated->unknown) {
    check(std::isfinite(stated->value));
    check(stated->origin.as_typed == text);
  }

  const auto bore = fw::units::parse_bore(text);
  check_errors(bore);
  if (bore && !bore->unknown) check(std::isfinite(bore->value));
  return 0;
}
