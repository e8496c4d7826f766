// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "hydraulics/network.hpp"

/// Networks and running points for the benchmarks of the network solver.
namespace fw::bench {

/// Coefficients of one point, [element][coefficient] as in the structs of network.hpp, and its transition.
struct CasePoint {
  std::vector<std::vector<double>> coefficients;
  std::vector<double> fixed_Pa;  ///< in the order of the fixed nodes
  double transition_reynolds = 0.0;
};

struct Case {
  hydraulics::NetworkDefinition definition;
  std::vector<CasePoint> points;
};

enum class Friction : std::uint8_t {
  churchill,  ///< all points
  drawn,      ///< a transition drawn for every point, as sampling does
};

/// A supply system of `blocks` times 33 elements: 13 hoses, 7 fittings, two filters, a curve pump, a gear pump, six
/// valves, an engine, and guards at the gear pump and the engine; 7 loops, mostly parallel pairs. Blocks beyond the
/// first hang on the return of the one before. Points vary fuel temperature, demand, speed, filter loading and sizes by
/// some percent.
[[nodiscard]] Case supply_case(std::size_t blocks, std::size_t points, Friction friction);

/// Two tanks with a crossover hose between them: a gear pump sucks from both through a filter with bypass, an engine
/// draws behind a second filter, an overflow valve holds its inlet, the return is shared between the tanks; 22
/// elements. Tank pressures, loading, fuel and sizes vary. Another network for the comparison with KINSOL.
[[nodiscard]] Case two_tank_case(std::size_t points);

[[nodiscard]] hydraulics::PointTable table_of(const hydraulics::Network& network, const Case& bench_case);

}  // namespace fw::bench
