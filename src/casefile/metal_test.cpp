// SPDX-License-Identifier: Apache-2.0
#include "casefile/metal.hpp"

#include <string>

#include <gtest/gtest.h>

namespace fw::casefile {
namespace {

const std::string sound = R"(format = 1
engine = "inline-six"
[story]
reach = "driven"
distance = "30 mi"
cranks = 4
[way]
tank = "150 L"
tank_floor = "0.55 m2"
feed = "90 L/h"
rail_share = "35 %"
[way.final_filter]
test = "typical"
beta = [{ size = "4 um", beta = "75" }, { size = "10 um", beta = "1000" }]
[[finding]]
place = "metering-valve"
by = "eye"
grade = "few-specks"
[[finding]]
place = "final-filter"
by = "magnet"
area = "1.2 cm2"
[prices]
currency = "USD"
labour_per_hour = "150.00 USD"
comeback_loss = { low = "6000 USD", high = "12000 USD" }
[prices.parts]
rail = { low = "300 USD", high = "700 USD" }
)";

std::string changed(const std::string& from, const std::string& to) {
  std::string text = sound;
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(Metal, ReadsWhatWasFound) {
  const auto metal = read_metal(sound, "metal.toml", {});
  ASSERT_TRUE(metal.has_value()) << to_text(metal.error());
  EXPECT_EQ(metal->input.findings.size(), 2U);
  EXPECT_NEAR(metal->input.findings[1].area_m2, 1.2e-4, 1e-12);
  EXPECT_NEAR(metal->input.story.ran_s, 30 * 1609.344 / 15.6, 1e-6);
  EXPECT_EQ(metal->input.shape, extent::EngineShape::inline_six);
  EXPECT_NEAR(metal->as_found.tank_m3.value(), 0.15, 1e-12);
  EXPECT_TRUE(metal->as_found.final_efficiency.has_value());
  EXPECT_FALSE(metal->as_found.primary_efficiency.has_value());
  EXPECT_FALSE(metal->as_found.leak_off_share.has_value());
  EXPECT_FALSE(metal->as_rebuilt.has_value());
  EXPECT_EQ(metal->input.prices->labour_per_hour.minor, 15000);
  EXPECT_TRUE(metal->input.prices->parts[*extent::component_index("rail")].has_value());
  EXPECT_FALSE(metal->input.prices->parts[*extent::component_index("injectors")].has_value());
}

// One clear error for each bad input, with its line.
TEST(Metal, RefusesBadInputsWithTheirLine) {
  struct Bad {
    std::string from, to, says;
  };
  for (const Bad& bad :
       {Bad{"beta = \"75\"", "beta = \"0.5\"", "1 or more"},
        Bad{"labour_per_hour = \"150.00 USD\"", "labour_per_hour = \"150.00\"", "currency"},
        Bad{"low = \"300 USD\"", "low = \"300 EUR\"", "an amount in USD"},
        Bad{"rail = {", "flux-capacitor = {", "flux-capacitor"},
        Bad{"currency = \"USD\"", "currency = \"dollars\"", "ISO 4217"},
        Bad{"place = \"metering-valve\"", "place = \"gallery\"", "gallery"},
        Bad{"grade = \"few-specks\"", "grade = \"some\"", "some"},
        Bad{"area = \"1.2 cm2\"", "area = \"-1.2 cm2\"", "-1.2"}, Bad{"feed = \"90 L/h\"", "feed = \"90\"", "unit"},
        Bad{"distance = \"30 mi\"", "", "how long or how far"}}) {
    const auto metal = read_metal(changed(bad.from, bad.to), "metal.toml", {});
    ASSERT_FALSE(metal.has_value()) << bad.to;
    EXPECT_EQ(metal.error().size(), 1U) << to_text(metal.error());
    EXPECT_NE(to_text(metal.error()).find(bad.says), std::string::npos) << to_text(metal.error());
  }
}

}  // namespace
}  // namespace fw::casefile
