// SPDX-License-Identifier: Apache-2.0
#include "report/scale_card_answers.hpp"

#include <array>
#include <cmath>
#include <numbers>
#include <variant>

#include <gtest/gtest.h>

#include "casefile/photo.hpp"
#include "report/canvas.hpp"
#include "report/pdf.hpp"

namespace fw::report {
namespace {

constexpr double points_per_m = 72.0 / 0.0254;

/// The printed card with drawn metal, as a photo: full white is darkened as a camera exposes it, and the page is
/// turned.
Result<debris::CardReading> reading_of(const std::vector<Primitive>& metal, int quarter_turns) {
  Figure card = scale_card_figure();
  for (const Primitive& one : metal) card.primitives.push_back(one);
  const auto bytes = png(card, 3.0);
  if (!bytes) return fail(bytes.error());
  auto picture = casefile::decode_photo(*bytes, "card.png");
  if (!picture) return fail(picture.error());
  // A margin of table round the card, so that its edge is not the picture's.
  constexpr std::size_t margin = 40;
  debris::Picture photo{.width = picture->width + 2 * margin, .height = picture->height + 2 * margin, .level = {}};
  photo.level.assign(photo.width * photo.height, 110);
  for (std::size_t y = 0; y < picture->height; ++y) {
    for (std::size_t x = 0; x < picture->width; ++x) {
      photo.level[(y + margin) * photo.width + x + margin] =
          static_cast<std::uint8_t>(30 + picture->level[y * picture->width + x] * 4 / 5);
    }
  }
  for (int turn = 0; turn < quarter_turns; ++turn) {
    debris::Picture next{.width = photo.height, .height = photo.width, .level = {}};
    next.level.resize(photo.level.size());
    for (std::size_t y = 0; y < photo.height; ++y) {
      for (std::size_t x = 0; x < photo.width; ++x) {
        next.level[x * next.width + (next.width - 1 - y)] = photo.level[y * photo.width + x];
      }
    }
    photo = std::move(next);
  }
  return debris::read_card(photo);
}

// What is printed and what is looked for are the same card: areas drawn by Cairo come back.
TEST(ScaleCardOnPaper, DrawnAreasComeBack) {
  std::vector<Primitive> metal;
  double drawn_m2 = 0.0;
  for (int i = 0; i < 8; ++i) {
    const double radius_m = 0.5e-3 + 0.4e-3 * i;
    metal.emplace_back(Circle{.centre = {(0.035 + 0.0095 * i) * points_per_m, 0.05 * points_per_m},
                              .radius = radius_m * points_per_m,
                              .stroke = {},
                              .fill = Role::ink});
    drawn_m2 += std::numbers::pi * radius_m * radius_m;
  }
  metal.emplace_back(Rectangle{.corner = {0.05 * points_per_m, 0.065 * points_per_m},
                               .width = 0.02 * points_per_m,
                               .height = 0.01 * points_per_m,
                               .stroke = {},
                               .fill = Role::ink});
  drawn_m2 += 0.02 * 0.01;
  for (const int turns : {0, 1, 2, 3}) {
    const auto reading = reading_of(metal, turns);
    ASSERT_TRUE(reading.has_value()) << turns << to_text(reading.error());
    EXPECT_NEAR(reading->area_m2 / drawn_m2, 1.0, 0.02) << turns;
    EXPECT_LT(reading->area_low_m2, drawn_m2);
    EXPECT_GT(reading->area_high_m2, drawn_m2);
  }
}

TEST(ScaleCardOnPaper, AnEmptyCardHasNoMetal) {
  const auto reading = reading_of({}, 0);
  ASSERT_TRUE(reading.has_value()) << to_text(reading.error());
  EXPECT_EQ(reading->area_high_m2, 0.0);
}

TEST(ScaleCardOnPaper, PrintsOnBothPapers) {
  for (const PageSize size : {PageSize::a4, PageSize::letter}) {
    const auto pdf = render_pdf(scale_card_page({.size = size, .created = "2026-05-04T10:00:00Z"}));
    ASSERT_TRUE(pdf.has_value()) << to_text(pdf.error());
  }
}

// The drawn specks weigh what their grade stands for: between its limits of 0.1, 3 and 100 mg, by spheres of steel.
TEST(ScaleCardOnPaper, GradesWeighWhatTheyStandFor) {
  const Figure figure = grades_figure();
  std::array<double, 4> mass_kg{};
  std::array<int, 4> drawn{};
  for (const Primitive& one : figure.primitives) {
    const auto* circle = std::get_if<Circle>(&one);
    if (circle == nullptr || circle->fill == Role::none) continue;
    const auto cloth = static_cast<std::size_t>(4.0 * circle->centre.x / figure.width);
    const double size_m = 2.0 * circle->radius / points_per_m;
    mass_kg.at(cloth) += std::numbers::pi / 6.0 * 7850.0 * size_m * size_m * size_m;
    ++drawn.at(cloth);
  }
  EXPECT_EQ(drawn[0], 0);
  EXPECT_GT(mass_kg[1], 0.1e-6);
  EXPECT_LT(mass_kg[1], 3e-6);
  EXPECT_GT(mass_kg[2], 3e-6);
  EXPECT_LT(mass_kg[2], 100e-6);
  EXPECT_GT(mass_kg[3], 100e-6);
  EXPECT_LT(drawn[1], 40) << "few can be counted";
  EXPECT_GT(drawn[2], 200) << "a film cannot";
}

}  // namespace
}  // namespace fw::report
