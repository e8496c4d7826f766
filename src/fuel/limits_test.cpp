// SPDX-License-Identifier: Apache-2.0
#include "fuel/limits.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <tuple>

#include <gtest/gtest.h>

#include "fuel_cases.hpp"
#include "published_table.hpp"

namespace fw::fuel {
namespace {

const Limit& limit(std::string_view standard, LimitedQuantity quantity, std::string_view variant = {}) {
  const auto all = limits();
  const auto found = std::find_if(all.begin(), all.end(), [&](const Limit& row) {
    return row.standard == standard && row.quantity == quantity && row.variant == variant;
  });
  if (found == all.end()) throw std::runtime_error("no such limit");
  return *found;
}

// Spot values of every column with their marks.
TEST(Limits, CarryTheirMarks) {
  EXPECT_EQ(limit("en590", LimitedQuantity::density_15).min, 820.0);
  EXPECT_EQ(limit("en590", LimitedQuantity::density_15).max, 845.0);
  EXPECT_EQ(limit("en590", LimitedQuantity::density_15, "edition 2022").mark, Mark::from_memory);
  EXPECT_EQ(limit("d975_2d", LimitedQuantity::kinematic_viscosity_40).max, 4.1e-6);
  EXPECT_EQ(limit("d975_1d", LimitedQuantity::flash_point).min, test::celsius(38));
  EXPECT_EQ(limit("en590", LimitedQuantity::cfpp, "class F").max, test::celsius(-20));
  EXPECT_EQ(limit("en590_arctic0", LimitedQuantity::cloud_point).max, test::celsius(-10));
  EXPECT_EQ(limit("en590_arctic4", LimitedQuantity::cfpp).max, test::celsius(-44));
  EXPECT_EQ(limit("en590_arctic3", LimitedQuantity::cetane_index).min, 43.0);
  EXPECT_EQ(limit("en14214", LimitedQuantity::water).max, 500e-6);
  EXPECT_EQ(limit("d7467", LimitedQuantity::water_and_sediment).max, 0.05e-2);
  EXPECT_EQ(limit("en15940", LimitedQuantity::cetane_number, "class A").min, 70.0);
  EXPECT_EQ(limit("jp8", LimitedQuantity::freezing_point).max, test::celsius(-47));
  EXPECT_EQ(limit("iso4113_cv", LimitedQuantity::kinematic_viscosity_40).max, 2.55e-6);
  EXPECT_EQ(limit("en590", LimitedQuantity::lubricity_scar).max, 460e-6);
  EXPECT_EQ(limit("d975_2d", LimitedQuantity::lubricity_scar).max, 520e-6);
  EXPECT_EQ(limit("d975_2d", LimitedQuantity::lubricity_scar).mark, Mark::from_memory);
}

/// SI value of a number in the unit of the published table; NaN for "-".
double si(const std::string& number, const std::string& unit) {
  if (number == "-") return required;
  const double value = std::stod(number);
  if (unit == "C") return test::celsius(value);
  if (unit == "kg/m3" || unit.empty()) return value;
  if (unit == "h") return value * 3600.0;
  if (unit == "MJ/kg") return value * 1e6;
  if (unit == "% v/v" || unit == "% m/m") return value * 1e-2;
  if (unit == "mg KOH/g" || unit == "mg/L") return value * 1e-3;
  if (unit == "mm2/s" || unit == "mg/kg" || unit == "um") return value * 1e-6;
  throw std::runtime_error("no unit " + unit);
}

// Table 4.1 of the reference, every row of every column, and no row beside it.
TEST(Limits, AreTheTableOfStandards) {
  const test::PublishedTable table = test::published_table("fuel/limits.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto words = [&](const char* column) {
      std::string text = table.text(row, column);
      std::replace(text.begin(), text.end(), ';', ',');
      return text;
    };
    const std::string quantity = words("quantity");
    const std::string variant = words("variant");
    const auto all = limits();
    const auto found = std::find_if(all.begin(), all.end(), [&](const Limit& held) {
      return held.standard == table.text(row, "standard") && name(held.quantity) == quantity && held.variant == variant;
    });
    ASSERT_NE(found, all.end()) << table.text(row, "standard") << " " << quantity << " " << variant;
    const auto expect = [&](double value, const char* column) {
      const double published = si(table.text(row, column), table.text(row, "unit"));
      EXPECT_EQ(std::isnan(value), std::isnan(published)) << found->standard << " " << quantity << " " << column;
      if (std::isnan(published)) return;
      EXPECT_NEAR(value, published, 1e-12 * std::abs(published)) << found->standard << " " << quantity << " " << column;
    };
    expect(found->min, "min");
    expect(found->max, "max");
  }
  EXPECT_EQ(table.rows.size(), limits().size());
}

// The reference says so: D975 limits neither density nor water in mg/kg nor total contamination.
TEST(Limits, D975LeavesOutWhatItDoesNotLimit) {
  for (const Limit& row : limits_of("d975_2d")) {
    EXPECT_NE(row.quantity, LimitedQuantity::density_15);
    EXPECT_NE(row.quantity, LimitedQuantity::water);
    EXPECT_NE(row.quantity, LimitedQuantity::total_contamination);
  }
}

TEST(Limits, EveryRowIsWholeAndUnique) {
  std::set<std::tuple<std::string_view, LimitedQuantity, std::string_view>> seen;
  for (const Limit& row : limits()) {
    EXPECT_TRUE(std::isfinite(row.min) || std::isfinite(row.max)) << row.standard << name(row.quantity);
    EXPECT_FALSE(std::isfinite(row.min) && std::isfinite(row.max) && row.min >= row.max) << row.standard;
    EXPECT_FALSE(row.source.empty());
    EXPECT_FALSE(name(row.quantity).empty());
    EXPECT_TRUE(seen.insert({row.standard, row.quantity, row.variant}).second) << row.standard << name(row.quantity);
  }
  EXPECT_TRUE(limits_of("en589").empty());
}

// Every grade keeps the limits of its standard that its default values state; flash points of the table that print a
// bound (paraffinic, calibration fluid) stand at the bound.
TEST(Limits, EveryGradeKeepsItsStandard) {
  for (const std::string& id : grade_ids()) {
    if (id == "petrol") continue;
    const Fuel fuel = grade(id).value();
    const std::string_view standard = standard_of(id);
    ASSERT_FALSE(limits_of(standard).empty()) << id;
    for (const Limit& row : limits_of(standard)) {
      double value = required;
      switch (row.quantity) {
        case LimitedQuantity::density_15: value = fuel.density_15C_kg_per_m3; break;
        case LimitedQuantity::kinematic_viscosity_40: value = fuel.kinematic_viscosity_40C_m2_per_s; break;
        case LimitedQuantity::flash_point: value = fuel.flash_point_K; break;
        case LimitedQuantity::cloud_point: value = fuel.cloud_point_K; break;
        case LimitedQuantity::freezing_point: value = fuel.cloud_point_K; break;
        case LimitedQuantity::cetane_number: value = fuel.cetane_number; break;
        default: break;
      }
      if (!std::isfinite(value)) continue;
      EXPECT_EQ(against(row, value), Against::inside) << id << " " << name(row.quantity) << " " << row.variant;
    }
  }
}

TEST(Limits, BoundsAreInside) {
  const Limit& density = limit("en590", LimitedQuantity::density_15);
  EXPECT_EQ(against(density, 820.0), Against::inside);
  EXPECT_EQ(against(density, 845.0), Against::inside);
  EXPECT_EQ(against(density, 819.9), Against::below);
  EXPECT_EQ(against(density, 845.1), Against::above);
}

}  // namespace
}  // namespace fw::fuel
