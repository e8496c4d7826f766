// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/annular.hpp"

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::litre_per_hour;

TEST(Annular, MatchesTheWorkedGaps) {
  AnnularGap gap{.diameter_m = 10e-3, .clearance_m = 10e-6, .length_m = 10e-3};
  FW_EXPECT_WORKED(1e6 / annular_gap_law(gap, d20)->linear_Pa_s_per_m3 / litre_per_hour, "annular gap",
                   "d 10 mm c 10 um L 10 mm dp 1 MPa eccentricity 0");
  gap.eccentricity = 1.0;
  FW_EXPECT_WORKED(1e6 / annular_gap_law(gap, d20)->linear_Pa_s_per_m3 / litre_per_hour, "annular gap",
                   "d 10 mm c 10 um L 10 mm dp 1 MPa eccentricity 1");
}

TEST(Annular, NamesTheBadField) {
  EXPECT_EQ(annular_gap_law({.diameter_m = 0.01, .clearance_m = 1e-5}, d20).error().front().where.field,
            "gap.length_m");
  EXPECT_EQ(annular_gap_law({.diameter_m = 0.01, .clearance_m = 1e-5, .length_m = 0.01, .eccentricity = 1.2}, d20)
                .error()
                .front()
                .where.field,
            "gap.eccentricity");
  EXPECT_EQ(annular_gap_law({.diameter_m = 0.01, .clearance_m = 2e-3, .length_m = 0.01}, d20).error().front().code,
            ErrorCode::outside_model);
}

}  // namespace
}  // namespace fw::hydraulics
