// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/quick_connector.hpp"

#include "base/input_check.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/resistor.hpp"
#include "hydraulics/size_change.hpp"

namespace fw::hydraulics {

Result<PipeCoefficients> quick_connector_law(const QuickConnector& connector, const fuel::Liquid& liquid,
                                             double reference_flow_m3_per_s) {
  InputCheck check;
  check.positive(connector.upstream_bore_m, "connector.upstream_bore_m")
      .positive(connector.bore_m, "connector.bore_m")
      .positive(connector.length_m, "connector.length_m")
      .positive(connector.downstream_bore_m, "connector.downstream_bore_m");
  if (check.failed()) return check.fault();
  auto stem = stem_law({.upstream_bore_m = connector.upstream_bore_m,
                        .bore_m = connector.bore_m,
                        .length_m = connector.length_m,
                        .downstream_bore_m = connector.downstream_bore_m},
                       liquid, reference_flow_m3_per_s);
  if (!stem || connector.form == ConnectorForm::straight) return stem;
  const auto elbow = fitting_named("elbow-90-threaded");
  if (!elbow) return fail(elbow.error());
  const auto turn = fitting_law(*elbow, {.bore_m = connector.bore_m}, liquid);
  if (!turn) return fail(turn.error());
  return with_loss(*stem, turn->coefficients);
}

}  // namespace fw::hydraulics
