// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

/// Push-on quick connectors by their true through-bore: no published loss was found.
namespace fw::hydraulics {

enum class ConnectorForm : std::uint8_t { straight, elbow_90 };

struct QuickConnector {
  double upstream_bore_m = required;
  double bore_m = required;  ///< of the stem; typical for male ends 6.30 / 7.89 / 9.49 / 11.80 / 15.82 mm:
                             ///< 4.2 / 5.6 / 7.2 / 9.2 / 12.6 mm (typical, measure)
  double length_m = 0.030;   ///< typical
  double downstream_bore_m = required;
  ConnectorForm form = ConnectorForm::straight;
};

/// A stem (size_change.hpp) plus, if angled, one 90 degree elbow of r/d 1 on its bore: one pipe element.
/// Errors: invalid_input naming `connector...` or the liquid's field, `reference_flow_m3_per_s` as stem_law.
/// Validity: common practice, no source; the flow-restriction clause of SAE J2044 was not seen.
[[nodiscard]] Result<PipeCoefficients> quick_connector_law(const QuickConnector& connector, const fuel::Liquid& liquid,
                                                           double reference_flow_m3_per_s = 0.0);

}  // namespace fw::hydraulics
