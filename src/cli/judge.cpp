// SPDX-License-Identifier: Apache-2.0
#include "app/use_cases.hpp"
#include "cli/commands.hpp"
#include "cli/long_work.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

int answer(const Result<app::Answer>& answer, const CommandLine& line) {
  if (!answer) return report_errors(answer.error());
  if (line.json) {
    print(answer->json);
  } else {
    print_brief(answer->brief);
  }
  if (!line.json && !answer->papers.empty()) print("\n");
  for (const std::string& paper : answer->papers) {
    if (!line.json) print("Page written: " + paper + "\n");
  }
  return line.strict && app::any_check_fails(answer->assessment.sheets) ? fails_strictly : computed;
}

}  // namespace

int run_judge(const CommandLine& line) {
  return answer(in_long_work([&](const Run& run) { return app::judge_case(line.target, request_of(line), run); }),
                line);
}

int run_supply(const CommandLine& line) {
  return answer(in_long_work([&](const Run& run) {
                  return line.facts.layout.empty() ? app::judge_sheet(line.target, line.climate, request_of(line), run)
                                                   : app::judge_facts(line.facts, request_of(line), run);
                }),
                line);
}

}  // namespace fw::cli
