// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

#include "diagnosis/model.hpp"

/// Cases drawn from a diagnosis model, and what the tables say about them.
namespace fw::test {

/// The model with the odds of every link, leak, inhibitor, graded rate and prior times or divided by `factor`, the sign
/// drawn for each.
[[nodiscard]] diagnosis::Model disturbed(const diagnosis::Model& model, double factor, std::uint64_t seed);

/// How statements about causes fared.
struct Reliability {
  std::size_t cases = 0;
  /// Statements by their probability: edges 0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.95, 1.
  struct Bin {
    double low = 0.0;
    double high = 0.0;
    std::size_t statements = 0;
    double stated = 0.0;    ///< sum of probabilities
    double right = 0.0;     ///< sum of what was so
    double variance = 0.0;  ///< of the difference, from its scatter between cases
  };
  std::vector<Bin> bins;
  std::size_t determined = 0;    ///< cases with a leading cause of 0.5 and three times the next
  std::size_t wrong_part = 0;    ///< of those, the leading cause was not there
  std::size_t about_ninety = 0;  ///< statements from 0.85 to 0.95
  std::size_t ninety_right = 0;  ///< of those, right
};

/// Draws `cases` cases with the complaint from `truth`, leaves out a third of the findings, and judges them by `model`.
[[nodiscard]] Reliability reliability(const diagnosis::Model& truth, const diagnosis::Model& model, std::size_t cases,
                                      std::uint64_t seed);

/// The bins as lines of text.
[[nodiscard]] std::string to_text(const Reliability& result);

}  // namespace fw::test
