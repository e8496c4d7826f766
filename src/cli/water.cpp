// SPDX-License-Identifier: Apache-2.0
#include "app/filter_question.hpp"
#include "app/water_questions.hpp"
#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int run_water(const CommandLine& line) {
  return answer(
      in_long_work([&](const Run& run) { return app::water_answer(line.target, line.climate, request_of(line), run); }),
      line);
}

int run_fuel_report(const CommandLine& line) {
  return answer(app::fuel_report_answer(line.target, request_of(line)), line);
}

int run_filters(const CommandLine& line) {
  app::FilterQuestion question = line.filters;
  question.target = line.target;
  return answer(in_long_work([&](const Run& run) { return app::filters_answer(question, request_of(line), run); }),
                line);
}

int run_flush(const CommandLine& line) { return answer(app::flush_answer(line.flush, request_of(line)), line); }

}  // namespace fw::cli
