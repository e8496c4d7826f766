// SPDX-License-Identifier: Apache-2.0
#include "app/diagnosis_questions.hpp"

#include "app/threads.hpp"
#include "cli/commands.hpp"
#include "cli/terminal.hpp"

namespace fw::cli {

namespace {

using Question = Result<app::TextAndJson> (*)(const app::DiagnosisQuestion&, const app::Request&, const Run&);

int answer(const CommandLine& line, Question ask) {
  app::ThreadExecutor executor(app::hardware_threads());
  SilentProgress progress;
  const auto text =
      ask({.folder = line.target, .facts = line.six_facts, .two_steps = line.two_steps, .cause = line.cause},
          {.system = line.system,
           .seed = line.seed,
           .depth = line.depth,
           .out = {},
           .width = terminal_columns(),
           .catalog_folder = line.catalog_folder,
           .created = creation_time()},
          {executor, progress, {}});
  if (!text) return report_errors(text.error());
  print(line.json ? text->json : text->text);
  return computed;
}

}  // namespace

int run_diagnose(const CommandLine& line) { return answer(line, app::diagnosis_text); }
int run_explain(const CommandLine& line) { return answer(line, app::explanation_text); }
int run_next(const CommandLine& line) { return answer(line, app::next_text); }

}  // namespace fw::cli
