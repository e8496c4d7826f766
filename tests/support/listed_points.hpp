// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <cstddef>
#include <cstdint>
#include <vector>

#include "hydraulics/network.hpp"

/// Running points of a network as lists of numbers, for generators, tests and benchmarks.
namespace fw::test {

/// SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014): small, seedable anywhere, good enough to vary cases.
class CaseRandom {
 public:
  explicit CaseRandom(std::uint64_t seed) : state_(seed) {}
  std::uint64_t bits() {
    state_ += 0x9e3779b97f4a7c15ULL;
    std::uint64_t z = state_;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
  }
  double uniform(double low, double high) {
    return low + (high - low) * (static_cast<double>(bits() >> 11) * 0x1.0p-53);
  }
  /// Uniform in the logarithm; low > 0.
  double log_uniform(double low, double high) { return low * std::pow(high / low, uniform(0.0, 1.0)); }
  /// Whole number in [low, high].
  int whole(int low, int high) { return low + static_cast<int>(bits() % static_cast<std::uint64_t>(high - low + 1)); }
  bool chance(double probability) { return uniform(0.0, 1.0) < probability; }

 private:
  std::uint64_t state_;
};

/// Coefficients by element, each in the order of its law's struct; fixed pressures in the order of the fixed nodes.
inline void set_listed(hydraulics::PointTable& table, std::size_t point, const hydraulics::NetworkDefinition& network,
                       const std::vector<std::vector<double>>& coefficients, const std::vector<double>& fixed_Pa) {
  using hydraulics::Law;
  std::size_t fixed = 0;
  for (std::uint32_t i = 0; i < network.nodes.size(); ++i) {
    if (network.nodes[i].kind == hydraulics::NodeKind::fixed) {
      table.set_pressure(point, static_cast<hydraulics::NodeId>(i), fixed_Pa[fixed++]);
    }
  }
  for (std::uint32_t e = 0; e < network.elements.size(); ++e) {
    const auto id = static_cast<hydraulics::ElementId>(e);
    const std::vector<double>& k = coefficients[e];
    switch (network.elements[e].law) {
      case Law::pipe:
        table.set(point, id,
                  hydraulics::PipeCoefficients{.reynolds_per_flow_s_per_m3 = k[0],
                                               .laminar_resistance_Pa_s_per_m3 = k[1],
                                               .relative_roughness = k[2],
                                               .curvature = k[3],
                                               .linear_Pa_s_per_m3 = k[4],
                                               .quadratic_Pa_s2_per_m6 = k[5]});
        break;
      case Law::resistor:
        table.set(point, id,
                  hydraulics::ResistorCoefficients{.linear_Pa_s_per_m3 = k[0], .quadratic_Pa_s2_per_m6 = k[1]});
        break;
      case Law::valve:
        table.set(point, id,
                  hydraulics::ValveCoefficients{
                      .crack_Pa = k[0], .linear_Pa_s_per_m3 = k[1], .quadratic_Pa_s2_per_m6 = k[2], .shut = k[3]});
        break;
      case Law::source:
        table.set(point, id,
                  hydraulics::SourceCoefficients{.free_flow_m3_per_s = k[0], .conductance_m3_per_s_Pa = k[1]});
        break;
      case Law::draw: table.set(point, id, hydraulics::DrawCoefficients{.flow_m3_per_s = k[0]}); break;
      case Law::vapour_guard: table.set(point, id, hydraulics::GuardCoefficients{.pressure_Pa = k[0]}); break;
    }
  }
}

}  // namespace fw::test
