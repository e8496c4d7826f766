// SPDX-License-Identifier: Apache-2.0
#include "debris/size_scale.hpp"

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::debris {
namespace {

// Cleanliness page 1.2 and check row 40.
TEST(SizeScale, ConvertsAcftd) {
  const auto table = test::published_table("debris/acftd_sizes.csv");
  ASSERT_EQ(table.rows.size(), 17u);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double um = table.number(row, "acftd_um");
    EXPECT_NEAR(*counter_c_diameter_m({.diameter_m = um * 1e-6, .scale = SizeScale::counter_air_cleaner_dust}),
                table.number(row, "counter_c_um") * 1e-6, 1e-15)
        << um;
  }
  EXPECT_NEAR(*counter_c_diameter_m({.diameter_m = 6e-6, .scale = SizeScale::counter_air_cleaner_dust}), 7.05e-6,
              1e-14);
  for (const double outside_um : {0.7, 51.0}) {
    EXPECT_EQ(counter_c_diameter_m({.diameter_m = outside_um * 1e-6, .scale = SizeScale::counter_air_cleaner_dust})
                  .error()
                  .front()
                  .code,
              ErrorCode::outside_model);
  }
}

TEST(SizeScale, KeepsTheScalesApart) {
  EXPECT_EQ(*counter_c_diameter_m({.diameter_m = 6e-6}), 6e-6);
  EXPECT_NEAR(*counter_c_diameter_m({.diameter_m = 10e-6, .scale = SizeScale::counter_b}), 8.98e-6, 1e-18);
  const auto microscope = counter_c_diameter_m({.diameter_m = 15e-6, .scale = SizeScale::microscope});
  EXPECT_EQ(microscope.error().front().where.field, "size.scale");
  EXPECT_EQ(counter_c_diameter_m({}).error().front().where.field, "size.diameter_m");
  EXPECT_EQ(name(SizeScale::counter_c), "um(c)");
}

}  // namespace
}  // namespace fw::debris
