// SPDX-License-Identifier: Apache-2.0
#include "rail/friction_memory.hpp"

#include <array>
#include <cmath>

#include "base/contract.hpp"
#include "base/input_check.hpp"

namespace fw::rail {

namespace {

constexpr std::array<double, 10> kagawa_weight{1.0,     1.16725, 2.20064, 3.92861, 6.78788,
                                               11.6761, 20.0612, 34.4541, 59.1642, 101.590};
constexpr std::array<double, 10> kagawa_rate{26.3744, 72.8033, 187.424, 536.626, 1570.60,
                                             4618.13, 13601.1, 40082.5, 118153., 348316.};
constexpr double weight_ratio = 101.590 / 59.1642;
constexpr double rate_ratio = 348316.0 / 118153.0;
constexpr int spare_terms = 2;

}  // namespace

double FrictionMemory::at(double tau) const {
  double sum = 0.0;
  for (std::size_t i = 0; i < weight.size(); ++i) sum += weight[i] * std::exp(-rate[i] * tau);
  return sum;
}

Result<FrictionMemory> friction_memory(double smallest_tau) {
  InputCheck check;
  check.within(smallest_tau, {.low = 1e-9, .high = 1.0}, "smallest_tau");
  if (check.failed()) return check.fault();
  FrictionMemory memory{.weight = {kagawa_weight.begin(), kagawa_weight.end()},
                        .rate = {kagawa_rate.begin(), kagawa_rate.end()}};
  int spare = 0;
  while (spare < spare_terms) {
    if (memory.rate.back() * smallest_tau >= 3.5) ++spare;
    memory.weight.push_back(memory.weight.back() * weight_ratio);
    memory.rate.push_back(memory.rate.back() * rate_ratio);
  }
  return memory;
}

MemoryStep memory_step(const FrictionMemory& memory, double dtau) {
  FW_EXPECTS(std::isfinite(dtau) && dtau > 0.0);
  MemoryStep step;
  for (std::size_t i = 0; i < memory.rate.size(); ++i) {
    const double x = memory.rate[i] * dtau;
    step.decay.push_back(x < 700.0 ? std::exp(-x) : 0.0);
    step.gain.push_back(memory.weight[i] * (x < 700.0 ? -std::expm1(-x) : 1.0) / x);
  }
  // Terms beyond the last decay within the step: sum of m/n over the geometric rest, spread over it.
  const double shrink = weight_ratio / rate_ratio;
  step.gain.back() += memory.weight.back() / memory.rate.back() * shrink / (1.0 - shrink) / dtau;
  return step;
}

}  // namespace fw::rail
