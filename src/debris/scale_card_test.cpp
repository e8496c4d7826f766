// SPDX-License-Identifier: Apache-2.0
#include "debris/scale_card.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>

#include <gtest/gtest.h>

#include "debris/dark_spots.hpp"

namespace fw::debris {
namespace {

/// A camera over a drawn card: the metal is discs of known area, so the reading has something outside it to meet.
struct Scene {
  struct Metal {
    double x_m, y_m, radius_m;
  };
  std::vector<Metal> metal;
  std::size_t width = 1400;
  std::size_t height = 1050;
  double points_per_m = 8200.0;
  double turn_rad = 0.1;
  double slant = 0.15;  ///< relative change of scale over the card's width
  double blur_points = 0.8;
  double light = 0.8;  ///< of white at the middle
  double fall = 0.25;  ///< of the light from left to right
  double metal_bright = 0.1;
  double ground = 0.9;
  double noise = 0.01;
  bool mirrored = false;
  bool no_fifth = false;
  bool glare = false;
};

double paper(const Scene& scene, double x_m, double y_m) {
  if (x_m < 0.0 || y_m < 0.0 || x_m > card_width_m || y_m > card_height_m) return 0.25;
  for (std::size_t i = 0; i < (scene.no_fifth ? 4U : 5U); ++i) {
    const CardDisc& disc = card_discs.at(i);
    if (std::hypot(x_m - disc.centre.x_m, y_m - disc.centre.y_m) <= disc.radius_m) return 0.05;
  }
  const bool inside =
      x_m > card_frame.from.x_m && x_m < card_frame.to.x_m && y_m > card_frame.from.y_m && y_m < card_frame.to.y_m;
  if (!inside) return 1.0;
  if (scene.glare && std::hypot(x_m - 0.06, y_m - 0.05) < 0.004) return 2.0;
  for (const Scene::Metal& one : scene.metal) {
    if (std::hypot(x_m - one.x_m, y_m - one.y_m) <= one.radius_m) return scene.metal_bright;
  }
  return scene.ground;
}

std::uint32_t hashed(std::uint32_t n) {
  n = (n ^ 61U) ^ (n >> 16U);
  n *= 9U;
  n ^= n >> 4U;
  n *= 0x27d4eb2dU;
  return n ^ (n >> 15U);
}

Picture photo(const Scene& scene) {
  const double c = std::cos(scene.turn_rad);
  const double s = std::sin(scene.turn_rad);
  std::vector<double> linear(scene.width * scene.height);
  constexpr int fine = 2;
  for (std::size_t v = 0; v < scene.height; ++v) {
    for (std::size_t u = 0; u < scene.width; ++u) {
      double level = 0.0;
      for (int i = 0; i < fine * fine; ++i) {
        const double right =
            (static_cast<double>(u) + (i % fine + 0.5) / fine - 0.5) - 0.5 * static_cast<double>(scene.width);
        const double down =
            (static_cast<double>(v) + (i / fine + 0.5) / fine - 0.5) - 0.5 * static_cast<double>(scene.height);
        // Plane seen at a slant: scale falls with x.
        const double w = 1.0 - scene.slant * right / (scene.points_per_m * card_width_m);
        const double x = (c * right + s * down) / (w * scene.points_per_m);
        const double y = (-s * right + c * down) / (w * scene.points_per_m);
        level += paper(scene, 0.5 * card_width_m + (scene.mirrored ? -x : x), 0.5 * card_height_m + y) / (fine * fine);
      }
      const double across = static_cast<double>(u) / static_cast<double>(scene.width) - 0.5;
      linear[v * scene.width + u] = scene.light * (1.0 - scene.fall * across) * level;
    }
  }
  // Blur twice by a box of the width asked for, in each direction.
  const int reach = static_cast<int>(std::lround(scene.blur_points));
  const auto blur = [&](std::size_t step, std::size_t count, std::size_t lines, std::size_t line_step) {
    std::vector<double> row(count);
    for (std::size_t l = 0; l < lines; ++l) {
      for (std::size_t k = 0; k < count; ++k) row[k] = linear[l * line_step + k * step];
      for (std::size_t k = 0; k < count; ++k) {
        double sum = 0.0;
        for (int d = -reach; d <= reach; ++d) {
          const auto at = std::clamp(static_cast<long>(k) + d, 0L, static_cast<long>(count) - 1);
          sum += row[static_cast<std::size_t>(at)];
        }
        linear[l * line_step + k * step] = sum / (2 * reach + 1);
      }
    }
  };
  for (int pass = 0; pass < 2 && reach > 0; ++pass) {
    blur(1, scene.width, scene.height, scene.width);
    blur(scene.width, scene.height, scene.width, 1);
  }
  Picture picture{.width = scene.width, .height = scene.height, .level = {}};
  picture.level.resize(linear.size());
  for (std::size_t i = 0; i < linear.size(); ++i) {
    const double grain = scene.noise * (hashed(static_cast<std::uint32_t>(i)) / 2147483648.0 - 1.0);
    const double l = std::clamp(linear[i] + grain, 0.0, 1.0);
    const double srgb = l <= 0.0031308 ? 12.92 * l : 1.055 * std::pow(l, 1.0 / 2.4) - 0.055;
    picture.level[i] = static_cast<std::uint8_t>(std::lround(255.0 * srgb));
  }
  return picture;
}

double drawn_m2(const Scene& scene) {
  double area = 0.0;
  for (const Scene::Metal& one : scene.metal) area += std::numbers::pi * one.radius_m * one.radius_m;
  return area;
}

/// Discs on a lattice, so that none touches another.
std::vector<Scene::Metal> specks(std::size_t count, double radius_m) {
  std::vector<Scene::Metal> all;
  for (std::size_t i = 0; i < count; ++i) {
    all.push_back({.x_m = 0.034 + 0.008 * static_cast<double>(i % 10),
                   .y_m = 0.027 + 0.008 * static_cast<double>(i / 10),
                   .radius_m = radius_m});
  }
  return all;
}

std::string refusal(const Scene& scene) {
  const auto reading = read_card(photo(scene));
  EXPECT_FALSE(reading.has_value());
  if (reading) return {};
  EXPECT_EQ(reading.error().front().where.field, "photo");
  return reading.error().front().found;
}

TEST(ScaleCard, ReadsDrawnAreas) {
  Scene scene;
  scene.metal = specks(12, 1.5e-3);
  for (const double turn : {0.0, 0.4, 1.6, -2.8}) {
    for (const double slant : {0.0, -0.12}) {
      scene.turn_rad = turn;
      scene.slant = slant;
      scene.points_per_m = 6300.0;
      const auto reading = read_card(photo(scene));
      ASSERT_TRUE(reading.has_value()) << turn << " " << slant << " " << to_text(reading.error());
      EXPECT_NEAR(reading->area_m2 / drawn_m2(scene), 1.0, 0.04) << turn << " " << slant;
      EXPECT_LT(reading->area_low_m2, drawn_m2(scene));
      EXPECT_GT(reading->area_high_m2, drawn_m2(scene));
      EXPECT_EQ(reading->specks.at(3).count, 12U);
    }
  }
}

TEST(ScaleCard, CountsSpecksBySize) {
  Scene scene;
  scene.metal = specks(30, 0.35e-3);
  for (Scene::Metal& one : scene.metal) one.y_m += 0.016;
  for (const Scene::Metal& one : specks(20, 0.75e-3)) scene.metal.push_back(one);
  const auto reading = read_card(photo(scene));
  ASSERT_TRUE(reading.has_value()) << to_text(reading.error());
  EXPECT_EQ(reading->specks.at(1).count, 30U);
  EXPECT_EQ(reading->specks.at(2).count, 20U);
  EXPECT_EQ(reading->specks.at(3).count, 0U);
  EXPECT_LE(reading->smallest_m, 0.5e-3);
}

TEST(ScaleCard, ACleanClothIsZero) {
  const auto reading = read_card(photo({}));
  ASSERT_TRUE(reading.has_value()) << to_text(reading.error());
  EXPECT_EQ(reading->area_m2, 0.0);
  EXPECT_EQ(reading->area_high_m2, 0.0);
  EXPECT_NEAR(reading->ground, 0.9, 0.03);
}

TEST(ScaleCard, MoreMetalReadsMore) {
  double before = 0.0;
  for (const std::size_t count : {std::size_t{5}, std::size_t{20}, std::size_t{60}}) {
    Scene scene;
    scene.metal = specks(count, 2.0e-3);
    const auto reading = read_card(photo(scene));
    ASSERT_TRUE(reading.has_value());
    EXPECT_GT(reading->area_m2, before);
    before = reading->area_m2;
  }
}

// Light, grain and blur that a telephone makes move the area by less than the band.
TEST(ScaleCard, BearsUnevenLightAndGrain) {
  for (const double fall : {-0.5, 0.5}) {
    for (const double noise : {0.0, 0.03}) {
      for (const double blur : {0.0, 1.0}) {
        Scene scene;
        scene.metal = specks(10, 1.5e-3);
        scene.fall = fall;
        scene.noise = noise;
        scene.blur_points = blur;
        scene.light = 0.6;
        const auto reading = read_card(photo(scene));
        ASSERT_TRUE(reading.has_value()) << fall << " " << noise << " " << blur << to_text(reading.error());
        EXPECT_LT(reading->area_low_m2, drawn_m2(scene));
        EXPECT_GT(reading->area_high_m2, drawn_m2(scene));
      }
    }
  }
}

TEST(ScaleCard, RefusesWithItsReason) {
  Scene scene;
  scene.no_fifth = true;
  EXPECT_NE(refusal(scene).find("marks"), std::string::npos);
  scene = {};
  scene.mirrored = true;
  EXPECT_NE(refusal(scene).find("mirrored"), std::string::npos);
  scene = {};
  scene.blur_points = 4.0;
  EXPECT_NE(refusal(scene).find("edges"), std::string::npos);
  scene = {};
  scene.points_per_m = 3500.0;
  EXPECT_NE(refusal(scene).find("mm to a point"), std::string::npos);
  scene = {};
  scene.light = 1.4;
  EXPECT_NE(refusal(scene).find("burnt out"), std::string::npos);
  scene = {};
  scene.light = 0.1;
  EXPECT_NE(refusal(scene).find("darker than white"), std::string::npos);
  scene = {};
  scene.glare = true;
  scene.light = 0.4;
  EXPECT_NE(refusal(scene).find("brighter than its ground"), std::string::npos);
  scene = {};
  scene.ground = 0.2;
  EXPECT_NE(refusal(scene).find("ground"), std::string::npos);
  scene = {};
  scene.slant = 0.55;
  scene.turn_rad = 0.0;
  scene.points_per_m = 7500.0;
  EXPECT_NE(refusal(scene).find("varies"), std::string::npos) << refusal(scene);
  EXPECT_FALSE(read_card({}).has_value());
  Picture grey{.width = 800, .height = 600, .level = std::vector<std::uint8_t>(480000, 128)};
  EXPECT_FALSE(read_card(grey).has_value());
}

TEST(DarkSpots, MomentsAreThoseOfTheShape) {
  constexpr std::size_t side = 101;
  std::vector<std::uint8_t> mask(side * side, 0);
  for (std::size_t y = 0; y < side; ++y) {
    for (std::size_t x = 0; x < side; ++x) {
      const double right = (static_cast<double>(x) - 50.0) / 40.0;
      const double down = (static_cast<double>(y) - 50.0) / 20.0;
      if (right * right + down * down <= 1.0) mask[y * side + x] = 1;
    }
  }
  mask[0] = 1;
  const auto all = spots(mask, side, side);
  ASSERT_EQ(all.size(), 2U);
  EXPECT_TRUE(all[0].at_border);
  EXPECT_NEAR(all[1].x, 50.0, 1e-12);
  EXPECT_NEAR(all[1].xx, 400.0, 8.0);  // a^2/4
  EXPECT_NEAR(all[1].yy, 100.0, 2.0);  // b^2/4
  EXPECT_NEAR(static_cast<double>(all[1].points), std::numbers::pi * 800.0, 20.0);
}

TEST(DarkSpots, CornersJoinWhereAsked) {
  const std::vector<std::uint8_t> mask{1, 0, 0, 0, 1, 0, 1, 0, 1};  // 3 x 3
  EXPECT_EQ(label(mask, 3, 3, true).count, 1U);
  EXPECT_EQ(label(mask, 3, 3, false).count, 4U);
}

}  // namespace
}  // namespace fw::debris
