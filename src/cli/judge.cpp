// SPDX-License-Identifier: Apache-2.0
#include <algorithm>

#include "app/threads.hpp"
#include "app/use_cases.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

app::Request request_of(const CommandLine& line) {
  return {.system = line.system,
          .seed = line.seed,
          .depth = line.depth,
          .all_points = line.full,
          .out = line.out,
          .width = terminal_columns(),
          .catalog_folder = line.catalog_folder,
          .created = creation_time(),
          .papers = line.paper == "owner"       ? app::Papers::owner
                    : line.paper == "technical" ? app::Papers::technical
                    : line.paper == "all"       ? app::Papers::all
                                                : app::Papers::page,
          .size = line.size == "letter" ? report::PageSize::letter : report::PageSize::a4};
}

bool any_fails(const assess::Assessment& assessment) {
  return std::ranges::any_of(assessment.sheets, [](const supply::SheetJudgement& sheet) {
    return std::ranges::any_of(sheet.checks,
                               [](const supply::Check& check) { return check.outcome == supply::Outcome::fails; });
  });
}

int answer(const Result<app::Answer>& answer, const CommandLine& line) {
  if (!answer) return report_errors(answer.error());
  print(line.json ? answer->json : answer->brief);
  if (!line.json && !answer->papers.empty()) print("\n");
  for (const std::string& paper : answer->papers) {
    if (!line.json) print("Page written: " + paper + "\n");
  }
  return line.strict && any_fails(answer->assessment) ? fails_strictly : computed;
}

}  // namespace

int run_judge(const CommandLine& line) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  return answer(app::judge_case(line.target, request_of(line), {executor, progress, {}}), line);
}

int run_supply(const CommandLine& line) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  if (!line.facts.layout.empty()) {
    return answer(app::judge_facts(line.facts, request_of(line), {executor, progress, {}}), line);
  }
  return answer(app::judge_sheet(line.target, line.climate, request_of(line), {executor, progress, {}}), line);
}

}  // namespace fw::cli
