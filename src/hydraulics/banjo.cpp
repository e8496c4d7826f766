// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/banjo.hpp"

#include "hydraulics/fittings.hpp"
#include "hydraulics/liquid_check.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/resistor.hpp"

namespace fw::hydraulics {

Result<PipeCoefficients> banjo_law(const Banjo& banjo, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(banjo.bolt_bore_m, "banjo.bolt_bore_m")
      .positive(banjo.hole_bore_m, "banjo.hole_bore_m")
      .positive(banjo.hole_count, "banjo.hole_count")
      .positive(banjo.bolt_length_m, "banjo.bolt_length_m");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const auto mitre = fitting_named("mitre-90");
  if (!mitre) return fail(mitre.error());
  const auto corner = fitting_law(*mitre, {.bore_m = banjo.bolt_bore_m}, liquid);
  if (!corner) return fail(corner.error());
  const auto holes = orifice_law({.bore_m = banjo.hole_bore_m, .count = banjo.hole_count}, liquid);
  if (!holes) return fail(holes.error());
  return pipe_law({.bore_m = banjo.bolt_bore_m, .length_m = banjo.bolt_length_m, .roughness_m = tube_roughness_m},
                  liquid, in_series(times(corner->coefficients, 2.0), *holes));
}

}  // namespace fw::hydraulics
