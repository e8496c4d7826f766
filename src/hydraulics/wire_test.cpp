// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/wire.hpp"

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

constexpr double zero_C = 273.15;

Harness ten_metres() {
  return {.wire = units::parse_wire("12 AWG").value(),
          .length_m = 10.0,
          .temperature_K = 80.0 + zero_C,
          .contact_count = 7.0,
          .contact_resistance_ohm = 3e-3,
          .relay_resistance_ohm = 5e-3};
}

// Part data 1.3: 10 m of 12 AWG at 80 C + 26 mOhm = 0.09039 Ohm.
TEST(Wire, MatchesThePartData) {
  EXPECT_NEAR(harness_resistance_ohm(ten_metres()).value(), 0.09039, 6e-6);
  EXPECT_NEAR(harness_drop_V(ten_metres(), 5.190).value(), 5.190 * 0.09039, 4e-5);
}

TEST(Wire, AddsFuseAndGround) {
  Harness harness = ten_metres();
  const double bare = harness_resistance_ohm(harness).value();
  harness.fuse_rating_A = 10.0;
  harness.ground_resistance_ohm = 0.2;
  EXPECT_NEAR(harness_resistance_ohm(harness).value(), bare + 0.01 + 0.2, 1e-12);
}

// Hydraulics page 3: R_h = (V_b - V_p)/I, the inverse of the drop.
TEST(Wire, IsFoundWithAVoltmeter) {
  const double drop_V = harness_drop_V(ten_metres(), 6.0).value();
  EXPECT_NEAR(harness_from_reading_ohm({.supply_V = 13.8, .connector_V = 13.8 - drop_V, .current_A = 6.0}).value(),
              harness_resistance_ohm(ten_metres()).value(), 1e-12);
  EXPECT_EQ(
      harness_from_reading_ohm({.supply_V = 12.0, .connector_V = 12.5, .current_A = 1.0}).error().front().where.field,
      "reading.connector_V");
}

// Part data 5: middles of one factory charging table, 14.55 / 14.15 / 13.75 / 13.50 V; the line is within 0.03 V, and
// the table's limits lie within 0.6 V of it. Part data 5: least cranking voltage, same page.
TEST(Wire, MatchesTheVoltageTables) {
  struct Row {
    double celsius, low, high;
  };
  for (const Row& row : {Row{-20, 14.0, 15.1}, Row{20, 13.7, 14.6}, Row{60, 13.2, 14.3}, Row{80, 12.9, 14.1}}) {
    const auto volts = regulated_voltage(row.celsius + zero_C).value();
    EXPECT_NEAR(volts.nominal_V, 0.5 * (row.low + row.high), 0.03);
    EXPECT_NEAR(volts.low_V, row.low, 0.13);
    EXPECT_NEAR(volts.high_V, row.high, 0.08);
    EXPECT_EQ(volts.range, Range::fitted);
  }
  EXPECT_EQ(regulated_voltage(-30.0 + zero_C)->range, Range::extrapolated);
  struct Crank {
    double celsius, least;
  };
  for (const Crank& row : {Crank{25, 9.6}, Crank{20, 9.6}, Crank{16, 9.5}, Crank{10, 9.4}, Crank{4, 9.3},
                           Crank{-1, 9.1}, Crank{-7, 8.9}, Crank{-12, 8.7}, Crank{-18, 8.5}, Crank{-25, 8.5}}) {
    const auto volts = cranking_voltage(row.celsius + zero_C).value();
    EXPECT_NEAR(volts.low_V, row.least, 1e-9) << row.celsius;
    EXPECT_NEAR(volts.nominal_V, row.least + 0.8, 1e-9);
    EXPECT_EQ(volts.range, row.celsius >= -18 ? Range::fitted : Range::extrapolated);
  }
}

TEST(Wire, NamesTheBadField) {
  Harness harness = ten_metres();
  harness.wire.area_m2 = 0.0;
  EXPECT_EQ(harness_resistance_ohm(harness).error().front().where.field, "harness.wire.area_m2");
  harness = ten_metres();
  harness.temperature_K = 600.0;
  EXPECT_EQ(harness_resistance_ohm(harness).error().front().where.field, "harness.temperature_K");
  EXPECT_EQ(harness_drop_V(ten_metres(), -1.0).error().front().where.field, "current_A");
  EXPECT_EQ(regulated_voltage(required).error().front().where.field, "temperature_K");
  EXPECT_EQ(regulated_voltage(500.0).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(cranking_voltage(100.0).error().front().where.field, "temperature_K");
}

}  // namespace
}  // namespace fw::hydraulics
