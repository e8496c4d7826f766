// SPDX-License-Identifier: Apache-2.0
#include "report/metal_figures.hpp"

#include <string>

#include <gtest/gtest.h>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "report/metal_words.hpp"

#include "project_file.hpp"

namespace fw::report {
namespace {

assess::MetalAnswer metal_of(const std::string& name) {
  static const catalog::Catalog book = catalog::built_in().value();
  const auto job = casefile::read_case(test::project_file("cases/") + name, book).value();
  InlineExecutor executor;
  SilentProgress progress;
  return assess::assess(job, book, {.sections = {assess::Section::extent}},
                        {.executor = executor, .progress = progress, .stop = {}})
      .value()
      .metal.value();
}

TEST(MetalFigures, DrawWhatTheCaseHas) {
  const assess::MetalAnswer metal = metal_of("alder-gap-tender");
  EXPECT_TRUE(curves_figure(cascade_of(metal.cleanliness, {})));
  EXPECT_TRUE(curves_figure(dose_of(*metal.decision, {})));
  EXPECT_TRUE(curves_figure(frontier_of(metal, {}).value()));
  EXPECT_TRUE(curves_figure(break_even_of(metal, {}).value()));
  EXPECT_EQ(dose_of(*metal.decision, {}).curves.size(), metal.decision->options.size());
}

// The line of the smallest repair meets that of the whole system at the break-even of the decision.
TEST(MetalFigures, LinesMeetAtTheBreakEven) {
  const assess::MetalAnswer metal = metal_of("alder-gap-tender");
  const double even = *smallest_repair(*metal.decision).break_even;
  const CurvesData data = break_even_of(metal, {}).value();
  const Curve& line = data.curves.front();
  const double at = line.y.front() + even * (line.y.back() - line.y.front());
  EXPECT_NEAR(at / data.levels.front().value, 1.0, 1e-6);
}

TEST(MetalFigures, NeedPrices) {
  const assess::MetalAnswer metal = metal_of("orchard-van");
  for (const auto& data : {frontier_of(metal, {}), break_even_of(metal, {})}) {
    ASSERT_FALSE(data);
    EXPECT_EQ(data.error().front().code, ErrorCode::not_found);
    EXPECT_EQ(data.error().front().where.field, "prices");
  }
}

TEST(Curves, DecadesTakeNothingAtOrBelowZero) {
  const CurvesData sound{.title = "x",
                         .unit = "1",
                         .x_axis = "h",
                         .curves = {{.x = {1.0, 10.0}, .y = {5.0, 500.0}}},
                         .x_scale = AxisScale::decades,
                         .y_scale = AxisScale::decades};
  ASSERT_TRUE(curves_figure(sound));
  CurvesData bad = sound;
  bad.curves.front().y.front() = 0.0;
  EXPECT_EQ(curves_figure(bad).error().front().where.field, "curves.1");
  bad = sound;
  bad.curves.front().x.front() = -1.0;
  EXPECT_EQ(curves_figure(bad).error().front().where.field, "curves.1");
  bad = sound;
  bad.levels.push_back({.value = 0.0, .words = "none"});
  EXPECT_EQ(curves_figure(bad).error().front().where.field, "levels.1");
}

}  // namespace
}  // namespace fw::report
