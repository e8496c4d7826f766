// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <string_view>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

/// Banjo fittings by substitutes: no published coefficient was found.
namespace fw::hydraulics {

struct Banjo {
  double bolt_bore_m = required;
  double hole_bore_m = required;  ///< of one cross hole
  double hole_count = 2.0;
  double bolt_length_m = 0.020;  ///< drilled length passed; assumed
};

/// Typical sizes, +-15 % (typical, no source).
struct BanjoSize {
  std::string_view thread;
  double bolt_bore_m = 0.0;
  double hole_bore_m = 0.0;
  double hole_count = 0.0;
};
inline constexpr std::array banjo_sizes{
    BanjoSize{.thread = "M10", .bolt_bore_m = 4.0e-3, .hole_bore_m = 3.5e-3, .hole_count = 2.0},
    BanjoSize{.thread = "M12", .bolt_bore_m = 5.5e-3, .hole_bore_m = 4.5e-3, .hole_count = 2.0},
    BanjoSize{.thread = "M14", .bolt_bore_m = 7.0e-3, .hole_bore_m = 5.5e-3, .hole_count = 2.0},
    BanjoSize{.thread = "M16", .bolt_bore_m = 9.0e-3, .hole_bore_m = 7.0e-3, .hole_count = 2.0},
};

/// Two sharp 90 degree corners (mitre, 3-K) on the bolt's bore, the cross holes side by side as sharp orifices
/// (Cd 0.611), and the bolt's bore as a pipe: one pipe element.
/// Validity: common practice, no source; calibrate against one measured drop and enter that as a stated drop where it
/// matters. Errors: invalid_input naming `banjo...` or the liquid's field.
/// Check: by hand algebra on its three terms (test).
[[nodiscard]] Result<PipeCoefficients> banjo_law(const Banjo& banjo, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
