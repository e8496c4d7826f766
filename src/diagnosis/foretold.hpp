// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "diagnosis/readings.hpp"

/// What the models foretell for readings. Inner header of the room's readings.
namespace fw::diagnosis {

/// A fault at a place; `row` in Tables::planted.
struct PlantedAt {
  std::size_t row = 0;
  std::string part;  ///< id of a part or tank, number of an injector, "" where it has none
  friend auto operator<=>(const PlantedAt&, const PlantedAt&) = default;
};

/// A target and how it may show, with the chance of each; what is left to 1 shows as nothing.
struct TargetFaults {
  std::string target;
  std::vector<PlantedAt> ways;
  std::vector<double> chances;
};

/// A nuisance that does not take the value of its sample.
struct MovedNuisance {
  std::size_t nuisance = 0;  ///< in Foreteller::nuisances()
  double probability = 0.0;  ///< cumulative, in (0, 1)
};

/// One draw of a hypothesis: its faults, how bad each is, and its sample number, which names the nuisances.
struct Ask {
  std::vector<PlantedAt> faults;
  std::vector<double> severity;  ///< by fault: cumulative probability of its amount, in (0, 1)
  std::uint32_t sample = 0;
  std::vector<MovedNuisance> moved;
};

/// What was foretold; empty where the model had no solution.
using Foretold = std::vector<double>;

/// A model of one side.
class Foreteller {
 public:
  virtual ~Foreteller() = default;
  [[nodiscard]] virtual const std::vector<TargetFaults>& targets() const = 0;
  /// Ids of the continuous nuisances; a draw's is numerics::uniform(seed, key_of(id), Purpose::input, sample).
  [[nodiscard]] virtual const std::vector<std::string>& nuisances() const = 0;
  /// By ask; each as many numbers as readings. Models are kept from one call to the next; one call at a time. Errors:
  /// of the model; cancelled.
  [[nodiscard]] virtual Result<std::vector<Foretold>> foretell(const std::vector<Ask>& asks, const Run& run) = 0;
  /// Tags of one reading, and whether the model knows it at all.
  [[nodiscard]] virtual std::vector<std::string> tags(std::size_t reading) const = 0;
  [[nodiscard]] virtual bool known(std::size_t reading) const = 0;
  [[nodiscard]] virtual std::vector<std::string> assumed() const { return {}; }
};

[[nodiscard]] Result<std::unique_ptr<Foreteller>> supply_foreteller(const Tables& tables,
                                                                    const std::vector<Reading>& readings,
                                                                    const system::LineSheet& sheet, std::uint64_t seed);
[[nodiscard]] Result<std::unique_ptr<Foreteller>> high_side_foreteller(const Tables& tables,
                                                                       const std::vector<Reading>& readings,
                                                                       const system::LineSheet& sheet,
                                                                       std::uint64_t seed);

/// An error at a reading's line.
[[nodiscard]] Error reading_fault(const Reading& reading, ErrorCode code, std::string field, std::string found,
                                  std::string expected);

}  // namespace fw::diagnosis
