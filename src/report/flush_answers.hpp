// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "debris/clean_up.hpp"
#include "report/document.hpp"
#include "report/papers.hpp"

/// A tank circulated through a filter and a line flushed, on paper and as JSON. They word results; they compute none.
namespace fw::report {

struct FlushAnswer {
  debris::KidneyLoop loop;
  debris::IsoCode from, to;
  debris::CleanUpToCode clean_up;
  std::optional<double> dead_share;          ///< of the tank
  std::optional<double> with_dead_volume_s;  ///< time of the model with a dead part
  std::vector<debris::FlushCaution> cautions;
  struct Line {
    double bore_m = required;
    double service_m3_per_s = required;
    debris::Flush needed;        ///< for a Reynolds number of 4000
    double reynolds = required;  ///< at the cart's flow
    double service_reynolds = required;
  };
  std::optional<Line> line;
  std::optional<debris::Decay> decay;
  std::optional<bool> verified;  ///< two samples at the target
  std::size_t samples = 0;
};

[[nodiscard]] Document flush_page(const FlushAnswer& answer, const PaperOptions& options);

/// Schema fuelwright.flush/1.0.
[[nodiscard]] std::string flush_json(const FlushAnswer& answer);

}  // namespace fw::report
