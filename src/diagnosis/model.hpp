// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "diagnosis/inference.hpp"
#include "diagnosis/tables.hpp"

/// The tables as a network. Theory: docs/theory/diagnosis.md, Causes, mechanisms, findings.
namespace fw::diagnosis {

/// Places of the rows in the network.
struct Model {
  Network network;
  std::vector<std::size_t> causes;      ///< per row of Tables::causes
  std::vector<std::size_t> mechanisms;  ///< per row of Tables::mechanisms
  std::vector<std::size_t> findings;    ///< per row of Tables::findings
  std::size_t complaint = 0;            ///< the observed effect of all causes
  std::vector<std::size_t> readings;    ///< observed effects of what readings speak of, state 0 seen; case_model()
};

/// Prior of each cause so that, with the complaint only, every group is equally probable, the causes of a group are
/// equally probable, and the cause not listed has `not_listed`. In closed form:
///
///   q = not_listed * c,  G = 1 - ((1 - c) / (1 - q))^(1/groups),  p = 1 - (1 - G)^(1/size of group)
///
/// c = complaint_rate. The complaint is a plain or of all causes, so P(complaint) = c. Per row of causes [-].
/// Precondition: the tables pass check().
[[nodiscard]] std::vector<double> calibrated_priors(const Tables& tables);

/// Which draw of the tables' spreads; none is the values as written.
struct TableDraw {
  std::uint64_t seed = 1;
  std::uint32_t sample = 0;
};

/// Builds the network: causes with calibrated priors, mechanisms as noisy-ors, findings as noisy-ors with inhibitors,
/// the complaint. With a draw, every likelihood ratio, absent rate and link takes the value its own spread gives in
/// that sample; each mark of each finding draws its own ratio. A drawn number beyond a probability is kept below 1 by
/// drawing in odds: odds of rates and links, logarithm of ratio minus 1 for ratios (so a ratio never falls below 1).
/// Errors: those of check(tables).
[[nodiscard]] Result<Model> build_model(const Tables& tables, const std::optional<TableDraw>& draw = std::nullopt);

}  // namespace fw::diagnosis
