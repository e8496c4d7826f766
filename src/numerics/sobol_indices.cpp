// SPDX-License-Identifier: Apache-2.0
#include "numerics/sobol_indices.hpp"

#include <algorithm>
#include <array>
#include <atomic>
#include <bit>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "numerics/sobol_points.hpp"

namespace fw::numerics {

namespace {

struct Moments {
  double mean = 0.0;
  double variance = 0.0;
};

Moments moments(std::span<const double> at_a, std::span<const double> at_b) {
  const auto n = static_cast<double>(at_a.size() + at_b.size());
  double sum = 0.0;
  for (const double value : at_a) sum += value;
  for (const double value : at_b) sum += value;
  Moments found{.mean = sum / n};
  for (const double value : at_a) found.variance += (value - found.mean) * (value - found.mean) / n;
  for (const double value : at_b) found.variance += (value - found.mean) * (value - found.mean) / n;
  return found;
}

struct MeanAndError {
  double mean = 0.0;
  double error = 0.0;
};

MeanAndError over_shifts(std::span<const double> values) {
  const auto n = static_cast<double>(values.size());
  MeanAndError found;
  for (const double value : values) found.mean += value / n;
  double squares = 0.0;
  for (const double value : values) squares += (value - found.mean) * (value - found.mean);
  found.error = std::sqrt(squares / (n * (n - 1.0)));
  return found;
}

}  // namespace

SobolShares sobol_shares(std::span<const double> at_a, std::span<const double> at_b, std::span<const double> at_ab) {
  FW_EXPECTS(at_a.size() >= 2 && at_a.size() == at_b.size() && at_a.size() == at_ab.size());
  const Moments found = moments(at_a, at_b);
  SobolShares shares;
  if (!(found.variance > 0.0)) return shares;
  for (std::size_t i = 0; i < at_a.size(); ++i) {
    const double change = at_ab[i] - at_a[i];
    shares.first += (at_b[i] - found.mean) * change;
    shares.total += change * change;
  }
  const double scale = static_cast<double>(at_a.size()) * found.variance;
  return {.first = shares.first / scale, .total = shares.total / (2.0 * scale)};
}

Result<SobolIndices> sobol_indices(FunctionRef<double(std::span<const double>)> model, std::size_t inputs,
                                   const SobolOptions& options, const Run& run) {
  FW_EXPECTS(inputs >= 1 && inputs <= sobol_inputs);
  FW_EXPECTS(std::has_single_bit(options.points) && options.points >= 2 && options.shifts >= 2);

  // values[shift][set][point]: set 0 is A, 1 is B, 2 + i is AB_i.
  const std::size_t sets = inputs + 2;
  const std::size_t points = options.points;
  std::vector<double> values(options.shifts * sets * points);
  const auto set_of = [&](std::size_t shift, std::size_t set) {
    return std::span(values).subspan((shift * sets + set) * points, points);
  };

  std::vector<SobolShift> shifts;
  for (std::uint32_t shift = 0; shift < options.shifts; ++shift) shifts.push_back(sobol_shift(options.seed, shift));
  const std::size_t chunk = std::min<std::size_t>(64, points);
  const std::size_t chunks = points / chunk;
  const std::size_t blocks = options.shifts * chunks;
  std::atomic<std::size_t> done = 0;
  run.executor.for_each_block(blocks, [&](std::size_t block) {
    if (run.stop.stop_requested()) return;
    const std::size_t shift = block / chunks;
    std::array<double, sobol_inputs> a{};
    std::array<double, sobol_inputs> b{};
    const std::size_t first = block % chunks * chunk;
    for (std::size_t point = first; point < first + chunk; ++point) {
      const auto index = static_cast<std::uint32_t>(point);
      for (std::size_t i = 0; i < inputs; ++i) {
        a[i] = sobol_unit(index, i, shifts[shift]);
        b[i] = sobol_unit(index, inputs + i, shifts[shift]);
      }
      set_of(shift, 0)[point] = model(std::span(a).first(inputs));
      set_of(shift, 1)[point] = model(std::span(b).first(inputs));
      for (std::size_t i = 0; i < inputs; ++i) {
        std::swap(a[i], b[i]);
        set_of(shift, 2 + i)[point] = model(std::span(a).first(inputs));
        std::swap(a[i], b[i]);
      }
    }
    run.progress.at("sobol points", (done.fetch_add(1) + 1) * chunk, blocks * chunk);
  });
  if (run.stop.stop_requested()) {
    return fail({.code = ErrorCode::cancelled,
                 .where = {},
                 .found = "a run that was stopped",
                 .expected = fmt::format("{} calls of the model", values.size()),
                 .hint = {}});
  }
  if (!std::ranges::all_of(values, [](double value) { return std::isfinite(value); })) {
    return fail({.code = ErrorCode::outside_model,
                 .where = {},
                 .found = "a sampled point at which the model has no finite value",
                 .expected = "a finite value wherever the inputs may lie",
                 .hint = "Narrow the spreads of the inputs"});
  }

  SobolIndices result;
  result.calls = values.size();
  std::vector<double> means;
  std::vector<double> variances;
  std::vector<double> first(options.shifts);
  std::vector<double> total(options.shifts);
  for (std::size_t shift = 0; shift < options.shifts; ++shift) {
    const Moments found = moments(set_of(shift, 0), set_of(shift, 1));
    means.push_back(found.mean);
    variances.push_back(found.variance);
  }
  result.mean = over_shifts(means).mean;
  result.variance = over_shifts(variances).mean;
  for (std::size_t i = 0; i < inputs; ++i) {
    for (std::size_t shift = 0; shift < options.shifts; ++shift) {
      const SobolShares shares = sobol_shares(set_of(shift, 0), set_of(shift, 1), set_of(shift, 2 + i));
      first[shift] = shares.first;
      total[shift] = shares.total;
    }
    const MeanAndError alone = over_shifts(first);
    const MeanAndError with_others = over_shifts(total);
    result.inputs.push_back(
        {.first = alone.mean, .first_error = alone.error, .total = with_others.mean, .total_error = with_others.error});
  }
  return result;
}

}  // namespace fw::numerics
