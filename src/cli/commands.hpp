// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/supply_questions.hpp"
#include "base/result.hpp"
#include "cli/command_line.hpp"

namespace fw::cli {

/// Exit status: 0 computed, 1 a check fails under --strict, 2 bad input, 3 could not compute, 130 stopped by Ctrl-C.
inline constexpr int computed = 0;
inline constexpr int fails_strictly = 1;
inline constexpr int bad_input = 2;
inline constexpr int could_not_compute = 3;
inline constexpr int interrupted = 130;

/// Each prints its answer to standard output, its errors to standard error, and returns the exit status.
[[nodiscard]] int run_judge(const CommandLine& line);
[[nodiscard]] int run_supply(const CommandLine& line);
[[nodiscard]] int run_figure(const CommandLine& line);
[[nodiscard]] int run_fuel(const CommandLine& line);
[[nodiscard]] int run_catalog(const CommandLine& line);
[[nodiscard]] int run_gaugebook(const CommandLine& line);
[[nodiscard]] int run_faults(const CommandLine& line);
[[nodiscard]] int run_compare(const CommandLine& line);
[[nodiscard]] int run_size(const CommandLine& line);
[[nodiscard]] int run_rail(const CommandLine& line);  ///< rail and heat
[[nodiscard]] int run_infer(const CommandLine& line);
[[nodiscard]] int run_debris(const CommandLine& line);
[[nodiscard]] int run_extent(const CommandLine& line);
[[nodiscard]] int run_water(const CommandLine& line);
[[nodiscard]] int run_fuel_report(const CommandLine& line);
[[nodiscard]] int run_flush(const CommandLine& line);
[[nodiscard]] int run_filters(const CommandLine& line);
[[nodiscard]] int run_diagnose(const CommandLine& line);
[[nodiscard]] int run_explain(const CommandLine& line);
[[nodiscard]] int run_next(const CommandLine& line);
/// Prints an answer as text or JSON; its exit status, under --strict 1 where a check fails.
[[nodiscard]] int answer(const Result<app::SupplyAnswer>& answer, const CommandLine& line);
/// Prints an answer that was made as text or JSON by --json.
[[nodiscard]] int answer(const Result<std::string>& text, const CommandLine& line);
[[nodiscard]] int run_card(const CommandLine& line);
[[nodiscard]] int run_evidence(const CommandLine& line);

}  // namespace fw::cli
