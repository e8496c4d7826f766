// SPDX-License-Identifier: Apache-2.0
#include "app/supply_questions.hpp"

#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

int answer(const Result<app::SupplyAnswer>& answer, const CommandLine& line) {
  if (!answer) return report_errors(answer.error());
  if (line.json) {
    print(answer->json);
  } else {
    print_brief(answer->text);
  }
  return line.strict && answer->fails ? fails_strictly : computed;
}

int answer(const Result<std::string>& text, const CommandLine& line) {
  if (!text) return report_errors(text.error());
  if (line.json) {
    print(*text);
  } else {
    print_brief(*text);
  }
  return computed;
}

int run_gaugebook(const CommandLine& line) {
  return answer(in_long_work([&](const Run& run) {
                  return app::gauge_book_answer({.sheet = line.target, .faults = line.faults}, request_of(line), run);
                }),
                line);
}

int run_faults(const CommandLine& line) {
  return answer(in_long_work([&](const Run& run) {
                  return app::faults_answer({.sheet = line.target, .faults = line.faults}, request_of(line), run);
                }),
                line);
}

int run_compare(const CommandLine& line) {
  return answer(
      in_long_work([&](const Run& run) { return app::comparison_answer(line.target, request_of(line), run); }), line);
}

int run_size(const CommandLine& line) {
  return answer(in_long_work([&](const Run& run) {
                  return app::sizes_answer(
                      {.sheet = line.target, .parts = line.parts, .all = line.all_parts, .climate = line.climate},
                      request_of(line), run);
                }),
                line);
}

}  // namespace fw::cli
