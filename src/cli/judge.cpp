// SPDX-License-Identifier: Apache-2.0
#include "app/supply_questions.hpp"
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
  app::Request request = request_of(line);
  if (!line.with.empty()) {
    request.sections = assess::quick_sections();
    for (const std::string& word : line.with) {
      if (const auto section = assess::section_named(word)) request.sections->add(*section);
    }
  }
  return answer(in_long_work([&](const Run& run) { return app::judge_case(line.target, request, run); }), line);
}

int run_supply(const CommandLine& line) {
  const casefile::SevenFacts facts = casefile::only_told(line.facts);
  if (line.target.empty() && facts.layout.empty()) {
    const auto over = in_long_work([&](const Run& run) { return app::layouts_answer(facts, request_of(line), run); });
    if (!over) return report_errors(over.error());
    if (line.json) {
      print(over->json);
    } else {
      print_brief(over->text);
    }
    return line.strict && over->fails ? fails_strictly : computed;
  }
  return answer(in_long_work([&](const Run& run) {
                  return line.target.empty() ? app::judge_facts(facts, request_of(line), run)
                                             : app::judge_sheet(line.target, line.climate, request_of(line), run);
                }),
                line);
}

}  // namespace fw::cli
