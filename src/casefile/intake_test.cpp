// SPDX-License-Identifier: Apache-2.0
#include "casefile/intake.hpp"

#include <gtest/gtest.h>

namespace fw::casefile {
namespace {

Result<Intake> read(const std::string& text) {
  auto document = catalog::Document::parse("format = 1\n[intake]\n" + text, "case.toml", {});
  if (!document) return fail(document.error());
  document->demand_format();
  catalog::Table table = *document->root().table("intake");
  Intake intake = read_intake(table);
  if (const auto sound = document->finish(); !sound) return fail(sound.error());
  return intake;
}

TEST(Intake, ReadsEveryFact) {
  const auto intake = read(R"toml(odometer = "88000 km"
hours = "3310 h"
idle_share = "60 %"
use = "stand-by tender"
tow_since_failure = "14 km on a flatbed"
cranks_since_failure = 3
fuel_work = "plain head, four years ago"
owner = "the brigade"
payers = ["the brigade", "its insurer"]
campaign = { checked = true, date = "2026-05-04", result = "none open" }
permission = { to_look = true, cap = "300 USD", by = "the chief", date = "2026-05-04" }
consent = { samples = true, photos = false }
[[intake.fill]]
date = "2026-05-01"
place = "drums at the station"
product = "diesel"
volume = "60 L"
receipt = false
)toml");
  ASSERT_TRUE(intake) << to_text(intake.error());
  EXPECT_NEAR(intake->odometer_m->value, 88e6, 1e-3);
  EXPECT_NEAR(intake->hours_s->value, 3310.0 * 3600.0, 1e-6);
  EXPECT_NEAR(intake->idle_share->value, 0.6, 1e-12);
  ASSERT_EQ(intake->fills.size(), 1U);
  EXPECT_NEAR(intake->fills[0].volume_m3->value, 0.06, 1e-12);
  EXPECT_EQ(intake->fills[0].receipt, false);
  EXPECT_EQ(intake->cranks_since_failure, 3);
  EXPECT_EQ(intake->payers.size(), 2U);
  EXPECT_EQ(intake->permission.cap, "300 USD");
  EXPECT_EQ(intake->consent.photos, false);
}

TEST(Intake, AbsentIsNotKnown) {
  const auto intake = read("");
  ASSERT_TRUE(intake);
  EXPECT_FALSE(intake->permission.to_look);
  EXPECT_FALSE(intake->campaign.checked);
  EXPECT_FALSE(intake->consent.samples);
}

TEST(Intake, TeachesEveryMistake) {
  const auto words = [](const std::string& text) {
    const auto intake = read(text);
    EXPECT_FALSE(intake);
    return intake ? std::string() : intake.error().front().found + " | " + intake.error().front().hint;
  };
  EXPECT_EQ(words("odometr = \"88000 km\"\n"), "the key \"odometr\" | Write \"odometer\", or remove the line");
  EXPECT_EQ(words("campaign = { checked = true }\n"), "a campaign check without its date | Add date = \"2026-05-04\"");
  EXPECT_EQ(words("campaign = { date = \"2026-02-30\" }\n"),
            "\"2026-02-30\" | Write for example date = \"2026-05-04\"");
  EXPECT_EQ(words("permission = { to_look = true }\n"),
            "permission to look without a cap | Add for example cap = \"300 USD\"");
  EXPECT_EQ(words("idle_share = \"140 %\"\n"), "\"140 %\" | Write for example \"60 %\"");
  EXPECT_EQ(words("[[intake.fill]]\n[[intake.fill]]\n[[intake.fill]]\n[[intake.fill]]\n"),
            "4 fills | Keep the newest three");
}

}  // namespace
}  // namespace fw::casefile
