// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <vector>

#include "network_case.hpp"

/// The benchmark's network solved by KINSOL (SUNDIALS), as the yardstick of the network solver.
namespace fw::bench {

/// Collapsed network as one system of equations: the pressure of every free node, the flow of every chain, the state
/// of every valve and guard (docs/theory/network.md 2; exact laws). Analytic sparse Jacobian, KLU, Newton with line
/// search, memory reused over all points.
class KinsolNetwork {
 public:
  explicit KinsolNetwork(const hydraulics::NetworkDefinition& definition);
  KinsolNetwork(const KinsolNetwork&) = delete;
  KinsolNetwork& operator=(const KinsolNetwork&) = delete;
  ~KinsolNetwork();

  /// Solves one point from the last one's solution, and if that fails from rest. False where both fail.
  bool solve(const CasePoint& point);
  [[nodiscard]] std::size_t unknowns() const;
  [[nodiscard]] long iterations() const;  ///< of all solves
  [[nodiscard]] long cold_starts() const;
  /// Pressures [Pa] by node of the definition; nodes inside a chain stay NaN.
  [[nodiscard]] std::vector<double> pressures_Pa() const;

 private:
  struct Data;
  std::unique_ptr<Data> data_;
};

}  // namespace fw::bench
