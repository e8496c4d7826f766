// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/quick_connector.hpp"

#include <gtest/gtest.h>

#include "hydraulics/fittings.hpp"
#include "hydraulics/size_change.hpp"
#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;

constexpr QuickConnector straight{.upstream_bore_m = 7.75e-3, .bore_m = 5.6e-3, .downstream_bore_m = 7.75e-3};

// Identity: a straight one is the stem of size_change.hpp, an angled one adds one elbow on its bore.
TEST(QuickConnector, IsAStemAndAnElbow) {
  const auto stem =
      stem_law({.upstream_bore_m = 7.75e-3, .bore_m = 5.6e-3, .length_m = 0.030, .downstream_bore_m = 7.75e-3}, d20)
          .value();
  const auto plain = quick_connector_law(straight, d20).value();
  EXPECT_EQ(plain.quadratic_Pa_s2_per_m6, stem.quadratic_Pa_s2_per_m6);
  EXPECT_EQ(plain.linear_Pa_s_per_m3, stem.linear_Pa_s_per_m3);
  EXPECT_EQ(plain.laminar_resistance_Pa_s_per_m3, stem.laminar_resistance_Pa_s_per_m3);
  QuickConnector angled = straight;
  angled.form = ConnectorForm::elbow_90;
  const auto turned = quick_connector_law(angled, d20).value();
  const auto elbow = fitting_law(fitting_named("elbow-90-threaded").value(), {.bore_m = 5.6e-3}, d20)->coefficients;
  EXPECT_DOUBLE_EQ(turned.linear_Pa_s_per_m3, stem.linear_Pa_s_per_m3 + elbow.linear_Pa_s_per_m3);
  EXPECT_DOUBLE_EQ(turned.quadratic_Pa_s2_per_m6, stem.quadratic_Pa_s2_per_m6 + elbow.quadratic_Pa_s2_per_m6);
}

TEST(QuickConnector, NamesTheBadField) {
  QuickConnector bad = straight;
  bad.bore_m = required;
  EXPECT_EQ(quick_connector_law(bad, d20).error().front().where.field, "connector.bore_m");
  EXPECT_EQ(quick_connector_law(straight, d20, -1.0).error().front().where.field, "reference_flow_m3_per_s");
}

}  // namespace
}  // namespace fw::hydraulics
