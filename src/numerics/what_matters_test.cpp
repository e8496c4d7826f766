// SPDX-License-Identifier: Apache-2.0
#include "numerics/what_matters.hpp"

#include <cmath>
#include <functional>
#include <numbers>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "numerics/normal.hpp"
#include "numerics/stream.hpp"

namespace fw::numerics {
namespace {

using Values = std::vector<double>;

struct Study {
  std::vector<Values> inputs;
  Values outcome;

  [[nodiscard]] WhatMatters judged() const {
    std::vector<std::span<const double>> spans(inputs.begin(), inputs.end());
    return what_matters(outcome, spans);
  }
};

// Samples of a model of independent uniforms.
Study study(std::size_t inputs, std::uint32_t samples, const std::function<double(const Values&)>& model,
            std::uint64_t seed = 1) {
  Study made;
  made.inputs.resize(inputs);
  for (std::uint32_t sample = 0; sample < samples; ++sample) {
    Values u;
    for (std::size_t i = 0; i < inputs; ++i) {
      u.push_back(uniform(seed, key_of("input-" + std::to_string(i)), Purpose::synthetic, sample));
      made.inputs[i].push_back(u.back());
    }
    made.outcome.push_back(model(u));
  }
  return made;
}

double ishigami(const Values& u) {
  const auto angle = [&](std::size_t i) { return std::numbers::pi * (2.0 * u[i] - 1.0); };
  const double s = std::sin(angle(1));
  return std::sin(angle(0)) + 7.0 * s * s + 0.1 * std::pow(angle(2), 4) * std::sin(angle(0));
}

// Closed form: S = 0.3139, 0.4424, 0. The estimate is the mean of 20 studies, 4 standard errors of that mean, plus
// 0.01 for the straight lines in 13 slices of a double wave.
TEST(WhatMatters, FindsTheFirstOrderSharesOfIshigami) {
  constexpr int studies = 20;
  const double exact[3] = {0.3139, 0.4424, 0.0};
  double sum[3] = {};
  double squares[3] = {};
  for (std::uint64_t seed = 1; seed <= studies; ++seed) {
    const WhatMatters found = study(3, 2000, ishigami, seed).judged();
    for (std::size_t i = 0; i < 3; ++i) {
      sum[i] += found.inputs[i].first_order;
      squares[i] += found.inputs[i].first_order * found.inputs[i].first_order;
    }
    EXPECT_EQ(found.order, (std::vector<std::size_t>{1, 0, 2}));
    EXPECT_TRUE(found.inputs[0].matters());
  }
  for (std::size_t i = 0; i < 3; ++i) {
    const double mean = sum[i] / studies;
    const double error = std::sqrt((squares[i] / studies - mean * mean) / (studies - 1));
    EXPECT_NEAR(mean, exact[i], 4.0 * error + 0.01) << i;
    EXPECT_LT(error, 0.006) << i;
  }
}

// Analytic: for y = sum a_i z_i with normal z_i, S_i = a_i^2 / V and knowing z_i leaves the width times sqrt(1 - S_i).
// Both depths of sampling; the input enters through a monotone change of scale.
TEST(WhatMatters, TellsTheWidthThatMeasuringLeaves) {
  const double a[4] = {3.0, -2.0, 1.0, 0.0};
  const double variance = 14.0;
  const auto model = [&](const Values& u) {
    double y = 40.0;
    for (std::size_t i = 0; i < 4; ++i) y += a[i] * standard_normal_quantile(u[i]);
    return y;
  };
  struct Depth {
    std::uint32_t samples;
    double tolerance;
  };
  for (const Depth depth : {Depth{256, 0.15}, Depth{2000, 0.05}}) {
    Study made = study(4, depth.samples, model);
    for (double& value : made.inputs[0]) value = std::exp(10.0 * value);
    const WhatMatters found = made.judged();
    EXPECT_NEAR(found.width() / (2.0 * normal_95 * std::sqrt(variance)), 1.0, depth.tolerance);
    for (std::size_t i = 0; i < 4; ++i) {
      const double share = a[i] * a[i] / variance;
      EXPECT_NEAR(found.inputs[i].first_order, share, depth.tolerance) << i;
      EXPECT_NEAR(found.inputs[i].width_if_known / (2.0 * normal_95 * std::sqrt(variance * (1.0 - share))), 1.0,
                  depth.tolerance)
          << i;
    }
    EXPECT_GT(found.inputs[0].direction, 0.6);
    EXPECT_LT(found.inputs[1].direction, -0.3);
    EXPECT_EQ(found.order[0], 0U);
    EXPECT_EQ(found.order[1], 1U);
    EXPECT_FALSE(found.inputs[3].matters());
  }
}

// Law of the noise: without effect the estimate has mean 0 and the standard deviation that it states, over 400 inputs,
// within 4 standard errors.
TEST(WhatMatters, KnowsItsNoise) {
  for (const std::uint32_t samples : {256U, 2000U}) {
    constexpr std::size_t inputs = 400;
    Study made = study(inputs, samples, [](const Values&) { return 0.0; }, 9);
    for (std::uint32_t i = 0; i < samples; ++i) {
      made.outcome[i] = std::exp(uniform(9, key_of("outcome"), Purpose::synthetic, i));
    }
    const WhatMatters found = made.judged();
    double sum = 0.0;
    double squares = 0.0;
    for (const Influence& input : found.inputs) {
      sum += input.first_order / input.noise;
      squares += input.first_order * input.first_order / (input.noise * input.noise);
    }
    EXPECT_NEAR(sum / inputs, 0.0, 4.0 / std::sqrt(inputs));
    EXPECT_NEAR(squares / inputs, 1.0, 4.0 * std::sqrt(2.0 / inputs) + 0.1) << "chi-squared has a heavier tail";
  }
}

// A choice between branches is an input too: two values, and one that decides everything.
TEST(WhatMatters, TakesInputsWithFewValues) {
  Study made = study(2, 500, [](const Values& u) { return u[0] < 0.37 ? 1.0 : 5.0; });
  for (double& value : made.inputs[0]) value = value < 0.37 ? 0.0 : 1.0;
  const WhatMatters found = made.judged();
  EXPECT_NEAR(found.inputs[0].first_order, 1.0, 1e-12);
  EXPECT_NEAR(found.inputs[0].width_if_known, 0.0, 1e-12);
  EXPECT_EQ(found.width(), 4.0);
  EXPECT_FALSE(found.inputs[1].matters());
}

TEST(WhatMatters, NothingMattersWhereNothingVaries) {
  Study made = study(2, 100, [](const Values& u) { return u[0]; });
  made.inputs[1].assign(100, 7.0);
  const WhatMatters found = made.judged();
  EXPECT_EQ(found.inputs[1].first_order, 0.0);
  EXPECT_FALSE(found.inputs[1].matters());
  EXPECT_EQ(found.inputs[1].width_if_known, found.width());
  made.outcome.assign(100, 3.0);
  const WhatMatters flat = made.judged();
  EXPECT_EQ(flat.width(), 0.0);
  EXPECT_EQ(flat.inputs[0].first_order, 0.0);
  EXPECT_EQ(flat.inputs[0].width_if_known, 0.0);
}

TEST(WhatMatters, RefusesTooFewSamples) {
  const Study made = study(1, fewest_samples_to_rank - 1, [](const Values& u) { return u[0]; });
  EXPECT_THROW(static_cast<void>(made.judged()), ContractViolation);
  const Study uneven{.inputs = {Values(50)}, .outcome = Values(40)};
  EXPECT_THROW(static_cast<void>(uneven.judged()), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
