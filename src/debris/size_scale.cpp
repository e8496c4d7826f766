// SPDX-License-Identifier: Apache-2.0
#include "debris/size_scale.hpp"

#include <array>
#include <cstddef>

#include <fmt/format.h>

namespace fw::debris {

namespace {

struct Pair {
  double acftd_um;
  double counter_c_um;
};

// Secondary literature, two copies agree.
constexpr std::array<Pair, 17> acftd_table{{{0.8, 4.0},
                                            {1.0, 4.2},
                                            {2.0, 4.6},
                                            {2.7, 5.0},
                                            {3.0, 5.1},
                                            {4.3, 6.0},
                                            {5.0, 6.4},
                                            {7.0, 7.7},
                                            {10.0, 9.8},
                                            {12.0, 11.3},
                                            {15.0, 13.6},
                                            {15.5, 14.0},
                                            {20.0, 17.5},
                                            {25.0, 21.2},
                                            {30.0, 24.9},
                                            {40.0, 31.7},
                                            {50.0, 38.2}}};

}  // namespace

std::string_view name(SizeScale scale) {
  switch (scale) {
    case SizeScale::counter_c: return "um(c)";
    case SizeScale::counter_b: return "um(b)";
    case SizeScale::counter_air_cleaner_dust: return "um ACFTD";
    case SizeScale::microscope: return "um microscope";
  }
  return "";
}

Result<double> counter_c_diameter_m(const ParticleSize& size) {
  if (const auto checked = require_positive(size.diameter_m, "size.diameter_m"); !checked) {
    return tl::unexpected<Errors>(checked.error());
  }
  switch (size.scale) {
    case SizeScale::counter_c: return size.diameter_m;
    case SizeScale::counter_b: return 0.898 * size.diameter_m;
    case SizeScale::microscope:
      return outside("size.scale", fmt::format("{:.6g} um by microscope", size.diameter_m * 1e6), "a size of a counter",
                     "Keep microscope counts apart: no conversion is known");
    case SizeScale::counter_air_cleaner_dust: break;
  }
  const double um = size.diameter_m * 1e6;
  // Half a unit of the twelfth digit: 0.8e-6 * 1e6 is not 0.8.
  constexpr double slack = 1e-12;
  if (um < acftd_table.front().acftd_um * (1.0 - slack) || um > acftd_table.back().acftd_um * (1.0 + slack)) {
    return outside("size.diameter_m", fmt::format("{:.6g} um ACFTD", um), "0.8 to 50 um ACFTD");
  }
  std::size_t i = 1;
  while (i + 1 < acftd_table.size() && um > acftd_table[i].acftd_um) ++i;
  const Pair& low = acftd_table[i - 1];
  const Pair& high = acftd_table[i];
  const double share = (um - low.acftd_um) / (high.acftd_um - low.acftd_um);
  return 1e-6 * (low.counter_c_um + share * (high.counter_c_um - low.counter_c_um));
}

}  // namespace fw::debris
