// SPDX-License-Identifier: Apache-2.0
// Whatever is typed as a fuel gives a fuel whose properties are finite and whose plain form names it again, or one
// error that teaches in printable characters; never anything else.
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "fuel/fuel_text.hpp"

namespace {

void check(bool holds) {
  if (!holds) std::abort();
}

void check_printable(std::string_view text) {
  check(!text.empty());
  for (const char c : text) check(c >= ' ' && c <= '~');
}

}  // namespace

// NOLINTNEXTLINE(readability-identifier-naming): the name that the fuzzing engine calls
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const auto fuel = fw::fuel::fuel_of_text({reinterpret_cast<const char*>(data), size});
  if (!fuel) {
    check(fuel.error().size() == 1);
    const fw::Error& error = fuel.error().front();
    check_printable(error.found);
    check_printable(error.expected);
    check_printable(error.hint);
    return 0;
  }
  double sum = fuel->shares.empty() ? 1.0 : 0.0;
  for (const fw::fuel::Share& share : fuel->shares) {
    check(share.volume_fraction > 0.0);
    sum += share.volume_fraction;
  }
  check(std::abs(sum - 1.0) < 1e-9);
  const auto liquid = fw::fuel::liquid_at(*fuel, 293.15, 4e5);
  check(liquid.has_value());
  check(std::isfinite(liquid->density_kg_per_m3) && liquid->density_kg_per_m3 > 600.0);
  check(std::isfinite(liquid->dynamic_viscosity_Pa_s) && liquid->dynamic_viscosity_Pa_s > 0.0);
  const auto again = fw::fuel::fuel_of_text(fuel->id);
  check(again.has_value() && again->id == fuel->id);
  check(again->density_15C_kg_per_m3 == fuel->density_15C_kg_per_m3);
  return 0;
}
