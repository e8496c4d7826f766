// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/assess.hpp"
#include "base/run.hpp"
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"

/// Cases of the project as the papers get them.
namespace fw::test {

struct JudgedCase {
  casefile::Case job;
  assess::Assessment assessment;
};

inline const catalog::Catalog& built_in_catalog() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

/// A case folder, read and assessed with the catalogue that comes with the program.
inline JudgedCase judge_case(const std::string& folder, const assess::Options& options = {}) {
  JudgedCase result{.job = casefile::read_case(folder, built_in_catalog()).value(), .assessment = {}};
  InlineExecutor executor;
  SilentProgress progress;
  result.assessment =
      assess::assess(result.job, built_in_catalog(), options, {.executor = executor, .progress = progress, .stop = {}})
          .value();
  return result;
}

inline bool says(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

}  // namespace fw::test
